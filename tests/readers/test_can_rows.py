"""Cans whose sections have rows of their own, with the rating of the whole can on the first."""

from __future__ import annotations

import numpy as np
import pytest

from readers.asked import part, reading


def rated(sheets):
    return (sheets.parts["capacitance_rated"].to_numpy() * 1e6).round(6).tolist()


@pytest.mark.parametrize("name", ["", "C1"])
def test_the_rating_of_a_can_is_shared_out_over_its_rows(sheet, name):
    sheets = sheet(
        "part,section,rating,made,C\n"
        f"C1,a,50+50+20uF 450V,1963,58\n{name},b,,,56\n{name},c,,,24\nC2,,8uF 350V,1960,9\n"
    )
    assert sheets.parts["part"].tolist() == ["C1 a", "C1 b", "C1 c", "C2"]
    assert rated(sheets) == [50, 50, 20, 8]
    assert sheets.parts["voltage_rated"].tolist() == [450, 450, 450, 350]
    assert sheets.parts["made"].tolist() == [1963, 1963, 1963, 1960]
    assert sheets.readings["value"].tolist() == pytest.approx([58e-6, 56e-6, 24e-6, 9e-6])
    assert sheets.set_aside.empty


def test_a_row_of_the_can_itself_joins_its_first_section(sheet):
    sheets = sheet("part,section,rating,made,C\nC1,,50+20uF 450V,1963,\n,a,,,58\n,b,,,24\n")
    assert sheets.parts["part"].tolist() == ["C1 a", "C1 b"]
    assert rated(sheets) == [50, 20]
    assert sheets.parts["made"].tolist() == [1963, 1963]


def test_a_first_section_without_its_letter_gets_it(sheet):
    sheets = sheet("part,section,rating,C\nC1,,50+20uF 450V,58\n,b,,24\n")
    assert sheets.parts["part"].tolist() == ["C1 a", "C1 b"]
    assert reading(sheets, "C1 b", "capacitance") == pytest.approx(24e-6)
    assert rated(sheets) == [50, 20]


def test_a_voltage_in_its_own_column_holds_for_the_whole_can(sheet):
    sheets = sheet("part,section,rated uF,rated V,C\nC1,a,50+20,450,58\n,b,,,24\n")
    assert rated(sheets) == [50, 20]
    assert sheets.parts["voltage_rated"].tolist() == [450, 450]


def test_voltages_of_each_section_in_one_cell_are_shared_out(sheet):
    sheets = sheet("part,section,rated uF,rated V,C\nC1,a,50+20,450/25,58\n,b,,,24\n")
    assert sheets.parts["voltage_rated"].tolist() == [450, 25]


@pytest.mark.parametrize(
    "rows",
    [
        "C1,a,50+50+20uF 450V,58\n,b,,56\n",
        "C1,a,50+20uF 450V,58\n,b,,56\n,c,,24\n",
        "C1,a,50+20uF 450V,58\n",
        "C1,a,50+20uF 450V,58\n,b,20uF 350V,24\n",
    ],
)
def test_a_rating_that_does_not_fit_the_rows_is_set_aside_and_never_shifted(sheet, rows):
    sheets = sheet(f"part,section,rating,C\n{rows}")
    assert np.isnan(part(sheets, "C1 a")["capacitance_rated"])
    aside = sheets.set_aside.iloc[0]
    assert (len(sheets.set_aside), aside["line"], aside["heading"]) == (1, 2, "rating")
    assert aside["remedy"] == "put each section's own rating in its row"
    assert len(sheets.readings) == rows.count("\n")


def test_the_only_row_of_a_can_is_still_divided(sheet):
    sheets = sheet("part,section,rating,C\nC1,a/b,50+20uF 450V,58/24\nC2,,8+8uF 450V,9/8\n")
    assert rated(sheets) == [50, 20, 8, 8]
    assert sheets.readings["value"].tolist() == pytest.approx([58e-6, 24e-6, 9e-6, 8e-6])


def test_a_cell_that_is_repeated_for_sections_is_set_aside_once(sheet):
    sheets = sheet("part,rating,role,C\nC1,50+20uF 450V,banana,58/24\n")
    assert sheets.set_aside["found"].tolist() == ["banana"]
