"""From a grid of cells to tables: where the headings stand, and which rows are no data.

A grid may hold a preamble, a row of headings, a row of units, data, headings repeated, footers
with statistics, comments, and further tables below. What is no data is set aside with its reason;
a row is never shifted.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.headings import (
    CONDITION_COLUMNS,
    READING_COLUMNS,
    Heading,
    heading_unit,
    parse_heading,
    plain,
)
from captriage.readers.preamble import Said, read_preamble
from captriage.readers.splitting import Grid

LOOK_FOR_HEADINGS: Final = 500
"""Rows searched for the first row of headings."""

_STRONG: Final = READING_COLUMNS | {
    words.PART,
    words.WEAK_PART,
    "can",
    words.RATING,
    words.QUANTITY,
    words.VALUE,
    "capacitance_rated",
    "voltage_rated",
}
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
_STARTS_AS_NUMBER: Final = re.compile(r"\s*[-+−<>~]?[.,]?\d").match
_COUNTED: Final = re.compile(r"\d+\s+([a-z]+)")
_NAME: Final = re.compile(r"\S+( \S+){0,2}")


@dataclass
class Table:
    """Headings with the cells below them.

    ``cells[j][i]`` is the cell of row i in column j (``numbers[j]`` from 1 in the sheet);
    ``lines[i]`` the line it stands on; ``said`` what the lines above tell of all rows;
    ``assumed`` what was assumed of all readings.
    """

    file: str
    stem: str
    headings: list[Heading]
    line: int
    cells: list[Sequence[str]]
    lines: NDArray[np.int64]
    said: dict[str, Said] = field(default_factory=dict)
    decimal: str | None = None
    delimiter: str = ","
    assumed: str = ""

    def number(self, j: int) -> int:
        """Column number for messages, from 1."""
        return j + 1


def find_tables(grid: Grid, aside: Aside) -> list[Table]:
    """Tables of a grid; everything outside of them is set aside or used as preamble.

    An empty list means that no row of headings was found; nothing is set aside then.
    """
    head = _find_headings(grid.rows)
    if head is None:
        return []
    said = read_preamble(grid, range(head), aside)
    tables = []
    while head is not None:
        table, head = _table(grid, head, said, aside)
        tables.append(table)
    return tables


def _find_headings(rows: Sequence[Sequence[str]]) -> int | None:
    """Row of headings: the first with two known ones, one of them of parts or readings."""
    fallback = None
    for i, row in enumerate(rows[:LOOK_FOR_HEADINGS]):
        known = _known(row)
        if len(known) >= 2 and known & _STRONG and 2 * len(known) >= _filled(row):
            return i
        if fallback is None and known & _STRONG and _filled(row) <= 2 and _data_below(rows, i):
            fallback = i
    return fallback


def _known(row: Sequence[str]) -> set[str]:
    """Distinct headings known in the row; none where a cell begins like a number."""
    known = set()
    for j, cell in enumerate(row):
        text = cell.strip()
        if not text:
            continue
        if len(text) > 80 or (_STARTS_AS_NUMBER(text) and not parse_heading(text).column):
            return set()
        heading = parse_heading(text)
        if heading.column:
            repeated = heading.column in known and heading.column in READING_COLUMNS
            known.add(f"{heading.column} {j}" if repeated else heading.column)
    return known


def _filled(row: Sequence[str]) -> int:
    return sum(1 for cell in row if cell.strip())


def _data_below(rows: Sequence[Sequence[str]], i: int) -> bool:
    below = next((row for row in rows[i + 1 :] if _filled(row)), [])
    return _filled(below) == _filled(rows[i]) and any(map(_DIGIT, below))


def _table(grid: Grid, head: int, said: dict[str, Said], aside: Aside) -> tuple[Table, int | None]:
    """The table under the headings in row ``head``, and the row of the next headings."""
    headings = [parse_heading(cell.strip()) for cell in grid.rows[head]]
    while headings and not headings[-1].text:
        headings.pop()
    headings = _grouped(grid, head, headings)
    start = head + 1
    units = _unit_row(grid.rows, start, len(headings))
    if units is not None:
        headings = _with_units(headings, grid.rows[units])
        start = units + 1
    end, following = _end_of_table(grid.rows, head, start, headings)
    rows, lines = _regular(grid, range(start, end), headings, aside)
    rows, lines = _data_only(grid.file, rows, lines, headings, aside)
    cells: list[Sequence[str]] = list(zip(*rows, strict=True)) if rows else [()] * len(headings)
    line = int(grid.lines[head])
    table = Table(
        grid.file, grid.stem, headings, line, cells, lines, said, delimiter=grid.delimiter
    )
    return table, following


def _grouped(grid: Grid, head: int, headings: list[Heading]) -> list[Heading]:
    """Headings joined with the group heading above them: "Rated" over "C" and "V"."""
    above = grid.rows[head - 1] if head else []
    groups = [cell.strip() for cell in above]
    filled = [g for g in groups if g]
    if not 1 < len(filled) < len(headings) or any(map(_DIGIT, filled)):
        return headings
    out, group = [], ""
    for j, heading in enumerate(headings):
        group = (groups[j] if j < len(groups) else "") or group
        joined = parse_heading(f"{group} {heading.text}") if group and heading.text else heading
        out.append(joined if joined.column else heading)
    return out


def _unit_row(rows: Sequence[Sequence[str]], start: int, width: int) -> int | None:
    """Row just under the headings in which every cell is a unit, or None."""
    for i in range(start, min(start + 2, len(rows))):
        cells = [cell.strip().strip("[]()") for cell in rows[i][:width]]
        if not any(cells):
            continue
        kinds = [heading_unit(c) is not None for c in cells if c]
        others = [c for c in cells if c and heading_unit(c) is None]
        fits = all(c in ("-", "–", "1", "/") or _is_word_for_unit(c) for c in others)
        return i if any(kinds) and fits else None
    return None


def _is_word_for_unit(text: str) -> bool:
    return parse_heading(text).column == words.UNIT or plain(text) in ("text", "name")


def _with_units(headings: list[Heading], row: Sequence[str]) -> list[Heading]:
    out = []
    for j, heading in enumerate(headings):
        unit = row[j].strip().strip("[]()") if j < len(row) else ""
        if unit and not heading.unit and heading_unit(unit) is not None:
            joined = parse_heading(f"{heading.text} ({unit})")
            out.append(joined if joined.column else heading)
        else:
            out.append(heading)
    return out


def _end_of_table(
    rows: list[list[str]], head: int, start: int, headings: list[Heading]
) -> tuple[int, int | None]:
    """First row after the table, and the row of the next headings if there are any.

    The same headings again do not end a table; :func:`_data_only` takes them out.
    """
    numeric = [j for j, heading in enumerate(headings) if heading.column in _NUMERIC]
    is_long = any(heading.column == words.QUANTITY for heading in headings)
    first = numeric[0] if numeric else len(headings)
    same = [cell.strip() for cell in rows[head]]
    for i in range(start, len(rows)):
        row = rows[i]
        if len(row) > first and _DIGIT(row[first]):
            continue
        if _is_other_headings(row, same, is_long=is_long):
            return i, i
    return len(rows), None


def _is_other_headings(row: Sequence[str], same: list[str], *, is_long: bool) -> bool:
    if any(_STARTS_AS_NUMBER(cell) for cell in row if cell) or _filled(row) < 2:
        return False
    if [cell.strip() for cell in row[: len(same)]] == same:
        return False
    known = _known(row)
    if is_long and not known & {words.QUANTITY, words.VALUE, words.RATING, "capacitance_rated"}:
        return False
    return len(known) >= 2 and bool(known & _STRONG) and len(known) >= 0.6 * _filled(row)


def _regular(
    grid: Grid, span: range, headings: list[Heading], aside: Aside
) -> tuple[list[list[str]], NDArray[np.int64]]:
    """Rows of exactly one cell a heading: short ones filled up, too long ones set aside."""
    width = len(headings)
    rows = grid.rows[span.start : span.stop]
    lines = grid.lines[span.start : span.stop]
    lengths = np.fromiter(map(len, rows), np.int64, len(rows))
    keep = np.ones(len(rows), bool)
    odd = np.flatnonzero(lengths != width)
    last = len(rows) - 1 if grid.cut and span.stop == len(grid.rows) else -1
    if odd.size:
        rows = list(rows)
    for i in odd.tolist():
        row = rows[i]
        if len(row) > width:
            keep[i] = not any(cell.strip() for cell in row[width:])
            rows[i] = row[:width]
            if not keep[i]:
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


def _data_only(
    file: str,
    rows: list[list[str]],
    lines: NDArray[np.int64],
    headings: list[Heading],
    aside: Aside,
) -> tuple[list[list[str]], NDArray[np.int64]]:
    """Rows that are data; repeated headings, units, footers, comments and titles are set aside."""
    texts = [heading.text for heading in headings]
    numeric = [j for j, heading in enumerate(headings) if heading.column in _NUMERIC]
    suspects: list[int] = []
    for i, row in enumerate(rows):
        first = row[0]
        odd = not first or not first[0].isalnum() or _ends_tables(first)
        if odd or (numeric and not _DIGIT(row[numeric[0]])):
            suspects.append(i)
    drop = [i for i in suspects if _no_data(file, rows[i], int(lines[i]), texts, aside)]
    if not drop:
        return rows, lines
    keep = np.ones(len(rows), bool)
    keep[drop] = False
    return [rows[i] for i in np.flatnonzero(keep).tolist()], lines[keep]


def _ends_tables(cell: str) -> bool:
    """Whether a cell may open a footer (cheap: it is asked of every row)."""
    if cell[-1].isdigit() and " " not in cell:
        return False
    return _is_footer(cell)


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
    elif len(filled) > 1 and all(heading_unit(c.strip("[]()")) is not None for c in filled):
        reason = "a row of units"
    elif len(filled) == 1 and len(row) > 1 and not _DIGIT(filled[0]) and row[0].strip():
        reason = "a name or title and nothing else"
        remedy = "if it is a part, give it a rating or a reading"
    if reason:
        aside.add(file, line, found=" | ".join(filled), reason=reason, remedy=remedy)
    return bool(reason)
