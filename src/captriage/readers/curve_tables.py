"""The table of a log: its headings, or what stands in for them, and its columns of cells."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np

from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.curve_headings import (
    CURRENT,
    VOLTAGES,
    curve_heading,
    find_headings,
    unit_row,
    with_units,
)
from captriage.readers.curve_preamble import AboveLog, read_above
from captriage.readers.dates import CLOCK, DATE
from captriage.readers.decimals import decimal_sign
from captriage.readers.headings import Heading, parse_heading
from captriage.readers.layout import Table
from captriage.readers.rows import data_rows, regular_rows
from captriage.readers.series import Series
from captriage.readers.splitting import Grid, row_by_row
from captriage.units import normalise, parse_number, scan_quantity

MOST_BARE_A: Final = 1.0
"""Numbers without any unit above this are no leakage currents in ampere. [A]"""

NOTE: Final = "a note beside a reading"
"""Why a cell of a column of notes is set aside."""

LOOKED_AT: Final = 50
"""Rows of a log without headings from which its columns are told."""

_OF_DIMENSION: Final = {"s": words.TIME, "A": CURRENT, "V": words.VOLTAGE}


@dataclass(frozen=True)
class LogTable:
    """A log as columns of cells, what the lines above it say, and what was taken for granted."""

    table: Table
    series: list[Series]
    above: AboveLog
    remarks: tuple[str, ...] = ()


def log_table(grid: Grid, aside: Aside, columns: str = "") -> LogTable | None:
    """The table of a log, None where a grid holds none; nothing is set aside then.

    Parameters
    ----------
    grid : Grid
        The file, or a worksheet.
    aside : Aside
        Takes what is no reading.
    columns : str
        Headings, with commas between, in place of those of the file.
    """
    grid = row_by_row(grid)
    head = find_headings(grid)
    remarks: tuple[str, ...] = ()
    if columns:
        headings = [curve_heading(name.strip()) for name in columns.split(",")]
        start = head + 1 if head is not None else _first_data(grid)
    elif head is not None:
        headings = [curve_heading(cell.strip()) for cell in grid.rows[head]]
        start = head + 1
    else:
        start = _first_data(grid)
        headings = _told_by_cells(grid, start)
        names = ", ".join(heading.column.replace("leakage_", "") for heading in headings)
        remarks = (f"no headings: its columns were taken as {names}",)
    if not headings:
        return None
    for trouble in grid.troubles:
        aside.add(
            grid.file, trouble.line,
            found=trouble.found, reason=trouble.reason, remedy=trouble.remedy,
        )  # fmt: skip
    above = read_above(grid, range(head if head is not None else start), aside)
    table = _table(grid, head, start, headings, aside)
    return LogTable(table, _series(table, aside), above, remarks)


def _table(
    grid: Grid, head: int | None, start: int, headings: list[Heading], aside: Aside
) -> Table:
    while headings and not headings[-1].text and head is not None:
        headings.pop()
    units = unit_row(grid.rows[start], len(headings)) if start < len(grid.rows) else []
    if units:
        headings, start = with_units(headings, units), start + 1
    # Which columns hold numbers, as the rows of every sheet are looked through.
    plain = [replace(h, column=words.VOLTAGE) if h.column in VOLTAGES else h for h in headings]
    span = range(start, len(grid.rows))
    rows, lines = regular_rows(grid, span, plain, aside, written=len(headings))
    cells, lines = data_rows(grid.file, rows, lines, plain, aside)
    line = int(grid.lines[head]) if head is not None else 0
    table = Table(grid.file, grid.stem, headings, line, cells, lines, delimiter=grid.delimiter)
    numeric = [cells[j] for j, heading in enumerate(headings) if heading.column]
    if grid.delimiter == "," and not grid.quoted:
        table.decimal = "."
    elif numeric and len(lines):
        table.decimal = decimal_sign(numeric, delimiter=grid.delimiter)
    return table


def _first_data(grid: Grid) -> int:
    """First row of two cells or more, each of them a number, a quantity or a time."""
    for i, row in enumerate(grid.rows):
        filled = [cell for cell in row if cell.strip()]
        if len(filled) > 1 and all(_kind([cell]) for cell in filled):
            return i
    return len(grid.rows)


def _told_by_cells(grid: Grid, start: int) -> list[Heading]:
    """Headings that the cells themselves tell by their units; [] where they do not.

    Of two columns without units the first is time where it ascends and the second current where
    none of it is more than :data:`MOST_BARE_A`, as a meter sends both.
    """
    rows = [row for row in grid.rows[start : start + LOOKED_AT] if len(row) > 1]
    if not rows or len({len(row) for row in rows}) > 1:
        return []
    kinds = [_kind([row[j] for row in rows]) for j in range(len(rows[0]))]
    bare = len(kinds) == 2 and kinds[1] == "bare"
    if bare:
        times = [_number(row[0]) for row in rows]
        if kinds[0] == "bare" and all(a < b for a, b in pairwise(times)):
            kinds[0] = words.TIME
        if kinds[0] == words.TIME and all(abs(_number(row[1])) <= MOST_BARE_A for row in rows):
            kinds[1] = CURRENT
    if sorted(kinds) not in ([CURRENT, words.TIME], [CURRENT, words.TIME, words.VOLTAGE]):
        return []
    return [Heading("", kind, "A" if bare and kind == CURRENT else "") for kind in kinds]


def _number(cell: str) -> float:
    number = parse_number(normalise(cell).strip())
    return float("nan") if number is None else number.value


def _kind(cells: Sequence[str]) -> str:
    """What a column without a heading holds, by its units; "bare" for numbers without one."""
    kinds = set()
    for cell in filter(None, (normalise(cell).strip() for cell in cells)):
        if CLOCK.fullmatch(cell) or DATE.fullmatch(cell):
            kinds.add(words.TIME)
            continue
        scanned = scan_quantity(cell)
        if scanned is None or scanned.end != len(cell):
            return ""
        unit = scanned.unit
        kinds.add("bare" if unit is None else _OF_DIMENSION.get(unit.dimension, ""))
    return kinds.pop() if len(kinds) == 1 else ""


def _series(table: Table, aside: Aside) -> list[Series]:
    """Columns that a curve is made of; the others are set aside, each in one line."""
    everything = np.arange(len(table.lines))
    named = {heading.column for heading in table.headings}
    is_long = {words.QUANTITY, words.VALUE} <= named
    found: list[Series] = []
    for j, heading in enumerate(table.headings):
        if is_long and heading.column in (words.QUANTITY, words.VALUE, words.UNIT):
            continue
        if heading.column == words.UNIT and found and found[-1].position == j - 1:
            found[-1] = _with_unit(found[-1], table.cells[j])
            continue
        if heading.column in ("", words.QUANTITY, words.VALUE, words.UNIT):
            _not_used(table, j, aside)
            continue
        found.append(Series(heading, table.cells[j], everything, table.number(j), j))
    return found + _long(table, aside) if is_long else found


def _with_unit(one: Series, units: Sequence[str]) -> Series:
    """The series with the unit that stands in a column of its own behind each cell."""
    texts = [f"{v} {u}".strip() if v.strip() else v for v, u in zip(one.texts, units, strict=True)]
    return replace(one, texts=texts)


def _not_used(table: Table, j: int, aside: Aside) -> None:
    rows = [i for i, cell in enumerate(table.cells[j]) if cell.strip()]
    heading = table.headings[j]
    if not rows:
        return
    if parse_heading(heading.text).column in (words.NOTE, words.REMARK):
        aside.add_cells(
            table.file, table.lines[rows], [table.cells[j][i] for i in rows],
            NOTE, "nothing to do, unless it holds a reading",
            column=j + 1, heading=heading.text,
        )  # fmt: skip
        return
    aside.add(
        table.file, table.line, column=j + 1, heading=heading.text, found=heading.text,
        reason=heading.problem
        or f"no part of a curve; cells below it that are not used: {len(rows)}",
        remedy="nothing to do, unless it is meant: call it time, current, drop, supply or part "
        "voltage",
    )  # fmt: skip


def _long(table: Table, aside: Aside) -> list[Series]:
    """Columns of a log with a line a quantity, one for each quantity named."""
    at = {heading.column: j for j, heading in enumerate(table.headings)}
    what, values = table.cells[at[words.QUANTITY]], table.cells[at[words.VALUE]]
    units = table.cells[at[words.UNIT]] if words.UNIT in at else [""] * len(what)
    own, number = table.headings[at[words.VALUE]], table.number(at[words.VALUE])
    texts = [f"{v} {u}".strip() if v.strip() else v for v, u in zip(values, units, strict=True)]
    found = []
    for name in dict.fromkeys(what):
        rows = [i for i, each in enumerate(what) if each == name]
        heading = curve_heading(name)
        if heading.column in (CURRENT, *VOLTAGES):
            heading = replace(heading, unit=heading.unit or own.unit)
            cells = [texts[i] for i in rows]
            found.append(Series(heading, cells, np.array(rows), number, at[words.VALUE]))
        else:
            aside.add_cells(
                table.file, table.lines[rows], [values[i] for i in rows],
                f"'{name}' is no part of a curve",
                "nothing to do, unless it is meant: call it current, drop, supply or part voltage",
                column=number, heading=own.text,
            )  # fmt: skip
    return found
