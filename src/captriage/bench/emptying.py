"""A part is discharged when a voltmeter says so: before a run, and at its end.

A time on paper proves nothing, nor does a voltmeter that never showed the voltage of the part.
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf, isnan, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.discharging import SAFE_V, how_to_discharge
from captriage.bench.sitting import QUIT, Ended
from captriage.columns import VOLTAGE
from captriage.errors import CapTriageError
from captriage.units import format_quantity, parse_quantity

if TYPE_CHECKING:
    from captriage.bench.run_data import Samples
    from captriage.bench.sitting import Part, Sitting
    from captriage.reform.steps import Plan

READINGS: Final = 3
"""Readings in a row that say a part is discharged: one may be a slip of the meter."""

AGAIN_S: Final = 20.0
"""How often the person is told again that the part holds a charge. [s]"""

ALONE_S: Final = 600.0
"""How long a part is watched where nobody is there. [s]"""

LOOK_S: Final = 0.1
FIRST_S: Final = 1.0  # what a first reading may take
SHOWN_SHARE: Final = 0.5
"""Share of the voltage of the part that a voltmeter must have shown for its nought to count."""

PULL: Final = "the supply is not known to be off: PULL ITS PLUG ({})"


def _sure() -> str:
    """Before there is power, nothing is on."""
    return ""


class Emptying:
    """Sees to it that a part reads discharged.

    Parameters
    ----------
    sitting : Sitting
        Book, keys, screen, clock.
    part, plan : Part, Plan
        The part, and what is carried out.
    voltmeter : Samples or None
        Across the part; None where the person reads one.

    Attributes
    ----------
    read_v : float
        Last reading; NaN before the first. [V]
    read_s, unsure_v : float
        Its moment, and its uncertainty; NaN not known. [s], [V]
    highest_v : float
        Largest of either sign that the voltmeter showed. [V]
    """

    def __init__(
        self, sitting: Sitting, *, part: Part, plan: Plan, voltmeter: Samples | None
    ) -> None:
        self.sitting, self.part, self.plan, self.voltmeter = sitting, part, plan, voltmeter
        self.read_v = self.read_s = self.unsure_v = nan
        self.highest_v = 0.0
        self._low = 0
        self._shown_at_end = False
        self._told_s = -inf
        self._fault = ""
        self._shows = ""  # what the voltmeter shows in the place of a voltage

    def untouched(self, *, left_charged: bool) -> None:
        """Before anybody touches the part, see that it holds no charge.

        A voltmeter that shows nought may not be across the part yet: where an earlier run left
        the part charged, the person measures.

        Parameters
        ----------
        left_charged : bool
            Whether it was not seen discharged at the end of the run before.

        Raises
        ------
        CapTriageError
            It is not known to be discharged.
        """
        show, name = self.sitting.show, self.part.part
        if left_charged:
            show.bell()
            show.tell("CHARGE", f"{name} was not seen discharged: do not touch it")
        found = self._wait(0.0, _sure)
        if left_charged and self.voltmeter is not None and self.highest_v <= SAFE_V:
            found = nan if isnan(found) else self._measured()
        self._must_be_known(found)
        volts = format_quantity(found, "V")
        self.sitting.records.event("note", f"read {volts} before it was touched", self.part)
        self._low, self.read_v, self.highest_v = 0, nan, 0.0  # clipped in anew, all is open

    def _measured(self) -> float:
        try:
            return self._typed()
        except Ended:
            return nan

    def before(self) -> float:
        """Wait until the part reads discharged; the voltage that was read. [V]

        Raises
        ------
        CapTriageError
            It does not, or nobody can say.
        """
        found = self._wait(0.0, _sure)
        self._must_be_known(found)
        self._keep(f"{format_quantity(found, 'V')} before the voltage is put on")
        return found

    def _must_be_known(self, found: float) -> None:
        if isnan(found):
            raise CapTriageError(
                f"{self.part.part}: not known to be discharged, so nothing is switched on; "
                f"discharge it, and measure below {SAFE_V:g} V"
            )

    def after(self, from_v: float, unsure: Callable[[], str]) -> float:
        """Wait until the part reads discharged; NaN where that could not be confirmed. [V]

        Parameters
        ----------
        from_v : float
            Highest voltage that the part was given. [V]
        unsure : callable
            Why nobody knows whether the supply is off; "" where it is.
        """
        show, part = self.sitting.show, self.part
        show.bell()
        show.tell("END", f"do not touch {part.part}; discharge it:")
        show.tell("", how_to_discharge(part, max(from_v, SAFE_V)))
        self._low = 0
        found = self._wait(from_v, unsure)
        if isnan(found):
            volts = format_quantity(from_v, "V")
            said = (
                f"COULD NOT CONFIRM that {part.part} is discharged: treat it as charged to "
                f"{volts}, discharge it, and measure it before anybody touches it"
            )
            self.sitting.records.event("note", said, part)
            show.bell()
            show.tell("DANGER", said)
            return nan
        self._keep(f"{format_quantity(found, 'V')} after the run")
        share = min(from_v / self.plan.target_v, 1.0)  # it recovers a share of what it had
        low, high = (format_quantity(share * volts, "V") for volts in self.plan.recovery_v)
        show.tell(
            "empty",
            f"{part.part} reads {format_quantity(found, 'V')}: put a shorting link across it now, "
            f"{low} to {high} come back on open terminals",
        )
        return found

    def _keep(self, said: str) -> None:
        self.sitting.records.event("discharged", f"reads {said}", self.part)

    def _wait(self, from_v: float, unsure: Callable[[], str]) -> float:
        """The voltage that says it is discharged; NaN where none does."""
        try:
            if self.voltmeter is None:
                return self._typed(unsure)
            return self._watched(self.voltmeter, from_v, unsure)
        except Ended:  # told to end: without keys a voltmeter alone can say so
            if self.voltmeter is None or from_v == 0:
                return nan
            return self._watched(self.voltmeter, from_v, unsure, keys=False)

    def _watched(
        self,
        voltmeter: Samples,
        from_v: float,
        unsure: Callable[[], str],
        *,
        keys: bool = True,
    ) -> float:
        clock = self.sitting.clock
        begun = clock.monotonic()
        while True:
            fault = unsure()
            self.look(voltmeter)
            self._say(voltmeter, fault)
            if self._low >= READINGS:
                if self._shown_at_end or self.highest_v >= SHOWN_SHARE * from_v:
                    return self.read_v
                return self._unproven(from_v, unsure)
            if keys and self.sitting.keys.poll() == QUIT:
                return nan
            if (not keys or self.sitting.keys.ended) and clock.monotonic() - begun > ALONE_S:
                return nan
            clock.sleep(LOOK_S)

    def see_that_it_shows(self, left_v: float, read_v: float) -> None:
        """Forget what the voltmeter showed where it does not show it any more.

        A part that is still charging through its resistor has less on it than was put on: the
        voltmeter that agrees with what is left by then has shown the part.

        Its nought counts again once it has shown the voltage of the part again.

        Parameters
        ----------
        left_v : float
            What stands on the part by supply, current and series resistor. [V]
        read_v : float
            What the voltmeter shows meanwhile; NaN nothing. [V]
        """
        if left_v > SAFE_V and not abs(read_v) >= SHOWN_SHARE * left_v:
            self.highest_v = 0.0
        agree = SHOWN_SHARE * left_v <= abs(read_v) <= left_v / SHOWN_SHARE
        self._shown_at_end = left_v > SAFE_V and agree

    def look(self, voltmeter: Samples) -> None:
        """Take in what the voltmeter has shown."""
        for answer in voltmeter.take():
            if isinstance(answer, CapTriageError):
                self._low = 0
                self._heard(str(answer))
                continue
            value = answer.of(VOLTAGE)
            self.read_v = nan if value is None else value.value
            self.unsure_v = nan if value is None else value.uncertainty
            self.read_s = answer.monotonic_s
            self._fault = self._shows = ""
            if isnan(self.read_v):
                self._low = 0
                self._shows = (value.flag if value is not None else "") or "no number"
                continue
            self.highest_v = max(self.highest_v, abs(self.read_v))
            self._low = self._low + 1 if abs(self.read_v) <= SAFE_V else 0

    def _heard(self, fault: str) -> None:
        if fault != self._fault:
            self._fault = fault
            self.sitting.records.event("fault", fault, self.part)
            self.sitting.show.tell("fault", fault)

    def _say(self, voltmeter: Samples, fault: str) -> None:
        """Say what stands in the way, now and then."""
        now, show = self.sitting.clock.monotonic(), self.sitting.show
        if abs(self.read_v) <= SAFE_V and not self._fault and not fault:
            return  # it needs more readings of that, and no words
        if now - self._told_s < AGAIN_S:
            return
        if isnan(self.read_v) and not self._shows and voltmeter.silent_s < FIRST_S:
            return  # the first reading is on its way
        self._told_s = now
        show.bell()
        if fault:
            show.tell("DANGER", PULL.format(fault))
        if isnan(self.read_v) or self._fault:
            shows = f" ({self._shows})" if self._shows else ""
            name = voltmeter.meter.name
            show.tell("CHARGE", f"{name} tells no voltage{shows}: treat it as charged")
            return
        volts = format_quantity(self.read_v, "V")
        waits = f"the run waits until it reads {SAFE_V:g} V or less (q gives up)"
        show.tell("CHARGE", f"{self.part.part} HOLDS {volts}: do not touch it; {waits}")
        show.tell("", f"discharge it: {how_to_discharge(self.part, self.read_v)}")

    def _unproven(self, from_v: float, unsure: Callable[[], str]) -> float:
        """Have the person measure: the voltmeter's nought says nothing."""
        name = "voltmeter" if self.voltmeter is None else self.voltmeter.meter.name
        volts = format_quantity(self.highest_v, "V")
        self.sitting.show.tell(
            "CHARGE",
            f"{name} never showed more than {volts} where {format_quantity(from_v, 'V')} were put "
            "on: its nought proves nothing. See to its leads, and measure by another meter",
        )
        return self._typed(unsure)

    def _typed(self, unsure: Callable[[], str] = _sure) -> float:
        """What the person measures; NaN where nobody does."""
        show = self.sitting.show
        while True:
            if fault := unsure():
                show.tell("DANGER", PULL.format(fault))
            show.tell(
                "ask",
                f"measure across {self.part.part}, and type the volts that are shown (q gives up)",
            )
            typed = self.sitting.keys.line("volts: ")
            if typed is None or typed.strip().lower() == QUIT:
                return nan
            self.read_v = parse_quantity(typed, "V")
            if isnan(self.read_v):
                show.tell("", f"{typed!r} is no voltage; write it like 0.3 V")
            elif abs(self.read_v) <= SAFE_V:
                return self.read_v
            else:
                volts = format_quantity(self.read_v, "V")
                show.tell("CHARGE", f"{self.part.part} HOLDS {volts}: do not touch it")
                show.tell("", f"discharge it: {how_to_discharge(self.part, self.read_v)}")
