"""Sheets as people and meters write them, to the frames of :mod:`captriage.columns`."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.columns import Sheets
from captriage.errors import ReadingsError
from captriage.readers.aside import Aside
from captriage.readers.assembling import looks_frame, readings_frame
from captriage.readers.attributes import COLUMNS as PART_COLUMNS
from captriage.readers.attributes import AttributeReader
from captriage.readers.circumstances import Context
from captriage.readers.clocks import read_when
from captriage.readers.decimals import decimal_sign, number_text, settled_decimal
from captriage.readers.exact import read_exact
from captriage.readers.headings import known_headings
from captriage.readers.layout import Table, find_tables
from captriage.readers.logs import bare_log
from captriage.readers.names import kept, name_rows
from captriage.readers.roles import Plan, settle_columns
from captriage.readers.roster import (
    Members,
    join,
    spread_over_can,
    tell_apart,
)
from captriage.readers.sections import take_apart
from captriage.readers.series import Series, series_of
from captriage.readers.spelling import READING_COLUMNS
from captriage.readers.splitting import Grid, split
from captriage.readers.text import decode, is_zip, read_bytes
from captriage.readers.values import Chunk, measured, read_notes, read_values


@dataclass
class _Prepared:
    members: Members
    series: list[Series]
    raw: dict[tuple[int, int], str]


def read_sheets(
    paths: Sequence[str | Path], *, today_year: int, worksheet: str | None = None
) -> Sheets:
    """Read parts and readings from CSV, TSV and XLSX sheets, wide or long, one or several.

    Parameters
    ----------
    paths : sequence of path
        Sheets of one machine; parts and readings may stand in different ones and are joined by
        the part's name.
    today_year : int
        Year from which ages count, and after which nothing was made.
    worksheet : str, optional
        The one worksheet to read of each workbook; without it all that hold a table are read.

    Returns
    -------
    Sheets
        Every cell that is not blank is in ``parts``, ``readings`` or ``looks``, or in
        ``set_aside`` with its place, the reason and the remedy.

    Raises
    ------
    ReadingsError
        A sheet cannot be opened, or nothing in it can be used.
    """
    if not paths:
        raise ReadingsError("sheets: none was named; name at least one CSV, TSV or XLSX file")
    files = [Path(path) for path in paths]
    exact = read_exact(files) if worksheet is None else None
    if exact is not None:
        return exact
    seen = Counter(path.name for path in files)
    aside = Aside()
    prepared = []
    with _collector_paused():
        for path in files:
            name = path.name if seen[path.name] == 1 else str(path)
            prepared += _from_file(path, name, aside, today_year=today_year, worksheet=worksheet)
        return _assembled(prepared, aside)


@contextmanager
def _collector_paused() -> Iterator[None]:
    """No search for reference cycles while millions of cells, which have none, are made."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def read_frame(frame: pd.DataFrame, *, today_year: int) -> Sheets:
    """Read a pandas frame as if it were a sheet; its column names are the headings.

    Parameters
    ----------
    frame : DataFrame
        Wide (a row a part) or long (a row a reading). Places are given as "frame", with rows
        and columns counted from 1.
    today_year : int
        As in :func:`read_sheets`.

    Raises
    ------
    ReadingsError
        Nothing in the frame can be used.
    """
    names = [str(name) for name in frame.columns]
    values = [frame.iloc[:, j].tolist() for j in range(len(names))]
    typed = [[value for value in column if isinstance(value, str)] for column in values]
    decimal = decimal_sign(typed, delimiter="") or "."
    columns = [[_text(value, decimal) for value in column] for column in values]
    rows = [list(row) for row in zip(*columns, strict=True)]
    grid = Grid("frame", [names, *rows], np.arange(len(rows) + 1), stem="frame")
    aside = Aside()
    with _collector_paused():
        return _assembled(_from_grid(grid, aside, today_year=today_year), aside)


def _text(value: object, decimal: str) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, bool | np.bool_):
        return "yes" if value else "no"
    if isinstance(value, int | float | np.integer | np.floating) and value == value:
        return number_text(float(value), decimal)
    return "" if pd.isna(value) else str(value)  # type: ignore[call-overload]


def _from_file(
    path: Path, name: str, aside: Aside, *, today_year: int, worksheet: str | None
) -> list[_Prepared]:
    data = read_bytes(path, name=str(path))
    if is_zip(data):
        from captriage.readers.workbook import read_workbook

        grids = read_workbook(data, name, stem=path.stem, worksheet=worksheet)
        found: list[_Prepared] = []
        for grid in grids:
            found += _from_grid(grid, aside, today_year=today_year, alone=len(grids) == 1)
        if not found:
            raise ReadingsError(f"{name}: no worksheet holds a table; {_HEADINGS}")
        return found
    grid = split(decode(data, name=name), name, headings_in=known_headings, stem=path.stem)
    return _from_grid(grid, aside, today_year=today_year)


_HEADINGS = "give the part column and the readings headings such as: part, C (µF), ESR (Ω)"


