"""Leakage current of one part against time, from the moment its voltage was applied.

The soak clock is the monotonic one alone: a wall clock that is set, forwards or back, does not
move it. What could not be read is missing; nothing is put in its place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import inf, isfinite, isinf, isnan, nan
from typing import Final

from captriage.bench.asking import LOOK_S, Asking, Missing
from captriage.bench.discharging import SAFE_V, how_to_discharge
from captriage.bench.measured import Answer, Reads
from captriage.bench.remarks import remark
from captriage.bench.rising import Rise
from captriage.bench.sitting import ENTER, Ended, Part, Sitting
from captriage.bench.soak_plan import (
    MARKS_S,
    Curve,
    Plan,
    SoakSummary,
    View,
    as_leakage,
    check_voltage,
)
from captriage.bench.steadiness import Noise
from captriage.bench.telling import answer_figures
from captriage.columns import CURRENT, LEAKAGE_CURRENT, VOLTAGE
from captriage.units import format_quantity

WAITING_S: Final = 0.2
"""Between two readings while the voltage is waited for: how far the start may be off. [s]"""

CALM_WITHIN_S: Final = 3.0
"""After so long without calm readings the start is left to the person. [s]"""

JUMP_A: Final = 1e-6  # least rise of the current that is taken for the voltage; ours [A]
JUMP_NOISES: Final = 10.0  # and so many times the noise of the ammeter; ours
JUMP_SHARE: Final = 0.1  # share of the measuring voltage that is taken for it; ours
GONE_SHARE: Final = 0.5  # below this share of it, the voltage was taken off; ours
RATED_PRECISELY: Final = 0.02
"""How far above rated a voltmeter may read before it counts; common practice."""

OFF_AFTER: Final = 3  # such readings in a row: one may be a slip of the meter

LATE: Final = 2  # times the interval that the last reading may be late


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
            known = isfinite(self._voltage)
            volts = self._voltage if known else self.plan.voltage_v
            if volts > SAFE_V:
                show.tell("", how_to_discharge(self.part, volts))
        return self.summary

    def _wait_for_voltage(self) -> None:
        """Until Enter is pressed, or voltage or current jump; that moment is soak time nought."""
        sitting = self.sitting
        rises = self._rises()
        began, invited = sitting.clock.monotonic(), False
        while isnan(self._started_s):
            calm = all(rise.calm for rise in rises)
            if not invited and (calm or sitting.clock.monotonic() - began > CALM_WITHIN_S):
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

    def _rises(self) -> list[Rise]:
        """What the voltage is noticed by."""
        volts = JUMP_SHARE * self.plan.voltage_v

        def amperes(calm: float) -> float:
            noisy = self.noise(CURRENT, calm)
            return max(JUMP_A, 0.0 if isnan(noisy) else JUMP_NOISES * noisy)

        rises = [Rise(self.ammeter, CURRENT, amperes)]
        if self.voltmeter is not None:
            rises.insert(0, Rise(self.voltmeter, VOLTAGE, lambda _: volts))
        return rises

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
        if self.voltmeter is None:
            return True
        answer = self._asking.read(self.voltmeter, self.part)
        value = None if isinstance(answer, Missing) else answer.of(VOLTAGE)
        self._voltage = nan
        if value is None or (isnan(value.value) and not value.flag.startswith("over range")):
            return False  # at what voltage, nobody knows: that reading is missing
        self._voltage = inf if isnan(value.value) else abs(value.value)
        rated, wanted = self.part.voltage_rated, self.plan.voltage_v
        if self._voltage > (1 + RATED_PRECISELY) * rated:
            self._complain(f"RATED {format_quantity(rated, 'V')}: TURN IT DOWN")
            return False
        if self._voltage >= GONE_SHARE * wanted:
            self._complained, self._low, self._had_voltage = "", 0, True
            return True
        self._low += 1
        if not self._had_voltage:
            self._complain(f"not {format_quantity(wanted, 'V')}: is it on, and measured there?")
        elif self._low >= OFF_AFTER:
            shown = format_quantity(self._voltage, "V")
            raise Ended(f"the voltage was taken off: {shown} left")
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
        mark = next((each for each in self._marks if soak_s >= each), None)
        self.view.reading(text, sorted(self.curve.points.values()), due=mark is not None)
        if mark is not None:
            self._tell_mark(mark, current)

    def _tell_mark(self, mark: float, current: float) -> None:
        """What a time says for which limits are stated."""
        self._marks = [each for each in self._marks if each > mark]
        said = f"after {mark / 60:g} min: {format_quantity(current, 'A')}"
        means = self.says(mark, current)
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
        clock = self.sitting.clock
        while (left := due_s - clock.monotonic()) > 0:
            if self._pressed():
                return True
            clock.sleep(min(LOOK_S, left))
        return False
