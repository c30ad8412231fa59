"""The form of sheets that are read back exactly."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.columns import LOOKS_COLUMNS, PARTS, READINGS, SET_ASIDE
from captriage.sheet_form import FORMS, UNIT, as_it_was, cell, heading, keepable, text_of, unit_of


@given(st.text(st.characters()) | st.text("'=␛;0a\x00\ud800-"))
def test_any_text_comes_back_from_a_cell_and_from_a_database(text):
    assert as_it_was(keepable(text)) == text
    assert text_of(cell(text)) == text
    assert "\x00" not in keepable(text)
    assert keepable(text).encode("utf-8").decode("utf-8") == keepable(text)
    assert cell(text)[:1] not in set("=+-@\t\r\n")


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("47 µF", "47 µF"),
        ("=1+1", "'=1+1"),
        ("'quoted", "''quoted"),
        ("a\x00b", "a␛0;b"),
        ("\udcff", "␛dcff;"),
        ("", ""),
    ],
)
def test_only_what_must_be_is_written_otherwise(text, written):
    assert cell(text) == written


def test_the_forms_hold_the_columns_of_the_vocabulary_with_the_part_by_its_name():
    assert FORMS["parts.csv"] == PARTS
    assert FORMS["set_aside.csv"] == SET_ASIDE
    rest = {"part", UNIT}
    assert set(FORMS["readings.csv"]) - rest == set(READINGS) - {"part_row"}
    assert set(FORMS["looks.csv"]) - rest == set(LOOKS_COLUMNS) - {"part_row"}


def test_headings_and_values_name_their_unit():
    assert heading("capacitance_rated") == "capacitance_rated (F)"
    assert heading("soak_s") == "soak_s"
    assert unit_of("leakage_current") == "A"
