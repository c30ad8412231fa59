"""XLSX workbooks to the frames, as their spreadsheet shows them."""

from __future__ import annotations

import datetime as dt
import zipfile

import openpyxl
import pandas as pd
import pytest

from captriage.errors import ReadingsError
from captriage.readers import workbook
from captriage.readers.sheets import read_sheets
from readers.asked import reading


def saved(book, tmp_path, name="book.xlsx"):
    path = tmp_path / name
    book.save(path)
    return path


def bench(tmp_path):
    book = openpyxl.Workbook()
    page = book.active
    page.title = "Bench"
    page.append(["Amplifier readings"])
    page.merge_cells("A1:D1")
    page.append([])
    page.append(["Ref", "Rating", "C (µF)", "D", "Leakage (µA)", "Date"])
    page.append(["Can 1", "40 µF 450 V", 38.234, 0.12, 120, dt.datetime(2024, 3, 12)])
    page.append([None, "40 µF 450 V", "37,5", 0.124, ">500", dt.datetime(2024, 3, 12, 14, 5)])
    page["D5"].number_format = "0.0%"
    page.append(["C7", "8 µF 350 V", 7.9, "=D4*2", "OL", None])
    page.append(["Total", None, "=SUM(C4:C6)"])
    book.create_sheet("Notes").append(["just", "text"])
    return saved(book, tmp_path)


def test_workbook_is_read_as_its_spreadsheet_shows_it(tmp_path):
    sheets = read_sheets([bench(tmp_path)], today_year=2026)
    assert sheets.parts["part"].tolist() == ["Can 1 1", "Can 1 2", "C7"]
    assert reading(sheets, "Can 1 1", "capacitance") == pytest.approx(38.234e-6)
    assert reading(sheets, "Can 1 2", "tan_delta") == pytest.approx(0.124)
    assert reading(sheets, "Can 1 2", "capacitance", "taken_at") == pd.Timestamp("2024-03-12 14:05")
    assert reading(sheets, "C7", "leakage_current", "flag") == "over range"
    aside = sheets.set_aside.set_index("found")
    assert aside.loc["=D4*2", ["file", "line", "column"]].tolist() == ["book.xlsx[Bench]", 6, 4]
    assert aside.loc["just | text", "reason"] == "a worksheet without a row of headings"


def test_merged_cells_of_a_workbook_hold_for_all_their_rows(tmp_path):
    book = openpyxl.Workbook()
    page = book.active
    for row in (
        ["can", "section", "rated_uF", "rated_V"],
        ["Can 1", "a", 40, 450],
        [None, "b", 10],
    ):
        page.append(row)
    page.merge_cells("A2:A3")
    page.merge_cells("D2:D3")
    parts = read_sheets([saved(book, tmp_path)], today_year=2026).parts
    assert parts["part"].tolist() == ["Can 1 a", "Can 1 b"]
    assert parts["voltage_rated"].tolist() == [450, 450]


def test_wrong_worksheet_names_those_there_are(tmp_path):
    with pytest.raises(ReadingsError, match=r"no worksheet 'Foo'; there are 'Bench', 'Notes'"):
        read_sheets([bench(tmp_path)], today_year=2026, worksheet="Foo")


def test_worksheet_without_a_table_is_refused_when_it_is_asked_for(tmp_path):
    with pytest.raises(ReadingsError, match="no row of headings found"):
        read_sheets([bench(tmp_path)], today_year=2026, worksheet="Notes")


def test_workbook_without_any_table_is_refused(tmp_path):
    book = openpyxl.Workbook()
    book.active.append(["just", "text"])
    book.create_sheet("More").append(["more", "text"])
    with pytest.raises(ReadingsError, match=r"book\.xlsx: no worksheet holds a table; give"):
        read_sheets([saved(book, tmp_path)], today_year=2026)


def test_empty_workbook_is_refused(tmp_path):
    with pytest.raises(ReadingsError, match=r"book\.xlsx: empty; a sheet needs"):
        read_sheets([saved(openpyxl.Workbook(), tmp_path)], today_year=2026)


@pytest.mark.parametrize(
    ("inside", "said"),
    [
        (["mimetype", "content.xml"], "an OpenDocument file, not an XLSX workbook; save"),
        (["readings.csv"], "a ZIP archive, not an XLSX workbook; save"),
        (["xl/workbook.xml"], r"the workbook is damaged \(\w+\); open it in a spreadsheet"),
    ],
)
def test_other_archives_are_refused_in_words(tmp_path, inside, said):
    path = tmp_path / "s.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        for name in inside:
            archive.writestr(name, "x")
    with pytest.raises(ReadingsError, match=said):
        read_sheets([path], today_year=2026)


def test_cut_archive_is_refused(tmp_path):
    whole = bench(tmp_path).read_bytes()
    (tmp_path / "cut.xlsx").write_bytes(whole[: len(whole) // 2])
    with pytest.raises(ReadingsError, match="a damaged archive; open the sheet in a spreadsheet"):
        read_sheets([tmp_path / "cut.xlsx"], today_year=2026)


def test_workbook_that_unpacks_to_too_much_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(workbook, "MAX_UNPACKED", 100)
    with pytest.raises(ReadingsError, match=r"unpacks to .* split the workbook"):
        read_sheets([bench(tmp_path)], today_year=2026)


@pytest.mark.parametrize("stray", ["A1048576", "ZZ20000", "XFD1048576"])
def test_a_stray_cell_far_away_costs_no_more_than_a_cell(stray, tmp_path):
    book = openpyxl.Workbook()
    page = book.active
    page.append(["part", "C (µF)"])
    page.append(["C1", 47])
    page[stray] = "x"
    data = saved(book, tmp_path).read_bytes()
    grid = workbook.read_workbook(data, "book.xlsx", stem="book")[0]
    assert grid.lines.tolist() == [1, 2, page[stray].row]
    assert sum(map(len, grid.rows)) == 4 + page[stray].column


def test_a_workbook_that_reaches_over_too_many_cells_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(workbook, "MAX_CELLS", 10**6)
    book = openpyxl.Workbook()
    for row in range(1, 101):
        book.active.cell(row, 16384, "x")
    data = saved(book, tmp_path).read_bytes()
    with pytest.raises(ReadingsError, match="reach over 2 million cells; at most 1 million"):
        workbook.read_workbook(data, "book.xlsx", stem="book")
