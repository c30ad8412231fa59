"""Whether a part may be re-tested: only one whose reform came to its last step."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from captriage.errors import CapTriageError
from captriage.jobs.ending import tell_command
from captriage.jobs.reform_curves import RUN, left_of, plan_of_run, purpose_of
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.jobs.desk import Desk
    from captriage.reform.steps import Plan
    from captriage.store.rows import PartRow, RunRow

RETEST: Final = "--retest"
ALIKE: Final = 0.01
"""Share by which the voltage of the re-test may be above that of the last step; rounding."""


def finished_runs(desk: Desk, earlier: Sequence[RunRow]) -> list[RunRow]:
    """Those of the earlier runs that reformed, and in which the last step of their plan was done.

    A plan whose series resistor is changed is carried out in several runs: the last of them counts.
    """
    return [
        run
        for run in earlier
        if purpose_of(run) == RUN
        and len(plan_of_run(run).steps) in left_of(desk.book, desk.job.id, run).steps_done
    ]


def check_reformed(
    desk: Desk,
    row: PartRow,
    plan: Plan | None,
    earlier: Sequence[RunRow],
    *,
    again: Sequence[str] = (),
) -> None:
    """Make sure that a part was reformed up to the voltage of its re-test.

    A re-test goes straight to its voltage: a part that was never brought there step by step may
    burst.

    Parameters
    ----------
    desk, row : Desk, PartRow
        Book and job; the part.
    plan : Plan or None
        The plan that is given; None where it is that of the earlier run.
    earlier : sequence of RunRow
        Runs of the part, of either purpose.
    again : sequence of str
        The command that was given.

    Raises
    ------
    CapTriageError
        It was not: no run of it in the job finished its last step, or not at that voltage.
    """
    done = finished_runs(desk, earlier)
    missing = f"no run of it in job {desk.job.name} has finished its last step"
    if done:
        wanted_v = (plan or plan_of_run(done[-1])).retest.voltage_v
        reached_v = max(plan_of_run(run).steps[-1].supply_v for run in done)
        if wanted_v <= (1 + ALIKE) * reached_v:
            return
        reached, wanted = (format_quantity(volts, "V") for volts in (reached_v, wanted_v))
        missing = f"its runs end at {reached}, and {wanted} are wanted of it"
    words = [word for word in again if word != RETEST]
    tell_command(desk.show, "the run that comes before a re-test:", words)
    raise CapTriageError(
        f"{row.part}: {missing}; a re-test goes straight to its voltage, so carry the run out "
        f"first (the same command without {RETEST})"
    )
