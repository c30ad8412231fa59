"""Readings of a table: values in SI with the conditions each was taken at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from captriage.columns import BEFORE
from captriage.readers import vocabulary as words
from captriage.readers.circumstances import (
    CONDITIONS,
    Context,
    Floats,
    column_of,
    condition_of,
    place_beside,
    read_conditions,
    set_all_aside,
    set_unused_aside,
)
from captriage.readers.headings import stored_as
from captriage.readers.series import Series
from captriage.readers.spelling import READ_AS, READING_COLUMNS
from captriage.readers.status import bad_status, stated_fault
from captriage.readers.times import soak_of_series

OF_ESR_COLUMN: Final = "frequency of the ESR column taken for the capacitance: no ESR beside it"
FROM_NOTE: Final = "from the note"
NAMED_ABOVE: Final = "no part named on the row: taken for the one above"


@dataclass
class Chunk:
    """Readings of one series: columns of the readings frame, without those that are blank."""

    quantity: str
    rows: NDArray[np.int64]  # of the table
    number: int
    arrays: dict[str, NDArray[Any]]


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
    read_conditions(series, context, quantities)
    place_beside(series, readings, context)
    chunks = []
    for one in readings:
        chunk = _read_series(one, context, part_row, rated)
        if chunk is not None:
            chunks.append(chunk)
    _undate(chunks, len(rated))
    lent = _lend_frequency(chunks, series, context)
    taken = {chunk.quantity: np.zeros(len(rated), bool) for chunk in chunks}
    for chunk in chunks:
        taken[chunk.quantity][chunk.rows] = True
    set_unused_aside(series, context, taken, lent=lent)
    return chunks


def measured(chunk: Chunk) -> NDArray[np.bool_]:
    """Which rows of a chunk hold a value, or a word that tells what the meter showed."""
    flags = chunk.arrays["flag"]
    blank = [text.startswith(("not measured", "no reading")) for text in flags.tolist()]
    told = flags.astype(bool) & ~np.array(blank, bool)
    return np.asarray(~np.isnan(chunk.arrays["value"]) | told, np.bool_)


def _undate(chunks: Sequence[Chunk], n: int) -> None:
    """Take the date of a row that has readings of today off those of before a reform."""
    today = np.zeros(n, bool)
    for chunk in chunks:
        if chunk.quantity not in BEFORE.values():
            today[chunk.rows] = True
    for chunk in chunks:
        if chunk.quantity in BEFORE.values() and "taken_at" in chunk.arrays:
            told = chunk.arrays["taken_at"]
            chunk.arrays["taken_at"] = np.where(today[chunk.rows], np.datetime64("NaT"), told)


def _lend_frequency(
    chunks: Sequence[Chunk], series: Sequence[Series], context: Context
) -> NDArray[np.bool_]:
    """Give the frequency of an ESR that was not read to the capacitance of the same row.

    Returns the rows of the table on which that was done.
    """
    lent = np.zeros(len(context.table.lines), bool)
    columns = [one for one in series if one.column == "frequency_hz" and one.heading.of == "esr"]
    if not columns:
        return lent
    known = context.conditions.get(("frequency_hz", "esr"))
    if known is None:  # no ESR column at all: it was taken for all readings of the row
        known = context.conditions["frequency_hz", ""]
    free = ~np.isnan(known)
    for chunk in chunks:
        if chunk.quantity == "esr":
            free[chunk.rows[measured(chunk)]] = False
    for chunk in chunks:
        if chunk.quantity != "capacitance":
            continue
        mine, of_esr = _numbers(chunk.arrays, "frequency_hz"), known[chunk.rows]
        here = free[chunk.rows] & (np.isnan(mine) | (mine == of_esr))
        chunk.arrays["frequency_hz"] = np.where(here, of_esr, mine)
        _say(chunk.arrays["flag"], here, OF_ESR_COLUMN)
        lent[chunk.rows[here]] = True
    return lent


def read_notes(
    series: Sequence[Series], context: Context, *, wanted: NDArray[np.bool_]
) -> list[Chunk]:
    """Capacitances that are written in the note: "reads open", "dead short".

    ``wanted`` are the rows of the table whose part has no capacitance anywhere. The note of a
    row that was divided into sections is not shared out.
    """
    lines = context.table.lines
    chunks = []
    for one in series:
        if one.column != words.REMARK:
            continue
        said = {text: stated_fault(text) for text in set(one.texts) if text.strip()}
        ks = [
            k
            for k, text in enumerate(one.texts)
            if said.get(text)
            and wanted[one.rows[k]]
            and np.count_nonzero(lines == lines[one.rows[k]]) == 1
        ]
        if not ks:
            continue
        texts = [one.texts[k] for k in ks]
        flag = np.array([f"{said[text]}: {FROM_NOTE}" for text in texts], object)
        arrays: dict[str, NDArray[Any]] = {
            "value": np.full(len(ks), np.nan),
            "flag": flag,
            "raw": np.array(texts, object),
            "taken_at": context.when.taken_at[one.rows[ks]],
        }
        chunks.append(Chunk("capacitance", one.rows[ks], one.number, arrays))
    return chunks


def _read_series(
    one: Series, context: Context, part_row: NDArray[np.int64], rated: Floats
) -> Chunk | None:
    quantity = stored_as(one.column)
    read_as = READ_AS.get(one.column, one.column)
    with_rated = rated[one.rows] if stored_as(read_as) == "capacitance" else None
    void = _void(one, context)
    texts = ["" if k in void else text for k, text in enumerate(one.texts)] if void else one.texts
    column = column_of(replace(one, texts=texts), read_as, context, rated=with_rated)
    flag = column.flag
    for k, said in void.items():
        flag[k] = said
    kept = ~np.isnan(column.value) | flag.astype(bool)
    if not kept.any():
        return None
    arrays: dict[str, NDArray[Any]] = {"value": column.value, "flag": flag}
    for name in CONDITIONS:
        condition = condition_of(name, one, quantity, context)
        if condition is not None:
            arrays[name] = condition
    for name, bound in (("at_least", column.at_least), ("at_most", column.at_most)):
        if not np.isnan(bound).all():
            arrays[name] = bound
    if quantity == "leakage_current":
        _soak_from_clock(arrays, one, context, part_row, kept)
    for k, cell in column.cells.items():
        for name in (*CONDITIONS, "uncertainty"):
            if name in cell.conditions:
                _numbers(arrays, name)[k] = cell.conditions[name]
    for other in context.beside.get(id(one), []):
        if other.column != words.STATUS:
            _apply(other, one, arrays, context)
    if one.assumed:
        _say(flag, kept, one.assumed)
    if context.names.below.any():
        sections = np.array(context.names.section, object)[one.rows].astype(bool)
        _say(flag, kept & context.names.below[one.rows] & ~sections, NAMED_ABOVE)
    if context.when.known or not np.isnat(context.when.taken_at).all():
        arrays["taken_at"] = context.when.taken_at[one.rows]
    if context.meter is not None:
        arrays["meter"] = context.meter[one.rows]
    arrays["raw"] = _raw(one, context)
    if kept.all():
        return Chunk(quantity, one.rows, one.number, arrays)
    arrays = {name: array[kept] for name, array in arrays.items()}
    return Chunk(quantity, one.rows[kept], one.number, arrays)


def _numbers(arrays: dict[str, NDArray[Any]], name: str) -> Floats:
    """Column of numbers of a chunk, made on first use."""
    if name not in arrays:
        arrays[name] = np.full(len(arrays["value"]), np.nan)
    return arrays[name]


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


def _soak_from_clock(
    arrays: dict[str, NDArray[Any]],
    one: Series,
    context: Context,
    part_row: NDArray[np.int64],
    kept: NDArray[np.bool_],
) -> None:
    """Count the soak from the first sample where the sheet gives only the clock."""
    if not context.when.known:
        return
    rows = one.rows
    seconds = np.where(kept, context.when.seconds[rows], np.nan)
    if np.isnan(seconds).all():
        said = context.when.flag[rows]
        _say(arrays["flag"], said.astype(bool) & kept, said)
        return
    soak, said = soak_of_series(seconds, part_row[rows])
    stated = _numbers(arrays, "soak_s")
    open_ = np.isnan(stated)
    arrays["soak_s"] = np.where(open_, soak, stated)
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
        set_all_aside(other, context, "cannot be carried over to tan δ")
        return
    aligned = Series(other.heading, texts, one.rows, other.number, other.position)
    value = np.asarray(arrays["value"], float)
    unit = other.heading.unit or one.heading.unit
    column = column_of(aligned, other.column, context, unit=unit, rated=value)
    arrays[other.column] = np.where(
        np.isnan(column.value), _numbers(arrays, other.column), column.value
    )
