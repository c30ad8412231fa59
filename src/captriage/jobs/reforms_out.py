"""A job with reforming runs out of the book: its sheets, and a log for each run."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import isnan
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import pandas as pd

from captriage.columns import BEFORE, SET_ASIDE, Sheets
from captriage.jobs.before_reform import kept_before, marked
from captriage.jobs.curves_beside import not_used
from captriage.jobs.curves_in_book import (
    BY_HAND,
    HEAT,
    PoweredRun,
    outcome_of_stop,
    powered_runs,
)
from captriage.jobs.reform_curves import RETEST, RUN
from captriage.store.exporting import RunLog, write_logs, write_sheets

if TYPE_CHECKING:
    from captriage.store.book import Book

FOLDER: Final = "reforming"
"""Where the logs go, beside the sheets."""

_NO_NAME: Final = re.compile(r"[^\w .()-]+")


def handed_out(book: Book, job_id: int, folder: Path) -> list[Path]:
    """Write sheets and logs; what the curves prove is judged anew, with ``--curves``.

    What no curve tells is carried in the sheets: capacitance and loss of before the reform, a
    danger that was seen at the bench, and a run that was stopped by heat.

    Raises
    ------
    BookError
        A file is there already, or cannot be written.
    """
    sheets, kept_at = book.dated_sheets(job_id)
    runs = list(powered_runs(book, job_id, sheets.parts))
    begins: dict[int, np.datetime64] = {}
    for each in runs:
        if each.left.purpose == RUN:
            begins[each.row] = min(each.begun, begins.get(each.row, each.begun))
    then = kept_before(sheets.readings, kept_at, begins)
    then &= _ended(sheets, then, runs)[sheets.readings["part_row"].to_numpy(np.int64)]
    told = replace(
        sheets,
        parts=_with_dangers(sheets.parts, runs),
        readings=marked(sheets.readings, then),
        set_aside=_with_heat(sheets, runs),
    )
    logs = write_logs([log_of(each) for each in runs], folder / FOLDER)
    try:
        return [*write_sheets(told, folder), *logs]
    except BaseException:
        for path in logs:
            path.unlink(missing_ok=True)
        raise


def _ended(sheets: Sheets, then: np.ndarray, runs: Sequence[PoweredRun]) -> np.ndarray:
    """Parts whose reform was re-tested, or which were read again: what was before is not today's.

    Without either it may be under way, and no limit of any policy is asked here.
    """
    readings = sheets.readings
    ended = np.zeros(len(sheets.parts), bool)
    ended[[each.row for each in runs if each.left.purpose == RETEST]] = True
    since = readings["quantity"].isin(list(BEFORE)).to_numpy(bool) & ~then
    ended[readings["part_row"].to_numpy(np.int64)[since]] = True
    return ended


def _with_dangers(parts: pd.DataFrame, runs: Sequence[PoweredRun]) -> pd.DataFrame:
    """Parts with the outcome of a run that was stopped by a danger."""
    outcomes = parts["reform_outcome"].tolist()
    for each in runs:
        danger = outcome_of_stop(each.left.stopped)
        if danger:
            outcomes[each.row] = danger
    return parts.assign(reform_outcome=pd.Series(outcomes, index=parts.index, dtype="str"))


def _with_heat(sheets: Sheets, runs: Sequence[PoweredRun]) -> pd.DataFrame:
    """What was set aside, and each part whose last run was stopped by heat."""
    last = {each.row: each for each in runs}
    rows: list[dict[str, Any]] = [
        not_used(
            log_of(each).name,
            f"it was stopped: {each.left.stopped}; {BY_HAND}",
            sheets.parts,
            each.row,
        )
        for each in last.values()
        if HEAT.search(each.left.stopped)
    ]
    if not rows:
        return sheets.set_aside
    more = pd.DataFrame(rows).astype(SET_ASIDE)
    return pd.concat([sheets.set_aside, more], ignore_index=True)


def log_of(powered: PoweredRun) -> RunLog:
    """A run as a log: when, supply, part and current, and above them what it was of."""
    curve = powered.curve
    columns = {"supply (V)": curve.supply_v, "part voltage (V)": curve.part_v}
    begun = powered.left_at - np.timedelta64(round(1e6 * float(curve.time_s[-1])), "us")
    return RunLog(
        name=f"{_NO_NAME.sub('_', powered.part)} run {powered.run.id}.csv",
        lines=list(_above(powered)),
        taken_at=begun + np.round(1e6 * curve.time_s).astype("timedelta64[us]"),
        columns={
            **{name: column for name, column in columns.items() if np.isfinite(column).any()},
            "current (A)": curve.current_a,
        },
    )


def _above(powered: PoweredRun) -> Iterator[str]:
    yield f"Part: {powered.part}"
    if not isnan(powered.curve.series_ohm):
        yield f"Series resistor: {powered.curve.series_ohm!r} Ω"
    if powered.left.purpose == RETEST:
        yield "Kind: re-test"
