"""Headings as met in sheets of six languages, and what each of them means."""

from __future__ import annotations

import pytest

from captriage.columns import PARTS, QUANTITIES
from captriage.readers import vocabulary as words
from captriage.readers.headings import nearest, parse_heading, stored_as
from captriage.readers.spelling import plain

MEANT = [
    # heading, column, unit
    ("ref", "part", ""),
    ("RefDes", "part", ""),
    ("C_uF", "capacitance", "uF"),
    ("C (uF)", "capacitance", "uF"),
    ("C/µF", "capacitance", "μF"),
    ("C [nF]", "capacitance", "nF"),
    ("µF", "capacitance", "μF"),
    ("Rs [mohm]", "esr", "mohm"),
    ("R_s", "esr", ""),
    ("ESR Ohms", "esr", "Ohms"),
    ("DF (%)", "tan_delta", "%"),
    ("tan δ", "tan_delta", ""),
    ("tanδ (%)", "tan_delta", "%"),
    ("PF", "power_factor", ""),
    ("PF (%)", "power_factor", "%"),
    ("pF", "capacitance", "pF"),
    ("Q", "q", ""),
    ("I_mA", "leakage_current", "mA"),
    ("Leakage [uA]", "leakage_current", "uA"),
    ("t (s)", "time", "s"),
    ("T (°C)", "temperature_degc", "°C"),
    ("rated_uF", "capacitance_rated", "uF"),
    ("µF rated", "capacitance_rated", "μF"),
    ("C_R (µF)", "capacitance_rated", "μF"),
    ("rated_V", "voltage_rated", ""),
    ("U_R", "voltage_rated", ""),
    ("approx_age_years", "age_years", "years"),
    ("measured_uF", "capacitance", "uF"),
    ("measured_esr_ohm", "esr", "ohm"),
    ("measured_D", "tan_delta", ""),
    ("visual", "looks", ""),
    ("notes_of_behaviour", "remark", ""),
    ("C (% of nominal)", "capacitance_percent", "% of nominal"),
    ("C %", "capacitance_percent", "%"),
    ("ΔC (%)", "capacitance_deviation", "%"),
    # German
    ("Bauteil", "part", ""),
    ("Kapazität (µF)", "capacitance", "μF"),
    ("gemessene Kapazität", "capacitance", ""),
    ("Nennkapazität/µF", "capacitance_rated", "μF"),
    ("Nennspannung [V]", "voltage_rated", "V"),
    ("Verlustfaktor", "tan_delta", ""),
    ("Reststrom (mA)", "leakage_current", "mA"),
    ("Leck-Strom µA", "leakage_current", "μA"),
    ("Sichtprüfung", "looks", ""),
    ("Baujahr", "made", ""),
    # French
    ("Repère", "part", ""),
    ("capacité nominale (µF)", "capacitance_rated", "μF"),
    ("tension nominale", "voltage_rated", ""),
    ("courant de fuite (µA)", "leakage_current", "μA"),
    ("RSE (Ω)", "esr", "Ω"),
    ("facteur de pertes", "tan_delta", ""),
    ("état", "looks", ""),
    # Spanish
    ("Referencia", "part", ""),
    ("capacidad nominal (µF)", "capacitance_rated", "μF"),
    ("capacidad medida", "capacitance", ""),
    ("tensión nominal", "voltage_rated", ""),
    ("corriente de fuga (µA)", "leakage_current", "μA"),
    ("resistencia serie equivalente", "esr", ""),
    ("año", "made", ""),
    # Italian
    ("Sigla", "part", ""),
    ("capacità (µF)", "capacitance", "μF"),
    ("corrente di perdita (µA)", "leakage_current", "μA"),
    ("fattore di perdita (%)", "tan_delta", "%"),
    ("aspetto", "looks", ""),
    # Dutch
    ("Onderdeel", "part", ""),
    ("nominale capaciteit (µF)", "capacitance_rated", "μF"),
    ("gemeten capaciteit (µF)", "capacitance", "μF"),
    ("lekstroom (mA)", "leakage_current", "mA"),
    ("serieweerstand (Ω)", "esr", "Ω"),
    ("uiterlijk", "looks", ""),
]


@pytest.mark.parametrize(("text", "column", "unit"), MEANT)
def test_heading_is_understood(text, column, unit):
    heading = parse_heading(text)
    assert (heading.column, heading.unit) == (column, unit)


