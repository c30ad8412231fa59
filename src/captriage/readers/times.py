"""Times in sheets: elapsed ("00:05:00", "5 min"), clock times, dates of either order, zones.

Day-first or month-first is decided once for a column from all of its dates, never for one row.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.readers.cells import read_column
from captriage.units import normalise

Instants = NDArray[np.datetime64]

HOUR: Final = 3600.0
DAY: Final = 86400.0
STEP_AFTER_CLOCK_CHANGE: Final = 900.0
"""Longest step, in seconds, that a log may show over a clock change to be taken for one."""

FROM_FIRST: Final = "soak counted from the first sample"
CLOCK_CHANGE: Final = "clock change"
MIDNIGHT: Final = "past midnight"
BACKWARDS: Final = "clock runs backwards: no soak time"
MINUTES_SECONDS: Final = "taken as minutes and seconds"

_TIME: Final = (
    r"(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<second>\d{2}(?:[.,]\d+)?))?\s*(?P<half>[ap]\.?m\.?)?"
    r"\s*(?P<zone>Z|UTC|GMT|[+-]\d{2}:?\d{2})?"
)
_CLOCK: Final = re.compile(rf"\s*{_TIME}\s*", re.IGNORECASE)
_DATE: Final = re.compile(
    rf"\s*(?P<a>\d{{1,4}})(?P<sign>[./-])\s?(?P<b>\d{{1,2}})(?P=sign)\s?(?P<c>\d{{2,4}})"
    rf"(?:(?:\s*[T,]\s*|\s+){_TIME})?\s*",
    re.IGNORECASE,
)
_NAMED: Final = re.compile(
    rf"\s*(?P<a>\d{{1,2}})\.?[\s-]*(?:de\s+)?(?P<month>[^\W\d_]{{3,12}})\.?[\s,-]*(?:de\s+)?(?P<c>\d{{2,4}})"
    rf"(?:(?:\s*[T,]\s*|\s+){_TIME})?\s*",
    re.IGNORECASE,
)
_ISO_ONLY: Final = re.compile(r"[0-9T: .\n-]+")
_MINUTES: Final = re.compile(r"\s*(\d{1,4}):([0-5]\d(?:[.,]\d+)?)\s*(min|m:s|mm:ss|h)?\s*")
_MONTHS: Final = {
    name: number
    for number, names in enumerate(
        (
            "jan ene gen januari janvier", "feb fev fév", "mar mär mrt maa maerz", "apr avr abr",
            "may mai mei mag", "jun juin giu", "jul juil lug", "aug aou aoû ago",
            "sep set", "oct okt ott", "nov", "dec dez déc dic",
        ),
        1,
    )
    for name in names.split()
}  # fmt: skip


@dataclass(frozen=True)
class Times:
    """A column of times.

    ``elapsed`` in seconds (NaN where the column gives instants), ``seconds`` on any common scale
    for differences, ``instants`` as the sheet has them (UTC where it names a zone), ``flag`` a
    text a row, ``problems`` row to (reason, remedy).
    """

    elapsed: NDArray[np.float64]
    seconds: NDArray[np.float64]
    instants: Instants
    flag: NDArray[np.object_]
    problems: dict[int, tuple[str, str]]


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
        return _read_dates(texts)
    if kind == "clock":
        return _read_clocks(texts)
    return _read_elapsed(texts, unit, decimal)


def _kind(texts: Sequence[str], unit: str) -> str:
    filled = [text for text in texts[:2000] if text.strip()]
    if any(_DATE.fullmatch(text) or _NAMED.fullmatch(text) for text in filled[:50]):
        return "date"
    clocks = [m for m in (_CLOCK.fullmatch(text) for text in filled[:50]) if m]
    if unit or len(clocks) < 2:
        return "elapsed"
    first = clocks[0]
    # A log that does not begin within its first hour shows the time of day.
    return "clock" if int(first["hour"]) >= 1 and first["second"] is not None else "elapsed"


def _nothing(n: int) -> tuple[NDArray[np.float64], Instants, NDArray[np.object_]]:
    return np.full(n, np.nan), np.full(n, "NaT", "datetime64[us]"), np.full(n, "", object)


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
    _, instants, _ = _nothing(len(texts))
    if np.nanmin(value, initial=np.inf) > 1e9 and not unit:  # seconds since 1970, as loggers count
        instants = (value * 1e6).astype("datetime64[us]")
        return Times(np.full(len(texts), np.nan), value, instants, flag, problems)
    return Times(value, value, instants, flag, problems)


def _read_clocks(texts: Sequence[str]) -> Times:
    seconds, instants, flag = _nothing(len(texts))
    problems = {}
    for i, text in enumerate(texts):
        match = _CLOCK.fullmatch(text)
        of_day = _of_day(match) if match else None
        if of_day is not None:
            seconds[i] = of_day
        elif text.strip():
            problems[i] = ("not a time of day", "write it as 14:05:30")
    return Times(np.full(len(texts), np.nan), seconds, instants, flag, problems)


def _of_day(match: re.Match[str]) -> float | None:
    """Seconds since midnight, or None for a time that does not exist."""
    if match["hour"] is None:
        return 0.0
    hour, minute = int(match["hour"]), int(match["minute"])
    second = float((match["second"] or "0").replace(",", "."))
    if match["half"]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if match["half"][0] in "pP" else 0)
    if hour > 23 or minute > 59 or second >= 60:
        return None
    return hour * HOUR + minute * 60.0 + second


def _read_dates(texts: Sequence[str]) -> Times:
    elapsed, instants, flag = _nothing(len(texts))
    quick = _iso(texts)
    if quick is not None:
        return Times(elapsed, _seconds(quick), quick, flag, {})
    cells = [_fields(text) if text.strip() else None for text in texts]
    order, why = _order([cell for cell in cells if cell is not None and cell.sign in "/-"])
    problems: dict[int, tuple[str, str]] = {}
    other = instants.copy()
    for i, (text, cell) in enumerate(zip(texts, cells, strict=True)):
        if not text.strip():
            continue
        if cell is None:
            problems[i] = ("not a date", "write it as 2025-11-03 14:05")
            continue
        day_first, month_first = cell.instant(day_first=True), cell.instant(day_first=False)
        chosen = month_first if order == "month" and cell.sign in "/-" else day_first
        if chosen is None and (order or day_first is month_first):
            problems[i] = ("no such date", "write it as 2025-11-03 14:05")
        elif order or day_first == month_first or cell.sign == ".":
            instants[i] = other[i] = np.datetime64(chosen, "us")
        else:
            problems[i] = (_both(day_first, month_first, why), "write dates as 2025-11-03")
            if day_first and month_first:
                instants[i], other[i] = np.datetime64(day_first), np.datetime64(month_first)
    seconds = _agreed(instants, other)
    instants[list(problems)] = np.datetime64("NaT")
    return Times(elapsed, seconds, instants, flag, problems)


def _iso(texts: Sequence[str]) -> Instants | None:
    if not texts or not re.match(r"\d{4}-\d", texts[0]):
        return None
    joined = "\n".join(texts)
    if _ISO_ONLY.fullmatch(joined) is None or joined.startswith("\n") or "\n\n" in joined:
        return None
    try:
        return np.array([text.strip() for text in texts], "datetime64[us]")
    except ValueError:
        return None


def _seconds(instants: Instants) -> NDArray[np.float64]:
    ticks = instants.astype("datetime64[us]").astype(np.int64)
    return np.where(np.isnat(instants), np.nan, ticks / 1e6)


def _agreed(first: Instants, second: Instants) -> NDArray[np.float64]:
    """Seconds on a common scale where both orders of day and month give the same differences."""
    a, b = _seconds(first), _seconds(second)
    gap = a - b
    known = gap[~np.isnan(gap)]
    if known.size and np.all(known == known[0]):
        return a
    return np.where(gap == 0, a, np.nan)


@dataclass(frozen=True)
class _Fields:
    """Numbers of a date as written."""

    a: int
    b: int
    c: int
    sign: str
    of_day: float
    zone: str

    def instant(self, *, day_first: bool) -> datetime | None:
        year, month, day = self.c, self.b, self.a
        if self.sign == "iso":
            year, month, day = self.a, self.b, self.c
        elif not day_first:
            month, day = day, month
        year += 2000 if year < 100 else 0
        try:
            at = datetime.combine(date(year, month, day), datetime.min.time())
            at += timedelta(seconds=self.of_day) - _offset(self.zone)
        except (ValueError, OverflowError):
            return None
        return at if 1900 <= year <= 2200 else None


def _offset(zone: str) -> timedelta:
    if not zone or zone.upper() in ("Z", "UTC", "GMT"):
        return timedelta(0)
    digits = zone[1:].replace(":", "")
    offset = timedelta(hours=int(digits[:2]), minutes=int(digits[2:]))
    return -offset if zone[0] == "-" else offset


def _fields(text: str) -> _Fields | None:
    text = normalise(text).strip().strip("'\"")
    match = _DATE.fullmatch(text)
    if match is not None:
        of_day = _of_day(match)
        iso = len(match["a"]) > 2
        if of_day is None or (len(match["c"]) == 3) or (len(match["a"]) == 3):
            return None
        sign = "iso" if iso else match["sign"]
        a, b, c = (int(match[k]) for k in "abc")
        return _Fields(a, b, c, sign, of_day, match["zone"] or "")
    match = _NAMED.fullmatch(text)
    if match is None:
        return None
    name = match["month"].lower()
    month = next((_MONTHS[name[:n]] for n in (4, 3) if name[:n] in _MONTHS), 0)
    of_day = _of_day(match)
    if not month or of_day is None:
        return None
    return _Fields(int(match["a"]), month, int(match["c"]), ".", of_day, match["zone"] or "")


def _order(cells: Sequence[_Fields]) -> tuple[str, str]:
    """Which comes first, "day" or "month", "" where the dates do not decide; and why not."""
    day = any(cell.a > 12 for cell in cells)
    month = any(cell.b > 12 for cell in cells)
    if day and month:
        return "", "the column has dates of both orders"
    if day or month:
        return ("day" if day else "month"), ""
    return "", "no date of the column decides"


def _both(day_first: datetime | None, month_first: datetime | None, why: str) -> str:
    shown = " or ".join(f"{at:%Y-%m-%d}" for at in (day_first, month_first) if at is not None)
    return f"ambiguous: {shown}; {why}"


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
        NaN for a series of one sample, or whose clock runs backwards otherwise.
    """
    n = len(seconds)
    soak, flag = np.full(n, np.nan), np.full(n, "", object)
    known = np.flatnonzero(~np.isnan(seconds))
    if known.size < 2:
        return soak, flag
    order = known[np.argsort(group[known], kind="stable")]
    at, series = seconds[order], group[order]
    begins = np.r_[True, series[1:] != series[:-1]]
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
