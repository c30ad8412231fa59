"""The voltage of a part that soaks: whether it is there, and what is wrong with it."""

from __future__ import annotations

from math import inf, isfinite, isnan, nan
from typing import Final

from captriage.bench.complaint import Complaint
from captriage.bench.measured import Answer, Reads
from captriage.bench.rising import shown
from captriage.bench.sitting import Ended, Part, Sitting
from captriage.bench.soak_plan import OFF_AFTER, Plan
from captriage.columns import VOLTAGE
from captriage.units import format_quantity

GONE_SHARE: Final = 0.5  # below this share of it, the voltage was taken off; ours


class PartVoltage:
    """What a voltmeter shows of one part.

    Parameters
    ----------
    sitting : Sitting
        Where it is said what is wrong.
    meter : Reads
        The voltmeter.
    part : Part
        The part; its rated voltage is known.
    plan : Plan
        The voltage that is wanted.

    Attributes
    ----------
    volts : float
        Last measured, of either sign; infinite for over range, NaN for none. [V]
    highest : float
        Largest of either sign that was measured so far. [V]
    came_up : bool
        Whether the last reading is the first with the voltage, after some without.
    """

    def __init__(self, sitting: Sitting, meter: Reads, *, part: Part, plan: Plan) -> None:
        self.meter = meter
        self.volts = nan
        self.highest = 0.0
        self.came_up = False
        self._part, self._wanted = part, plan.voltage_v
        self._wrong = Complaint(sitting, part, "VOLTS")
        self._low = 0  # readings in a row that are too low
        self._had = False

    @property
    def is_on(self) -> bool:
        """Whether the last reading is one with the voltage."""
        return abs(self.volts) >= GONE_SHARE * self._wanted

    def awaited(self, answer: Answer) -> bool:
        """Take a reading of before the start; whether nothing is wrong with it."""
        if not self._takes(answer):
            return isnan(self.volts)
        self._wrong.over()
        return True

    def holds(self, answer: Answer) -> bool:
        """Take a reading of after the start; whether the part has its voltage.

        Raises
        ------
        Ended
            The voltage was taken off.
        """
        self.came_up = False
        if not self._takes(answer):
            return False
        if self.is_on:
            self.came_up = not self._had and self._low > 0
            self._wrong.over()
            self._low, self._had = 0, True
            return True
        self._low += 1
        if not self._had:
            wanted = format_quantity(self._wanted, "V")
            self._complain(f"not {wanted}: is it on, and measured there?")
        elif self._low >= OFF_AFTER:
            raise Ended(
                f"the voltage was taken off: {self.meter.name} shows "
                f"{format_quantity(abs(self.volts), 'V')}"
            )
        return False

    def missing(self) -> None:
        """There is no reading: at what voltage the part is, nobody knows."""
        self.volts, self.came_up = nan, False

    def _takes(self, answer: Answer) -> bool:
        """Whether the reading tells a voltage that the part may have."""
        from captriage.model.withstand import (  # with numpy, so not sooner
            RATED_PRECISELY,
            REVERSE_VOLTAGE_LIMIT,
        )

        self.volts = shown(answer.of(VOLTAGE))
        if isnan(self.volts):
            return False
        if isfinite(self.volts):
            self.highest = max(self.highest, abs(self.volts))
        rated = self._part.voltage_rated
        if self.volts < -REVERSE_VOLTAGE_LIMIT:
            self._complain("REVERSED: switch it off, then see to the leads and the part")
            return False
        if self.volts > (1 + RATED_PRECISELY) * rated:
            remedy = " or set a larger range" if self.volts == inf else ""
            self._complain(f"RATED {format_quantity(rated, 'V')}: TURN IT DOWN{remedy}")
            return False
        return True

    def _complain(self, what: str) -> None:
        volts = format_quantity(self.volts, "V") if isfinite(self.volts) else "over range"
        self._wrong.that(what, f"{volts} on {self._part.part}, {what}; nothing counts meanwhile")
