"""The current of a part that soaks: whether any is seen at all, or too much to be shown.

A part that is charged draws a current at first, and its dielectric takes up more for minutes. Of
an ammeter that never shows any, nobody knows that it stands in the circuit: its noughts are no
leakage. So a reading counts as leakage only once a current larger than its own uncertainty has
been seen, and no more when that is gone all at once.
"""

from __future__ import annotations

from math import inf, isfinite, isinf, isnan, nan
from typing import Final

from captriage.bench.complaint import Complaint
from captriage.bench.measured import Answer, Reads
from captriage.bench.rising import shown
from captriage.bench.sitting import Part, Sitting
from captriage.bench.soak_plan import OFF_AFTER
from captriage.bench.steadiness import STEPS, resolution
from captriage.columns import CURRENT

JUST_BEFORE_S: Final = 5.0
"""How long before the start a current was seen for it to be that of this charging; ours. [s]"""

VANISHES: Final = 10.0
"""Times its uncertainty that a current was, to be gone all at once when the next is within it."""

FALLS_AFTER_S: Final = 10.0
"""Soak time from which a current falls as slowly as a power of time; ours, charging is over. [s]"""

FALLS_WITHIN: Final = 1.5
"""Ratio of two soak times within which it cannot fall by :data:`VANISHES`: i ~ t^-n, n about 1."""

CAUSES: Final = (
    "a lead is open, the fuse of the ammeter's current input is blown, a plug is in the wrong "
    "socket, the part is not connected or has no voltage"
)


class PartCurrent:
    """What an ammeter shows of one part.

    Parameters
    ----------
    sitting : Sitting
        Where it is said what is wrong.
    meter : Reads
        The ammeter, in series.
    part : Part
        The part.

    Attributes
    ----------
    flows : bool
        Whether what is read now is the current of the part.
    came : bool
        Whether the last reading is the first with a current, after some without: the part has
        been charging since then.
    """

    def __init__(self, sitting: Sitting, meter: Reads, part: Part) -> None:
        self.meter = meter
        self.flows = self.came = False
        self._part = part
        self._wrong = Complaint(sitting, part, "AMPS")
        self._seen_s = -inf  # moment of the last that was seen before the start
        self._ever = False
        self._unseen = 0  # readings in a row without a current
        self._last_s = self._times = nan  # soak time of the last one seen, and its size

    @property
    def proves_nothing(self) -> str:
        """Why the soak is none, in words; "" where a current flows to its end."""
        if self.flows:
            return ""
        if not self._ever:
            return (
                f"no current was ever seen through {self._part.part}: this soak proves nothing, "
                f"and its readings are kept as current, not as leakage. Switch off; {CAUSES}, "
                "or the ammeter is too coarse. Discharge the part, and begin anew"
            )
        return (
            f"the current through {self._part.part} was gone at the end: what was read after "
            "that is kept as current, not as leakage"
        )

    def awaited(self, answer: Answer) -> None:
        """Take a reading of before the start."""
        if self._size(answer) > 1:
            self._seen_s = answer.monotonic_s
        if not self._check_range(answer):
            self._wrong.over()

    def begins(self, at_s: float) -> None:
        """The soak clock starts at this moment."""
        self._ever = self.flows = self._seen_s >= at_s - JUST_BEFORE_S
        self._unseen = 0

    def take(self, answer: Answer, soak_s: float) -> bool:
        """Take a reading of after the start; whether it may be kept as leakage of the part."""
        self.came = False
        size = self._size(answer)
        if isnan(size):
            return True  # it tells of no current, and of none missing
        if size > 1:
            self.came = not self.flows and self._unseen >= (OFF_AFTER if self._ever else 1)
            self.flows = self._ever = True
            self._unseen, self._last_s, self._times = 0, soak_s, size
            if not self._check_range(answer):
                self._wrong.over()
            return True
        self._unseen += 1
        if self.flows and self._vanished(soak_s):
            self.flows = False
        if not self.flows and self._unseen >= OFF_AFTER:
            what = "the current is gone all at once" if self._ever else "no current is seen"
            self._wrong.that(
                what,
                f"{what} through {self._part.part}: is it so that {CAUSES}? What is read "
                "meanwhile is no leakage",
            )
        return self.flows

    def _vanished(self, soak_s: float) -> bool:
        """Whether a current that was well seen is gone faster than any part lets it fall."""
        return (
            self._times >= VANISHES
            and self._last_s >= FALLS_AFTER_S
            and soak_s <= FALLS_WITHIN * self._last_s
        )

    def _check_range(self, answer: Answer) -> bool:
        """Complain where the current is too large to be shown; whether it is."""
        if not isinf(shown(answer.of(CURRENT))):
            return False
        self._wrong.that(
            "over range",
            f"{self.meter.name} is over range, more flows through {self._part.part} than it can "
            "show: unless that falls at once, SWITCH OFF; then set a larger range, see to the "
            "part and raise the voltage slowly",
        )
        return True

    @staticmethod
    def _size(answer: Answer) -> float:
        """Current in times of what a meter without any may show; NaN where nothing is told of it.

        A bound from above may be that of none.
        """
        value = answer.of(CURRENT)
        size = abs(shown(value))
        if value is None or not isfinite(size):
            return 0.0 if value is not None and isnan(size) and isfinite(value.at_most) else size
        if isnan(value.uncertainty):
            least = STEPS * resolution(answer.raw, value.value)
        else:
            least = value.uncertainty
        return size / least if least > 0 else inf if size > 0 else 0.0
