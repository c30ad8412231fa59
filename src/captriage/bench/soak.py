"""Leakage current of one part against time, from the moment its voltage was applied.

The soak clock is the monotonic one alone: a wall clock that is set, forwards or back, does not
move it. What could not be read is missing; nothing is put in its place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import inf, isfinite, isinf, isnan, nan
from typing import Final

from captriage.bench.asking import LOOK_S, Asking, Missing
from captriage.bench.discharging import how_to_discharge
from captriage.bench.measured import Answer, Reads
from captriage.bench.remarks import remark
from captriage.bench.rising import Rise, rises_of
from captriage.bench.sitting import ENTER, Ended, Part, Sitting
from captriage.bench.soak_plan import (
    LATE,
    MARK_HOLDS,
    MARKS_S,
    OFF_AFTER,
    RATED_PRECISELY,
    WAITING_S,
    Curve,
    Plan,
    SoakSummary,
    View,
    as_leakage,
    check_voltage,
)
from captriage.bench.steadiness import Noise
from captriage.bench.telling import answer_figures
from captriage.columns import LEAKAGE_CURRENT, VOLTAGE
from captriage.units import format_quantity

CALM_WITHIN: Final = 15  # rounds; without calm readings by then the start is left to the person

GONE_SHARE: Final = 0.5  # below this share of it, the voltage was taken off; ours


class Soak:
    """One part in the jig, soaked and read.

    Parameters
    ----------
    sitting : Sitting
        Book, keys, screen, clock.
    ammeter : Reads
        In series with the part; open, and set up for direct current.
    part : Part
        The part.
    plan : Plan
        Voltage and time.
    noise : callable
        Of the ammeter's profile.
    voltmeter : Reads or None
        Across the part, or the supply's own.
    says : callable
        Given a soak time [s] and a current [A]: what that means for the limit.
    view : View
        Where the curve is shown.

    Raises
    ------
    CapTriageError
        The voltage is not one that the part may have.
    """

    def __init__(
        self,
        sitting: Sitting,
        ammeter: Reads,
        *,
        part: Part,
        plan: Plan,
        noise: Noise,
        view: View,
        voltmeter: Reads | None = None,
        says: Callable[[float, float], str] = lambda *_: "",
    ) -> None:
        check_voltage(part, plan.voltage_v)
        self.sitting, self.ammeter, self.voltmeter = sitting, ammeter, voltmeter
        self.part, self.plan, self.noise = part, plan, noise
        self.view, self.says = view, says
        self.summary = SoakSummary()
        self.curve = Curve()
        self._asking = Asking(sitting, person=False)
        self._voltage = nan  # last measured
        self._highest = 0.0  # measured so far
        self._alarmed = False
        self._complained = ""
        self._low = 0  # readings of the voltmeter in a row that are too low
        self._had_voltage = False
        self._started_s = nan
        self._marks = [mark for mark in MARKS_S if mark <= plan.until_s]

    def run(self) -> SoakSummary:
        """Wait for the voltage, soak, and say how to end safely whatever happened.

        Raises
        ------
        BookError
            Something could not be kept.
        """
        show = self.sitting.show
        try:
            self._wait_for_voltage()
            self._soak()
        except Ended as why:
            self.summary.ended = str(why)
        finally:
            show.bell()
            show.tell("END", f"switch the voltage off now, and leave {self.part.part} alone")
            # Whatever a voltmeter shows now: at the supply it shows nothing of the part.
            show.tell("", how_to_discharge(self.part, max(self._highest, self.plan.voltage_v)))
        return self.summary

    def _wait_for_voltage(self) -> None:
        """Until Enter is pressed, or voltage or current jump; that moment is soak time nought."""
        sitting = self.sitting
        rises = rises_of(
            self.ammeter, self.voltmeter, voltage_v=self.plan.voltage_v, noise=self.noise
        )
        rounds, invited = 0, False
        while isnan(self._started_s):
            calm = all(rise.calm for rise in rises)
            rounds += 1
            if not invited and (calm or rounds > CALM_WITHIN):
                invited = True
                self._invite("it is noticed, or press" if calm else "press")
            if self._pressed():
                self._start(sitting.clock.monotonic(), "Enter was pressed")
                return
            due = sitting.clock.monotonic() + WAITING_S
            at = self._noticed(rises)
            if not isnan(at):
                self._start(at, "the voltage was noticed")
            elif self._pressed_until(due):
                self._start(sitting.clock.monotonic(), "Enter was pressed")

    def _invite(self, how: str) -> None:
        """Ask for the voltage, but no sooner than its jump would be noticed."""
        volts = format_quantity(self.plan.voltage_v, "V")
        said = f"apply {volts} to {self.part.part}; {how} Enter in that moment"
        self.sitting.show.tell("ready", said)

    def _noticed(self, rises: list[Rise]) -> float:
        """Moment at which a meter showed the voltage, once that is sure; NaN before."""
        for rise in rises:
            answer = self._asking.read(rise.meter, self.part)
            if isinstance(answer, Missing):
                for each in rises:
                    each.forget()
                self._not_begun(answer.why)
                return nan
            at = rise.began_s(answer)
            if not isnan(at):
                return at
            if rise.slipped:
                self._not_begun(f"{rise.meter.name} jumped for a moment")
        return nan

    def _not_begun(self, why: str) -> None:
        """What was done meanwhile counts for nothing: when it was done is not known."""
        while self._pressed():
            pass
        said = f"{why}: the soak clock does not run. Take any voltage off, then apply it anew"
        self.sitting.records.event("note", said, self.part)
        self.sitting.show.tell("ready", said)

    def _start(self, at_s: float, how: str) -> None:
        self._started_s = at_s
        self._asking.until_s = at_s + self.plan.until_s + LATE * self.plan.every_s
        self.sitting.records.event("started", f"soak time 0: {how}", self.part)
        self.sitting.show.bell()
        end = format_quantity(self.plan.until_s, "s")
        self.sitting.show.tell("soak", f"{how}: the soak clock runs, {end} to go (q ends)")

    def _soak(self) -> None:
        clock, plan = self.sitting.clock, self.plan
        while not self.summary.soak_s >= plan.until_s:  # also before the first
            self._once()
            past = clock.monotonic() - self._started_s
            if past > plan.until_s + LATE * plan.every_s:
                break  # the last one is missing
            due = self._started_s + (past // plan.every_s + 1) * plan.every_s
            while self._pressed_until(due):
                pass  # Enter has nothing to say any more
        if isnan(self.summary.soak_s):
            raise Ended("not one reading was taken")

    def _once(self) -> None:
        """One look at the voltage, one reading of the current."""
        if not self._voltage_holds():
            return
        answer = self._asking.read(self.ammeter, self.part)
        if isinstance(answer, Missing):
            return
        soak_s = answer.monotonic_s - self._started_s
        if soak_s < 0:
            return  # of before Enter was pressed
        self._keep(as_leakage(answer), soak_s)

    def _voltage_holds(self) -> bool:
        """Whether the part has its voltage, as far as a voltmeter is there to tell.

        Raises
        ------
        Ended
            The voltage was taken off.
        """
        from captriage.model.withstand import REVERSE_VOLTAGE_LIMIT  # with numpy, so not sooner

        if self.voltmeter is None:
            return True
        answer = self._asking.read(self.voltmeter, self.part)
        self._voltage = nan
        if isinstance(answer, Missing):
            return False
        value = answer.of(VOLTAGE)
        if value is None or (isnan(value.value) and not value.flag.startswith("over range")):
            return False  # at what voltage, nobody knows: that reading is missing
        self._voltage = inf if isnan(value.value) else abs(value.value)
        if isfinite(self._voltage):
            self._highest = max(self._highest, self._voltage)
        if value.value < -REVERSE_VOLTAGE_LIMIT:
            self._complain("REVERSED: switch it off, then see to the leads and the part")
            return False
        rated, wanted = self.part.voltage_rated, self.plan.voltage_v
        if self._voltage > (1 + RATED_PRECISELY) * rated:
            self._complain(f"RATED {format_quantity(rated, 'V')}: TURN IT DOWN")
            return False
        if self._voltage >= GONE_SHARE * wanted:
            if not self._had_voltage and self._low:
                self._start(answer.monotonic_s, "the voltage has come up")
            self._complained, self._low, self._had_voltage = "", 0, True
            return True
        self._low += 1
        if not self._had_voltage:
            self._complain(f"not {format_quantity(wanted, 'V')}: is it on, and measured there?")
        elif self._low >= OFF_AFTER:
            shown = format_quantity(self._voltage, "V")
            raise Ended(f"the voltage was taken off: {self.voltmeter.name} shows {shown}")
        return False

    def _complain(self, what: str) -> None:
        """Say once what is wrong with the voltage, for as long as it is."""
        if what == self._complained:
            return
        self._complained = what
        shown = "over range" if isinf(self._voltage) else format_quantity(self._voltage, "V")
        said = f"{shown} on {self.part.part}, {what}; nothing is kept meanwhile"
        self.sitting.records.event("note", said, self.part)
        self.sitting.show.bell()
        self.sitting.show.tell("VOLTS", said)

    def _keep(self, answer: Answer, soak_s: float) -> None:
        """On the disk first; shown as taken only then."""
        volts = self.plan.voltage_v if self.voltmeter is None else self._voltage
        told: Mapping[str, float] = {
            "voltage_v": volts,
            "soak_s": soak_s,
            "temperature_degc": self.plan.temperature_degc,
        }
        known = {name: value for name, value in told.items() if isfinite(value)}
        kept = self.sitting.records.keep(self.part, answer, known)
        summary = self.summary
        summary.taken += 1
        summary.soak_s = soak_s
        value = answer.of(LEAKAGE_CURRENT)
        current = nan if value is None else value.value
        if not isnan(current):
            summary.current = current
        self.curve.add(soak_s, current)
        text = (
            f"taken  {self.part.part}  answer {kept.answer}  {answer_figures(answer)}  "
            f"after {soak_s:.1f} s at {format_quantity(volts, 'V')}"
        )
        mark = max((each for each in self._marks if soak_s >= each), default=None)
        self.view.reading(text, sorted(self.curve.points.values()), due=mark is not None)
        if mark is not None:
            self._tell_mark(mark, soak_s, current)
        self._alarm(soak_s, current)

    def _alarm(self, soak_s: float, current: float) -> None:
        """Say at once, and once, what cannot wait for a time that limits are stated for."""
        means = self.says(soak_s, current)
        if means.startswith(("SWITCH OFF", "REVERSED")) and not self._alarmed:
            self._alarmed = True
            self.sitting.records.event("note", means, self.part)
            self.sitting.show.bell()
            self.sitting.show.tell("ALARM", means)

    def _tell_mark(self, mark: float, soak_s: float, current: float) -> None:
        """What a reading says that is the first after a time for which limits are stated."""
        self._marks = [each for each in self._marks if each > mark]
        at_s = mark if soak_s < MARK_HOLDS * mark else soak_s
        said = f"after {at_s / 60:.2g} min: {format_quantity(current, 'A')}"
        means = self.says(soak_s, current)
        if means:
            said += f", {means}"
        self.sitting.show.tell("mark", said)

    def _pressed(self) -> bool:
        """Whether Enter is waiting; any other key is obeyed."""
        key = self.sitting.keys.poll()
        if key is None or key == ENTER:
            return key == ENTER
        remark(self.sitting, self.part, key)
        return False

    def _pressed_until(self, due_s: float) -> bool:
        """Wait until this moment, or until Enter is pressed: whether it was."""
        while (left := due_s - self.sitting.clock.monotonic()) > 0:
            if self._pressed():
                return True
            self.sitting.clock.sleep(min(LOOK_S, left))
        return False
