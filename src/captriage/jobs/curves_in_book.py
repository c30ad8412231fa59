"""Reforming runs in the book: what they prove goes into the verdict."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import inf, nan
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from captriage.columns import SET_ASIDE, UNDER_WAY, Sheets, empty
from captriage.errors import CapTriageError
from captriage.jobs.before_reform import Instants, kept_before
from captriage.jobs.curve_parts import NOTHING_TOLD
from captriage.jobs.curves_beside import Beside, taken_in
from captriage.jobs.logs_aside import not_used
from captriage.jobs.reform_curves import (
    RETEST,
    RUN,
    Left,
    curve_of_run,
    left_of,
    plan_of_run,
    reforming_runs,
)
from captriage.jobs.reform_read import read_against
from captriage.readers.curve_logs import CurveLog

DANGER_WORDS: Final = {
    "broken down": re.compile(r"^broken down: |: it is shorted, or another one$"),
    "rising": re.compile(r"^rising: |^the current has risen from "),
}
HEAT: Final = re.compile(r" stops the run$| K stops$|^the ammeter is over range")
"""Stops that speak against a part without saying what is wrong with it."""

NOT_FAILED: Final = (UNDER_WAY, "settled below limit")
RUN_OF_BOOK: Final = "reforming run"
BY_HAND: Final = "see what stopped it before any voltage goes on it again"

if TYPE_CHECKING:
    import pandas as pd

    from captriage.judging.policy import Policy
    from captriage.reform.curves import Curve
    from captriage.report.read_curve import ReadCurve
    from captriage.store.book import Book
    from captriage.store.rows import RunRow


def beside_book(
    sheets: Sheets,
    book: Book,
    job_id: int,
    *,
    policy: Policy,
    today_year: int,
    kept_at: Instants | None = None,
) -> Beside:
    """Reforming runs of a job beside its readings.

    The readings of a re-test stand in the book themselves, and are judged as such. Capacitance
    and loss that the book held before the first run are those of before the reform, where
    ``kept_at`` tells when each reading was kept.

    Raises
    ------
    BookError
        The book cannot be read.
    """
    parts = sheets.parts
    found: dict[int, list[ReadCurve]] = {}
    against: dict[int, dict[str, Any]] = {}
    rest_s: dict[int, float] = {}
    begins: dict[int, np.datetime64] = {}
    for powered in powered_runs(book, job_id, parts):
        row, left = powered.row, powered.left
        against.pop(row, None)  # what comes later says more
        if left.purpose == RUN:
            begins[row] = min(powered.begun, begins.get(row, powered.begun))
        log = _as_log(powered.curve, left, powered.part)
        stopped = left.stopped
        try:
            rest_s[row] = _rest_planned(powered.run)
            read = read_against(
                log, parts.iloc[[row]], NOTHING_TOLD, policy=policy, today_year=today_year
            )
        except CapTriageError as error:
            against[row] = not_used(log.file, str(error), parts, row, heading=RUN_OF_BOOK)
            continue
        read = replace(read, outcome=outcome_of_stop(stopped) or read.outcome)
        if HEAT.search(stopped) and read.outcome in NOT_FAILED:
            read = replace(read, outcome=UNDER_WAY)
            why = f"it was stopped: {stopped}; {BY_HAND}"
            against[row] = not_used(log.file, why, parts, row, heading=RUN_OF_BOOK)
        found.setdefault(row, []).append(read)
    if kept_at is None:
        then = np.zeros(len(sheets.readings), bool)
    else:
        then = kept_before(sheets.readings, kept_at, begins)
    return taken_in(sheets, found, list(against.values()), then=then, filed=True, rest_s=rest_s)


@dataclass(frozen=True)
class PoweredRun:
    """A reforming run that put a voltage on its part, ``row`` of the parts."""

    row: int
    part: str
    run: RunRow
    curve: Curve
    left: Left

    @property
    def left_at(self) -> np.datetime64:
        """When the last of it was kept, in UTC."""
        return instant(self.left.utc)

    @property
    def begun(self) -> np.datetime64:
        """When it was begun, in UTC."""
        return instant(self.run.utc)


def powered_runs(book: Book, job_id: int, parts: pd.DataFrame) -> Iterator[PoweredRun]:
    """Reforming runs of a job in their order.

    Left out are those of a part that is struck out, and those that ended before there was power.
    """
    row_of = {name: row for row, name in enumerate(parts["part"])}
    names = {part.id: part.part for part in book.parts(job_id)}
    for run in reforming_runs(book, job_id):
        name = str(names.get(run.settings.get("part_id")))  # type: ignore[call-overload]
        curve = curve_of_run(book, run.id)
        if name in row_of and np.isfinite(curve.current_a).any():
            yield PoweredRun(row_of[name], name, run, curve, left_of(book, job_id, run))


def outcome_of_stop(why: str) -> str:
    """Outcome of a run by why it was stopped, as :mod:`captriage.bench.stops` words it.

    Parameters
    ----------
    why : str
        Text of the event "stopped".

    Returns
    -------
    str
        A danger that was seen at the bench, "" where the curve alone tells what became of it.
    """
    for outcome, words in DANGER_WORDS.items():
        if words.search(why):
            return outcome
    return ""


def instant(utc: str) -> np.datetime64:
    """An instant of the book, which keeps them in UTC."""
    return np.datetime64(utc.rstrip("Z").split("+")[0], "us")


def _rest_planned(run: RunRow) -> float:
    """Rest that the plan of a run asks for before the re-test; infinite where it has none. [s]"""
    if not run.settings.get("plan"):
        return inf
    return plan_of_run(run).retest.rest_s


def _as_log(curve: Curve, left: Left, part: str) -> CurveLog:
    """A run as the log that it would have been; it ends when the last of it was kept."""
    return CurveLog(
        curve=curve,
        file=f"run {left.run_id}",
        part=part,
        rating="",
        made="",
        voltage_working=nan,
        ends_at=instant(left.utc),
        retest=left.purpose == RETEST,
        remarks=(),
        doubts=(),
        set_aside=empty(SET_ASIDE),
    )
