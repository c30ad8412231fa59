"""A meter that the person reads and types, in the place of one that is read in a thread."""

from __future__ import annotations

from typing import TYPE_CHECKING

from captriage.errors import Garbled, MeterError

if TYPE_CHECKING:
    from captriage.bench.measured import Answer, Clock, Reads


class TypedSamples:
    """Asks for a reading when one is due; see :class:`captriage.bench.sampled.Sampled`.

    While the voltage is raised and the part charges, nobody can type fast enough, and Enter says
    that the voltage is there: nothing is asked then.

    Enter alone is no reading, but somebody who is there: it is asked again, and what is no number
    likewise, for a person corrects a slip at once.

    Parameters
    ----------
    meter : Reads
        The person; set up.
    clock : Clock
        Says when the next is due.
    least_s : float
        No reading is asked for sooner after the one before; nor where ``every_s`` is less. [s]

    Attributes
    ----------
    answered : bool
        Whether a person has typed something when it was last asked for.
    """

    takes_s = 0.0
    silent_s = 0.0
    """A person is waited for: whether somebody is there is asked elsewhere."""

    def __init__(self, meter: Reads, *, clock: Clock, least_s: float) -> None:
        self.meter = meter
        self.every_s = 0.0
        self.answered = False
        self._clock, self._least_s = clock, least_s
        self._due_s = clock.monotonic()

    def start(self) -> None:
        """Nothing is to be begun."""

    def stop(self) -> None:
        """Nothing is to be ended."""

    def take(self) -> list[Answer | MeterError]:
        """The reading that the person types, where one is due."""
        self.answered = False
        if self.every_s < self._least_s or self._clock.monotonic() < self._due_s:
            return []
        try:
            answer = self.meter.read()
        except Garbled as fault:
            self.answered = True  # somebody types, though nothing that is a reading
            return [fault]
        except MeterError as fault:
            self._due_s = self._clock.monotonic() + self.every_s
            return [fault]
        self.answered = True
        if not answer.raw:
            return []  # asked again once the run has looked at everything else
        self._due_s = self._clock.monotonic() + self.every_s
        return [answer]
