"""When readings were taken: which belong to one session, and which to one capture."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.columns import BEFORE, CAPACITANCE, ESR, IMPEDANCE, TAN_DELTA
from captriage.model.uncertainty import uncertainty_of_mean

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Rows = NDArray[np.int64]

SESSION_GAP: Final = np.timedelta64(12, "h")
"""A longer pause between two readings of one thing parts two sessions at the bench; ours."""

CAPTURE_GAP: Final = np.timedelta64(10, "s")
"""A longer pause between two readings of one thing parts two captures; ours. A meter that
averages for long takes seconds for a reading; to clip a part on anew and find its place in the
sheet takes longer."""

CAPTURE_LONGEST: Final = np.timedelta64(5, "m")
"""A longer series follows the part through time: each of its readings stands for itself; ours."""

REPEATED: Final = (CAPACITANCE, ESR, TAN_DELTA, IMPEDANCE, *BEFORE.values())
"""What is read several times in one capture; a leakage current falls from reading to reading."""

CONDITIONS: Final = ("frequency_hz", "voltage_v", "temperature_degc")


@dataclass(frozen=True)
class Timeline:
    """Readings whose time is told, those of one quantity of one part together and in time.

    Attributes
    ----------
    rows : ndarray of int, shape (m,)
        Rows of the readings.
    at : ndarray of datetime64, shape (m,)
        When they were taken.
    same : ndarray of bool, shape (m - 1,)
        Whether a reading is of the same quantity and part as the one before.
    """

    rows: Rows
    at: NDArray[np.datetime64]
    same: Mask


def timeline(readings: pd.DataFrame) -> Timeline:
    """The readings in time; none where no time is told."""
    taken = readings["taken_at"].to_numpy("datetime64[us]")
    rows = np.flatnonzero(~np.isnat(taken))
    if not len(rows):
        return Timeline(rows, taken[rows], np.zeros(0, bool))
    quantity = readings["quantity"].cat.codes.to_numpy(np.int64)[rows]
    part = readings["part_row"].to_numpy(np.int64)[rows]
    kind = part * (quantity.max() + 1) + quantity
    order = np.lexsort((taken[rows], kind))
    return Timeline(rows[order], taken[rows][order], np.diff(kind[order]) == 0)


def superseded(line: Timeline, n: int) -> Mask:
    """Readings, of n, of an earlier session than the last of their quantity and part."""
    old = np.zeros(n, bool)
    if not len(line.rows):
        return old
    breaks = line.same & (np.diff(line.at) > SESSION_GAP)
    # What stands before the last break of its kind is old: count breaks from the end.
    after = np.r_[np.cumsum(breaks[::-1])[::-1], 0]
    last_of_kind = np.r_[np.flatnonzero(~line.same), len(line.rows) - 1]
    group = np.r_[0, np.cumsum(~line.same)]
    old[line.rows] = after > after[last_of_kind][group]
    return old


@dataclass(frozen=True)
class Captures:
    """Readings with those of one capture taken together; arrays over the readings.

    Several readings of one quantity of one part, taken by one meter at the same conditions,
    seconds apart, are one measurement: its value is their mean.

    Attributes
    ----------
    lead : ndarray of int
        Row of the first reading of its capture; its own row where it stands alone.
    count : ndarray of int
        Number of readings in its capture.
    value : ndarray of float
        Mean of the capture, in the unit of the reading; NaN where it has no number.
    stated : ndarray of float
        Mean of the stated expanded uncertainties (k = 2), which the same meter makes alike in
        all of them; NaN where one is not stated.
    scatter : ndarray of float
        Standard uncertainty of the mean by the scatter of the readings; 0 where it is alone.
    """

    lead: Rows
    count: Rows
    value: Floats
    stated: Floats
    scatter: Floats

    @cached_property
    def leads(self) -> Mask:
        """Readings that stand for their capture."""
        return np.asarray(self.lead == np.arange(len(self.lead)))

    def whole(self, some: Mask) -> Mask:
        """All readings of the captures of which some are marked."""
        marked = np.zeros(len(self.lead), bool)
        marked[self.lead[some]] = True
        return marked[self.lead]


def captures(readings: pd.DataFrame, line: Timeline) -> Captures:
    """Take the readings of each capture together, as far as their times tell of one."""
    n = len(readings)
    lead, count, scatter = np.arange(n), np.ones(n, np.int64), np.zeros(n)
    value = readings["value"].to_numpy(float)
    stated = readings["uncertainty"].to_numpy(float)
    at, starts = _runs(readings, line)
    if not len(starts):
        return Captures(lead, count, value, stated, scatter)
    lengths = np.diff(np.r_[starts, len(at)])
    rows = line.rows[at]

    def summed(numbers: Floats) -> Floats:
        """Sum over each run, for each of its readings."""
        return np.repeat(np.add.reduceat(numbers, starts), lengths)

    number = np.repeat(lengths, lengths)
    mean = summed(value[rows]) / number
    scatter[rows] = uncertainty_of_mean(summed((value[rows] - mean) ** 2), number)
    mean_stated = summed(stated[rows]) / number
    value, stated = value.copy(), stated.copy()
    value[rows], stated[rows], count[rows] = mean, mean_stated, number
    lead[rows] = np.repeat(np.minimum.reduceat(rows, starts), lengths)
    return Captures(lead, count, value, stated, scatter)


def _runs(readings: pd.DataFrame, line: Timeline) -> tuple[Rows, Rows]:
    """Places in the timeline of the readings of captures, and where in these each one starts."""
    none = np.zeros(0, np.int64)
    pause = np.diff(line.at)
    # Of two readings in one second that name no fraction of it, which was first is not told.
    linked = line.same & (pause > np.timedelta64(0)) & (pause <= CAPTURE_GAP)
    first = np.flatnonzero(linked)
    if not len(first):
        return none, none
    linked[first] = _alike(readings.iloc[line.rows[first]], readings.iloc[line.rows[first + 1]])
    inside = np.r_[linked, False] | np.r_[False, linked]
    at = np.flatnonzero(inside)
    begins = ~np.r_[False, linked][at]
    if not len(at):
        return none, none
    starts = np.flatnonzero(begins)
    lengths = np.diff(np.r_[starts, len(at)])
    ends = starts + lengths - 1
    short = line.at[at[ends]] - line.at[at[starts]] <= CAPTURE_LONGEST
    at = at[np.repeat(short, lengths)]
    return at, np.r_[0, np.cumsum(lengths[short])[:-1]].astype(np.int64) if len(at) else none


def _alike(one: pd.DataFrame, other: pd.DataFrame) -> Mask:
    """Whether readings are of what is repeated, have numbers, no flag, and like conditions."""
    alike = np.array(one["quantity"].isin(REPEATED), bool)
    for column in ("meter", "source_file"):
        alike &= one[column].to_numpy(object) == other[column].to_numpy(object)
    for each in (one, other):
        alike &= ~np.isnan(each["value"].to_numpy(float)) & (each["flag"] == "").to_numpy(bool)
    for column in CONDITIONS:
        here, there = one[column].to_numpy(float), other[column].to_numpy(float)
        alike &= (here == there) | (np.isnan(here) & np.isnan(there))
    return alike
