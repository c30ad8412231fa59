"""Thirty-two sheets as people and meters write them, byte for byte, and what is in them.

tests/data/quirks/expected.json gives the rows of each file, normalised to µF, ohm, µA and s.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from captriage.readers.sheets import read_sheets

QUIRKS = Path(__file__).parents[1] / "data" / "quirks"
CASES = json.loads((QUIRKS / "expected.json").read_text(encoding="utf-8"))
READING = {
    "C_uF": ("capacitance", "value", 1e6),
    "ESR_ohm": ("esr", "value", 1.0),
    "D": ("tan_delta", "value", 1.0),
    "leakage_uA": ("leakage_current", "value", 1e6),
    "leakage_max_uA": ("leakage_current", "at_most", 1e6),
    "test_V": ("leakage_current", "voltage_v", 1.0),
    "minutes": ("leakage_current", "soak_s", 1 / 60),
    "t_s": ("leakage_current", "soak_s", 1.0),
    "dt_s": ("leakage_current", "soak_s", 1.0),
}
RATED = {"rated_uF": ("capacitance_rated", 1e6), "rated_V": ("voltage_rated", 1.0)}
NAMES = ("ref", "part", "section")
SAID = {
    # first words of the flag in expected.json: what ours must contain
    "ambiguous": "ambiguous: 1.234 or 1234",
    "MF taken": "MF taken as microfarad",
    "mF: confirm": "mF: confirm against rating",
    "over range": "over range",
    "no reading": "no reading",
    "not a number": "not a number",
    "clock change": "clock change",
    "approximate": "approximate",
}


def value_of(expected, key, parts, readings):
    if key in RATED:
        column, scale = RATED[key]
        return float(parts[column].iloc[0]) * scale
    if key == "C_uF" and "capacitance" not in readings["quantity"].tolist():
        return float(parts["capacitance_rated"].iloc[0]) * 1e6  # a marking, not a reading
    quantity, column, scale = READING[key]
    rows = readings[readings["quantity"] == quantity]
    assert len(rows) == 1, f"{key}: {len(rows)} readings for {expected}"
    return float(rows[column].iloc[0]) * scale


def rows_of(expected, position, sheets):
    """The parts row and the readings that an expected row is about."""
    name = expected.get("ref", expected.get("part"))
    if name is None:  # a log: the n-th sample
        leaks = sheets.readings
        return sheets.parts, leaks.iloc[[position]]
    name = f"{name} {expected['section']}" if "section" in expected else name
    row = sheets.parts.index[sheets.parts["part"] == name]
    assert len(row) == 1, f"{name} is not one part of {sheets.parts['part'].tolist()}"
    return sheets.parts.loc[row], sheets.readings[sheets.readings["part_row"] == row[0]]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['id']} {case['title']}")
def test_quirk_is_read_as_a_correct_reader_reads_it(case):
    sheets = read_sheets([QUIRKS / case["file"]], today_year=2026)
    counted = len(sheets.readings) if "ref" not in case["expect"][0] else len(sheets.parts)
    if "part" not in case["expect"][0]:
        assert counted == len(case["expect"])
    else:
        assert len(sheets.parts) == len(case["expect"])
    for position, expected in enumerate(case["expect"]):
        parts, readings = rows_of(expected, position, sheets)
        for key, wanted in expected.items():
            if key in (*NAMES, "flag"):
                continue
            if key == "time":
                assert readings["taken_at"].iloc[0] == pd.Timestamp(wanted)
                continue
            got = value_of(expected, key, parts, readings)
            if wanted is None:
                assert np.isnan(got)
            else:
                assert got == pytest.approx(wanted, rel=1e-3, abs=1e-12), key
        if "flag" in expected:
            said = "; ".join([*parts["flag"], *readings["flag"]])
            wanted = next(
                ours for theirs, ours in SAID.items() if expected["flag"].startswith(theirs)
            )
            assert wanted in said


def test_every_quirk_file_is_visited():
    assert {case["file"] for case in CASES} == {path.name for path in QUIRKS.glob("*.csv")}
    assert len(CASES) == 32


def test_over_range_with_a_bound_keeps_the_bound():
    readings = read_sheets([QUIRKS / "q20.csv"], today_year=2026).readings
    assert readings.loc[readings["raw"] == ">20", "at_least"].tolist() == [pytest.approx(20e-3)]


def test_a_negative_over_range_is_told_from_a_positive_one():
    readings = read_sheets([QUIRKS / "q21.csv"], today_year=2026).readings
    assert readings["flag"].str.startswith("over range negative").tolist() == [
        False, False, True, False, False, False,
    ]  # fmt: skip


def test_a_log_that_names_no_quantity_says_so_of_every_reading():
    sheets = read_sheets([QUIRKS / "q41.csv"], today_year=2026)
    assert sheets.readings["flag"].str.contains("does not say what was read").all()
    assert sheets.set_aside["found"].tolist() == ["READ?", "> READ?", ">"]


def test_preamble_gives_meter_and_date():
    readings = read_sheets([QUIRKS / "q25.csv"], today_year=2026).readings
    assert readings["meter"].tolist() == ["bench meter"] * 2
    assert readings["taken_at"].tolist() == [pd.Timestamp("2025-11-03")] * 2


def test_footers_are_set_aside_and_not_read():
    aside = read_sheets([QUIRKS / "q28.csv"], today_year=2026).set_aside
    assert aside["line"].tolist() == [4, 5, 6]
    assert aside["reason"].str.contains("footer").all()


def test_sections_below_a_can_keep_their_can():
    parts = read_sheets([QUIRKS / "q37.csv"], today_year=2026).parts
    assert parts["can"].tolist() == ["Can 1", "Can 1", "Can 1", "Can 2"]
    assert parts["section"].tolist() == ["a", "b", "c", "a"]
