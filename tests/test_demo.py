"""The demo: its verdicts against an engineer's, written down before anything was judged."""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path

import pytest

from captriage.jobs import sheets as jobs

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "data_demo"
EXPECTED = Path(__file__).parent / "data" / "demo_expected.csv"


def expected() -> dict[str, dict[str, str]]:
    """Part to the verdict an engineer gives it, and why."""
    with EXPECTED.open(encoding="utf-8", newline="") as stream:
        return {row["part"]: row for row in csv.DictReader(stream)}


@pytest.fixture(scope="module")
def judgement():
    return jobs.demo()


@pytest.fixture(scope="module")
def values(judgement) -> dict[tuple[str, str, float], float]:
    """(part, quantity, frequency) to the value read."""
    readings = judgement.readings
    parts = judgement.parts["part"].loc[readings["part_row"]]
    keys = zip(parts, readings["quantity"], readings["frequency_hz"], strict=True)
    return dict(zip(keys, readings["value"], strict=True))


def test_every_part_of_the_demo_has_an_expected_verdict(judgement):
    assert set(judgement.verdicts["part"]) == set(expected())


# part: the engineer's verdict, ours, and what our sentence says of it.
OTHERWISE = {
    # The engineer condemned the can as a whole; here each section gets the verdict that it would
    # have alone, and the sentence condemns the can unless the bad section is left unused.
    "P3 a": ("replace", "keep", "condemns the can"),
    # The engineer trusts the capacitance; an ESR of no known frequency, undecided between the
    # plausible ones, and no leakage reading are too little to keep a part by.
    "M5": ("keep", "not judged", "too little was read"),
}


@pytest.mark.parametrize("part", sorted(expected().keys() - OTHERWISE.keys()))
def test_verdict_is_the_one_an_engineer_gives(part, judgement):
    found = judgement.verdicts.set_index("part").loc[part]
    assert found["verdict"] == expected()[part]["verdict"], found["because"]


@pytest.mark.parametrize("part", OTHERWISE)
def test_where_the_verdict_differs_the_sentence_says_what_the_engineer_said(part, judgement):
    found = judgement.verdicts.set_index("part").loc[part]
    theirs, ours, phrase = OTHERWISE[part]
    assert (expected()[part]["verdict"], found["verdict"]) == (theirs, ours)
    assert phrase in found["because"]


def test_demo_shows_every_verdict(judgement):
    assert set(judgement.verdicts["verdict"]) == {"keep", "reform", "replace", "not judged"}


def test_readme_of_the_demo_says_what_is_expected():
    text = (DEMO / "README.md").read_text(encoding="utf-8")
    said = re.findall(r"^\| (\S.*?) \| (.+) \| \*\*(.+)\*\* \|$", text, re.MULTILINE)
    assert said == [(row["part"], row["why"], row["verdict"]) for row in expected().values()]


def test_every_file_says_that_it_is_invented():
    for sheet in jobs.demo_sheets():
        head = "".join(sheet.read_bytes().decode("cp1252").splitlines()[:2])
        assert "nvented example" in head or "erfundenes Beispiel" in head


# Values as typed in the sheets; "DF 12.4 %", "Q 9" and "power factor 10 %" are worked by hand:
# tan δ = DF/100, 1/Q, and PF / sqrt(1 - PF²).
TYPED = [
    ("P1", "capacitance", 120, 36.1e-6),
    ("P3 b", "capacitance", 120, 310e-12),
    ("M6", "capacitance", 120, 4.6e-6),
    ("M8", "esr", 100e3, 0.05),
    ("E2", "capacitance", 120, 5.3e-3),
    ("E2", "tan_delta", 120, 0.124),
    ("E4", "tan_delta", 120, 1 / 9),
    ("E5", "tan_delta", 120, 0.1 / math.sqrt(1 - 0.01)),
    ("E1", "esr", 1000, 0.021),
    ("S1", "capacitance", 120, 9.4e-6),
    ("S1", "esr", 1000, 3.9),
    ("S8 2", "capacitance", 120, 16.4e-6),
    ("S10", "capacitance", 120, 1234e-6),
    ("S10", "esr", 1000, 0.11),
]


@pytest.mark.parametrize(("part", "quantity", "frequency", "typed"), TYPED)
def test_cell_is_read_as_it_was_meant(part, quantity, frequency, typed, values):
    assert values[part, quantity, frequency] == pytest.approx(typed, rel=1e-9)


MADE = [("S1", 1961), ("S2", 1986), ("S3", 1996), ("S4", 2012), ("M1", 1971), ("M6", 1970)]


@pytest.mark.parametrize(("part", "year"), MADE)
def test_date_code_gives_the_year(part, year, judgement):
    made = judgement.parts.set_index("part")["made"]
    assert made[part] == year