@pytest.mark.parametrize(
    ("text", "column", "conditions"),
    [
        ("C @120Hz", "capacitance", {"frequency_hz": 120.0}),
        ("ESR at 100 kHz (Ω)", "esr", {"frequency_hz": 100e3}),
        ("ESR@100k", "esr", {"frequency_hz": 100e3}),
        ("I_L @ 5 min mA", "leakage_current", {"soak_s": 300.0}),
        ("leakage 450V 5min", "leakage_current", {"voltage_v": 450.0, "soak_s": 300.0}),
        ("Reststrom bei 450 V nach 5 min (µA)", "leakage_current",
         {"voltage_v": 450.0, "soak_s": 300.0}),
        ("courant de fuite à 450 V (µA)", "leakage_current", {"voltage_v": 450.0}),
        ("D 1kHz", "tan_delta", {"frequency_hz": 1000.0}),
    ],
)  # fmt: skip
def test_conditions_of_a_heading_hold_for_its_readings(text, column, conditions):
    heading = parse_heading(text)
    assert heading.column == column
    assert dict(heading.conditions) == conditions


@pytest.mark.parametrize(
    ("text", "column", "unit"),
    [
        ("at (V)", "voltage_v", "V"),
        ("at V", "voltage_v", "V"),
        ("bei V", "voltage_v", "V"),
        ("at (Hz)", "frequency_hz", "Hz"),
        ("at (min)", "soak_s", "min"),
        ("at", "", ""),
    ],
)
def test_what_a_reading_was_taken_at_is_told_by_its_unit(text, column, unit):
    heading = parse_heading(text)
    assert (heading.column, heading.unit) == (column, unit)


@pytest.mark.parametrize(
    ("text", "column", "of"),
    [
        ("esr_freq_hz", "frequency_hz", "esr"),
        ("leakage_test_V", "voltage_v", "leakage_current"),
        ("leakage_minutes", "soak_s", "leakage_current"),
        ("leakage time (min)", "soak_s", "leakage_current"),
        ("C uncertainty (%)", "uncertainty", "capacitance"),
        ("frequency of C", "frequency_hz", "capacitance"),
        ("ESR status", "status", "esr"),
    ],
)
def test_a_condition_may_name_its_quantity(text, column, of):
    heading = parse_heading(text)
    assert (heading.column, heading.of) == (column, of)


@pytest.mark.parametrize(
    "text", ["wibble", "ESR max", "leakage limit (µA)", "", "---", "47.2", "C12"]
)
def test_nothing_is_guessed_from_likeness(text):
    assert parse_heading(text).column == ""


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("Ω", "ohms of what is not said"),
        ("pf", "picofarad or power factor"),
        ("ESR (µF)", "the unit μF does not fit"),
        ("rated V (mA)", "the unit mA does not fit"),
    ],
)
def test_known_words_that_do_not_fit_say_why(text, problem):
    heading = parse_heading(text)
    assert heading.column == ""
    assert problem in heading.problem


def test_likeness_only_suggests():
    assert nearest("Leakge curent") == "leakage current"
    assert nearest("zzzz") == ""


def test_every_column_of_the_frames_is_known_under_its_own_name():
    own = {"part", "can", "section", "note", *QUANTITIES, *PARTS} - {
        "tolerance_low", "tolerance_high", "flag", "source_file", "line", "note",
    }  # fmt: skip
    assert {name for name in own if parse_heading(name).column != name} == set()


def test_spellings_are_plain_and_mean_one_thing_also_run_together():
    assert [s for s in words.SPELLINGS if plain(s) != s] == []
    together = {}
    for spelling, column in words.SPELLINGS.items():
        assert together.setdefault(spelling.replace(" ", ""), column) == column, spelling


def test_no_spelling_is_listed_under_two_columns():
    seen = {}
    for column, text in words._SPELLINGS.items():
        for spelling in text.split(","):
            name = " ".join(spelling.split())
            assert seen.setdefault(name, column) == column, name


def test_loss_figures_are_stored_as_tan_delta():
    assert {stored_as(c) for c in ("q", "power_factor", "tan_delta")} == {"tan_delta"}
    assert stored_as("capacitance_percent") == "capacitance"
