"""A plan that is carried out at a desk, one leg after the other: steps with one series resistor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from math import isnan
from typing import TYPE_CHECKING, Final

from captriage.bench.curve_reader import CurveReader, warm_up
from captriage.bench.danger_words import stop_at_danger
from captriage.bench.emptying import Emptying
from captriage.bench.ending_records import EndingRecords
from captriage.bench.readying import BIPOLAR, Readying
from captriage.bench.run_data import Feeds, RunSummary
from captriage.bench.run_readings import QUICK_S, SLOWEST_S, RunReadings
from captriage.bench.sampled import Sampled
from captriage.bench.session import Numbered, Session
from captriage.bench.sitting import Ended, Sitting
from captriage.bench.typed_samples import TypedSamples
from captriage.errors import CapTriageError
from captriage.jobs.last_words import last_words
from captriage.jobs.plan_shown import rows_of
from captriage.jobs.records import BookRecords
from captriage.jobs.reform_curves import PURPOSE, RETEST, RUN, RUN_KIND
from captriage.jobs.reform_wanted import RunMeters, Wanted
from captriage.report.live_run import StepView

if TYPE_CHECKING:
    from captriage.bench.profile import Profile
    from captriage.jobs.bench_meters import MeterAt, OpenMeter
    from captriage.jobs.desk import Desk
    from captriage.reform.steps import Plan
    from captriage.report.live import Screen
    from captriage.store.rows import PartRow

AFTER_ALL_S: Final = 600.0
"""Beyond the longest time of the plan, what the guardian lets the output be on. [s]"""


class Reforming:
    """A plan that is carried out at a desk.

    Parameters
    ----------
    desk : Desk
        Book, job, keys, screen, clock.
    row, plan : PartRow, Plan
        The part, and the plan, checked.
    meters : RunMeters
        What stands on the bench.
    show : Screen
        What the person sees.
    profile : Profile or None
        Of the supply under control.
    wanted : Wanted
        The manner.
    """

    def __init__(
        self,
        desk: Desk,
        row: PartRow,
        plan: Plan,
        meters: RunMeters,
        *,
        show: Screen,
        profile: Profile | None,
        wanted: Wanted,
    ) -> None:
        self.desk, self.row, self.plan, self.meters = desk, row, plan, meters
        self.show, self.profile, self.wanted = show, profile, wanted
        self._note, self._left_charged = "", False
        self._ammeter = desk.meter(meters.ammeter, "dc_current")
        if meters.supply is not None and meters.ammeter.by_hand:
            raise CapTriageError(
                f"{meters.supply.name}: under control, it wants an ammeter on a wire: nobody types "
                "fast enough to stop it; name one with --meter, or carry the run out by hand"
            )
        desk.typist.heed = stop_at_danger
        self._check_on_wires(meters)
        self._volts = self._on_wire(meters.voltmeter, "dc_voltage")
        self._degc = self._on_wire(meters.thermometer, "temperature")

    def _check_on_wires(self, meters: RunMeters) -> None:
        """Make sure that what stops a run is read often enough.

        Raises
        ------
        CapTriageError
            It is not.
        """
        every_s = self.wanted.every_s
        if not meters.ammeter.by_hand and every_s > SLOWEST_S:
            raise CapTriageError(
                f"{meters.ammeter.name}: {every_s:g} s from one reading to the next; at most "
                f"{SLOWEST_S:g} s is allowed of a meter on a wire, for what it shows stops the run"
            )
        if meters.thermometer is not None and meters.thermometer.by_hand:
            raise CapTriageError(
                f"{meters.thermometer.name}: a thermometer is read on a wire, all the time; name "
                "one of the bench, or leave --thermometer out and feel the case"
            )

    def _on_wire(self, meant: MeterAt | None, function: str) -> OpenMeter | None:
        if meant is None or meant.by_hand:
            return None
        return self.desk.meter(meant, function)

    def carry_out(
        self,
        legs: list[list[Numbered]],
        done: Sequence[int],
        *,
        note: str = "",
        left_charged: bool = False,
    ) -> RunSummary:
        """Carry out one leg after the other, until one ends early.

        Parameters
        ----------
        legs : list of list of (int, Step)
            Steps between which the series resistor is changed.
        done : sequence of int
            Numbers of the steps that need not be done again.
        note : str
            Kept at the beginning; "" nothing.
        left_charged : bool
            Whether the part was not seen discharged at the end of the run before.
        """
        self._note, self._left_charged = note, left_charged
        whole = RunSummary()
        todo = [left for leg in legs if (left := [each for each in leg if each[0] not in done])]
        for place, leg in enumerate(todo):
            summary = self._leg(leg, first=place == 0)
            summary.steps_done[:0] = whole.steps_done
            summary.taken += whole.taken
            summary.highest_v = max(summary.highest_v, whole.highest_v)
            whole = summary
            if summary.ended or summary.off_fault or isnan(summary.discharged_v):
                break
        return whole

    def _leg(self, leg: list[Numbered], *, first: bool) -> RunSummary:
        run_id, records = self._begun(leg)
        sitting = Sitting(records, self.desk.keys, self.desk.show, self.desk.clock)
        sitting.records.event("started", f"steps {', '.join(str(n) for n, _ in leg)}", self.row)
        if self._note:
            sitting.records.event("note", self._note, self.row)
        with ExitStack() as closing:
            sampled = [
                None if meter is None else closing.enter_context(self._sampled(meter))
                for meter in (self._volts, self._degc)
            ]
            emptying = Emptying(sitting, part=self.row, plan=self.plan, voltmeter=sampled[0])
            try:
                self._ready(sitting, emptying, leg, first=first)
                ohm = leg[0][1].series_ohm
                readings = self._readings(sitting, emptying, sampled[1], closing, leg_ohm=ohm)
                source = closing.enter_context(self._source(sitting, run_id))
            except Ended as why:
                sitting.records.event("stopped", f"before there was power: {why}", self.row)
                return RunSummary(ended=f"{why}; nothing was switched on", discharged_v=0.0)
            except CapTriageError as error:
                sitting.records.event("stopped", f"before there was power: {error}", self.row)
                raise
            session = Session(
                sitting,
                records=records,
                part=self.row,
                plan=self.plan,
                steps=leg,
                source=source,
                readings=readings,
                emptying=emptying,
            )
            return session.run()

    def _begun(self, leg: list[Numbered]) -> tuple[int, EndingRecords]:
        """Begin a run in the book: its number, and where it is kept."""
        desk, meter = self.desk, self._ammeter
        run_id = desk.book.begin_run(
            desk.job.id,
            RUN_KIND,
            meter=meter.reads.name,
            profile=meter.meant.profile,
            address=meter.meant.address,
            identity=meter.identity,
            settings={**self._settings(leg), **meter.reads.settings},
        )
        desk.show.tell("run", f"{run_id} in {desk.book.name}, job {desk.job.name}")
        return run_id, EndingRecords(BookRecords(desk.book, desk.job.id, run_id), desk.show)

    def _settings(self, leg: list[Numbered]) -> dict[str, object]:
        from captriage.reform.plan_data import plan_as_data

        supply = self.meters.supply
        return {
            "function": "dc_current",
            PURPOSE: RETEST if self.wanted.retest else RUN,
            "part_id": self.row.id,
            "plan": plan_as_data(self.plan),
            "steps": [number for number, _ in leg],
            "series_ohm": leg[0][1].series_ohm,
            "floor_a": floor_of(self._ammeter.profile),
            "supply": "by hand" if supply is None else supply.address,
        }

    def _ready(
        self, sitting: Sitting, emptying: Emptying, leg: list[Numbered], *, first: bool
    ) -> None:
        readying = Readying(
            sitting,
            part=self.row,
            plan=self.plan,
            bipolar=self.row.polarity == BIPOLAR,
            rows=rows_of(self.show),
        )
        if first:
            readying.cautions()
            emptying.untouched(left_charged=self._left_charged)  # before a hand goes near it
            readying.looks()
        readying.wiring(leg[0][1].series_ohm)
        if not (first and emptying.voltmeter is None):  # the person has just measured
            emptying.before()
        readying.begin()

    @contextmanager
    def _sampled(self, meter: OpenMeter) -> Iterator[Sampled | TypedSamples]:
        sampled: Sampled | TypedSamples
        if meter.meant.by_hand:
            sampled = TypedSamples(meter.reads, clock=self.desk.clock, least_s=self.wanted.every_s)
        else:
            sampled = Sampled(meter.reads, clock=self.desk.clock, every_s=QUICK_S)
        sampled.start()
        try:
            yield sampled
        finally:
            sampled.stop()

    def _readings(
        self,
        sitting: Sitting,
        emptying: Emptying,
        thermometer: Sampled | TypedSamples | None,
        closing: ExitStack,
        *,
        leg_ohm: float,
    ) -> RunReadings:
        from captriage.model.leakage import leakage_voltage_factor
        from captriage.reform.curves import Rating
        from captriage.reform.progress import Watch

        plan, proof = self.plan, self.plan.retest
        moved = float(leakage_voltage_factor(proof.voltage_v / plan.voltage_rated))
        held_to = Rating(
            plan.capacitance_rated, plan.voltage_rated, plan.target_v, proof.limit_a / moved
        )
        known = {"series_ohm": leg_ohm, "floor_a": floor_of(self._ammeter.profile)}
        warm_up(Watch(held_to, **known), plan.target_v)
        reader = CurveReader(Watch(held_to, **known))
        closing.callback(reader.stop)
        return RunReadings(
            sitting,
            part=self.row,
            plan=plan,
            ammeter=closing.enter_context(self._sampled(self._ammeter)),
            emptying=emptying,
            thermometer=thermometer,
            curve=reader,
            view=StepView(self.show),
            every_s=self.wanted.every_s,
            as_proof=self.wanted.retest,
        )

    @contextmanager
    def _source(self, sitting: Sitting, run_id: int) -> Iterator[Feeds]:
        """What feeds the part: made, and let go at the end."""
        from captriage.bench.by_hand import ByHand
        from captriage.bench.guarded import Address, GuardedSupply
        from captriage.bench.guardian import Allowed
        from captriage.bench.moments import longest_s
        from captriage.bench.under_control import UnderControl

        meant, plan = self.meters.supply, self.plan
        if meant is None or self.profile is None:
            yield ByHand(sitting, part=self.row, plan=plan)
            return
        words = last_words(self.desk.book.name, run_id)
        supply = GuardedSupply(
            Address(meant.name, meant.address, meant.profile, meant.backend),
            Allowed(plan.target_v, plan.supply_limit_a, longest_s(plan) + AFTER_ALL_S),
            clock=self.desk.clock,
            last_words=words,
        )
        identity = supply.start()
        try:
            self.desk.show.tell("supply", identity)
            sitting.records.event("note", f"{meant.name}: {identity}", self.row)
            yield UnderControl(supply, self.profile, sitting, part=self.row, plan=plan)
        finally:
            supply.close()
            if supply.off is not None and not supply.off.fault:
                words.unlink(missing_ok=True)


def floor_of(profile: Profile | None) -> float:
    """Uncertainty of an ammeter that does not shrink with the reading; 0 where it is untold. [A]"""
    steps = () if profile is None else profile.functions["dc_current"].accuracy["current"]
    return min((step.floor for step in steps), default=0.0)
