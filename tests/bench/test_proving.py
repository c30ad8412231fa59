"""Proving a profile: a transcript that does not hold is found, and what is missing is named."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from captriage.bench.function_text import FUNCTION
from captriage.bench.profile import Accuracy, Field, Reply, Transport
from captriage.bench.profile_text import TOP, TRANSCRIPT, parse_profile
from captriage.bench.profiles import load_profile, shipped_folder
from captriage.bench.proving import prove

BRIDGE = (shipped_folder() / "lcr_scpi_values_status.toml").read_text("utf-8")
SERIAL = (shipped_folder() / "serial_query_echo.toml").read_text("utf-8")
STREAM = (shipped_folder() / "serial_stream.toml").read_text("utf-8")
TYPED = (shipped_folder() / "typed.toml").read_text("utf-8")
GOOD = '["*TRG", "+9.71600E-05,+8.20000E-01,+0"]'


def problems(text):
    return prove(parse_profile(text, name="fair", path="fair.toml"))


@pytest.mark.parametrize(
    ("text", "old", "new", "said"),
    [
        (BRIDGE, "esr = 0.82", "esr = 0.83", r"[1] (impedance): esr: 0.82 is understood, 0.83 is"),
        (BRIDGE, "esr = 0.82", 'esr = nan }\nflag = "open" #', "esr: 0.82 is understood, nan is"),
        (BRIDGE, ", esr = 0.051", ", esr = nan", "esr: 0.051 is understood, nan is meant; correct"),
        (BRIDGE, GOOD, GOOD.replace("+8.2", "x"), "in place of a number"),
        (BRIDGE, GOOD, GOOD.replace("+0", "+9"), "unknown status '+9'"),
        (BRIDGE, '["FREQ 100"]', '["FREQ 1000"]', "'FREQ 100' is said; the transcript has 'FREQ 1"),
        (BRIDGE, '["FREQ 100"], ', "", "'FREQ 100' is said; the transcript has 'VOLT 0.5'"),
        (BRIDGE, '["FREQ 100"]', '["FREQ 100"], ["APER LONG"]', "'VOLT 0.5' is said; the transcri"),
        (BRIDGE, '["FREQ 100"]', '["FREQ 100", "OK"]', "in the transcript, but no answer is"),
        (BRIDGE, GOOD, f'["FETC?", "1"], {GOOD}', "'*TRG' is said; the transcript has 'FETC?'"),
        (BRIDGE, "= '.+'", "= 'OTHER.+'", "identity 'EXAMPLE,BRIDGE,0,1.0'; the profile has the p"),
        (BRIDGE, '"over range: status +1, overload"', '"open"', "flag: 'over range: status +1"),
        (BRIDGE, "*IDN?\", \"E", "*TST?\", \"E", "none begins with wake and identity; write them"),
        (BRIDGE, "esr = 0.82", "esr = 0.82 }\nflag = \"\" #", ""),
        (SERIAL, '  ["SYST:REM"],\n', "", "none begins with wake and identity"),
        (SERIAL, '  ["CONF:CURR:DC"],\n', "", "'1.2345 mA'] in the transcript, but no"),
        (STREAM, '["", "DC 1.2345 mA"]', '["READ?", "DC 1.2345 mA"]', "'' is said; the transcript"),
        (STREAM, '["", "DC 1.2345 mA"]', '["", "1"], ["", "DC 1.2345 mA"]', "not the pattern"),
        (TYPED, '["esr", "0R31"]', '["tan_delta", "0R31"]', "esr is asked for; the transcript has"),
        (TYPED, '["esr", "0R31"]', '["esr", "pink"]', "is said and the transcript is at its end"),
        (TYPED, '["voltage", "390 V"]', '["voltage", "390 V"], ["voltage", "1"]', "'voltage' is n"),
    ],
)  # fmt: skip
def test_a_transcript_that_does_not_hold_is_found(text, old, new, said):
    assert old in text
    assert problems(text) == []
    found = problems(text.replace(old, new, 1))
    if not said:
        assert found == []
        return
    assert any(said in problem for problem in found), found
    assert all(problem.startswith("fair.toml: transcripts") for problem in found)


def without(text, *marks):
    """The text without the transcripts that hold one of these marks."""
    first, *transcripts = text.split("[[transcripts]]")
    kept = [each for each in transcripts if not any(mark in each for mark in marks)]
    return "[[transcripts]]".join([first, *kept])


@pytest.mark.parametrize(
    ("text", "marks", "said"),
    [
        (BRIDGE, ['"impedance_tan_delta"'], "no good reading of impedance_tan_delta; add one"),
        (
            BRIDGE,
            ["status +4", "status -1", "status +1"],
            "no reply with a bad status; add one who",
        ),
        (BRIDGE, ["over range"], "no reply that is over range; add one"),
        (BRIDGE, ["*IDN?"], "none begins with wake and identity; write them before its set-up"),
        (STREAM, ["over range"], "no reply that is over range; add one"),
        (TYPED, ["390 V"], "no good reading of dc_voltage; add one"),
    ],
)
def test_a_transcript_that_is_missing_is_named(text, marks, said):
    assert [p for p in problems(without(text, *marks)) if said in p], problems(
        without(text, *marks)
    )


def test_a_profile_without_transcripts_proves_nothing():
    assert problems(without(BRIDGE, "lines")) == [
        "fair.toml: transcripts: no good reading of impedance; add one",
        "fair.toml: transcripts: no good reading of impedance_tan_delta; add one",
        "fair.toml: transcripts: none begins with wake and identity; write them before its set-up",
        "fair.toml: transcripts: no reply with a bad status; add one whose numbers look real",
        "fair.toml: transcripts: no reply that is over range; add one",
    ]


def test_the_worked_example_of_the_readme_holds(tmp_path):
    readme = (Path(__file__).parents[2] / "instruments" / "README.md").read_text("utf-8")
    blocks = re.findall(r"```toml\n(.*?)```", readme, re.DOTALL)
    (whole,) = [block for block in blocks if block.startswith("schema")]
    path = tmp_path / "workshop_ammeter.toml"
    path.write_text(whole, "utf-8")
    assert prove(load_profile(path)) == []


def test_the_readme_names_every_key():
    readme = (Path(__file__).parents[2] / "instruments" / "README.md").read_text("utf-8")
    tables = (table.__slots__ for table in (Transport, Reply, Field, Accuracy))
    for keys in (TOP, TRANSCRIPT, FUNCTION, *tables):
        assert [key for key in keys if f"`{key}`" not in readme] == []
