"""What the meters say in a run: kept, drawn, held against every stop and against the step."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import isfinite, isnan, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.measured import Answer, Value
from captriage.bench.moments import History, Moment, charging_ends_s, longest_s, of_step
from captriage.bench.rising import shown
from captriage.bench.run_words import lowering_words, reading_words
from captriage.bench.soak_plan import Curve, as_leakage
from captriage.bench.stopping import Stopped, Watchers
from captriage.bench.stops import STOPS
from captriage.bench.typed_samples import TypedSamples
from captriage.columns import CURRENT, TEMPERATURE, VOLTAGE
from captriage.errors import MeterError
from captriage.reform.curves import SETTLED_BELOW

if TYPE_CHECKING:
    from captriage.bench.curve_reader import CurveReader
    from captriage.bench.emptying import Emptying
    from captriage.bench.run_data import Feeds, RunView, Samples
    from captriage.bench.sitting import Part, Sitting
    from captriage.reform.curves import Progress
    from captriage.reform.steps import Plan, Step

QUICK_S: Final = 0.2
"""From one reading to the next while the voltage is raised and the part charges. [s]"""

SLOWEST_S: Final = 5.0
"""From one reading to the next at most: what stops a run must be seen. [s]"""

OF_A_STEP: Final = 600.0
"""Readings that a step of any length is read with, after the quick ones, at least. [1]"""

SILENT_S: Final = 1.4
"""A run ends where its ammeter tells nothing for so long, beside the time from one reading to the
next and what its readings take; ours. [s]"""

TAKES: Final = 2.0  # times what a reading took that the next may take

FRESH_S: Final = 3.0
"""A voltage that was read longer ago is not that of the part now. [s]"""


class RunReadings:
    """The meters of a run.

    Parameters
    ----------
    sitting : Sitting
        Book, screen, clock.
    part, plan : Part, Plan
        The part, and what is carried out.
    ammeter : Samples
        In series with the part.
    emptying : Emptying
        Takes in what the voltmeter shows, where there is one.
    thermometer : Samples or None
        On the case of the part.
    curve : CurveReader
        Reads the curve.
    view : RunView
        Shows it.
    every_s : float
        From one reading to the next, once the part is charged. [s]
    as_proof : bool
        Whether currents are leakage of the part, to be judged: of a re-test.

    Attributes
    ----------
    taken : int
        Readings kept.
    current_a : float
        Last one. [A]
    done : bool
        Whether the step has settled.
    """

    def __init__(
        self,
        sitting: Sitting,
        *,
        part: Part,
        plan: Plan,
        ammeter: Samples,
        emptying: Emptying,
        curve: CurveReader,
        view: RunView,
        thermometer: Samples | None = None,
        every_s: float = 1.0,
        as_proof: bool = False,
    ) -> None:
        self.sitting, self.part, self.plan = sitting, part, plan
        self.ammeter, self.emptying, self.thermometer = ammeter, emptying, thermometer
        self.curve, self.view, self.every_s, self.as_proof = curve, view, every_s, as_proof
        self.taken, self.current_a, self.done = 0, nan, False
        self._began_s = sitting.clock.monotonic()
        self._watchers, self._history, self._drawn = Watchers(STOPS), History(), Curve()
        self._step: Step | None = None
        self._number, self._first, self._before_v = 0, True, 0.0
        self._held_from = self._powered_s = nan
        self._watched = True
        self._told = ""
        self._degc = self._began_degc = nan
        self._curve_works = True

    def begin(self, number: int, step: Step) -> None:
        """The voltage is raised to that of a step."""
        self._first = self._step is None
        if self._first:
            self._powered_s = self.sitting.clock.monotonic()
        self._before_v = 0.0 if self._step is None else self._step.supply_v
        self._number, self._step, self.done = number, step, False
        self._held_from = nan
        self.curve.step_from(float("inf"))
        self._history.step_begins()
        self._drawn.points.clear()
        self.ammeter.every_s = QUICK_S
        self.view.step(step.below_a, step.most_s)

    def reached(self, at_s: float) -> None:
        """The voltage of the step is there."""
        self._held_from = at_s
        self.curve.step_from(at_s - self._began_s)

    def lowering(self) -> None:
        """From now on readings are kept, and stop nothing."""
        self._watched = False

    def slow_down(self, held_s: float) -> None:
        """The part is charged: fewer readings tell all."""
        self.ammeter.every_s = max(self.every_s, min(held_s / OF_A_STEP, SLOWEST_S))

    # What has come

    def take(self, source: Feeds) -> bool:
        """Take in all that the meters have said; whether a person has typed some of it.

        Raises
        ------
        Stopped
            One of it stops the run.
        BookError
            Something could not be kept.
        """
        if self.emptying.voltmeter is not None:
            self.emptying.look(self.emptying.voltmeter)
        self._feel()
        typed = False
        for each in self.ammeter.take():
            if isinstance(each, MeterError):
                self._fault(str(each))
            elif self._step is not None:
                self._told = ""
                if each.monotonic_s < self._powered_s:
                    self._history.see_zero(shown(each.of(CURRENT)))
                    continue
                self._reading(each, source, self._step)
                typed = typed or isinstance(self.ammeter, TypedSamples)
        return typed

    def _feel(self) -> None:
        if self.thermometer is None:
            return
        for each in self.thermometer.take():
            if isinstance(each, MeterError):
                self._fault(str(each))
                continue
            value = each.of(TEMPERATURE)
            self._degc = nan if value is None else value.value
            if isnan(self._began_degc):
                self._began_degc = self._degc

    def _fault(self, said: str) -> None:
        if said != self._told:
            self._told = said
            self.sitting.records.event("fault", said, self.part)
            self.sitting.show.tell("fault", said)

    def look_for_silence(self) -> None:
        """See that the meters which the run goes by have not fallen silent.

        Raises
        ------
        Stopped
            One has.
        """
        for meter, urgent in ((self.ammeter, True), (self.thermometer, False)):
            if meter is None:
                continue
            if meter.silent_s > SILENT_S + meter.every_s + TAKES * meter.takes_s:
                raise Stopped(
                    f"{meter.meter.name} tells nothing for {meter.silent_s:.1f} s", urgent=urgent
                )

    def _reading(self, answer: Answer, source: Feeds, step: Step) -> None:
        moment = self._moment(answer, source, step)
        at_s = answer.monotonic_s - self._began_s
        self._keep(answer, moment)
        if self._watched:  # as the voltage is lowered the part gives its charge back
            self.current_a = moment.current_a
        self.curve.add(
            at_s, supply_v=moment.supply_v, current_a=moment.current_a, part_v=moment.part_v
        )
        self._see_curve()
        if self._watched:
            self._watchers.look(moment)
        self._history.take(moment, at_s)
        self.done = self._history.is_done(moment)

    def _see_curve(self) -> None:
        """Say it where the curve is not read any more: the other stops hold on."""
        if self._curve_works and not self.curve.works:
            self._curve_works = False
            self._fault("the curve cannot be read any more; the other stops go on")

    @property
    def progress(self) -> Progress | None:
        """What the curve says since this step was reached, be it of an earlier one."""
        return self.curve.progress

    def _of_this_step(self) -> Progress | None:
        """What the curve says of this very step; None as long as it still tells of another."""
        if self._step is None:
            return None
        return of_step(self.progress, self._step.supply_v, before_v=self._before_v)

    def _for_stops(self) -> Progress | None:
        """What the curve says, for the stops: that a part has failed stays so in another step."""
        said = self.progress
        ends_step = said is not None and said.state == SETTLED_BELOW
        return self._of_this_step() if ends_step else said

    def _moment(self, answer: Answer, source: Feeds, step: Step) -> Moment:
        value = answer.of(CURRENT)
        current = shown(value)
        unsure = 0.0 if value is None or isnan(value.uncertainty) else value.uncertainty
        if value is not None and isnan(current) and isfinite(value.at_most):
            current = value.at_most  # below the range of the meter: no more than that
        held_s = answer.monotonic_s - self._held_from
        supply_a, supply_unsure_a = source.supply_a
        moment = Moment(
            plan=self.plan,
            step=step,
            first=self._first,
            held_s=held_s,
            charged=held_s >= charging_ends_s(step),
            set_v=source.set_v,
            supply_v=source.supply_v,
            part_v=self._part_v(),
            current_a=current if isfinite(current) else nan,
            unsure_v=source.unsure_v,
            unsure_a=unsure,
            supply_a=supply_a,
            supply_unsure_a=supply_unsure_a,
            before_a=self._history.before_a,
            lowest_a=self._history.lowest_a,
            over_range=current == float("inf"),
            unseen=self._history.unseen,
            alike=self._history.alike,
            moved_v=self._history.moved_v(source.set_v),
            warmer_k=self._degc - self._began_degc,
            charge_c=self._history.charge_c,
            charging_s=self._history.charging_s,
            progress=self._for_stops(),
        )
        return replace(moment, charged=moment.charged and not moment.limited)

    def _part_v(self) -> float:
        """On the part, as it was read just now; NaN where it was not. [V]"""
        voltmeter = self.emptying.voltmeter
        if voltmeter is None or voltmeter.silent_s > FRESH_S:
            return nan
        return self.emptying.read_v

    def _keep(self, answer: Answer, moment: Moment) -> None:
        """Keep a reading; what stood at the supply and on the part stands beside it."""
        held = moment.held_s >= 0 and self._watched
        # While the voltage is lowered the part gives its charge back: that is no leakage.
        kept = as_leakage(answer) if self.as_proof and moment.charged and held else answer
        if not isnan(moment.supply_v):
            beside = Value(VOLTAGE, moment.supply_v, moment.unsure_v or nan)
            kept = replace(kept, values=(*kept.values, beside))
        conditions: Mapping[str, float] = {
            name: value
            for name, value in (
                ("voltage_v", moment.across_v if self.as_proof else moment.part_v),
                ("soak_s", moment.held_s if held else nan),
                ("temperature_degc", self._degc),
            )
            if isfinite(value)
        }
        self.sitting.records.keep(self.part, kept, conditions)
        self.taken += 1
        if held:
            self._drawn.add(moment.held_s, moment.current_a)
        self._show(answer, moment)

    def _show(self, answer: Answer, moment: Moment) -> None:
        step = f"{self.part.part}  step {self._number}"
        at_s = answer.monotonic_s - self._began_s
        if self._watched:
            text = reading_words(
                answer,
                moment,
                step=step,
                said=self._of_this_step(),
                at_s=at_s,
                left_s=longest_s(self.plan) - at_s,
            )
        else:
            text = lowering_words(answer, moment, step=step)
        self.view.reading(text, sorted(self._drawn.points.values()))
