"""Columns of a log to SI: current, or the drop that gives it, and the two voltages."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.errors import ReadingsError
from captriage.readers import cell_words
from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.cells import Column, read_column
from captriage.readers.curve_headings import CURRENT, DROP, PART_VOLTAGE, SUPPLY
from captriage.readers.curve_preamble import AboveLog, part_and_rating
from captriage.readers.curve_tables import LogTable
from captriage.readers.series import Series
from captriage.units import format_quantity

Floats = NDArray[np.float64]

_RESISTOR: Final = "tell the resistor with --series-resistor, such as 10k"


@dataclass(frozen=True)
class Measured:
    """What the columns of a log give, row by row; NaN where a cell gives nothing.

    ``over`` are the rows whose current was beyond the meter's range, by how much is not told;
    ``lost`` those whose current, and ``unread`` those whose voltage of the supply, is written but
    could not be used.
    """

    current_a: Floats
    supply_v: Floats
    part_v: Floats
    over: NDArray[np.bool_]
    lost: NDArray[np.bool_]
    unread: NDArray[np.bool_]
    series_ohm: float
    above: AboveLog
    remarks: tuple[str, ...]


def measured(found: LogTable, aside: Aside, *, series_ohm: float, supply_v: float) -> Measured:
    """Current and voltages of each row of a log.

    Parameters
    ----------
    found : LogTable
        The log as cells.
    aside : Aside
        Takes the cells that cannot be used.
    series_ohm, supply_v : float
        As told beside the log, NaN where they are not; the resistor beats that of the log. [Ω], [V]

    Raises
    ------
    ReadingsError
        There is no current and nothing that gives one, the log is of several parts, or the supply
        is told twice.
    """
    columns = _Columns(found, aside)
    above = _of_columns(found, columns)
    told = math.isfinite(series_ohm)
    ohm = series_ohm if told else above.series_ohm
    if not told and math.isfinite(ohm):
        columns.say(f"series resistor {format_quantity(ohm, 'Ω')}, as the log names it")
    supply = columns.voltage(SUPPLY, words.VOLTAGE)
    part = columns.voltage(PART_VOLTAGE)
    current = columns.current(ohm, supply, part)
    constant = supply_v if math.isfinite(supply_v) else above.supply_v
    if supply is None:
        supply = np.full(columns.n, constant)
    elif math.isfinite(supply_v):
        raise ReadingsError(
            f"{found.table.file}: the log has the voltage of the supply; leave --supply out"
        )
    columns.leave_out_the_rest()
    if part is None:
        part = np.full(columns.n, np.nan)
    return Measured(
        current, supply, part, columns.over, columns.lost, columns.unread, ohm, above,
        tuple(dict.fromkeys(columns.said)),
    )  # fmt: skip


def _of_columns(found: LogTable, columns: _Columns) -> AboveLog:
    """What is known of the run, with what columns say that hold one text throughout."""
    above = found.above
    for column, field in ((words.PART, "part"), (words.RATING, "rating")):
        one = columns.take(column)
        names = (
            list(dict.fromkeys(text.strip() for text in one.texts if text.strip())) if one else []
        )
        if len(names) > 1:
            shown = ", ".join(names[:4])
            raise ReadingsError(
                f"{found.table.file}: lines of several parts ({shown}); put each into a log of "
                "its own"
            )
        if names and field == "part":
            part, rating = part_and_rating(names[0])
            above = replace(above, part=part, rating=rating or above.rating)
        elif names:
            above = replace(above, rating=names[0])
    return above


class _Columns:
    """The columns of a log, each taken once, and what is said while they are read."""

    def __init__(self, found: LogTable, aside: Aside) -> None:
        self.table, self.aside = found.table, aside
        self.left = list(found.series)
        self.n = len(found.table.lines)
        self.over = np.zeros(self.n, bool)
        self.lost = np.zeros(self.n, bool)
        self.unread = np.zeros(self.n, bool)
        self.said: list[str] = []

    def say(self, text: str) -> None:
        """Note what was taken for granted."""
        self.said.append(text)

    def take(self, *kinds: str) -> Series | None:
        """The first column of one of these kinds, in the order of the kinds."""
        for kind in kinds:
            for one in self.left:
                if one.column == kind:
                    self.left.remove(one)
                    return one
        return None

    def voltage(self, *kinds: str) -> Floats | None:
        """A voltage of every row."""
        one = self.take(*kinds)
        if one is None:
            return None
        name = one.heading.text or "the voltage"
        if one.column == words.VOLTAGE:
            self.say(
                f"'{name}' was taken as the supply; if it is on the part, call it part voltage"
            )
        return self._spread(one, self._volts(one))

    def _currents(self) -> Floats | None:
        """Current from its own column, or from one a range, of which each line has one."""
        own = self.take(CURRENT)
        if own is None:
            return None
        values = self._spread(own, self._amperes(own))
        for other in [one for one in self.left if one.column == CURRENT]:
            filled = np.array([text.strip() != "" for text in other.texts], bool)
            if (filled & np.isfinite(values[other.rows])).any():
                continue  # it says something else: left, and set aside
            self.left.remove(other)
            more = self._spread(other, self._amperes(other))
            values = np.where(np.isnan(values), more, values)
        return values

    def current(self, ohm: float, supply: Floats | None, part: Floats | None) -> Floats:
        """Current of every row, from its own column, a drop, or both voltages."""
        file = self.table.file
        own = self._currents()
        if own is not None:
            return own
        drop = self.take(DROP)
        if drop is not None:
            if not ohm > 0:
                raise ReadingsError(
                    f"{file}: the drop over a resistor that is not told; {_RESISTOR}"
                )
            self.say(f"current from the drop over {format_quantity(ohm, 'Ω')}")
            return self._turned(drop, self._spread(drop, self._volts(drop))) / ohm
        if supply is None or part is None:
            raise ReadingsError(
                f"{file}: no current in it; log the current, or the drop over a resistor"
            )
        if not ohm > 0:
            raise ReadingsError(f"{file}: two voltages and no current; {_RESISTOR}")
        self.say(f"current from both voltages and {format_quantity(ohm, 'Ω')}")
        return (supply - part) / ohm

    def leave_out_the_rest(self) -> None:
        """Set aside the columns that say once more what another says."""
        for one in self.left:
            if one.column in (CURRENT, DROP, SUPPLY, PART_VOLTAGE, words.VOLTAGE):
                self.aside.add(
                    self.table.file, self.table.line, column=one.number,
                    heading=one.heading.text, found=one.heading.text,
                    reason="another column tells this already, or which voltage is not said",
                    remedy="nothing to do, unless it is meant: call it supply, part voltage or "
                    "drop, and leave the other out",
                )  # fmt: skip

    def _spread(self, one: Series, values: Floats) -> Floats:
        everywhere = np.full(self.n, np.nan)
        everywhere[one.rows] = values
        return everywhere

    def _amperes(self, one: Series) -> Floats:
        column = self._read(one, CURRENT, one.texts)
        return self._turned(one, self._bounded(one, column))

    def _volts(self, one: Series) -> Floats:
        """Voltages, which may be below nought where a meter shows nothing."""
        signed = [text.strip().startswith(("-", "−", "–")) and text.strip() for text in one.texts]
        texts = [own[1:] if own and own[1:].strip("-– ") else text
                 for own, text in zip(signed, one.texts, strict=True)]  # fmt: skip
        column = self._read(one, "voltage_v", texts)
        sign = np.array([-1.0 if own else 1.0 for own in signed])
        return sign * self._bounded(one, column)

    def _read(self, one: Series, quantity: str, texts: Sequence[str]) -> Column:
        column = read_column(texts, quantity, unit=one.heading.unit, decimal=self.table.decimal)
        for k, cell in column.cells.items():
            if cell.problem:
                self._refuse(one, k, cell.problem, cell.remedy)
        for flag in dict.fromkeys(column.flag.tolist()):
            if flag.startswith("no unit"):
                self.say(f"'{one.heading.text}': {flag}")
        return column

    def _bounded(self, one: Series, column: Column) -> Floats:
        """Values, the bound where a cell gives only that; other words are set aside."""
        bound = np.where(np.isnan(column.at_most), column.at_least, column.at_most)
        value = np.where(np.isnan(column.value), bound, column.value)
        if np.isfinite(bound).any():
            self.say(f"'{one.heading.text}': where a cell gives a bound, the bound was taken")
        unread = np.flatnonzero(
            np.isnan(value) & np.array([t.strip() != "" for t in one.texts], bool)
        )
        self.unread[one.rows[unread]] |= one.column in (SUPPLY, words.VOLTAGE)
        self.lost[one.rows[unread]] |= one.column in (CURRENT, DROP)
        for k in np.flatnonzero(np.isnan(value) & (column.flag != "")).tolist():
            flag = str(column.flag[k])
            self._refuse(one, k, flag, "read it again on a range that shows it")
            if flag.startswith(cell_words.OVER) and one.column in (CURRENT, DROP):
                self.over[one.rows[k]] = True
        return value

    def _turned(self, one: Series, values: Floats) -> Floats:
        """Currents, turned round where they are below nought but for noise.

        Not where most charge went the right way: an open clip leaves the offset of the meter.
        """
        known = values[np.isfinite(values)]
        if not known.size or not (np.median(known) < 0 and known.sum() < 0):
            return values
        self.say(f"'{one.heading.text}' is mostly below nought: the leads were reversed; turned")
        return -values

    def _refuse(self, one: Series, k: int, reason: str, remedy: str) -> None:
        self.aside.add(
            self.table.file, int(self.table.lines[one.rows[k]]), column=one.number,
            heading=one.heading.text, found=one.texts[k], reason=reason, remedy=remedy,
        )  # fmt: skip
