"""Ask a meter for what is to be filed, whatever becomes of the wire.

Every fault is kept as an event. A meter that is silent or sends nonsense is asked again a few
times, then the person is asked; one that is gone is connected again, for as long as it takes.
In either case the caller learns that answers are missing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from typing import Final, TypeVar

from captriage.bench.measured import Answer, Reads
from captriage.bench.reconnect import reconnect
from captriage.bench.sitting import ENTER, QUIT, Ended, Part, PassedOver, Sitting
from captriage.errors import Gone, MeterError, Unset

TRIES: Final = 4
"""Times a meter is asked before the person is."""

SILENT_PAUSE_S: Final = 5.0
"""How long a meter that does not answer is left alone where no person is there to ask."""

LOOK_S: Final = 0.1
"""How often the keys are looked at while waiting."""

REASONS: Final = 10
"""Different reasons why a meter is still gone that are kept of one gap: it may last all night."""

ALONE_S: Final = 600.0
"""How long a meter that is gone is waited for where nobody is there to end it."""

Done = TypeVar("Done")


@dataclass(frozen=True, slots=True)
class Missing:
    """There is no answer, and why."""

    why: str


class Asking:
    """Meters of one sitting, asked one at a time.

    Parameters
    ----------
    sitting : Sitting
        Where faults are kept, told and answered.
    until_s : float
        Moment of the monotonic clock after which a meter that is gone is given up.
    person : bool
        Whether a person is asked what to do; else a meter is asked for ever.
    """

    def __init__(self, sitting: Sitting, *, until_s: float = inf, person: bool = True) -> None:
        self.sitting = sitting
        self.until_s = until_s
        self.person = person
        self._failed: dict[str, int] = {}

    def read(self, meter: Reads, part: Part | None = None) -> Answer | Missing:
        """One answer of a meter.

        Raises
        ------
        Ended, PassedOver
            The person had enough of a meter that does not answer.
        """
        return self.do(meter, meter.read, part)

    def do(self, meter: Reads, act: Callable[[], Done], part: Part | None = None) -> Done | Missing:
        """Something done with a meter, or that it could not be done.

        Raises
        ------
        Ended, PassedOver
            The person had enough of a meter that does not answer.
        """
        try:
            done = act()
        except Gone as lost:
            self._come_back(meter, lost, part)
            return Missing(f"{meter.name} was gone")
        except MeterError as fault:
            self._fault(meter, fault, part)
            return Missing(f"{meter.name} gave no answer")
        self._failed.pop(meter.name, None)
        return done

    def _fault(self, meter: Reads, fault: MeterError, part: Part | None) -> None:
        sitting = self.sitting
        failed = self._failed[meter.name] = self._failed.get(meter.name, 0) + 1
        sitting.records.event("fault", str(fault), part)
        if failed % TRIES:
            sitting.show.tell("fault", f"{fault}; asking again")
            return
        sitting.show.tell("fault", str(fault))
        if self.person:
            sitting.show.bell()
            how = "is not set as it was told" if isinstance(fault, Unset) else "does not answer"
            self.question(f"{meter.name} {how}: Enter asks again, s passes over, q ends")
        else:
            self.wait(SILENT_PAUSE_S)

    def question(self, text: str) -> None:
        """Ask whether to go on; returns where Enter is pressed.

        Raises
        ------
        Ended
            The person ends, or there is nobody to ask.
        PassedOver
            The person goes on to the next part.
        """
        self.sitting.show.tell("ask", text)
        while True:
            key = self.sitting.keys.next()
            if key is None:
                raise Ended(f"nobody is there to answer: {text}")
            if key == ENTER:
                return
            self._obey(key)

    def wait(self, seconds: float) -> None:
        """Wait, with an eye on the keys.

        Raises
        ------
        Ended, PassedOver
            The person pressed q or s.
        """
        clock = self.sitting.clock
        until = clock.monotonic() + seconds
        while (left := until - clock.monotonic()) > 0:
            key = self.sitting.keys.poll()
            if key is not None:
                self._obey(key)
            clock.sleep(min(LOOK_S, left))

    def _obey(self, key: str) -> None:
        if key == QUIT:
            raise Ended("ended by the person")
        if key == "s" and self.person:
            raise PassedOver

    def _come_back(self, meter: Reads, lost: MeterError, part: Part | None) -> None:
        """Connect again, for as long as it takes.

        Raises
        ------
        Ended
            The person ends, or there is none and it takes too long.
        """
        sitting, clock = self.sitting, self.sitting.clock
        began, told = clock.monotonic(), {str(lost)}

        def wait(seconds: float) -> bool:
            left = self.until_s - clock.monotonic()
            if self.person and sitting.keys.ended and clock.monotonic() - began > ALONE_S:
                raise Ended(f"{meter.name} did not come back within {ALONE_S / 60:g} min")
            self.wait(min(seconds, left))
            return left > 0

        def still(why: MeterError) -> None:
            if str(why) not in told and len(told) < REASONS:
                told.add(str(why))
                sitting.records.event("gap", f"still: {why}", part)
                sitting.show.tell("gap", f"still: {why}")

        sitting.records.event("gap", f"begins: {lost}", part)
        sitting.show.bell()
        sitting.show.tell("gap", f"{lost}; connecting again until it is back (q ends)")
        if reconnect(meter, wait=wait, still=still):
            away = clock.monotonic() - began
            sitting.records.event("gap", f"ends: {meter.name} is back after {away:.1f} s", part)
            sitting.show.tell("gap", f"{meter.name} is back after {away:.1f} s")
            self._failed.pop(meter.name, None)
