"""Reforming runs in a book: which runs are such, their curves, and how they were left."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from math import isnan, nan
from typing import TYPE_CHECKING, Final

from captriage.columns import CURRENT, LEAKAGE_CURRENT, VOLTAGE
from captriage.errors import BookError
from captriage.units import format_quantity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from captriage.reform.curves import Curve, Floats
    from captriage.reform.steps import Plan
    from captriage.store.book import Book
    from captriage.store.rows import EventRow, ReadingRow, RunRow

RUN_KIND: Final = "reforming"
"""Kind of the run in the book."""

PURPOSE: Final = "reforming"
"""Setting of a run that says what it was for: one of the next two."""

RUN: Final = "run"
RETEST: Final = "re-test"

STEP_DONE: Final = re.compile(r"step ([0-9]+) of [0-9]+, .*: done with ")
UNPOWERED: Final = "before there was power"
AFTER_RUN: Final = re.compile(r"reads .* after the run")


@dataclass(frozen=True, slots=True)
class Left:
    """How a run was left.

    Attributes
    ----------
    run_id : int
        Its number.
    purpose : str
        :data:`RUN` or :data:`RETEST`.
    steps_done : tuple of int
        Steps that came to their end.
    supply_v, current_a : float
        As last read; NaN where nothing was. [V], [A]
    stopped : str
        Why it ended; "" where it broke off.
    discharged : bool
        Whether the part read discharged at its end.
    utc : str
        When the last of it was kept.
    """

    run_id: int
    purpose: str
    steps_done: tuple[int, ...]
    supply_v: float
    current_a: float
    stopped: str
    discharged: bool
    utc: str

    def sentence(self) -> str:
        """In words."""
        how = self.stopped or "broke off"
        seen = ""
        if not isnan(self.supply_v):
            seen = f", last at {format_quantity(self.supply_v, 'V')}"
            if not isnan(self.current_a):
                seen += f" with {format_quantity(self.current_a, 'A')}"
        done = f"step {self.steps_done[-1]} was done" if self.steps_done else "no step was done"
        charge = "it read discharged" if self.discharged else "IT WAS NOT SEEN DISCHARGED"
        when = f"{datetime.fromisoformat(self.utc).astimezone(UTC):%Y-%m-%d %H:%M} UTC"
        return f"run {self.run_id} ended {when} ({how}){seen}; {done}, and {charge}"

    @property
    def powered(self) -> bool:
        """Whether it may have put a voltage on the part."""
        return not self.stopped.startswith(UNPOWERED)


def purpose_of(run: RunRow) -> str:
    """:data:`RUN` or :data:`RETEST`; "" for a run that reforms nothing."""
    told = str(run.settings.get(PURPOSE, ""))
    return told if told in (RUN, RETEST) else ""


def reforming_runs(book: Book, job_id: int, part_id: int | None = None) -> Iterator[RunRow]:
    """Runs of a job that reform and are not struck out, or those of one part, in their order."""
    for run in book.runs(job_id):
        meant = part_id is None or run.settings.get("part_id") == part_id
        if meant and purpose_of(run) and not run.struck:
            yield run


def plan_of_run(run: RunRow) -> Plan:
    """The plan that a run carried out.

    Raises
    ------
    CapTriageError
        What is kept of it is no plan.
    """
    from captriage.reform.plan_data import plan_of_data

    return plan_of_data(run.settings.get("plan"), f"plan of run {run.id}")


def curve_of_run(book: Book, run_id: int) -> Curve:
    """The curve of a reforming run.

    Each answer of such a run holds the current, and beside it the voltage before the series
    resistor; its condition ``voltage_v`` is what was measured on the part (of a re-test: measured,
    or reckoned by the resistor). The settings of the run have ``series_ohm`` and ``floor_a``.
    Time is that of the bench's monotonic clock, from the first answer on. Struck readings do not
    count.

    Raises
    ------
    BookError
        There is no such run, or it reforms nothing.
    """
    import numpy as np

    from captriage.reform.curves import Curve

    job_id, run = _run_of(book, run_id)
    answers: dict[int, dict[str, ReadingRow]] = {}
    for row in book.readings(job_id, part_id=_part_of(run)):
        if row.run_id == run_id and not row.struck:
            answers.setdefault(row.answer, {})[row.quantity] = row
    points = []
    for found in answers.values():
        current = found.get(CURRENT) or found.get(LEAKAGE_CURRENT)
        if current is not None:
            beside = found.get(VOLTAGE)
            supply_v = nan if beside is None else beside.value
            points.append((current.monotonic_s, supply_v, current.value, current.voltage_v))
    table = np.array(sorted(points), dtype=np.float64).reshape(-1, 4)
    table = table[~_turned(table)]
    time = table[:, 0] - (table[0, 0] if len(table) else 0.0)
    return Curve(
        time,
        table[:, 1],
        table[:, 2],
        table[:, 3],
        series_ohm=_number(run, "series_ohm", nan),
        floor_a=_number(run, "floor_a", 0.0),
    )


def _turned(table: Floats) -> NDArray[np.bool_]:
    """Which readings were taken while a knob was turned: no voltage is known, and was before.

    To carry on with the voltage before would show a part that breaks down as it is raised.
    """
    import numpy as np

    told = ~(np.isnan(table[:, 1]) & np.isnan(table[:, 3]))
    return ~told & np.logical_or.accumulate(told)


def left_of(book: Book, job_id: int, run: RunRow) -> Left:
    """How a run was left."""
    part_id = _part_of(run)
    rows = [
        row
        for row in book.readings(job_id, part_id=part_id)
        if row.run_id == run.id and not row.struck
    ]
    events = [event for event in book.events(job_id) if event.run_id == run.id]
    return Left(
        run.id,
        purpose_of(run),
        tuple(_steps_done(events)),
        next((row.value for row in reversed(rows) if row.quantity == VOLTAGE), nan),
        next((row.value for row in reversed(rows) if row.quantity != VOLTAGE), nan),
        next((event.text for event in events if event.kind == "stopped"), ""),
        any(event.kind == "discharged" and AFTER_RUN.match(event.text) for event in events),
        max([run.utc, *(row.utc for row in rows[-1:]), *(event.utc for event in events[-1:])]),
    )


def _steps_done(events: list[EventRow]) -> Iterator[int]:
    for event in events:
        found = STEP_DONE.match(event.text)
        if found:
            yield int(found[1])


def _run_of(book: Book, run_id: int) -> tuple[int, RunRow]:
    for job in book.jobs():
        for run in book.runs(job.id):
            if run.id == run_id:
                if not purpose_of(run):
                    raise BookError(f"{book.name}: run {run_id} reforms nothing; it is {run.kind}")
                return job.id, run
    raise BookError(f"{book.name}: no run has the number {run_id}")


def _part_of(run: RunRow) -> int | None:
    told = run.settings.get("part_id")
    return told if isinstance(told, int) else None


def _number(run: RunRow, name: str, untold: float) -> float:
    told = run.settings.get(name)
    return float(told) if isinstance(told, int | float) else untold
