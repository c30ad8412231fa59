"""Dates of either order, with clock and zone, and times of day.

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

from captriage.units import normalise

Instants = NDArray[np.datetime64]

HOUR: Final = 3600.0
_TIME: Final = (
    r"(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<second>\d{2}(?:[.,]\d+)?))?\s*(?P<half>[ap]\.?m\.?)?"
    r"\s*(?P<zone>Z|UTC|GMT|[+-]\d{2}:?\d{2})?"
)
CLOCK: Final = re.compile(rf"\s*{_TIME}\s*", re.IGNORECASE)
DATE: Final = re.compile(
    rf"\s*(?P<a>\d{{1,4}})(?P<sign>[./-])\s?(?P<b>\d{{1,2}})(?P=sign)\s?(?P<c>\d{{2,4}})"
    rf"(?:(?:\s*[T,]\s*|\s+){_TIME})?\s*",
    re.IGNORECASE,
)
NAMED: Final = re.compile(
    rf"\s*(?P<a>\d{{1,2}})\.?[\s-]*(?:de\s+)?(?P<month>[^\W\d_]{{3,12}})\.?[\s,-]*(?:de\s+)?(?P<c>\d{{2,4}})"
    rf"(?:(?:\s*[T,]\s*|\s+){_TIME})?\s*",
    re.IGNORECASE,
)
YEAR: Final = re.compile(r"\W*(?:ca?\.?|circa|about|um)?\s*(?:18|19|20)\d{2}\W*", re.I).fullmatch
"""A year and nothing else: a part's, since no reading is dated so."""
_ISO_ONLY: Final = re.compile(r"[0-9T: .\n-]+")
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


def nothing(n: int) -> tuple[NDArray[np.float64], Instants, NDArray[np.object_]]:
    """Seconds, instants and flags of n cells of which nothing is known."""
    return np.full(n, np.nan), np.full(n, "NaT", "datetime64[us]"), np.full(n, "", object)


def of_day(match: re.Match[str]) -> float | None:
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


def read_dates(texts: Sequence[str]) -> Times:
    """Read a column of dates, with or without a clock and a zone."""
    elapsed, instants, flag = nothing(len(texts))
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
    match = DATE.fullmatch(text)
    if match is not None:
        seconds = of_day(match)
        iso = len(match["a"]) > 2
        if seconds is None or len(match["c"]) == 3 or len(match["a"]) == 3:
            return None
        sign = "iso" if iso else match["sign"]
        a, b, c = (int(match[k]) for k in "abc")
        return _Fields(a, b, c, sign, seconds, match["zone"] or "")
    match = NAMED.fullmatch(text)
    if match is None:
        return None
    name = match["month"].lower()
    month = next((_MONTHS[name[:n]] for n in (4, 3) if name[:n] in _MONTHS), 0)
    seconds = of_day(match)
    if not month or seconds is None:
        return None
    return _Fields(int(match["a"]), month, int(match["c"]), ".", seconds, match["zone"] or "")


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
