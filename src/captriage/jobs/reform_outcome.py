"""The last lines of a reforming run: what came of it, and the command that goes on from there."""

from __future__ import annotations

from collections.abc import Sequence
from math import isnan
from typing import TYPE_CHECKING, Final

from captriage.bench.stops import of_failing
from captriage.bench.telling import counted
from captriage.jobs.ending import tell_command
from captriage.report.figures import duration
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.run_data import RunSummary
    from captriage.bench.sitting import Part, Show
    from captriage.reform.steps import Plan

RESUME: Final = "--resume"
RETEST: Final = "--retest"


def tell_outcome(
    summary: RunSummary,
    plan: Plan,
    part: Part,
    show: Show,
    *,
    retest: bool,
    again: Sequence[str],
    early: str = "",
    never: bool = False,
) -> None:
    """Say what a run has come to.

    Parameters
    ----------
    summary, plan, part : RunSummary, Plan, Part
        What was carried out, and how it went.
    show : Show
        Where to.
    retest : bool
        Whether it was the re-test.
    again : sequence of str
        The command that was given.
    early : str
        That a re-test came before the rest was over, in words; "" where it did not.
    never : bool
        Whether by all that is kept of the part now, no voltage may be put on it again.
    """
    never = never or of_failing(summary.ended)
    show.line()
    show.tell("kept", f"{counted(summary.taken, 'reading')} of {part.part}")
    for sentence in outcome(summary, plan, part.part, retest=retest, early=early, never=never):
        show.tell("", sentence)
    words = [word for word in again if word not in (RESUME, RETEST)]
    if not words or never:
        return
    if summary.taken and summary.ended and not retest:
        tell_command(show, "to go on from a safe step, when that is settled:", [*words, RESUME])
    elif summary.taken and not retest:
        tell_command(show, "after the rest:", [*words, RETEST])


def outcome(
    summary: RunSummary,
    plan: Plan,
    name: str,
    *,
    retest: bool,
    early: str = "",
    never: bool = False,
) -> list[str]:
    """Sentences on what a run has come to; see :func:`tell_outcome`."""
    said = []
    current = "" if isnan(summary.current_a) else f" ({format_quantity(summary.current_a, 'A')})"
    if summary.ended:
        where = f"in step {summary.at_step}" if summary.at_step else "before the first step"
        said.append(f"ended {where}{current}: {summary.ended}")
    if never:
        said.append(f"no voltage may be put on {name} again: replace it")
    below = f"below {format_quantity(plan.steps[-1].below_a, 'A')}"
    if retest and not summary.ended:
        said.append(f"{name} was {below}, but {early}" if early else f"{name} has healed: {below}")
    elif retest and summary.taken:
        said.append(f"{name} has not been proven healed by this re-test")
    elif not summary.ended:
        volts = format_quantity(plan.target_v, "V")
        rest = duration(plan.retest.rest_s)
        said.append(
            f"every step up to {volts} has settled{current}. That proves nothing yet: leave it "
            f"shorted for {rest}, then re-test it"
        )
    if summary.off_fault:
        said.append("the supply is not known to be off")
    if isnan(summary.discharged_v):
        said.append("it is not known to be discharged")
    return said
