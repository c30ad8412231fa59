"""Times in sheets: elapsed ("00:05:00", "5 min"), of day, or dates; and soak times from them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.readers.cells import read_column
from captriage.readers.dates import (
    CLOCK,
    DATE,
    HOUR,
    NAMED,
    Times,
    nothing,
    of_day,
    read_dates,
)

DAY: Final = 86400.0
NEW_SERIES: Final = 2 * DAY
"""A pause longer than this, in seconds, begins a new series."""

STEP_AFTER_CLOCK_CHANGE: Final = 900.0
"""Longest step, in seconds, that a log may show over a clock change to be taken for one."""

FROM_FIRST: Final = "soak counted from the first sample"
CLOCK_CHANGE: Final = "clock change"
MIDNIGHT: Final = "past midnight"
BACKWARDS: Final = "clock runs backwards: no soak time"
MINUTES_SECONDS: Final = "taken as minutes and seconds"

_EPOCH: Final = re.compile(r"\s*[12]\d{9}(?:\.\d+)?\s*").fullmatch
_MINUTES: Final = re.compile(r"\s*(\d{1,4}):([0-5]\d(?:[.,]\d+)?)\s*(min|m:s|mm:ss|h)?\s*")


def read_times(texts: Sequence[str], *, unit: str = "", decimal: str | None = None) -> Times:
    """Read a column of times of one kind: elapsed, clock, or date with or without a clock.

    Parameters
    ----------
    texts : sequence of str
        The cells; blank ones stay NaN and NaT.
    unit : str
        Unit of the heading, for elapsed times ("s", "min").
    decimal : str, optional
        "." or ",".
    """
    kind = _kind(texts, unit)
    if kind == "date":
        return read_dates(texts)
    if kind == "clock":
        return _read_clocks(texts)
    if kind == "epoch":
        return _read_epoch(texts)
    return _read_elapsed(texts, unit, decimal)


def _kind(texts: Sequence[str], unit: str) -> str:
    filled = [text for text in texts[:2000] if text.strip()]
    if any(DATE.fullmatch(text) or NAMED.fullmatch(text) for text in filled[:50]):
        return "date"
    if filled and not unit and all(map(_EPOCH, filled)):
        return "epoch"
    clocks = [m for m in (CLOCK.fullmatch(text) for text in filled[:50]) if m]
    if unit or len(clocks) < 2:
        return "elapsed"
    first = clocks[0]
    # A log that does not begin within its first hour shows the time of day.
    return "clock" if int(first["hour"]) >= 1 and first["second"] is not None else "elapsed"


def _read_elapsed(texts: Sequence[str], unit: str, decimal: str | None) -> Times:
    changed: list[str] = list(texts)
    minutes: list[int] = []
    if any(":" in text for text in texts):
        hours = unit.strip().lower() in ("h", "hh:mm", "h:mm", "hours")
        for i, text in enumerate(texts):
            match = _MINUTES.fullmatch(text)
            if match is None:
                continue
            first, second = int(match[1]), float(match[2].replace(",", "."))
            large = hours or match[3] == "h"
            changed[i] = f"{first * 3600 + second * 60 if large else first * 60 + second!r} s"
            if not large:
                minutes.append(i)
    column = read_column(changed, "soak_s", unit=unit, decimal=decimal)
    flag = column.flag.copy()
    flag[minutes] = MINUTES_SECONDS
    problems = {i: (cell.problem, cell.remedy) for i, cell in column.cells.items() if cell.problem}
    for i in np.flatnonzero(np.isnan(column.value)).tolist():
        if texts[i].strip() and i not in problems:
            problems[i] = ("no time", "write the time as 5 min or 00:05:00")
    value = column.value
    _, instants, _ = nothing(len(texts))
    return Times(value, value, instants, flag, problems)


def _read_epoch(texts: Sequence[str]) -> Times:
    """Seconds since 1970, as loggers count."""
    seconds, instants, flag = nothing(len(texts))
    problems = {}
    for i, text in enumerate(texts):
        if _EPOCH(text):
            seconds[i] = float(text)
            instants[i] = np.datetime64(round(seconds[i] * 1e6), "us")
        elif text.strip():
            problems[i] = ("not seconds since 1970, as the cells above", "write it as they are")
    return Times(np.full(len(texts), np.nan), seconds, instants, flag, problems)


def _read_clocks(texts: Sequence[str]) -> Times:
    seconds, instants, flag = nothing(len(texts))
    problems = {}
    for i, text in enumerate(texts):
        match = CLOCK.fullmatch(text)
        since_midnight = of_day(match) if match else None
        if since_midnight is not None:
            seconds[i] = since_midnight
        elif text.strip():
            problems[i] = ("not a time of day", "write it as 14:05:30")
    return Times(np.full(len(texts), np.nan), seconds, instants, flag, problems)


def soak_of_series(
    seconds: NDArray[np.float64], group: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.object_]]:
    """Seconds since the first sample of each series, over clock changes and midnight.

    Parameters
    ----------
    seconds : ndarray, shape (n,)
        Clock of each sample on a common scale; NaN where not known. [s]
    group : ndarray, shape (n,)
        Which series the sample belongs to; samples stand in the order they were taken.

    Returns
    -------
    soak, flag : ndarray, shape (n,)
        NaN for a series of one sample, or whose clock runs backwards otherwise. A pause longer
        than :data:`NEW_SERIES` begins a new one.
    """
    n = len(seconds)
    soak, flag = np.full(n, np.nan), np.full(n, "", object)
    known = np.flatnonzero(~np.isnan(seconds))
    if known.size < 2:
        return soak, flag
    order = known[np.argsort(group[known], kind="stable")]
    at, series = seconds[order], group[order]
    begins = np.r_[True, (series[1:] != series[:-1]) | (np.diff(at) > NEW_SERIES)]
    step = np.r_[0.0, np.diff(at)]
    step[begins] = 0.0
    hour = (step < 0) & (step >= -HOUR) & (step + HOUR <= STEP_AFTER_CLOCK_CHANGE)
    midnight = (step < -DAY / 2) & (at < DAY) & (np.r_[0.0, at[:-1]] < DAY)
    broken = (step < 0) & ~hour & ~midnight
    jumps = np.where(hour, HOUR, 0.0) + np.where(midnight, DAY, 0.0)
    number = np.cumsum(begins) - 1
    first = np.flatnonzero(begins)
    total = np.cumsum(jumps)
    since = at - at[first][number] + total - total[first][number]
    size = np.bincount(number)
    bad = np.isin(number, number[broken])
    single = size[number] < 2
    soak[order] = np.where(bad | single, np.nan, since)
    shifted = (total - total[first][number]) > 0
    changed = np.cumsum(hour) - np.cumsum(hour)[first][number] > 0
    text = np.where(changed, f"{CLOCK_CHANGE}; {FROM_FIRST}", FROM_FIRST).astype(object)
    text[shifted & ~changed] = f"{MIDNIGHT}; {FROM_FIRST}"
    text[bad] = BACKWARDS
    text[single] = ""
    flag[order] = text
    return soak, flag
