"""What the meters say in a run: held against every stop and against the step."""

from __future__ import annotations

from math import inf, isnan, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.case_temperature import CaseTemperature
from captriage.bench.moments import History, of_step
from captriage.bench.rising import shown
from captriage.bench.run_log import RunLog
from captriage.bench.run_moments import RunMoments
from captriage.bench.silence import check_not_silent
from captriage.bench.stopping import Watchers
from captriage.bench.stops import STOPS
from captriage.bench.typed_samples import TypedSamples
from captriage.columns import CURRENT
from captriage.errors import MeterError
from captriage.reform.curves import SETTLED_BELOW

if TYPE_CHECKING:
    from captriage.bench.curve_reader import CurveReader
    from captriage.bench.emptying import Emptying
    from captriage.bench.measured import Answer
    from captriage.bench.moments import Moment
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
        self.ammeter, self.emptying, self._case = ammeter, emptying, CaseTemperature(thermometer)
        self.curve, self.every_s = curve, every_s
        self.current_a, self.done = nan, False
        self._began_s = sitting.clock.monotonic()
        self._log = RunLog(
            sitting, part=part, plan=plan, view=view, as_proof=as_proof, began_s=self._began_s
        )
        self._watchers, self._history = Watchers(STOPS), History()
        self._moments = RunMoments(plan, self._history, emptying=emptying, case=self._case)
        self._step: Step | None = None
        self._first, self._before_v = True, 0.0
        self._held_from = self._powered_s = nan
        self._watched = True
        self._told = ""
        self._curve_works = True
        self._latest: Moment | None = None
        self._unkept: tuple[Answer, Moment] | None = None

    @property
    def taken(self) -> int:
        """Readings kept."""
        return self._log.taken

    def begin(self, number: int, step: Step) -> None:
        """The voltage is raised to that of a step."""
        self._first = self._step is None
        if self._first:
            self._powered_s = self.sitting.clock.monotonic()
        self._before_v = 0.0 if self._step is None else self._step.supply_v
        self._step, self.done = step, False
        self._held_from = nan
        self.curve.step_from(inf)
        self._history.step_begins()
        self.ammeter.every_s = QUICK_S
        self._log.begin(number, step)

    def reached(self, at_s: float) -> None:
        """The voltage of the step is there."""
        self._held_from = at_s
        self.curve.step_from(at_s - self._began_s)

    def lowering(self) -> None:
        """From now on readings are kept, and stop nothing; nobody is asked to type any."""
        self._watched = False
        self.ammeter.every_s = QUICK_S

    def slow_down(self, held_s: float) -> None:
        """The part is charged: fewer readings tell all."""
        self.ammeter.every_s = max(self.every_s, min(held_s / OF_A_STEP, SLOWEST_S))

    # What has come

    def take(self, source: Feeds) -> bool:
        """Take in all that the meters have said; whether a person has typed anything.

        Raises
        ------
        Stopped
            One of it stops the run.
        BookError
            Something could not be kept.
        """
        if self.emptying.voltmeter is not None:
            self.emptying.look(self.emptying.voltmeter)
        self._case.look(self._fault)
        for each in self.ammeter.take():
            if isinstance(each, MeterError):
                self._fault(str(each))
            elif self._step is not None:
                self._told = ""
                if each.monotonic_s < self._powered_s:
                    self._history.see_zero(shown(each.of(CURRENT)))
                    continue
                self._reading(each, source, self._step)
        return isinstance(self.ammeter, TypedSamples) and self.ammeter.answered

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
        check_not_silent(self.ammeter, urgent=True)
        if self._case.thermometer is not None:
            check_not_silent(self._case.thermometer, urgent=False)

    def _reading(self, answer: Answer, source: Feeds, step: Step) -> None:
        moment = self._moments.of(
            answer,
            source,
            step,
            first=self._first,
            held_s=answer.monotonic_s - self._held_from,
            said=self._for_stops(),
        )
        self._latest = moment
        at_s = answer.monotonic_s - self._began_s
        if self._watched:  # as the voltage is lowered the part gives its charge back
            self.current_a = moment.current_a
            self._unkept = answer, moment  # a stop comes before anything is written
            self._watchers.look(moment)
        self._keep(answer, moment)
        if not (isnan(moment.supply_v) and isnan(moment.part_v)):  # turned by hand just now
            self.curve.add(
                at_s, supply_v=moment.supply_v, current_a=moment.current_a, part_v=moment.part_v
            )
        self._see_curve()
        self._history.take(moment, at_s)
        self.done = self._history.is_done(moment)

    def _keep(self, answer: Answer, moment: Moment) -> None:
        self._unkept = None
        self._log.take(
            answer,
            moment,
            degc=self._case.degc,
            said=self._of_this_step() if self._watched else None,
            lowering=not self._watched,
        )

    def keep_what_stopped(self) -> None:
        """Keep the reading that has stopped the run, if one has: it is off by now.

        Raises
        ------
        BookError
            It could not be kept.
        """
        if self._unkept is not None:
            self._keep(*self._unkept)

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

    def end_begins(self) -> None:
        """See whether the voltmeter shows what stands on the part, as long as it stands there.

        It may have shown it for hours, and its clip has slipped since: its nought would pass for
        a part that is discharged.
        """
        latest = self._latest
        if latest is None or self.emptying.voltmeter is None:
            return
        current = 0.0 if isnan(latest.current_a) else latest.current_a
        left = latest.feeds_v - current * latest.step.series_ohm
        self.emptying.see_that_it_shows(max(left, 0.0), self._moments.part_v)
