"""The log of a reforming run, as any logger or hand writes it, to a curve.

Nothing is guessed: a cell or a line that cannot be used is set aside with its place, the reason
and the remedy, and what had to be taken for granted is said.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.errors import ReadingsError
from captriage.readers.aside import Aside
from captriage.readers.curve_columns import Measured, measured
from captriage.readers.curve_contradictions import refuse_contradictions
from captriage.readers.curve_headings import known_in
from captriage.readers.curve_preamble import is_retest
from captriage.readers.curve_tables import LogTable, log_table
from captriage.readers.curve_times import in_order, read_clock
from captriage.readers.remark_looks import UNCLEAR, looks_in_remark
from captriage.readers.splitting import SPACES, Grid, split
from captriage.readers.text import decode, is_zip, read_bytes
from captriage.reform.curves import Curve
from captriage.units import format_quantity

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

FEWEST: Final = 3
"""Readings of current without which there is no curve."""

GAP: Final = 20.0
"""A pause of so many usual ones is told."""

SHORT_GAP_S: Final = 60.0
"""A pause shorter than this is not. [s]"""

GAPS_TOLD: Final = 5


@dataclass(frozen=True)
class CurveLog:
    """A log as it was understood.

    Attributes
    ----------
    curve : Curve
        Its readings.
    file : str
        What messages call it.
    part, rating, made : str
        As the log has them, "" where it does not.
    voltage_working : float
        Highest that its circuit puts on the part; NaN where the log does not say. [V]
    ends_at : datetime64
        Instant of its last reading, as the log has it; NaT where no date is told.
    retest : bool
        It is the run that proves the part after a rest.
    remarks : tuple of str
        What was taken for granted, and what was done to the lines.
    doubts : tuple of str
        Why the curve may not be believed up to its end: nothing may be kept on it.
    set_aside : DataFrame
        :data:`captriage.columns.SET_ASIDE`.
    """

    curve: Curve
    file: str
    part: str
    rating: str
    made: str
    voltage_working: float
    ends_at: np.datetime64
    retest: bool
    remarks: tuple[str, ...]
    doubts: tuple[str, ...]
    set_aside: pd.DataFrame


def read_curve_log(
    path: str | Path,
    *,
    series_ohm: float = math.nan,
    supply_v: float = math.nan,
    floor_a: float = 0.0,
    columns: str = "",
    worksheet: str | None = None,
) -> CurveLog:
    """Read the log of one run of one part: CSV, TSV or XLSX, by hand or from a logger.

    Parameters
    ----------
    path : path
        The log.
    series_ohm : float
        Resistor between supply and part, which beats the one that the log names. [Ω]
    supply_v : float
        Voltage of the supply, where it stood still and the log does not have it. [V]
    floor_a : float
        Uncertainty of the meter that does not shrink with the reading, k = 2. [A]
    columns : str
        Headings of a log without them, such as "time s, supply V, current mA".
    worksheet : str, optional
        The worksheet of a workbook; without it the first that holds a log.

    Returns
    -------
    CurveLog

    Raises
    ------
    ReadingsError
        The file cannot be opened, or no curve can be made of it.
    """
    file = Path(path)
    aside = Aside()
    grids, found = [], None
    for grid in _grids(file, worksheet):
        grids.append(grid)
        found = log_table(grid, aside, columns)
        if found is not None:
            break
    if found is None:
        raise ReadingsError(
            f"{file.name}: no log in it{_first_row(grids)}; give its columns headings such as: "
            "time (s), supply (V), current (mA); or name them with --columns"
        )
    read = measured(found, aside, series_ohm=series_ohm, supply_v=supply_v)
    return _ordered(file, found, read, aside, floor_a)


def _grids(file: Path, worksheet: str | None) -> Iterator[Grid]:
    """A file as cells in each way that it may be meant, the likeliest first."""
    data = read_bytes(file, name=str(file))
    if is_zip(data):
        from captriage.readers.workbook import read_workbook

        yield from read_workbook(data, file.name, stem=file.stem, worksheet=worksheet)
        return
    text = decode(data, name=str(file))
    yield split(text, file.name, headings_in=known_in, stem=file.stem)
    lines = text.rstrip("\n").split("\n")
    # A hand that wrote no headings lines its columns up with spaces.
    rows = [re.split(r"\t|\s{2,}", line.strip()) for line in lines]
    yield Grid(file.name, rows, np.arange(1, len(rows) + 1), SPACES, stem=file.stem)


def _first_row(grids: list[Grid]) -> str:
    rows = (row for grid in grids for row in grid.rows if any(cell.strip() for cell in row))
    text = " ".join(", ".join(next(rows, [])).split())
    return f" (the first row is: {text[:80]})" if text else ""


def _ordered(file: Path, found: LogTable, read: Measured, aside: Aside, floor_a: float) -> CurveLog:
    """The curve in the order of time, each time once."""
    table, above = found.table, read.above
    clock = read_clock(table, found.series, aside)
    untimed = np.flatnonzero(np.isnan(clock.time_s) & np.isfinite(read.current_a))
    _lines_aside(
        found, aside, untimed.tolist(), "no time beside the reading", "write when it was read"
    )
    order = in_order(clock.time_s, table.lines)
    _lines_aside(
        found, aside, order.anew.tolist(), "the time begins anew: another run",
        "put each run in a file of its own",
    )  # fmt: skip
    rows, once = _each_time_once(found, read, clock.time_s, order.rows, aside)
    usable = int(np.isfinite(once.current_a).sum())
    if usable < FEWEST:
        raise ReadingsError(
            f"{file.name}: {usable} readings of current that have a time; at least {FEWEST} make "
            f"a curve{_why_not(aside)}{_damage(aside, above.part)}"
        )
    time_s = clock.time_s[rows] - clock.time_s[rows[0]]
    ends_at = clock.taken_at[rows[-1]]
    supply_v, filled = _as_before(once)
    curve = Curve(
        time_s=time_s,
        supply_v=supply_v,
        current_a=once.current_a,
        part_v=once.part_v,
        series_ohm=read.series_ohm,
        floor_a=floor_a,
    )
    refuse_contradictions(file.name, curve)
    said = (*found.remarks, *clock.remarks, *order.remarks, *read.remarks, *filled)
    return CurveLog(
        curve, file.name, above.part, above.rating, above.made, above.voltage_working,
        ends_at, above.retest or is_retest(file.stem),
        (*said, *_gaps(time_s), *_over(once)),
        _doubts(curve, once, table.lines[order.anew].tolist()),
        aside.frame(),
    )  # fmt: skip


def _lines_aside(found: LogTable, aside: Aside, rows: list[int], reason: str, remedy: str) -> None:
    """Set whole lines aside."""
    table = found.table
    for i in rows:
        cells = (column[i].strip() for column in table.cells)
        text = " | ".join(filter(None, cells))
        aside.add(table.file, int(table.lines[i]), found=text, reason=reason, remedy=remedy)


def _each_time_once(
    found: LogTable, read: Measured, time_s: Floats, rows: Rows, aside: Aside
) -> tuple[Rows, Measured]:
    """Rows of different times; lines of one time that complete each other become one.

    Of two lines that say different things of one time the first counts: which was read later
    within it is not told.
    """
    kept: list[int] = []
    held = {name: getattr(read, name).copy() for name in ("current_a", "supply_v", "part_v")}
    over, lost = read.over.copy(), read.lost.copy()
    second = []
    for i in rows.tolist():
        if not kept or time_s[i] > time_s[kept[-1]]:
            kept.append(i)
            continue
        first = kept[-1]
        if any(_differ(each[first], each[i]) for each in held.values()):
            second.append(i)
            continue
        for each in held.values():
            each[first] = each[i] if math.isnan(each[first]) else each[first]
        over[first] |= over[i]
        lost[first] |= lost[i]
    _lines_aside(
        found, aside, second, "a second line at the same time",
        "give the time with more digits, if both are to count",
    )  # fmt: skip
    once = np.array(kept, np.int64)
    apart = {name: each[once] for name, each in held.items()}
    unread = read.unread[once]
    return once, replace(read, over=over[once], lost=lost[once], unread=unread, **apart)


def _differ(one: float, other: float) -> bool:
    return not (math.isnan(one) or math.isnan(other) or one == other)


def _as_before(read: Measured) -> tuple[Floats, tuple[str, ...]]:
    """Voltage of the supply, which stays until another one is written, and what is said of it."""
    known = np.isfinite(read.supply_v)
    before = np.maximum.accumulate(np.where(known | read.unread, np.arange(len(known)), -1))
    supply_v = np.where(before >= 0, read.supply_v[before], np.nan)
    blank = int((np.isfinite(supply_v) & ~known).sum())
    if not blank:
        return supply_v, ()
    lines = "1 line" if blank == 1 else f"{blank} lines"
    return supply_v, (f"supply voltage blank in {lines}: taken as in the line before",)


def _gaps(time_s: Floats) -> tuple[str, ...]:
    """Where the log has no reading for long."""
    step = np.diff(time_s)
    usual = max(float(np.median(step)), SHORT_GAP_S / GAP) if step.size else math.inf
    return tuple(
        f"no reading from {_seconds(time_s[i])} to {_seconds(time_s[i + 1])}"
        for i in np.flatnonzero(step > GAP * usual).tolist()[:GAPS_TOLD]
    )


def _seconds(time_s: float) -> str:
    """A time as said at the bench: "3590 s", from two hours on "2.5 h"."""
    hours = time_s / 3600
    return f"{format_quantity(hours, '')} h" if hours >= 2 else format_quantity(float(time_s), "s")


def _over(read: Measured) -> tuple[str, ...]:
    """How often the current was not to be seen."""
    lines = int(read.over.sum())
    if not lines:
        return ()
    told = "1 line" if lines == 1 else f"{lines} lines"
    return (f"the current was over the meter's range in {told}: what it was there is not known",)


def _doubts(curve: Curve, read: Measured, anew: list[int]) -> tuple[str, ...]:
    """Why the curve does not tell how the run stands at its end."""
    doubts = []
    last = int(np.flatnonzero(np.isfinite(read.current_a))[-1])
    if read.over[last + 1 :].any():
        doubts.append(
            f"the current went over the meter's range after {_seconds(curve.time_s[last])} "
            "and was not seen again"
        )
    elif int(read.lost[last + 1 :].sum()) >= FEWEST:
        doubts.append(f"the current could not be read after {_seconds(curve.time_s[last])}")
    if anew:
        doubts.append(
            f"the time begins anew in line {anew[0]}, and what follows is not in this curve"
        )
    return tuple(doubts)


def _damage(aside: Aside, part: str) -> str:
    """Damage that is told in lines and cells that are no readings, for an error as well."""
    told = dict.fromkeys(filter(str.strip, aside.frame()["found"]))
    named = [f"'{text}'" for text in told if set(looks_in_remark(text, own_name=part)) - {UNCLEAR}]
    if not named:
        return ""
    return f"; it says {', '.join(named)}: look at the part, and put no voltage on it before that"


def _why_not(aside: Aside) -> str:
    """The commonest reason why a cell was set aside, for an error that ends the reading."""
    reasons = aside.frame()["reason"].value_counts()
    return f" (most often: {reasons.index[0]})" if len(reasons) else ""
