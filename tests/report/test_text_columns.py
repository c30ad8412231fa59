"""Columns that keep to the width, whatever stands in them."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.report.terminal import Terminal, text_width
from captriage.report.text_columns import Line, fitted, write_columns

WORDS = st.text(st.sampled_from("ab µ12電-\x1b⚡"), max_size=60)


def written(heads, lines, width=80):
    page = Terminal(io.StringIO())
    page.width = width
    write_columns(page, heads, lines)
    return page.out.getvalue().splitlines()


def test_columns_are_as_wide_as_their_widest_cell():
    assert written((">no.", "part"), [Line(["7", "C1"]), Line(["12345", "C2"])]) == [
        "  no.  part",
        "    7  C1",
        "12345  C2",
    ]


@pytest.mark.parametrize(
    ("text", "width", "widths"),
    [
        ([False, False], 40, [19, 16]),
        ([False, False], 30, [14, 14]),
        ([False, True], 30, [19, 9]),
        ([False, True], 20, [14, 4]),
        ([True, True], 5, [4, 4]),
    ],
)
def test_text_gives_way_first_and_the_widest_column_before_others(text, width, widths):
    assert fitted([["aaaa bbbb cccc dddd", "x x x x x x xxxx"]], width, text=text) == widths


def test_a_number_is_not_parted_from_its_unit():
    lines = written(("part", "value"), [Line(["word " * 20, "34.6 µF ± 0.2 µF"])], width=40)
    assert "34.6 µF" in lines[1]
    assert max(map(len, lines)) <= 40


def test_what_is_said_below_stands_below():
    assert written(("a", "b"), [Line(["1", "2"], "struck")])[1:] == ["1  2", "         struck"]


def test_a_wide_sign_parted_from_its_filler_takes_its_columns():
    cells = ("11111", "11111⚡ ", "1" * 32 + "⚡" * 6)
    lines = written((">no.", "~part", "value"), [Line(cells)], width=60)
    assert max(map(text_width, lines)) <= 60


@pytest.mark.parametrize("width", [60, 80, 100])
@given(st.lists(st.tuples(WORDS, WORDS, WORDS), max_size=5))
def test_nothing_is_lost_and_no_line_is_too_wide(width, rows):
    lines = written((">no.", "~part", "value"), [Line(row) for row in rows], width=width)
    assert max(map(text_width, lines)) <= width
    wanted = [sign for row in rows for cell in row for sign in cell if sign.isprintable()]
    shown = [sign for line in lines[1:] for sign in line if sign != " "]
    assert sorted(shown) == sorted(sign for sign in wanted if sign != " ")
