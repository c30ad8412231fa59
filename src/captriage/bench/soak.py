"""Leakage current of one part against time, from the moment its voltage was applied.

The soak clock is the monotonic one alone: a wall clock that is set, forwards or back, does not
move it. What could not be read is missing; nothing is put in its place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import isfinite, isnan, nan
from typing import Final

from captriage.bench.asking import Asking, Missing
from captriage.bench.discharging import how_to_discharge
from captriage.bench.measured import Answer, Reads
from captriage.bench.part_current import PartCurrent
from captriage.bench.part_voltage import PartVoltage
from captriage.bench.remarks import pressed_until
from captriage.bench.sitting import Ended, Part, Sitting
from captriage.bench.soak_plan import (
    LATE,
    MARK_HOLDS,
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
from captriage.bench.waiting import Waiting
from captriage.columns import LEAKAGE_CURRENT
from captriage.units import format_quantity

NEAR_SHARE: Final = 0.95
"""Share of the measuring voltage below which a part is not held to the limit of it; ours."""


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
        Across the part, or before the series resistor of the plan.
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
        self.part, self.plan = part, plan
        self.view, self.says = view, says
        self.summary = SoakSummary()
        self.curve = Curve()
        self._asking = Asking(sitting, person=False)
        self._current = PartCurrent(sitting, ammeter, part)
        self._voltage = (
            None if voltmeter is None else PartVoltage(sitting, voltmeter, part=part, plan=plan)
        )
        self._waiting = Waiting(
            sitting,
            self._asking,
            current=self._current,
            voltage=self._voltage,
            part=part,
            plan=plan,
            noise=noise,
        )
        self._alarmed = False
        self._started_s = nan
        self._marks = list(MARKS_S)

    def run(self) -> SoakSummary:
        """Wait for the voltage, soak, and say how to end safely whatever happened.

        Raises
        ------
        BookError
            Something could not be kept.
        """
        show, summary = self.sitting.show, self.summary
        try:
            at_s, how = self._waiting.began()
            self._current.begins(at_s)
            self._start(at_s, how)
            self._soak()
        except Ended as why:
            summary.ended = str(why)
        finally:
            show.bell()
            safe = f"switch the voltage off now; before you touch {self.part.part}, discharge it:"
            show.tell("END", safe)
            # Whatever a voltmeter shows now: at the supply it shows nothing of the part.
            seen = 0.0 if self._voltage is None else self._voltage.highest
            show.tell("", how_to_discharge(self.part, max(seen, self.plan.voltage_v)))
        if summary.taken:
            said = (summary.ended, self._current.proves_nothing)
            summary.ended = "; ".join(each for each in said if each)
        return summary

    def _start(self, at_s: float, how: str) -> None:
        """The soak clock runs from this moment on; it may do so anew."""
        self._started_s = at_s
        self._asking.until_s = at_s + self.plan.until_s + LATE * self.plan.every_s
        self.summary.soak_s = nan
        self.curve.points.clear()
        self._marks = [mark for mark in MARKS_S if mark <= self.plan.until_s]
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
            while pressed_until(self.sitting, self.part, due):
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
        flows = self._current.take(answer, soak_s)
        if self._current.came:
            self._start(answer.monotonic_s, "the current has come")
            soak_s = 0.0
        if flows:
            self._keep(as_leakage(answer), soak_s)
        else:
            self._keep_aside(answer, soak_s)

    def _voltage_holds(self) -> bool:
        """Whether the part has its voltage, as far as a voltmeter is there to tell.

        Raises
        ------
        Ended
            The voltage was taken off.
        """
        voltage = self._voltage
        if voltage is None:
            return True
        answer = self._asking.read(voltage.meter, self.part)
        if isinstance(answer, Missing):
            voltage.missing()
            return False
        if not voltage.holds(answer):
            return False
        if voltage.came_up:
            self._current.begins(answer.monotonic_s)
            self._start(answer.monotonic_s, "the voltage has come up")
        return True

    def _keep_aside(self, answer: Answer, soak_s: float) -> None:
        """Keep a current of which nobody knows whether it is the part's, and no more of it."""
        degc = self.plan.temperature_degc
        known = {"temperature_degc": degc} if isfinite(degc) else {}
        kept = self.sitting.records.keep(self.part, answer, known)
        self.summary.taken += 1
        self.summary.soak_s = soak_s
        self.sitting.show.line(
            f"taken  {self.part.part}  answer {kept.answer}  {answer_figures(answer)}  "
            "no current is seen: kept as current, not as leakage"
        )

    def _keep(self, answer: Answer, soak_s: float) -> None:
        """On the disk first; shown as taken only then."""
        value = answer.of(LEAKAGE_CURRENT)
        told = self.plan.voltage_v if self._voltage is None else abs(self._voltage.volts)
        volts = self.plan.volts_left(told, value)
        conditions: Mapping[str, float] = {
            "voltage_v": volts,
            "soak_s": soak_s,
            "temperature_degc": self.plan.temperature_degc,
        }
        known = {name: value for name, value in conditions.items() if isfinite(value)}
        kept = self.sitting.records.keep(self.part, answer, known)
        summary = self.summary
        summary.taken += 1
        summary.soak_s = soak_s
        current = nan if value is None else value.value
        if not isnan(current):
            summary.current = current
        self.curve.add(soak_s, current)
        text = (
            f"taken  {self.part.part}  answer {kept.answer}  {answer_figures(answer)}  "
            f"after {soak_s:.1f} s at "
            f"{'a voltage not known' if isnan(volts) else format_quantity(volts, 'V')}"
        )
        mark = max((each for each in self._marks if soak_s >= each), default=None)
        self.view.reading(text, sorted(self.curve.points.values()), due=mark is not None)
        if mark is not None:
            self._tell_mark(mark, soak_s, current, volts)
        self._alarm(soak_s, current)

    def _alarm(self, soak_s: float, current: float) -> None:
        """Say at once, and once, what cannot wait for a time that limits are stated for."""
        means = self.says(soak_s, current)
        if means.startswith(("SWITCH OFF", "REVERSED")) and not self._alarmed:
            self._alarmed = True
            self.sitting.records.event("note", means, self.part)
            self.sitting.show.bell()
            self.sitting.show.tell("ALARM", means)

    def _tell_mark(self, mark: float, soak_s: float, current: float, volts: float) -> None:
        """What a reading says that is the first after a time for which limits are stated."""
        self._marks = [each for each in self._marks if each > mark]
        at_s = mark if soak_s < MARK_HOLDS * mark else soak_s
        said = f"after {at_s / 60:.2g} min: {format_quantity(current, 'A')}"
        wanted = self.plan.voltage_v
        means = self.says(soak_s, current)
        if volts < NEAR_SHARE * wanted:
            means = (
                f"at {format_quantity(volts, 'V')} only, of {format_quantity(wanted, 'V')}: the "
                "limit told is no limit for it"
            )
        if means:
            said += f", {means}"
        self.sitting.show.tell("mark", said)
