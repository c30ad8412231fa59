"""Profiles, finds and trials as they are shown."""

import io
from math import nan

import pytest

from captriage.report.meter_list import (
    FoundRow,
    MeterRow,
    Proof,
    TakenRow,
    TrialShown,
    understood,
    write_found,
    write_proof,
    write_table,
    write_trial,
)


def shown(write, what):
    out = io.StringIO()
    write(what, out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (("capacitance", 97.16e-6, 0.56e-6, ""), "capacitance 97.16 µF ± 0.56 µF"),
        (("esr", 0.82, nan, ""), "ESR 0.82 Ω (uncertainty not stated)"),
        (("current", 1.5e-3, 1.7e-5, ""), "current 1.5 mA ± 17 µA"),
        (("tan_delta", 0.0321, 0.002, ""), "tan δ 0.0321 ± 0.002"),
        (("esr", nan, nan, "over range"), "ESR: no number (over range)"),
        (("esr", nan, nan, ""), "ESR: no number (the meter means none)"),
        (("current", -0.0, 6e-7, ""), "current 0 A ± 600 nA"),
        (("voltage", 1.0, 0.1, "held"), "voltage 1 V ± 0.1 V (held)"),
    ],
)
def test_what_was_understood_has_value_uncertainty_and_flag(value, text):
    assert understood(*value) == text


def test_a_reply_cannot_steer_the_terminal():
    trial = TrialShown("A\x1b[2J", "p", "f", "id\x1b[2J", [TakenRow("r\x1b[2J", [])], "", [], 0)
    assert "\x1b" not in shown(write_trial, trial)
    assert "\x1b" not in shown(write_found, FoundRow("A\x1b[2J", "w\x1b", "i\x1b"))
    assert "\x1b" not in shown(write_proof, Proof("p\x1b", ["x\x1b"]))


def test_the_list_names_each_kind_once_and_fits_80_columns():
    functions = {"dc_current": ["current"], "a_function_of_a_long_name" * 2: ["voltage"]}
    rows = [
        MeterRow(f"meter_{k}" * 5, "title " * 20, "multimeter", "SCPI", functions, "x/" * 50)
        for k in range(3)
    ]
    text = shown(write_table, rows)
    assert text.count("Multimeters") == 1
    assert max(map(len, text.splitlines())) <= 80


def test_a_trial_that_failed_ends_with_what_to_do():
    trial = TrialShown("A", "p", "f", "", [], "it is mute", ["switch it on", "or do not"], 2)
    text = shown(write_trial, trial)
    assert "not believed: 2" in text
    assert text.endswith(
        "failed      it is mute\ndo this     switch it on\ndo this     or do not\n"
    )


def test_a_proof_says_what_each_transcript_has_shown():
    nan = float("nan")
    transcripts = [
        ("impedance", {"capacitance": 9.716e-5, "esr": 0.82}, ""),
        ("impedance", {"capacitance": nan, "esr": nan}, "no reading: status +4, level not reached"),
        ("impedance", {"capacitance": nan, "esr": 0.051}, "over range"),
        ("dc_current", {"current": nan}, ""),
    ]
    assert shown(write_proof, Proof("my.toml", [], transcripts)).splitlines() == [
        "my.toml: all of it holds.",
        "   1 impedance   gives capacitance 97.16 µF, ESR 0.82 Ω",
        "   2 impedance   gives no number, as it should be (no reading: status +4, level",
        "                 not reached)",
        "   3 impedance   gives ESR 0.051 Ω, no number of capacitance, as it should be",
        "                 (over range)",
        "   4 dc_current  gives no number, as it should be",
    ]


def test_what_does_not_hold_is_said_and_nothing_beside_it():
    transcripts = [("dc_current", {"current": 1e-3}, "")]
    assert shown(write_proof, Proof("my.toml", ["current: 1 is understood"], transcripts)) == (
        "my.toml: does not hold.\n  - current: 1 is understood\n"
    )
