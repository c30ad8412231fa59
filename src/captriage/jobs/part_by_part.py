"""Log part by part. What is shown as taken is in the book."""

from __future__ import annotations

import os
from collections.abc import Sequence
from math import isfinite, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.asking import Asking
from captriage.bench.contact import MAINS_HZ, OpenClips
from captriage.bench.discharging import ChargeCheck
from captriage.bench.manner import Manner
from captriage.bench.one_part import Station
from captriage.bench.pace import Pace
from captriage.bench.sitting import Keys, Show
from captriage.bench.steadiness import Steadiness
from captriage.bench.telling import counted
from captriage.bench.walk import Summary, Walk
from captriage.jobs.beginning import begin
from captriage.jobs.bench_meters import MeterAt
from captriage.jobs.desk import ORDINARY, Desk, Where, noise_of
from captriage.jobs.ending import judge_command, tell_judge, tell_nothing_left, tell_walk
from captriage.jobs.resuming import PART_BY_PART, TYPED, Measurement, parts_done, runs_alike

if TYPE_CHECKING:
    from captriage.bench.measured import Clock

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
    again: Sequence[str] = (),
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
        Sheets with the parts of a new job; one that is there must have the same.
    worksheet : str, optional
        Sheet of a workbook.
    function : str
        Function of the bridge's profile, key of :data:`LOSSES`.
    frequency_hz, level_v : float
        What the bridge is set to; its profile's own where NaN.
    manner : Manner
        How parts are captured.
    resume : bool
        Go on with what an earlier run has begun: pass over the parts that have all their readings.
    policy : str or path
        House policy for limits and verdicts.
    temperature_degc : float
        Of the parts; NaN where it is not told.
    today_year : int, optional
        Year ages are reckoned to; that of the clock where none is given.
    clock : Clock, optional
        Real time where none is given.
    again : sequence of str
        The command that was given, to say how to go on.

    Raises
    ------
    BookError
        The book or the job cannot be had, the job has other parts than the sheets or other
        measurements than are to be resumed, or something could not be kept.
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
        hz = meter.reads.settings.get("frequency_hz", frequency_hz)
        wanted = Measurement(function, hz, manner.readings, typed=bridge.by_hand)
        done = parts_done(desk.book, desk.job, wanted) if resume else frozenset()
        if len(done) == len(rows):
            tell_nothing_left(len(rows), show, judge_command(desk.book.name, name, policy))
            return Summary()
        sitting = desk.sitting(
            TYPED if bridge.by_hand else PART_BY_PART,
            meter,
            wanted.settings,
            alike=[run.id for run in runs_alike(desk.book.runs(desk.job.id), wanted)],
        )
        told = {"frequency_hz": hz, "temperature_degc": temperature_degc}
        limits_of = ("capacitance", LOSSES[function])
        advice = desk.advice(loaded, frequency_hz=hz, quantities=limits_of)
        station = Station(
            sitting=sitting,
            bridge=meter.reads,
            check=ChargeCheck(Asking(sitting), across, whole_drawer=manner.hands_free),
            steady=Steadiness(noise_of(meter.profile, function), frequency_hz=hz),
            manner=manner,
            advice=advice,
            conditions={key: value for key, value in told.items() if isfinite(value)},
            clips=OpenClips(frequency_hz=hz),
            pace=Pace(manner.gap_s),
            typist=desk.typist,
            typed=bridge.by_hand,
        )
        if done:
            are = "is" if len(done) == 1 else "are"
            show.tell("", f"{len(done)} of {counted(len(rows), 'part')} {are} done already")
        sitting.records.event("started", str(wanted))
        walk = Walk(station, rows, done=done, resumed=resume)
        try:
            summary = walk.run()
        finally:
            tell_walk(walk.summary, show, again)
        sitting.records.event("stopped", summary.ended or "the list was walked to its end")
        if summary.done:
            tell_judge(advice.standing(), show, book=desk.book.name, job=name, policy=policy)
        return summary
