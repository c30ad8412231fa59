"""Where the headings stand, which rows are data, and what happens to all others."""

from __future__ import annotations

import pytest

from captriage.readers.aside import Aside
from captriage.readers.headings import known_headings
from captriage.readers.layout import find_tables
from captriage.readers.sheets import read_sheets
from captriage.readers.splitting import split


def tables(content):
    aside = Aside()
    grid = split(content, "s.csv", headings_in=known_headings)
    return find_tables(grid, aside), aside.frame()


def only(content):
    found, aside = tables(content)
    assert len(found) == 1
    return found[0], aside


def test_headings_stand_below_a_preamble():
    table, aside = only("Bench sheet\nInstrument: bridge\n\nref,C_uF\nC1,47\n")
    assert table.line == 4
    assert table.lines.tolist() == [5]
    assert table.said["meter"].text == "bridge"
    assert aside["found"].tolist() == ["Bench sheet"]


def test_no_headings_means_no_table_and_nothing_set_aside():
    found, aside = tables("C1,47\nC2,46\n")
    assert found == []
    assert aside.empty


def test_a_row_of_units_belongs_to_the_headings():
    table, _ = only("t,I\ns,mA\n0,2.5\n")
    assert [h.unit for h in table.headings] == ["s", "mA"]
    assert table.cells == [("0",), ("2.5",)]


def test_group_headings_are_joined_with_those_below():
    table, aside = only(",Rated,,Measured,\nref,C (uF),V,C (uF),ESR\nC1,47,25,45,0.3\n")
    assert [h.column for h in table.headings] == [
        "part", "capacitance_rated", "voltage_rated", "capacitance", "esr",
    ]  # fmt: skip
    assert aside.empty


def test_headings_repeated_in_the_middle_are_no_data():
    table, aside = only("ref,C\nC1,47\nref,C\nC2,46\n")
    assert table.cells[0] == ("C1", "C2")
    assert aside["reason"].tolist() == ["the headings repeated"]


def test_headings_with_digits_in_them_are_no_data_either():
    table, aside = only("ref,C @120Hz\nC1,47\nref,C @120Hz\nC2,46\n")
    assert table.cells[0] == ("C1", "C2")
    assert aside["reason"].tolist() == ["the headings repeated"]
    found, _ = tables("ref,ESR 100 kHz\nC1,47\nref,ESR 1 kHz,D\nC2,46,0.1\n")
    assert [t.lines.tolist() for t in found] == [[2], [4]]


def test_other_headings_begin_a_second_table():
    found, _ = tables("ref,C_uF\nC1,47\n\nref,rated_uF,rated_V\nC1,50,25\n")
    assert [t.lines.tolist() for t in found] == [[2], [5]]
    assert [h.column for h in found[1].headings] == ["part", "capacitance_rated", "voltage_rated"]


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("Mean,46", "a footer with statistics, not a reading"),
        ("Mittelwert,46", "a footer with statistics, not a reading"),
        ("Moyenne :,46", "a footer with statistics, not a reading"),
        ("2 samples,", "a footer with statistics, not a reading"),
        ("12 Messwerte,", "a footer with statistics, not a reading"),
        ("# remark,", "a comment"),
        ("Power supply,", "a name or title and nothing else"),
        ("-,µF", ""),
    ],
)
def test_row_that_is_no_data_is_set_aside_with_its_reason(row, reason):
    table, aside = only(f"ref,C_uF\nC1,47\n{row}\nC2,46\n")
    if reason:
        assert table.cells[0] == ("C1", "C2")
        assert aside[["line", "column", "reason"]].to_numpy().tolist() == [[3, 0, reason]]
    else:
        assert len(table.cells[0]) == 3


@pytest.mark.parametrize("name", ["Max1", "Total 2", "Sum-3", "#3", "R", "Min 5 V rail"])
def test_a_part_with_a_name_like_a_footer_stays(name):
    table, _ = only(f"ref,C_uF\n{name},47\n")
    assert table.cells[0] == (name,)


def test_a_row_with_too_many_cells_is_set_aside_whole_and_never_shifted():
    table, aside = only("ref,C,ESR\nC1,47,2,0,31\nC2,46,0.4\n")
    assert table.cells == [("C2",), ("46",), ("0.4",)]
    assert aside.loc[0, ["line", "found", "reason"]].tolist() == [
        2, "C1,47,2,0,31", "5 cells under 3 headings",
    ]  # fmt: skip


def test_trailing_delimiters_do_not_shift_a_row():
    table, aside = only("ref,C,ESR\nC1,47,0.3,,\nC2,46,0.4\n")
    assert table.cells == [("C1", "C2"), ("47", "46"), ("0.3", "0.4")]
    assert aside.empty


def test_short_rows_are_filled_up_at_the_end():
    table, aside = only("ref,C,ESR\nC1,47\nC2,46,0.4\n")
    assert table.cells[2] == ("", "0.4")
    assert aside.empty


def test_the_last_cell_of_a_line_that_was_cut_is_not_trusted():
    table, aside = only("ref,C,ESR\nC1,47,0.3\nC2,4")
    assert table.cells == [("C1", "C2"), ("47", ""), ("0.3", "")]
    assert aside.loc[0, ["line", "column", "found"]].tolist() == [3, 2, "4"]
    assert "cut short" in aside.loc[0, "reason"]


def test_a_name_that_was_cut_is_no_part():
    table, aside = only("ref,C,ESR\nC1,47,0.3\nC")
    assert table.cells[0] == ("C1",)
    assert len(aside) == 1


def test_a_last_line_without_line_end_that_has_all_its_cells_is_trusted():
    table, aside = only("ref,C\nC1,47\nC2,46")
    assert table.cells[1] == ("47", "46")
    assert aside.empty


def test_a_sentence_among_the_rows_is_no_part():
    table, aside = only("ref,C,ESR\nC1,47,0.3\nall of these were read on 3 May 2024\nC2,46,0.2\n")
    assert table.cells[0] == ("C1", "C2")
    assert aside["reason"].tolist() == ["a line of text among the rows"]


def test_under_a_blank_heading_only_the_cell_is_set_aside(tmp_path):
    path = tmp_path / "sheet.csv"
    path.write_text("part,C (µF),\nC1,47,\nC2,46,good one\nC3,45,a,b\n", "utf-8")
    sheets = read_sheets([path], today_year=2026)
    assert sheets.parts["part"].tolist() == ["C1", "C2"]
    aside = sheets.set_aside[["line", "column", "found", "reason"]].values.tolist()
    assert [3, 3, "good one", "no heading"] in aside
    assert [4, 0, "C3,45,a,b", "4 cells under 2 headings"] in aside
