"""Rows in columns that keep to the width of a terminal: nothing is cut, a cell goes on below."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Final

from captriage.report.figures import NO_BREAK, unbroken
from captriage.report.terminal import FILLER, Terminal, safe, spaced, text_width

GAP: Final = "  "
LONGEST_WORD: Final = 11
"""A word is broken only where it is longer than this, the length of "capacitance"."""


@dataclass(frozen=True, slots=True)
class Line:
    """A row: its cells, and what is said of it below them."""

    cells: Sequence[str]
    below: str = ""


def write_columns(page: Terminal, heads: Sequence[str], lines: Sequence[Line]) -> None:
    """Write a heading and the rows below it.

    Parameters
    ----------
    page : Terminal
        Where to.
    heads : sequence of str
        Heading of each column; ">" before it for numbers, which end flush, "~" for text, which
        gives way to other columns where there is little room.
    lines : sequence of Line
        The rows.
    """
    flush = [head.startswith(">") for head in heads]
    named = [head.lstrip(">~") for head in heads]
    table = [[spaced(unbroken(safe(cell))) for cell in line.cells] for line in lines]
    widths = fitted([named, *table], page.width, text=[head.startswith("~") for head in heads])
    page.line(page.styled(_side_by_side([[head] for head in named], widths, flush)[0], "quiet"))
    for cells, line in zip(table, lines, strict=True):
        parted = [_parted(cell, width) for cell, width in zip(cells, widths, strict=True)]
        for text in _side_by_side(parted, widths, flush):
            page.line(text)
        if line.below:
            page.paragraph(line.below, first=" " * 9)


def fitted(table: Sequence[Sequence[str]], width: int, *, text: Sequence[bool]) -> list[int]:
    """Width of each column: that of its widest cell, less where all have no room side by side."""
    columns = list(zip(*table, strict=True))
    widths = [max(map(len, column)) for column in columns]
    least = [
        min(LONGEST_WORD, max(len(word) for cell in column for word in cell.split(" ")))
        for column in columns
    ]
    over = sum(widths) + len(GAP) * (len(widths) - 1) - width
    for gives_way in (text, [True] * len(text)):
        while over > 0:
            spare = [
                (have - need) * gives
                for have, need, gives in zip(widths, least, gives_way, strict=True)
            ]
            if max(spare) == 0:
                break
            widths[spare.index(max(spare))] -= 1
            over -= 1
    return widths


def _parted(cell: str, width: int) -> list[str]:
    """The lines of a cell."""
    if len(cell) <= width:
        return [cell.replace(FILLER, "")]
    # A wide sign may be parted from its filler.
    lines = textwrap.wrap(cell, width - (FILLER in cell), break_on_hyphens=False)
    return [line.replace(FILLER, "") for line in lines]


def _side_by_side(
    cells: Sequence[Sequence[str]], widths: Sequence[int], flush: Sequence[bool]
) -> list[str]:
    """Lines of a row whose cells have these lines."""
    return [
        GAP.join(map(_filled, parts, widths, flush)).replace(NO_BREAK, " ")
        for parts in zip_longest(*cells, fillvalue="")
    ]


def _filled(part: str, width: int, right: bool) -> str:
    blank = " " * (width - text_width(part))
    return blank + part if right else part + blank
