"""The time axis of a log: from whatever clock it has to seconds since it began, ascending."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.errors import ReadingsError
from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.clocks import read_when
from captriage.readers.curve_headings import TIMES
from captriage.readers.dates import Instants
from captriage.readers.layout import Table
from captriage.readers.series import Series
from captriage.readers.spelling import heading_unit
from captriage.readers.times import BACKWARDS, FROM_FIRST, soak_of_series

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

OVERTAKEN: Final = 5
"""So many rows in a row that lie before an earlier one are a run begun anew, not a jumble."""

AGAIN: Final = 3
NEAR_BEGINNING: Final = 0.1
"""So many ascending rows, the first within this share of the time so far, begin it anew."""

_PAIR: Final = re.compile(r"\d{1,4}:[0-5]\d").fullmatch
_HOURS: Final = re.compile(r"\bh{1,2}:m{1,2}\b(?!:)", re.IGNORECASE)
_MINUTES: Final = re.compile(r"(?<!:)\bm{1,2}:s{1,2}\b", re.IGNORECASE)
_MILLISECONDS: Final = re.compile(r"\s*([12]\d{9})(\d{3})\s*")
_UNTOLD: Final = re.compile(r"\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?")


@dataclass(frozen=True)
class Clock:
    """Seconds of every row of a table, NaN where they are not told, and what is to be said.

    ``taken_at`` are the instants of the rows, NaT where no date is told.
    """

    time_s: Floats
    remarks: tuple[str, ...]
    taken_at: Instants


def read_clock(table: Table, series: Sequence[Series], aside: Aside) -> Clock:
    """Time of each row from the columns of time, in the order of the rows.

    Parameters
    ----------
    table : Table
        The log.
    series : sequence of Series
        Its columns; those of time are read.
    aside : Aside
        Takes the cells that are no time.
    """
    own = [_two_fields(_epoch_in_seconds(one), table) for one in series if one.column in TIMES]
    doubtful = Aside()
    when = read_when(table, own, doubtful)
    remarks = [f"time: {flag}" for flag in dict.fromkeys(when.flag.tolist()) if flag]
    known = ~np.isnat(when.taken_at)
    ticks = when.taken_at.astype("datetime64[us]").astype(np.int64)
    instants = np.where(known, ticks / 1e6, np.nan)
    readings = (when.soak, instants, when.seconds)
    best = max(readings, key=lambda each: int(np.isfinite(each).sum()))
    remarks += _set_aside(doubtful, table, np.isfinite(best), aside)
    if best is not when.soak:
        return Clock(*_of_clock(best, remarks), when.taken_at)
    untold = [one for one in own if _is_bare(one)]
    if untold:
        name = untold[0].heading.text or f"column {untold[0].number}"
        remarks.append(f"time: '{name}' has no unit: taken as seconds")
    return Clock(best, tuple(remarks), when.taken_at)


def _of_clock(seconds: Floats, remarks: list[str]) -> tuple[Floats, tuple[str, ...]]:
    """Seconds since the first row, over midnight and clock changes where rows are in order."""
    since, flag = soak_of_series(seconds, np.zeros(len(seconds), np.int64))
    said = {text for text in flag.tolist() if text} - {FROM_FIRST, BACKWARDS}
    remarks += [f"time: {text.partition(';')[0]}" for text in sorted(said)]
    if np.isfinite(since).any():
        return since, tuple(remarks)
    known = seconds[np.isfinite(seconds)]
    return seconds - (known.min() if known.size else 0.0), tuple(remarks)


def _set_aside(doubtful: Aside, table: Table, timed: NDArray[np.bool_], aside: Aside) -> list[str]:
    """Set aside the cells that leave their row without a time; what is said of the others.

    A date that may be read in two ways does no harm where only its differences count.
    """
    known = set(table.lines[timed].tolist())
    harmless = 0
    for row in doubtful.frame().to_dict("records"):
        if row["line"] in known:
            harmless += 1
            continue
        told = {name: str(row[name]) for name in ("found", "heading", "reason", "remedy")}
        aside.add(table.file, int(row["line"]), column=int(row["column"]), **told)
    if not harmless:
        return []
    return ["the date may be read in two ways: only the time between readings was used"]


def _two_fields(one: Series, table: Table) -> Series:
    """Times such as "14:05" as what the heading says of them: of day, in hours, or in minutes.

    Raises
    ------
    ReadingsError
        It says nothing, and they may be either: sixty times as long makes another curve.
    """
    texts = [text.strip() for text in one.texts if text.strip()]
    if not texts or not all(map(_PAIR, texts)):
        return one
    heading = one.heading.text
    if one.column == words.CLOCK or _HOURS.search(heading):
        return replace(one, texts=[f"{text}:00" if text.strip() else text for text in one.texts])
    if _MINUTES.search(heading) or one.heading.unit:
        return one
    raise ReadingsError(
        f"{table.file}: '{texts[0]}' under '{heading}' may be hours and minutes, or minutes and "
        "seconds; call the column 'time of day', 'elapsed (hh:mm)' or 'elapsed (mm:ss)'"
    )


def _is_bare(one: Series) -> bool:
    """Whether a column of elapsed time holds numbers of which no unit is told."""
    texts = [text.strip() for text in one.texts if text.strip()][:50]
    return not one.heading.unit and bool(texts) and all(map(_UNTOLD.fullmatch, texts))


def _epoch_in_seconds(one: Series) -> Series:
    """Milliseconds since 1970 written as seconds, other columns as they are."""
    unit = heading_unit(one.heading.unit) if one.heading.unit else None
    if unit is not None and unit.multiply / unit.divide != 1e-3:
        return one
    found = [_MILLISECONDS.fullmatch(text) for text in one.texts]
    if not any(found) or any(
        text.strip() and not match for text, match in zip(one.texts, found, strict=True)
    ):
        return one
    texts = ["" if match is None else f"{match[1]}.{match[2]}" for match in found]
    return replace(one, texts=texts, heading=replace(one.heading, unit=""))


@dataclass(frozen=True)
class Order:
    """Rows of a table in the order of time, and which rows cannot be placed in it.

    ``rows`` ascend in time; rows of one time stand in the order of the file. ``anew`` are those
    from where the time begins again.
    """

    rows: Rows
    anew: Rows
    remarks: tuple[str, ...] = ()


def in_order(time_s: Floats, lines: Rows) -> Order:
    """Put rows in the order of time.

    A file that is written the newest first is turned round, and a few rows out of order are
    sorted in. Where the time goes back and goes on from there, another run begins: rows from
    there on belong to a curve of their own.

    Parameters
    ----------
    time_s : ndarray
        Time of each row, NaN where it is not told. [s]
    lines : ndarray of int
        Their lines in the file, for what is said of them.
    """
    known = np.flatnonzero(np.isfinite(time_s))
    none = np.empty(0, np.int64)
    at = time_s[known]
    step = np.diff(at)
    if not (step < 0).any():
        return Order(known, none)
    if len(known) > 2 and (step <= 0).all():
        return Order(known[::-1], none, ("the newest reading stands first: turned round",))
    highest = np.maximum.accumulate(at)
    late = np.r_[False, at[1:] < highest[:-1]]
    begins = _first_run(late, at, highest)
    anew = known[begins:] if begins >= 0 else none
    kept = known[:begins] if begins >= 0 else known
    remarks = []
    moved = int(late[: len(kept)].sum())
    if moved:
        first = int(lines[kept[np.flatnonzero(late[: len(kept)])[0]]])
        rows = "1 line" if moved == 1 else f"{moved} lines"
        remarks.append(f"{rows} out of order in time, the first of them line {first}: sorted in")
    return Order(kept[np.argsort(time_s[kept], kind="stable")], anew, tuple(remarks))


def _first_run(late: NDArray[np.bool_], at: Floats, highest: Floats) -> int:
    """Where another run begins, or -1: :data:`OVERTAKEN` rows in a row are late, or the time has
    gone back to where it began and ascends from there.
    """
    edges = np.flatnonzero(np.diff(np.r_[False, late, False].astype(np.int8)))
    for first, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        following = at[first : first + AGAIN]
        back = at[first] <= at[0] + NEAR_BEGINNING * (highest[first] - at[0])
        again = back and len(following) == AGAIN and bool((np.diff(following) > 0).all())
        if again or end - first >= OVERTAKEN:
            return int(first)
    return -1
