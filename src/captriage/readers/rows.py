"""Rows of a table: made regular without shifting a cell, and freed of what is no data."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.headings import Heading
from captriage.readers.spelling import CONDITION_COLUMNS, READING_COLUMNS, heading_unit, plain
from captriage.readers.splitting import Grid

_NUMERIC: Final = (READING_COLUMNS | CONDITION_COLUMNS) | {
    "capacitance_rated",
    "voltage_rated",
    words.RATING,
    words.VALUE,
    words.TIME,
    words.VOLTAGE,
    "taken_at",
}
_DIGIT: Final = re.compile(r"\d").search
_COUNTED: Final = re.compile(r"\d+\s+([a-z]+)")
_NAME: Final = re.compile(r"\S+( \S+){0,2}")
NO_DIGIT: Final = re.compile(r"^[^\d\n]*$", re.MULTILINE)
ODD_NAME: Final = re.compile(r"^(?!\w(?:\S*\d)?$).*$", re.MULTILINE)
"""Anything but one word that ends in a digit, or one letter: it may open a footer or comment."""


_FIRST_WORDS: Final = frozenset(word.split()[0] for word in words.FOOTER_WORDS)


def may_be_other(cell: str) -> bool:
    """Whether the first cell of a row may open a footer, a comment or headings.

    Cheap, since it is asked of every row whose first cell is no single word ending in a digit.
    """
    if not cell[:1].isalnum() or not cell.isascii():
        return True
    folded = cell.strip().lower()
    first = folded.split(None, 1)[0].rstrip(":.=,") if folded else ""
    if first.isdigit():
        return _COUNTED.match(folded) is not None
    return first in _FIRST_WORDS or folded.replace("_", " ") in words.SPELLINGS


def numeric_columns(headings: Sequence[Heading]) -> list[int]:
    """Positions of the columns in which data rows hold numbers."""
    return [j for j, heading in enumerate(headings) if heading.column in _NUMERIC]


def matching_rows(column: Sequence[str], pattern: re.Pattern[str]) -> list[int]:
    """Rows whose whole cell matches a pattern of one line with ``^`` and ``$``, in order."""
    joined = "\n".join(column)
    if joined.count("\n") != len(column) - 1:
        return [i for i, cell in enumerate(column) if "\n" in cell or pattern.match(cell)]
    found, row, position = [], 0, 0
    for match in pattern.finditer(joined):
        row += joined.count("\n", position, match.start())
        position = match.start()
        found.append(row)
    return found


def regular_rows(
    grid: Grid, span: range, headings: list[Heading], aside: Aside, *, written: int = 0
) -> tuple[list[list[str]], NDArray[np.int64]]:
    """Rows of exactly one cell a heading: short ones filled up, too long ones set aside.

    Of a row that only goes on under the blank headings of the ``written`` ones (or in a
    workbook, where no sign can split a cell), just the cells there are set aside.
    """
    width = len(headings)
    rows = grid.rows[span.start : span.stop]
    lines = grid.lines[span.start : span.stop]
    lengths = np.fromiter(map(len, rows), np.int64, len(rows))
    keep = np.ones(len(rows), bool)
    odd = np.flatnonzero(lengths != width)
    at_end = span.stop == len(grid.rows) and not grid.tail
    last = len(rows) - 1 if grid.cut and at_end else -1
    if odd.size:
        rows = list(rows)
    for i in odd.tolist():
        row = rows[i]
        if len(row) > width:
            beyond = len(row) if not grid.delimiter else written
            keep[i] = not any(cell.strip() for cell in row[beyond:])
            rows[i] = row[:width]
            if keep[i]:
                _without_heading(grid, int(lines[i]), row, width, aside)
            else:
                _too_many(grid, int(lines[i]), row, width, aside)
        else:
            keep[i] = any(cell.strip() for cell in row)
            rows[i] = row + [""] * (width - len(row))
            if i == last and keep[i]:
                keep[i] = _cut_short(grid, int(lines[i]), rows[i], len(row), headings, aside)
            elif len(row) == 1 and width > 1 and keep[i] and not _is_footer(row[0]):
                keep[i] = _maybe_name(grid, int(lines[i]), row[0], aside)
    if keep.all():
        return rows, lines
    return [rows[i] for i in np.flatnonzero(keep).tolist()], lines[keep]


def _too_many(grid: Grid, line: int, row: list[str], width: int, aside: Aside) -> None:
    sign = {"\t": "a tab", " ": "a space", "  ": "spaces"}.get(grid.delimiter, grid.delimiter)
    aside.add(
        grid.file,
        line,
        found=grid.delimiter.join(row),
        reason=f"{len(row)} cells under {width} headings",
        remedy=f"put cells that contain {sign!r} in quotation marks",
    )


def _without_heading(grid: Grid, line: int, row: list[str], width: int, aside: Aside) -> None:
    for j in range(width, len(row)):
        if row[j].strip():
            aside.add(
                grid.file,
                line,
                column=j + 1,
                found=row[j],
                reason="no heading",
                remedy="write a heading over the column",
            )


def _cut_short(
    grid: Grid, line: int, row: list[str], filled: int, headings: list[Heading], aside: Aside
) -> bool:
    """Set aside the last cell of a last line without line end; False where it is the name."""
    j = filled - 1
    aside.add(
        grid.file,
        line,
        column=j + 1,
        heading=headings[j].text,
        found=row[j],
        reason="the last line is cut short; this cell may be incomplete",
        remedy="complete the line, and end it with a line end",
    )
    row[j] = ""
    return j > 0


def _maybe_name(grid: Grid, line: int, text: str, aside: Aside) -> bool:
    if _DIGIT(text) and len(text) <= 24 and _NAME.fullmatch(text.strip()):
        return True
    aside.add(
        grid.file,
        line,
        found=text,
        reason="a line of text among the rows",
        remedy="if it is a part, write it with all its cells",
    )
    return False


def _is_footer(text: str) -> bool:
    spelling = plain(text.split("=")[0].split(":")[0])
    if spelling in words.FOOTER_WORDS:
        return True
    counted = _COUNTED.fullmatch(spelling)
    return counted is not None and counted.group(1) in words.FOOTER_COUNTED


def data_rows(
    file: str,
    rows: list[list[str]],
    lines: NDArray[np.int64],
    headings: list[Heading],
    aside: Aside,
) -> tuple[list[Sequence[str]], NDArray[np.int64]]:
    """Columns of the rows that are data, and their lines.

    Repeated headings, units, footers, comments and titles are set aside. Only rows that look
    odd in their first or first numeric cell are examined.
    """
    if not rows:
        return [()] * len(headings), lines
    cells: list[Sequence[str]] = list(zip(*rows, strict=True))
    first = cells[0]
    suspects = {i for i in matching_rows(first, ODD_NAME) if may_be_other(first[i])}
    for j in numeric_columns(headings)[:1]:
        suspects.update(matching_rows(cells[j], NO_DIGIT))
    texts = [heading.text for heading in headings]
    drop = [i for i in sorted(suspects) if _no_data(file, rows[i], int(lines[i]), texts, aside)]
    if not drop:
        return cells, lines
    keep = np.ones(len(rows), bool)
    keep[drop] = False
    kept = [rows[i] for i in np.flatnonzero(keep).tolist()]
    return list(zip(*kept, strict=True)) if kept else [()] * len(headings), lines[keep]


def _is_units(filled: Sequence[str]) -> bool:
    if len(filled) < 2 or any(map(_DIGIT, filled)):
        return False
    return all(heading_unit(cell.strip("[]()")) is not None for cell in filled)


def _no_data(
    file: str,
    row: Sequence[str],
    line: int,
    texts: list[str],
    aside: Aside,
) -> bool:
    filled = [cell.strip() for cell in row if cell.strip()]
    if not filled:
        return True
    reason, remedy = "", "nothing to do, unless it is a reading"
    if [cell.strip() for cell in row] == [text.strip() for text in texts]:
        reason = "the headings repeated"
    elif _is_footer(filled[0]):
        reason = "a footer with statistics, not a reading"
    elif filled[0].startswith(("#", "//")) and not re.fullmatch(r"#\s*\d+", filled[0]):
        reason = "a comment"
    elif _is_units(filled):
        reason = "a row of units"
    elif len(filled) == 1 and len(row) > 1 and not _DIGIT(filled[0]) and row[0].strip():
        reason = "a name or title and nothing else"
        remedy = "if it is a part, give it a rating or a reading"
    if reason:
        aside.add(file, line, found=" | ".join(filled), reason=reason, remedy=remedy)
    return bool(reason)