def _from_grid(grid: Grid, aside: Aside, *, today_year: int, alone: bool = True) -> list[_Prepared]:
    for trouble in grid.troubles:
        aside.add(
            grid.file,
            trouble.line,
            found=trouble.found,
            reason=trouble.reason,
            remedy=trouble.remedy,
        )
    tables = find_tables(grid, aside) or bare_log(grid, aside)
    if not tables:
        if not alone:
            _no_table(grid, aside)
            return []
        raise ReadingsError(f"{grid.file}: no row of headings found{_first_row(grid)}; {_HEADINGS}")
    plans = [settle_columns(table) for table in tables]
    if grid.delimiter == "," and not grid.quoted:
        decimal: str | None = "."  # no cell holds a comma
    else:
        decimal = settled_decimal(tables, plans)
    for table in tables:
        table.decimal = decimal
    usable = [(t, p) for t, p in zip(tables, plans, strict=True) if _usable(t, p, tables, aside)]
    return [_prepare(t, p, aside, today_year=today_year) for t, p in usable]


def _no_table(grid: Grid, aside: Aside) -> None:
    for row, line in zip(grid.rows, grid.lines.tolist(), strict=True):
        aside.add(
            grid.file, line, found=" | ".join(cell for cell in row if cell),
            reason="a worksheet without a row of headings", remedy=_HEADINGS,
        )  # fmt: skip


def _first_row(grid: Grid) -> str:
    row = next((row for row in grid.rows if any(cell.strip() for cell in row)), [])
    text = " ".join(", ".join(row).split())
    return f" (the first row is: {text[:80]})" if text else ""


def _usable(table: Table, plan: Plan, tables: Sequence[Table], aside: Aside) -> bool:
    """Whether a table can be used; the only one that cannot is an error."""
    texts = (" ".join(heading.text.split()) for heading in table.headings)
    found = ", ".join(text for text in texts if text)
    holds = plan.is_long or plan.has(*READING_COLUMNS, *PART_COLUMNS)
    named = plan.has("part", "can") or "part" in table.said
    timed = plan.has("time", "soak_s", "taken_at", "clock")
    if holds and (named or timed or len(table.headings) == 1):
        return True
    missing = "no column names the parts" if holds else "no column holds a reading or a rating"
    if len(tables) == 1:
        raise ReadingsError(f"{table.file}: {missing} (headings: {found[:200]}); {_HEADINGS}")
    aside.add(
        table.file, table.line, found=found, reason=f"a table that is not used: {missing}",
        remedy=_HEADINGS,
    )  # fmt: skip
    for i, line in enumerate(table.lines.tolist()):
        cells = [column[i] for column in table.cells if column[i].strip()]
        aside.add(
            table.file, line, found=" | ".join(cells),
            reason=f"a row of a table that is not used: {missing}", remedy=_HEADINGS,
        )  # fmt: skip
    return False


def _prepare(table: Table, plan: Plan, aside: Aside, *, today_year: int) -> _Prepared:
    apart = take_apart(table, plan, aside)
    table = apart.table
    names, known = name_rows(table, plan, apart.sections, aside)
    ratings, raw = apart.ratings, apart.raw
    if not known.all():
        place = np.cumsum(known) - 1
        ratings = {int(place[i]): rating for i, rating in ratings.items() if known[i]}
        raw = {(j, int(place[i])): text for (j, i), text in raw.items() if known[i]}
        table = kept(table, known)
        names = names.kept(known)
    series = series_of(table, plan, aside)
    reader = AttributeReader(table, aside, names=names.part, today_year=today_year)
    members = Members(table, names, reader.read(series, ratings))
    spread_over_can(members)
    tell_apart(members, aside)
    return _Prepared(members, series, raw)


def _assembled(prepared: Sequence[_Prepared], aside: Aside) -> Sheets:
    parts, codes = join([one.members for one in prepared], aside)
    rated = parts["capacitance_rated"].to_numpy()
    collected: list[tuple[Chunk, Table, NDArray[np.int64]]] = []
    contexts: list[Context] = []
    for one, part_row in zip(prepared, codes, strict=True):
        table = one.members.table
        when = read_when(table, one.series, aside)
        context = Context(table, when, aside, one.raw, one.members.names)
        chunks = read_values(one.series, context, part_row=part_row, rated=rated[part_row])
        collected += [(chunk, table, part_row) for chunk in chunks]
        contexts.append(context)
    read = np.zeros(len(parts), bool)
    for chunk, _, part_row in collected:
        if chunk.quantity == "capacitance":
            read[part_row[chunk.rows[measured(chunk)]]] = True
    for one, context, part_row in zip(prepared, contexts, codes, strict=True):
        notes = read_notes(one.series, context, wanted=~read[part_row])
        collected += [(chunk, context.table, part_row) for chunk in notes]
    looks = looks_frame([one.members for one in prepared], codes)
    readings = readings_frame(collected)
    if parts.empty:
        raise ReadingsError(f"{_files(prepared)}: no row holds a part; {_HEADINGS}")
    return Sheets(parts, readings, looks, aside.frame())


def _files(prepared: Sequence[_Prepared]) -> str:
    return ", ".join(dict.fromkeys(one.members.table.file for one in prepared)) or "sheets"
