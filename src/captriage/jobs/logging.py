"""Log against time, and what a meter sends. What is shown as taken is in the book."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from math import inf, isfinite, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.sitting import Keys, Show
from captriage.bench.soak import Soak
from captriage.bench.soak_plan import Plan, SoakSummary, check_voltage
from captriage.bench.streaming import Stream, StreamSummary
from captriage.bench.telling import rating
from captriage.jobs.bench_meters import MeterAt
from captriage.jobs.desk import ORDINARY, Desk, Where, noise_of
from captriage.jobs.ending import (
    judge_command,
    list_command,
    tell_after_soak,
    tell_after_stream,
    tell_soak,
    tell_stream,
)
from captriage.jobs.soak_limits import at_the_part, before_soak, tell_doubt
from captriage.report.live import LeakageView, Screen

if TYPE_CHECKING:
    from captriage.bench.measured import Clock

AGAINST_TIME: Final = "against time"
STREAM: Final = "stream"


def log_soak(
    where: Where,
    name: str,
    part: str,
    *,
    keys: Keys,
    show: Screen,
    ammeter: MeterAt,
    plan: Plan,
    voltmeter: MeterAt | None = None,
    policy: Where = ORDINARY,
    today_year: int | None = None,
    clock: Clock | None = None,
    again: Sequence[str] = (),
) -> SoakSummary:
    """Soak one part at a voltage, and keep its leakage current against time.

    Parameters
    ----------
    where : str or path
        Book.
    name, part : str
        Job, and part of it.
    keys, show : Keys, Screen
        The person's keys, and what the person sees.
    ammeter, voltmeter : MeterAt
        In series with the part, and across it where there is one.
    plan : Plan
        Voltage and time.
    policy : str or path
        House policy for the limit and the verdict.
    today_year : int, optional
        Year ages are reckoned to; that of the clock where none is given.
    clock : Clock, optional
        Real time where none is given.
    again : sequence of str
        The command that was given, to say how to do it anew.

    Raises
    ------
    BookError
        The book, the job or the part cannot be had, or something could not be kept.
    CapTriageError
        The part may not have that voltage, or any; or what stands before it is not told.
    PolicyError
        There is no such policy.
    ProfileError
        A meter cannot do what is asked of it.
    Gone, Silent, Garbled
        A meter cannot be reached at the start.
    """
    from captriage.judging.policy import load_policy

    loaded = load_policy(os.fspath(policy))
    with Desk(where, name, keys=keys, show=show, clock=clock, today_year=today_year) as desk:
        row = desk.part(part)
        check_voltage(row, plan.voltage_v)
        show.tell("part", f"{row.part}  {rating(row)}")
        limit = before_soak(desk, row, plan, loaded)
        meter = desk.meter(ammeter, "dc_current")
        across = None if voltmeter is None else desk.meter(voltmeter, "dc_voltage")
        plan, doubt = at_the_part(plan, row.part, across)
        sitting = desk.sitting(AGAINST_TIME, meter, {"function": "dc_current"})
        tell_doubt(sitting, row, doubt)
        soak = Soak(
            sitting,
            meter.reads,
            part=row,
            plan=plan,
            noise=noise_of(meter.profile, "dc_current"),
            voltmeter=None if across is None else across.reads,
            says=limit.says,
            view=LeakageView(show, until_s=plan.until_s, limit=limit.line(plan.until_s)),
        )
        try:
            summary = soak.run()
        finally:
            tell_soak(soak.summary, row, show)
        sitting.records.event("stopped", summary.ended or "soaked to the end", row)
        advice = desk.advice(loaded, frequency_hz=nan, quantities=())
        for sentence in advice.verdict(row) if summary.taken else ():
            show.tell("", sentence)
        judge = judge_command(desk.book.name, name, policy)
        tell_after_soak(summary, show, judge=judge, again=again)
        return summary


def log_stream(
    where: Where,
    name: str,
    *,
    keys: Keys,
    show: Show,
    meter: MeterAt,
    function: str,
    part: str | None = None,
    until_s: float = inf,
    every_s: float = 0.0,
    conditions: Mapping[str, float] | None = None,
    clock: Clock | None = None,
    again: Sequence[str] = (),
) -> StreamSummary:
    """Keep what a meter sends.

    Parameters
    ----------
    where : str or path
        Book.
    name : str
        Job.
    keys, show : Keys, Show
        The person's keys, and what the person sees.
    meter : MeterAt
        The meter.
    function : str
        Function of its profile.
    part : str, optional
        Part to file it under; under none where it is not given.
    until_s, every_s : float
        How long, and the least time between two questions. [s]
    conditions : mapping
        ``voltage_v`` and the like, as far as known.
    clock : Clock, optional
        Real time where none is given.
    again : sequence of str
        The command that was given, to say how to do it anew.

    Raises
    ------
    BookError
        The book, the job or the part cannot be had, or something could not be kept.
    ProfileError
        The meter cannot do what is asked of it.
    Gone, Silent, Garbled
        It cannot be reached at the start.
    """
    with Desk(where, name, keys=keys, show=show, clock=clock) as desk:
        row = None if part is None else desk.part(part)
        opened = desk.meter(meter, function)
        sitting = desk.sitting(STREAM, opened, {"function": function})
        sitting.records.event("started", function, row)
        stream = Stream(
            sitting,
            opened.reads,
            part=row,
            until_s=until_s,
            every_s=every_s,
            conditions=conditions,
        )
        try:
            summary = stream.run()
        finally:
            tell_stream(stream.summary, row, show)
        sitting.records.event("stopped", summary.ended or "its time was up", row)
        listed = list_command(desk.book.name, name)
        tell_after_stream(summary, show, listed=listed, again=again if isfinite(until_s) else ())
        return summary
