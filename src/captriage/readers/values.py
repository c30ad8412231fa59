"""Readings of a table: values in SI with the conditions each was taken at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.cells import Column, read_column
from captriage.readers.clocks import When
from captriage.readers.headings import READING_COLUMNS, stored_as
from captriage.readers.layout import Table
from captriage.readers.names import Names
from captriage.readers.series import Series
from captriage.readers.status import bad_status
from captriage.readers.times import soak_of_series

Floats = NDArray[np.float64]

CONDITIONS: Final = ("frequency_hz", "voltage_v", "temperature_degc", "soak_s")
NAMED_ABOVE: Final = "no part named on the row: taken for the one above"
_DEPENDS_ON_FREQUENCY: Final = frozenset(("capacitance", "esr", "tan_delta", "impedance"))
_UNDER_VOLTAGE: Final = frozenset(("leakage_current", "resistance"))


@dataclass
class Chunk:
    """Readings of one series, as columns of the readings frame."""

    quantity: str
    rows: NDArray[np.int64]  # of the table
    number: int
    arrays: dict[str, NDArray[Any]]


@dataclass
class Context:
    """What the table says of its readings: conditions by (name, quantity), texts, statuses."""

    table: Table
    when: When
    aside: Aside
    raw: dict[tuple[int, int], str]
    names: Names
    conditions: dict[tuple[str, str], Floats] = field(default_factory=dict)
    meter: NDArray[np.object_] | None = None
    beside: dict[int, list[Series]] = field(default_factory=dict)


def read_values(
    series: Sequence[Series],
    context: Context,
    *,
    part_row: NDArray[np.int64],
    rated: Floats,
) -> list[Chunk]:
    """Readings of every series of a table.

    Parameters
    ----------
    series : sequence of Series
        All series of the table.
    context : Context
        Of the table; its conditions are filled in here.
    part_row : ndarray, shape (n,)
        Row of the parts frame for each row of the table.
    rated : ndarray, shape (n,)
        Rated capacitance beside each row, NaN where not known. [F]
    """
    readings = [one for one in series if one.column in READING_COLUMNS]
    quantities = {stored_as(one.column) for one in readings}
    _read_conditions(series, context, quantities)
    _place_beside(series, readings, context)
    chunks = []
    for one in readings:
        chunk = _read_series(one, context, part_row, rated)
        if chunk is not None:
            chunks.append(chunk)
    return chunks


def _read_conditions(series: Sequence[Series], context: Context, quantities: set[str]) -> None:
    table = context.table
    n = len(table.lines)
    if context.when.known:
        context.conditions["soak_s", ""] = context.when.soak
    for name in CONDITIONS:
        said = table.said.get(name) or (
            table.said.get(words.VOLTAGE) if name == "voltage_v" else None
        )
        if said is not None:
            column = read_column([said.text], name, unit=said.unit, decimal=table.decimal)
            context.conditions[name, "above"] = np.full(n, column.value[0])
            cell = column.cells.get(0)
            if cell is not None and cell.problem:
                context.aside.add(
                    table.file, said.line, column=said.column, heading=said.heading,
                    found=said.text, reason=cell.problem, remedy=cell.remedy,
                )  # fmt: skip
    for one in series:
        if one.column in CONDITIONS:
            target = context.conditions.setdefault(
                (one.column, one.heading.of if one.heading.of in quantities else ""),
                np.full(n, np.nan),
            )
            column = _column(one, one.column, context)
            known = ~np.isnan(column.value)
            target[one.rows[known]] = column.value[known]
        elif one.column == words.METER:
            if context.meter is None:
                context.meter = np.full(n, "", object)
            for k, text in enumerate(one.texts):
                row = one.rows[k]
                if text.strip():
                    old = context.meter[row]
                    context.meter[row] = f"{old}, {text.strip()}" if old else text.strip()
    if words.METER in table.said and context.meter is None:
        context.meter = np.full(n, table.said[words.METER].text, object)


def _column(
    one: Series, quantity: str, context: Context, *, unit: str = "", rated: Floats | None = None
) -> Column:
    """Read the cells of a series and set aside those that cannot be used."""
    table = context.table
    column = read_column(
        one.texts, quantity, unit=unit or one.heading.unit, decimal=table.decimal, rated=rated
    )
    for k, cell in column.cells.items():
        if cell.problem:
            row = int(one.rows[k])
            context.aside.add(
                table.file,
                int(table.lines[row]),
                column=one.number,
                heading=one.heading.text,
                found=context.raw.get((one.position, row), one.texts[k]),
                reason=cell.problem,
                remedy=cell.remedy,
            )
    return column


def _place_beside(series: Sequence[Series], readings: Sequence[Series], context: Context) -> None:
    """Give each status, uncertainty and range to the readings it belongs to.

    Named in its heading; else, in a wide sheet, the reading on its left (a status: all readings
    back to the status before), and in a long one every reading.
    """
    since = -1
    for one in series:
        if one.column not in (words.STATUS, words.UNCERTAINTY, words.RANGE):
            continue
        left = [r for r in readings if r.position < one.position]
        if one.heading.of:
            chosen = [r for r in readings if stored_as(r.column) == one.heading.of]
        elif len({r.position for r in readings}) == 1:
            chosen = list(readings)
        elif one.column == words.STATUS:
            chosen = [r for r in left if r.position > since] or list(readings)
            since = one.position
        else:
            chosen = left[-1:] or list(readings[:1])
        if not chosen:
            _set_all_aside(one, context, "belongs to no reading")
        for reading in chosen:
            context.beside.setdefault(id(reading), []).append(one)


def _set_all_aside(one: Series, context: Context, reason: str) -> None:
    held = [k for k, text in enumerate(one.texts) if text.strip()]
    context.aside.add_cells(
        context.table.file,
        context.table.lines[one.rows[held]],
        [one.texts[k] for k in held],
        reason,
        "name the quantity in the heading, such as 'C uncertainty'",
        column=one.number,
        heading=one.heading.text,
    )


def _read_series(
    one: Series, context: Context, part_row: NDArray[np.int64], rated: Floats
) -> Chunk | None:
    quantity = stored_as(one.column)
    with_rated = rated[one.rows] if quantity == "capacitance" else None
    void = _void(one, context)
    texts = ["" if k in void else text for k, text in enumerate(one.texts)] if void else one.texts
    column = _column(replace(one, texts=texts), one.column, context, rated=with_rated)
    flag = column.flag
    for k, said in void.items():
        flag[k] = said
    kept = ~np.isnan(column.value) | flag.astype(bool)
    if not kept.any():
        return None
    n = len(one.rows)
    arrays: dict[str, NDArray[Any]] = {
        "value": column.value,
        "at_least": column.at_least,
        "at_most": column.at_most,
        "uncertainty": np.full(n, np.nan),
        "range_high": np.full(n, np.nan),
        **{name: _condition(name, one, quantity, context) for name in CONDITIONS},
        "flag": flag,
    }
    if quantity == "leakage_current":
        _soak_from_clock(arrays, one, context, part_row, kept)
    for k, cell in column.cells.items():
        for name in (*CONDITIONS, "uncertainty"):
            if name in cell.conditions:
                arrays[name][k] = cell.conditions[name]
    for other in context.beside.get(id(one), []):
        if other.column != words.STATUS:
            _apply(other, one, arrays, context)
    if one.assumed:
        _say(flag, kept, one.assumed)
    if context.names.below.any():
        sections = np.array(context.names.section, object)[one.rows].astype(bool)
        _say(flag, kept & context.names.below[one.rows] & ~sections, NAMED_ABOVE)
    arrays["taken_at"] = context.when.taken_at[one.rows]
    if context.meter is not None:
        arrays["meter"] = context.meter[one.rows]
    arrays["raw"] = _raw(one, context)
    if kept.all():
        return Chunk(quantity, one.rows, one.number, arrays)
    arrays = {name: array[kept] for name, array in arrays.items()}
    return Chunk(quantity, one.rows[kept], one.number, arrays)


def _aligned(other: Series, one: Series) -> Sequence[str]:
    """Cells of a column beside the readings, one for each of them."""
    if len(other.rows) == len(one.rows):
        return other.texts
    return [other.texts[row] for row in one.rows.tolist()]


def _void(one: Series, context: Context) -> dict[int, str]:
    """Readings that a status column voids, and what it says."""
    void: dict[int, str] = {}
    for other in context.beside.get(id(one), []):
        if other.column == words.STATUS:
            for k, text in enumerate(_aligned(other, one)):
                said = bad_status(text)
                if said and one.texts[k].strip():
                    void[k] = said
    return void


def _raw(one: Series, context: Context) -> NDArray[np.object_]:
    raw = np.array(one.texts, object)
    if context.raw:
        for k, row in enumerate(one.rows.tolist()):
            raw[k] = context.raw.get((one.position, row), raw[k])
    return raw


def _condition(name: str, one: Series, quantity: str, context: Context) -> Floats:
    """A condition of each reading: from its heading, its own column, a common one, or above."""
    known = context.conditions
    if name in one.heading.conditions:
        return np.full(len(one.rows), one.heading.conditions[name])
    out = np.full(len(one.rows), np.nan)
    sources = [known.get((name, quantity))]
    if _applies(name, quantity, context):
        sources += [known.get((name, "")), known.get((name, "above"))]
    for source in sources:
        if source is not None:
            out = np.where(np.isnan(out), source[one.rows], out)
    return out


def _applies(name: str, quantity: str, context: Context) -> bool:
    """Whether a condition that names no quantity is one of this quantity."""
    if name == "frequency_hz":
        return quantity in _DEPENDS_ON_FREQUENCY
    if name == "voltage_v":
        return quantity in _UNDER_VOLTAGE
    if name == "soak_s":
        return quantity in _UNDER_VOLTAGE or context.when.known
    return True


def _soak_from_clock(
    arrays: dict[str, NDArray[Any]],
    one: Series,
    context: Context,
    part_row: NDArray[np.int64],
    kept: NDArray[np.bool_],
) -> None:
    """Count the soak from the first sample where the sheet gives only the clock."""
    rows = one.rows
    seconds = np.where(kept, context.when.seconds[rows], np.nan)
    if np.isnan(seconds).all():
        said = context.when.flag[rows]
        _say(arrays["flag"], said.astype(bool) & kept, said)
        return
    soak, said = soak_of_series(seconds, part_row[rows])
    open_ = np.isnan(arrays["soak_s"])
    arrays["soak_s"] = np.where(open_, soak, arrays["soak_s"])
    _say(arrays["flag"], open_ & kept & said.astype(bool), said)


def _say(
    flag: NDArray[np.object_], rows: NDArray[np.bool_], text: NDArray[np.object_] | str
) -> None:
    new = np.broadcast_to(np.asarray(text, object), flag.shape)
    bare = rows & ~flag.astype(bool)
    flag[bare] = new[bare]
    for k in np.flatnonzero(rows & ~bare).tolist():
        if new[k] not in flag[k].split("; "):
            flag[k] = f"{flag[k]}; {new[k]}"


def _apply(other: Series, one: Series, arrays: dict[str, NDArray[Any]], context: Context) -> None:
    """Apply an uncertainty or a range to the readings of one series."""
    texts = _aligned(other, one)
    if one.column in (words.Q, words.POWER_FACTOR):
        _set_all_aside(other, context, "cannot be carried over to tan δ")
        return
    aligned = Series(other.heading, texts, one.rows, other.number, other.position)
    value = np.asarray(arrays["value"], float)
    unit = other.heading.unit or one.heading.unit
    column = _column(aligned, other.column, context, unit=unit, rated=value)
    arrays[other.column] = np.where(np.isnan(column.value), arrays[other.column], column.value)
