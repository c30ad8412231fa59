"""Log at the bench. What is shown as taken is in the book."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from math import inf, isfinite, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.asking import Asking
from captriage.bench.contact import MAINS_HZ, OpenClips
from captriage.bench.discharging import ChargeCheck
from captriage.bench.manner import Manner
from captriage.bench.one_part import Station
from captriage.bench.pace import Pace
from captriage.bench.sitting import Keys, Show
from captriage.bench.soak import Soak
from captriage.bench.soak_plan import Plan, SoakSummary, check_voltage
from captriage.bench.steadiness import Steadiness
from captriage.bench.streaming import Stream, StreamSummary
from captriage.bench.telling import rating
from captriage.bench.walk import Summary, Walk
from captriage.jobs.bench_meters import MeterAt
from captriage.jobs.desk import Desk, Where, begin, noise_of
from captriage.jobs.soak_limits import at_the_part, before_soak, tell_doubt
from captriage.report.live import LeakageView, Screen

if TYPE_CHECKING:
    from captriage.bench.measured import Clock

PART_BY_PART: Final = "part by part"
TYPED: Final = "typed"
AGAINST_TIME: Final = "against time"
STREAM: Final = "stream"
SAME_MEASUREMENT: Final = (PART_BY_PART, TYPED)
ORDINARY: Final = "ordinary-service"
LOSSES: Final = {"impedance": "esr", "impedance_tan_delta": "tan_delta"}
"""What each function of a bridge reads beside the capacitance."""


def log_parts(
    where: Where,
    name: str,
    *,
    keys: Keys,
    show: Show,
    bridge: MeterAt,
    voltmeter: MeterAt | None = None,
    parts: Sequence[Where] = (),
    worksheet: str | None = None,
    function: str = "impedance",
    frequency_hz: float = MAINS_HZ,
    level_v: float = nan,
    manner: Manner | None = None,
    resume: bool = False,
    policy: Where = ORDINARY,
    temperature_degc: float = nan,
    today_year: int | None = None,
    clock: Clock | None = None,
) -> Summary:
    """Walk the parts of a job, and keep what the bridge reads of each.

    Parameters
    ----------
    where : str or path
        Book; made where there is none and ``parts`` are given.
    name : str
        Job; begun with ``parts`` where the book has none of that name.
    keys, show : Keys, Show
        The person's keys, and what the person sees.
    bridge, voltmeter : MeterAt
        What reads the parts, and what stands across the clips, where there is one.
    parts : sequence of path
        Sheets with the parts of a new job.
    worksheet : str, optional
        Sheet of a workbook.
    function : str
        Function of the bridge's profile, key of :data:`LOSSES`.
    frequency_hz, level_v : float
        What the bridge is set to; its profile's own where NaN.
    manner : Manner
        How parts are captured.
    resume : bool
        Pass over the parts that have all their readings.
    policy : str or path
        House policy for limits and verdicts.
    temperature_degc : float
        Of the parts; NaN where it is not told.
    today_year : int, optional
        Year ages are reckoned to; that of the clock where none is given.
    clock : Clock, optional
        Real time where none is given.

    Raises
    ------
    BookError
        The book or the job cannot be had, or something could not be kept.
    ReadingsError
        A sheet of ``parts`` cannot be used.
    PolicyError
        There is no such policy.
    ProfileError
        A meter cannot do what is asked of it.
    Gone, Silent, Garbled
        A meter cannot be reached at the start.
    """
    from captriage.judging.policy import load_policy

    manner = manner or Manner()
    loaded = load_policy(os.fspath(policy))
    if parts:
        begin(where, name, parts, worksheet=worksheet, today_year=today_year)
    with Desk(where, name, keys=keys, show=show, clock=clock, today_year=today_year) as desk:
        rows = desk.parts()
        meter = desk.meter(bridge, function, frequency_hz=frequency_hz, level_v=level_v)
        across = None if voltmeter is None else desk.meter(voltmeter, "dc_voltage").reads
        kind = TYPED if bridge.by_hand else PART_BY_PART
        sitting = desk.sitting(kind, meter, function, SAME_MEASUREMENT)
        hz = meter.reads.settings.get("frequency_hz", frequency_hz)
        told = {"frequency_hz": hz, "temperature_degc": temperature_degc}
        station = Station(
            sitting=sitting,
            bridge=meter.reads,
            check=ChargeCheck(Asking(sitting), across, whole_drawer=manner.hands_free),
            steady=Steadiness(noise_of(meter.profile, function), frequency_hz=hz),
            manner=manner,
            advice=desk.advice(
                loaded, frequency_hz=hz, quantities=("capacitance", LOSSES[function])
            ),
            conditions={key: value for key, value in told.items() if isfinite(value)},
            clips=OpenClips(frequency_hz=hz),
            pace=Pace(manner.gap_s),
            typed=bridge.by_hand,
        )
        done = parts_done(desk, manner.readings) if resume else frozenset()
        if done:
            show.tell("", f"{len(done)} of {len(rows)} parts are done already")
        sitting.records.event("started", f"{function} at {hz:g} Hz, {manner.readings} a part")
        walk = Walk(station, rows, done=done, resumed=resume)
        try:
            summary = walk.run()
        finally:
            tell_sum(walk.summary, show)
        sitting.records.event("stopped", summary.ended or "the list was walked to its end")
        return summary


def parts_done(desk: Desk, readings: int) -> frozenset[int]:
    """Numbers of the parts that have all their readings."""
    book, job_id = desk.book, desk.job.id
    measured = book.done_parts(job_id, kind=PART_BY_PART, answers=readings)
    return frozenset(measured | book.done_parts(job_id, kind=TYPED))


def tell_sum(summary: Summary, show: Show) -> None:
    """Say what was kept."""
    show.line()
    show.tell("kept", f"{len(summary.done)} parts, {summary.taken} answers")
    if summary.skipped:
        show.tell("", f"passed over: {', '.join(summary.skipped)}")
    if summary.left:
        show.tell("", f"left: {', '.join(summary.left)} (go on with --resume)")
    if summary.ended:
        show.tell("", summary.ended)


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
        sitting = desk.sitting(AGAINST_TIME, meter, "dc_current", (AGAINST_TIME,))
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
            show.tell("kept", f"{soak.summary.taken} readings of {row.part}")
        sitting.records.event("stopped", summary.ended or "soaked to the end", row)
        if summary.ended:
            show.tell("", summary.ended)
        advice = desk.advice(loaded, frequency_hz=nan, quantities=())
        for sentence in advice.verdict(row) if summary.taken else ():
            show.tell("", sentence)
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
        sitting = desk.sitting(STREAM, opened, function, (STREAM,))
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
            first, *rest = stream.summary.sentences()
            show.tell("kept", first)
            for sentence in rest:
                show.tell("", sentence)
        sitting.records.event("stopped", summary.ended or "its time was up", row)
        if summary.ended:
            show.tell("", summary.ended)
        return summary
