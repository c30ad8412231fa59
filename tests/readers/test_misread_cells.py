"""Cells that could be misread or lost: looks, years, formulas, over-range words."""

from __future__ import annotations

import math

import openpyxl
import pytest

from captriage.readers.cells import read_cell
from captriage.readers.looks import parse_looks
from captriage.readers.sheets import read_sheets
from readers.asked import part, reading


def test_a_look_that_is_not_understood_is_unclear_and_set_aside(sheet):
    sheets = sheet("part,rating,looks,C\nC1,8 µF 350 V,banana,9\n")
    assert sheets.looks["look"].tolist() == ["unclear"]
    assert sheets.looks["raw"].tolist() == ["banana"]
    assert sheets.set_aside["found"].tolist() == ["banana"]


@pytest.mark.parametrize("text", ["n/a", "none", "keine", "-", "--", "aucun", "geen", "nessuna"])
def test_no_look_is_neither_a_look_nor_a_problem(sheet, text):
    sheets = sheet(f"part,rating,looks,C\nC1,8 µF 350 V,{text},9\n")
    assert sheets.looks.empty
    assert sheets.set_aside.empty


@pytest.mark.parametrize(
    ("text", "look"),
    [
        ("vent plug soft", "vented"),
        ("soft plug", "vented"),
        ("soft bung", "vented"),
        ("Gummistopfen weich", "vented"),
        ("Stopfen aufgeweicht", "vented"),
        ("bouchon ramolli", "vented"),
        ("tapón blando", "vented"),
        ("tappo molle", "vented"),
        ("zachte stop", "vented"),
        ("traces d'électrolyte", "leaked"),
        ("traces of electrolyte", "leaked"),
        ("Elektrolytspuren", "leaked"),
        ("rastros de electrolito", "leaked"),
        ("tracce di elettrolita", "leaked"),
        ("sporen van elektrolyt", "leaked"),
        ("dried electrolyte", "residue"),
        ("électrolyte séché", "residue"),
        ("eingetrockneter Elektrolyt", "residue"),
        ("no electrolyte", "sound"),
        ("vent plug not soft", "sound"),
    ],
)
def test_soft_plugs_and_electrolyte_outside_are_seen(text, look):
    assert parse_looks(text)[0] == (look,)


@pytest.mark.parametrize("heading", ["Date", "Datum", "fecha", "data"])
def test_years_under_date_beside_a_rating_are_those_of_making(sheet, heading):
    sheets = sheet(f"part,rating,{heading},C\nC1,8 µF 350 V,1959,9\nC2,8 µF 350 V,c. 1961,9\n")
    assert sheets.parts["made"].tolist() == [1959, 1961]
    assert sheets.set_aside.empty
    assert sheets.readings["taken_at"].isna().all()


@pytest.mark.parametrize(
    "content",
    [
        "part,rating,date,C\nC1,8 µF 350 V,1959,9\nC2,8 µF 350 V,2025-11-03,9\n",
        "part,rating,date,time,C\nC1,8 µF 350 V,1959,10:05,9\n",
        "part,date,C\nC1,1959,9\n",
    ],
)
def test_a_year_among_days_of_reading_is_asked_about(sheet, content):
    sheets = sheet(content)
    assert reading(sheets, "C1", "capacitance") == pytest.approx(9e-6)
    assert math.isnan(part(sheets, "C1")["made"])
    year = sheets.set_aside[sheets.set_aside["found"] == "1959"]
    assert year["remedy"].tolist() == ["if it is the year of making, call the column 'made'"]


def test_a_formula_without_a_stored_value_is_told_in_words(tmp_path):
    book = openpyxl.Workbook()
    book.active.append(["part", "rating", "C_uF"])
    book.active.append(["C1", "8 µF 350 V", "=2*4.5"])
    book.active.append(["C2", "=B2", "9"])
    book.save(tmp_path / "f.xlsx")
    aside = read_sheets([tmp_path / "f.xlsx"], today_year=2026).set_aside
    assert aside["found"].tolist() == ["=2*4.5", "=B2"]
    assert set(aside["reason"]) == {"a formula without a stored value"}
    assert set(aside["remedy"]) == {"open and save it in the spreadsheet, or type the value"}


@pytest.mark.parametrize("text", ["ÜL", "Ü.L.", "ül"])
def test_german_over_range_words(text):
    assert read_cell(text, "capacitance").flag == "over range"


@pytest.mark.parametrize(
    "text",
    ["OL (2000 uF range)", "OL 2000 µF range", "0L (range 2000 µF)", "OL im Bereich 2 mF"],
)
def test_over_range_with_its_range_is_a_bound(text):
    cell = read_cell(text, "capacitance", unit="µF")
    assert cell.flag.startswith("over range")
    assert cell.at_least == pytest.approx(2e-3)
    assert math.isnan(cell.value)
    assert not cell.problem
