"""Carry a reforming run out, by hand or with the supply under control; all of it is in the book."""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from captriage.bench.pages import Pages
from captriage.bench.run_data import RunSummary
from captriage.bench.session import legs_of
from captriage.bench.sitting import Ended, Keys
from captriage.bench.telling import rating
from captriage.errors import CapTriageError
from captriage.jobs.after_run import never_again
from captriage.jobs.desk import ORDINARY, Desk, Where
from captriage.jobs.ending import judge_command, tell_command
from captriage.jobs.last_words import last_words, tell_last_words
from captriage.jobs.plan_shown import rows_of, tell_plan, with_sections
from captriage.jobs.planned_run import check_run, plan_of_row, retest_of
from captriage.jobs.reform_curves import RUN, left_of, plan_of_run, purpose_of, reforming_runs
from captriage.jobs.reform_legs import Reforming
from captriage.jobs.reform_outcome import tell_outcome
from captriage.jobs.reform_wanted import RunMeters, Wanted
from captriage.jobs.retest_leave import check_reformed, finished_runs
from captriage.report.figures import duration

if TYPE_CHECKING:
    from captriage.bench.measured import Clock
    from captriage.bench.profile import Profile
    from captriage.jobs.reform_curves import Left
    from captriage.reform.steps import Plan
    from captriage.report.live import Screen
    from captriage.store.rows import PartRow, RunRow


def run_reforming(
    where: Where,
    name: str,
    part: str,
    *,
    keys: Keys,
    show: Screen,
    meters: RunMeters,
    wanted: Wanted,
    policy: Where = ORDINARY,
    today_year: int | None = None,
    clock: Clock | None = None,
    again: Sequence[str] = (),
) -> RunSummary:
    """Reform one part, or prove afterwards that it has come good.

    Parameters
    ----------
    where : str or path
        Book.
    name, part : str
        Job, and part of it.
    keys, show : Keys, Screen
        The person's keys, and what the person sees.
    meters : RunMeters
        What stands on the bench.
    wanted : Wanted
        Plan and manner.
    policy : str or path
        House policy.
    today_year : int, optional
        Year ages are reckoned to; that of the clock where none is given.
    clock : Clock, optional
        Real time where none is given.
    again : sequence of str
        The command that was given, to say how to go on.

    Raises
    ------
    BookError
        The book, the job or the part cannot be had, or something could not be kept.
    CapTriageError
        The part may not have that voltage, or any; or something is not as it must be before
        there is power.
    ProfileError
        A meter cannot do what is asked of it.
    Gone, Silent, Garbled, Unset
        A meter cannot be reached at the start, or does not take its settings.
    """
    from captriage.bench.profiles import load_profile
    from captriage.bench.soak_plan import Plan as SoakPlan
    from captriage.jobs.soak_limits import before_soak
    from captriage.judging.policy import load_policy

    loaded = load_policy(os.fspath(policy))
    profile = None if meters.supply is None else load_profile(meters.supply.profile)
    with Desk(where, name, keys=keys, show=show, clock=clock, today_year=today_year) as desk:
        row = desk.part(part)
        show.tell("part", f"{row.part}  {rating(row)}")
        earlier = list(reforming_runs(desk.book, desk.job.id, row.id))
        left_charged = _tell_earlier(desk, earlier)
        if wanted.retest:
            check_reformed(desk, row, wanted.plan, earlier, again=again)
        plan = _plan(desk, row, wanted, earlier, profile, policy=policy)
        where_from = "the plan" if meters.supply is None else meters.supply.name
        check_run(plan, row, profile, where=where_from)
        desk.show = pages = Pages(show, keys, rows=rows_of(show))
        try:
            before_soak(desk, row, SoakPlan(plan.target_v), loaded)
            pages.turn()  # resistors and steps are seen together
            tell_plan(plan, pages)
            pages.turn()
        except Ended as why:
            return RunSummary(ended=f"{why}; nothing was switched on", discharged_v=0.0)
        desk.show = show
        run = Reforming(desk, row, plan, meters, show=show, profile=profile, wanted=wanted)
        done = _done(desk, plan, earlier) if wanted.resume else ()
        note = _rested(desk, plan, earlier) if wanted.retest else ""
        summary = run.carry_out(legs_of(plan), done, note=note, left_charged=left_charged)
        never = bool(summary.taken) and never_again(desk, row, loaded)
        tell_outcome(
            summary, plan, row, show, retest=wanted.retest, again=again, early=note, never=never
        )
        if never:
            judge = judge_command(os.fspath(where), name, policy)
            tell_command(show, "its verdict, and why:", judge if again else ())
        return summary


def _tell_earlier(desk: Desk, earlier: Sequence[RunRow]) -> bool:
    """Say how the last run of the part was left, where there was one; whether charged."""
    if not earlier:
        return False
    left = left_of(desk.book, desk.job.id, earlier[-1])
    desk.show.tell("before", left.sentence())
    tell_last_words(last_words(desk.book.name, left.run_id), desk.show)
    last = _last_powered(desk, earlier)
    return last is not None and not last.discharged


def _last_powered(desk: Desk, earlier: Sequence[RunRow]) -> Left | None:
    """How the last run was left that may have put a voltage on the part; None without one."""
    every = (left_of(desk.book, desk.job.id, run) for run in reversed(earlier))
    return next((each for each in every if each.powered), None)


def _plan(
    desk: Desk,
    row: PartRow,
    wanted: Wanted,
    earlier: Sequence[RunRow],
    profile: Profile | None,
    *,
    policy: Where,
) -> Plan:
    """The plan that is meant.

    Raises
    ------
    CapTriageError
        There is no run to go on with, or no plan can be made.
    """
    plan = wanted.plan
    if (wanted.resume or wanted.retest) and plan is None:
        runs = finished_runs(desk, earlier) if wanted.retest else _runs_of(earlier)
        if not runs:
            raise CapTriageError(
                f"{row.part}: job {desk.job.name} has no run of it to go on with; leave --resume "
                "out, or give the plan with --plan"
            )
        plan = plan_of_run(runs[-1])
    if plan is None:
        plan = plan_of_row(row, wanted.asked, profile, policy=policy, today_year=desk.today_year)
    sections = sum(bool(row.can) and each.can == row.can for each in desk.rows)
    plan = with_sections(plan, sections)
    return retest_of(plan) if wanted.retest else plan


def _runs_of(earlier: Sequence[RunRow]) -> list[RunRow]:
    return [run for run in earlier if purpose_of(run) == RUN]


def _done(desk: Desk, plan: Plan, earlier: Sequence[RunRow]) -> tuple[int, ...]:
    """Steps that need not be done again: the last one that was is done again, to be safe.

    Of another plan none counts.
    """
    runs = _runs_of(earlier)
    if not runs or plan_of_run(runs[-1]) != plan:
        return ()
    return left_of(desk.book, desk.job.id, runs[-1]).steps_done[:-1]


def _rested(desk: Desk, plan: Plan, earlier: Sequence[RunRow]) -> str:
    """That the part has not rested for long enough, in words; "" where it has."""
    last = _last_powered(desk, earlier)
    if last is None:
        return ""
    ended = datetime.fromisoformat(last.utc)
    rested_s = (desk.clock.utc() - ended).total_seconds()
    if rested_s >= plan.retest.rest_s:
        return ""
    said = (
        f"it has rested for {duration(max(rested_s, 0.0))} of {duration(plan.retest.rest_s)}: to "
        "pass so early proves little, for a part that has not healed has had no time to show it"
    )
    desk.show.tell("early", said)
    return said
