"""From a grid of cells to tables: where the headings stand, and which rows are no data.

A grid may hold a preamble, a row of headings, a row of units, data, headings repeated, footers
with statistics, comments, and further tables below. What is no data is set aside with its reason;
a row is never shifted.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.cell_words import word_flag
from captriage.readers.headings import Heading, parse_heading
from captriage.readers.preamble import Said, read_preamble
from captriage.readers.rows import (
    NO_DIGIT,
    ODD_NAME,
    data_rows,
    matching_rows,
    may_be_other,
    numeric_columns,
    regular_rows,
)
from captriage.readers.spelling import READING_COLUMNS, heading_unit, plain
from captriage.readers.splitting import Grid, row_by_row

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
_DIGIT: Final = re.compile(r"\d").search
_STARTS_AS_NUMBER: Final = re.compile(r"\s*[-+−<>~]?[.,]?\d").match


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
    if grid.tail and not _tail_is_data(grid, head):
        grid = row_by_row(grid)
    grouped = head > 0 and _groups(grid.rows[head - 1], len(grid.rows[head]))
    said = read_preamble(grid, range(head - 1 if grouped else head), aside)
    tables = []
    while head is not None:
        table, head = _table(grid, head, said, aside)
        tables.append(table)
    if grid.tail:
        last = tables[-1]
        last.cells = [[*above, *below] for above, below in zip(last.cells, grid.tail, strict=True)]
        last.lines = np.concatenate([last.lines, grid.lines[len(grid.rows) :]])
    return tables


def _tail_is_data(grid: Grid, head: int) -> bool:
    """Whether the columns behind the first rows belong to the table there, row for row."""
    headings = [parse_heading(cell.strip()) for cell in grid.rows[head]]
    numeric = numeric_columns(headings)
    last = _end_of_table(grid.rows, head, head + 1, headings)[1]
    return (
        last is None
        and bool(numeric)
        and len(headings) == len(grid.tail)
        and bool(headings[-1].text)
        and not any(may_be_other(grid.tail[0][i]) for i in matching_rows(grid.tail[0], ODD_NAME))
        and not matching_rows(grid.tail[numeric[0]], NO_DIGIT)
    )


def _find_headings(rows: Sequence[Sequence[str]]) -> int | None:
    """Row of headings: the first with two known ones, one of them of parts or readings."""
    fallback = None
    for i, row in enumerate(rows[:LOOK_FOR_HEADINGS]):
        known = _known(row)
        if len(known) >= 2 and known & _STRONG and 2 * len(known) >= _filled(row):
            return i + 1 if _is_group_row(rows, i) else i
        if fallback is None and known & _STRONG and _filled(row) <= 2 and _data_below(rows, i):
            fallback = i
    return fallback


def _is_group_row(rows: Sequence[Sequence[str]], i: int) -> bool:
    """Whether row i only groups the headings of the next row ("Rated" over "C" and "V")."""
    below = rows[i + 1] if i + 1 < len(rows) else []
    known = _known(below)
    return len(known) >= 2 and bool(known & _STRONG) and _filled(below) > _filled(rows[i])


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
    rows, lines = regular_rows(
        grid, range(start, end), headings, aside, written=len(grid.rows[head])
    )
    cells, lines = data_rows(grid.file, rows, lines, headings, aside)
    line = int(grid.lines[head])
    table = Table(
        grid.file, grid.stem, headings, line, cells, lines, said, delimiter=grid.delimiter
    )
    return table, following


def _groups(row: Sequence[str], width: int) -> list[str]:
    """Group headings of a row above headings, [] where it is something else."""
    groups = [cell.strip() for cell in row]
    filled = [group for group in groups if group]
    fits = 1 < len(filled) < width and not any(map(_DIGIT, filled))
    apart = len(groups) > 2 and "" in groups[1:]
    return groups if fits and apart and any(parse_heading(g).column for g in filled) else []


def _grouped(grid: Grid, head: int, headings: list[Heading]) -> list[Heading]:
    """Headings joined with the group heading above them: "Rated" over "C" and "V"."""
    groups = _groups(grid.rows[head - 1], len(headings)) if head else []
    if not groups:
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

    The same headings again do not end a table; :func:`data_rows` takes them out.
    """
    numeric = numeric_columns(headings)
    is_long = any(heading.column == words.QUANTITY for heading in headings)
    same = [cell.strip() for cell in rows[head]]
    if numeric:
        first = numeric[0]
        column = [row[first] if len(row) > first else "" for row in rows[start:]]
        found = set(matching_rows(column, NO_DIGIT))
        names = [row[0] if row else "" for row in rows[start:]]
        found.update(i for i in matching_rows(names, ODD_NAME) if may_be_other(names[i]))
        candidates = [start + i for i in sorted(found)]
    else:
        candidates = list(range(start, len(rows)))
    for i in candidates:
        if _is_other_headings(rows[i], same, is_long=is_long):
            return i, i
    return len(rows), None


@lru_cache(maxsize=10_000)
def _never_heading(cell: str) -> bool:
    return _STARTS_AS_NUMBER(cell) is not None or bool(word_flag(cell))


def _is_other_headings(row: Sequence[str], same: list[str], *, is_long: bool) -> bool:
    if any(_never_heading(cell) for cell in reversed(row) if cell):
        return False
    if _filled(row) < 2:
        return False
    if [cell.strip() for cell in row[: len(same)]] == same:
        return False
    known = _known(row)
    if is_long and not known & {words.QUANTITY, words.VALUE, words.RATING, "capacitance_rated"}:
        return False
    return len(known) >= 2 and bool(known & _STRONG) and len(known) >= 0.6 * _filled(row)
