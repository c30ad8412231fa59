"""How the readings of a table were taken: conditions, meter, status, uncertainty, range."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.columns import BEFORE
from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.cells import Column, read_column
from captriage.readers.clocks import COLUMNS as TIME_COLUMNS
from captriage.readers.clocks import When
from captriage.readers.headings import stored_as
from captriage.readers.layout import Table
from captriage.readers.names import Names
from captriage.readers.series import Series

Floats = NDArray[np.float64]

CONDITIONS: Final = ("frequency_hz", "voltage_v", "temperature_degc", "soak_s")
_DEPENDS_ON_FREQUENCY: Final = frozenset(
    ("capacitance", "esr", "tan_delta", "impedance", *BEFORE.values())
)
_UNDER_VOLTAGE: Final = frozenset(("leakage_current", "resistance"))


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
    belongs: dict[int, set[str]] = field(default_factory=dict)  # quantities, by column


def read_conditions(series: Sequence[Series], context: Context, quantities: set[str]) -> None:
    """Fill in what the lines above, and columns of conditions and meters, say of each row."""
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
            known_of = one.heading.of in quantities or one.heading.of in BEFORE.values()
            target = context.conditions.setdefault(
                (one.column, one.heading.of if known_of else ""),
                np.full(n, np.nan),
            )
            column = column_of(one, one.column, context)
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


def column_of(
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


def place_beside(series: Sequence[Series], readings: Sequence[Series], context: Context) -> None:
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
            set_all_aside(one, context, "belongs to no reading")
        context.belongs[one.position] = {stored_as(reading.column) for reading in chosen}
        for reading in chosen:
            context.beside.setdefault(id(reading), []).append(one)


def set_all_aside(one: Series, context: Context, reason: str) -> None:
    """Set every cell of a series aside for one reason."""
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


def condition_of(name: str, one: Series, quantity: str, context: Context) -> Floats | None:
    """A condition of each reading: from its heading, its own column, a common one, or above.

    None where the sheet says nothing of it.
    """
    known = context.conditions
    if name in one.heading.conditions:
        return np.full(len(one.rows), one.heading.conditions[name])
    sources = [known.get((name, quantity))]
    if applies(name, quantity, context):
        sources += [known.get((name, "")), known.get((name, "above"))]
    out: Floats | None = None
    for source in sources:
        if source is not None:
            mine = source[one.rows]
            out = mine if out is None else np.where(np.isnan(out), mine, out)
    return out


def applies(name: str, quantity: str, context: Context) -> bool:
    """Whether a condition that names no quantity is one of this quantity."""
    if name == "frequency_hz":
        return quantity in _DEPENDS_ON_FREQUENCY
    if name == "voltage_v":
        return quantity in _UNDER_VOLTAGE
    if name == "soak_s":
        return quantity in _UNDER_VOLTAGE or context.when.known
    return True


def set_unused_aside(
    series: Sequence[Series],
    context: Context,
    taken: Mapping[str, NDArray[np.bool_]],
    *,
    lent: NDArray[np.bool_],
) -> None:
    """Set aside the cells that tell how a reading was taken where there is no reading.

    ``taken`` gives for each quantity the rows of the table on which there is a reading of it;
    ``lent`` are the rows on which the frequency of the ESR was used for the capacitance.
    """
    none = np.zeros(len(context.table.lines), bool)
    any_reading = np.logical_or.reduce([none, *taken.values()])
    for one in series:
        if one.column in CONDITIONS:
            own = (one.column, one.heading.of) in context.conditions
            of = one.heading.of if own or one.heading.of in taken else ""
            rows = [
                mask
                for quantity, mask in taken.items()
                if quantity == of or (not of and applies(one.column, quantity, context))
            ]
            lending = [lent] if one.column == "frequency_hz" and one.heading.of == "esr" else []
            used = np.logical_or.reduce([none, *rows, *lending])
        elif context.belongs.get(one.position):
            beside = context.belongs[one.position]
            used = np.logical_or.reduce([none, *(taken[q] for q in beside if q in taken)])
        elif one.column == words.METER or one.column in TIME_COLUMNS:
            used = any_reading
        else:
            continue
        if used.all():
            continue
        held = [k for k in np.flatnonzero(~used[one.rows]).tolist() if one.texts[k].strip()]
        context.aside.add_cells(
            context.table.file,
            context.table.lines[one.rows[held]],
            [one.texts[k] for k in held],
            "belongs to no reading on its row",
            "nothing to do, unless a reading is missing",
            column=one.number,
            heading=one.heading.text,
        )
