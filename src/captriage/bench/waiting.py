"""The voltage of a soak is waited for: noticed, or told by Enter."""

from __future__ import annotations

from math import isnan, nan
from typing import Final

from captriage.bench.asking import Asking, Missing
from captriage.bench.measured import Answer
from captriage.bench.part_current import PartCurrent
from captriage.bench.part_voltage import PartVoltage
from captriage.bench.remarks import pressed, pressed_until
from captriage.bench.rising import Rise, rises_of
from captriage.bench.sitting import Part, Sitting
from captriage.bench.soak_plan import Plan
from captriage.bench.steadiness import Noise
from captriage.units import format_quantity

WAITING_S: Final = 0.2
"""Between two readings while the voltage is waited for: how far the start may be off. [s]"""

CALM_WITHIN: Final = 15  # rounds; without calm readings by then the start is left to the person


class Waiting:
    """What happens to a part before its soak clock runs.

    Parameters
    ----------
    sitting : Sitting
        Keys, screen, clock.
    asking : Asking
        Asks the meters.
    current : PartCurrent
        Of the ammeter.
    voltage : PartVoltage or None
        Of the voltmeter, where there is one.
    part, plan : Part, Plan
        The part, and the voltage that is wanted.
    noise : callable
        Of the ammeter's profile.
    """

    def __init__(
        self,
        sitting: Sitting,
        asking: Asking,
        *,
        current: PartCurrent,
        voltage: PartVoltage | None,
        part: Part,
        plan: Plan,
        noise: Noise,
    ) -> None:
        self.sitting, self.asking, self.part, self.plan = sitting, asking, part, plan
        self.current, self.voltage = current, voltage
        self._rises = rises_of(
            current.meter,
            None if voltage is None else voltage.meter,
            voltage_v=plan.voltage_v,
            noise=noise,
        )
        self._stood = False  # whether it was said that the voltage is on already

    def began(self) -> tuple[float, str]:
        """Moment of soak time nought, and how it is known, once the voltage is there.

        Raises
        ------
        Ended
            The person ends.
        """
        sitting, part, clock = self.sitting, self.part, self.sitting.clock
        rounds, invited = 0, False
        while True:
            calm = all(rise.calm for rise in self._rises)
            rounds += 1
            if not invited and (calm or rounds > CALM_WITHIN):
                invited = True
                self._invite("it is noticed, or press" if calm else "press")
            if pressed(sitting, part):
                break
            due = clock.monotonic() + WAITING_S
            at = self._noticed()
            if not isnan(at):
                return at, "the voltage was noticed"
            if pressed_until(sitting, part, due):
                break
        return clock.monotonic(), "Enter was pressed"

    def _invite(self, how: str) -> None:
        """Ask for the voltage, but no sooner than its jump would be noticed."""
        volts = format_quantity(self.plan.voltage_v, "V")
        said = f"apply {volts} to {self.part.part}; {how} Enter in that moment"
        self.sitting.show.tell("ready", said)

    def _noticed(self) -> float:
        """Moment at which a meter showed the voltage, once that is sure; NaN before."""
        for rise in self._rises:
            answer = self.asking.read(rise.meter, self.part)
            if isinstance(answer, Missing):
                for each in self._rises:
                    each.forget()
                self._not_begun(answer.why)
                return nan
            if not self._may_begin(rise, answer):
                return nan
            at = rise.began_s(answer)
            if not isnan(at):
                return at
            if rise.slipped:
                self._not_begun(f"{rise.meter.name} jumped for a moment")
            self._see_whether_it_stands(rise)
        return nan

    def _may_begin(self, rise: Rise, answer: Answer) -> bool:
        """Whether the part has no voltage that it may not have; what is wrong is said at once."""
        if self.voltage is not None and rise.meter is self.voltage.meter:
            return self.voltage.awaited(answer)
        self.current.awaited(answer)
        return True

    def _see_whether_it_stands(self, rise: Rise) -> None:
        """Say that the voltage was there before it was asked for, once for as long as it is."""
        voltage = self.voltage
        if voltage is None or rise.meter is not voltage.meter:
            return
        if voltage.is_on and rise.rests and not self._stood:
            said = (
                f"{format_quantity(voltage.volts, 'V')} on {self.part.part} already, since when "
                "is not known: take it off, discharge the part and apply it anew, or press Enter "
                "to count from then"
            )
            self.sitting.records.event("note", said, self.part)
            self.sitting.show.bell()
            self.sitting.show.tell("VOLTS", said)
        self._stood = voltage.is_on and (self._stood or rise.rests)

    def _not_begun(self, why: str) -> None:
        """What was done meanwhile counts for nothing: when it was done is not known."""
        while pressed(self.sitting, self.part):
            pass
        said = f"{why}: the soak clock does not run. Take any voltage off, then apply it anew"
        self.sitting.records.event("note", said, self.part)
        self.sitting.show.tell("ready", said)
