"""A meter that is read in a thread of its own, so that nobody waits for it.

A run under voltage must look at its keys, its supply and its clock whatever a meter does. How old
the last answer is tells whether the meter is silent.
"""

from __future__ import annotations

import queue
import threading
from contextlib import suppress
from typing import TYPE_CHECKING, Final

from captriage.bench.reconnect import FIRST_PAUSE_S, LONGEST_PAUSE_S
from captriage.errors import Gone, MeterError

if TYPE_CHECKING:
    from captriage.bench.measured import Answer, Clock, Reads

LOOK_S: Final = 0.05  # how often it looks whether it is to end, or to read faster

ENDS_S: Final = 10.0
"""How long its thread may take to end: one answer of the meter. [s]"""


class Sampled:
    """A meter, open and set up, that is read again and again.

    Parameters
    ----------
    meter : Reads
        The meter; nobody else uses it meanwhile.
    clock : Clock
        Paces it.
    every_s : float
        From one reading to the next; may be changed at any time. [s]
    """

    def __init__(self, meter: Reads, *, clock: Clock, every_s: float) -> None:
        self.meter, self.every_s = meter, every_s
        self.answered_s = clock.monotonic()
        """Moment of the last answer; that of the beginning before the first."""
        self.takes_s = 0.0
        """What its last answer took. [s]"""
        self._clock = clock
        self._came: queue.SimpleQueue[Answer | MeterError] = queue.SimpleQueue()
        self._ends = threading.Event()
        self._thread = threading.Thread(target=self._run, name=f"reads {meter.name}", daemon=True)

    def start(self) -> None:
        """Begin to read."""
        self.answered_s = self._clock.monotonic()
        self._thread.start()

    def stop(self) -> None:
        """Read no more; the meter may be used again when this returns."""
        self._ends.set()
        if self._thread.is_alive():
            self._thread.join(ENDS_S)

    def take(self) -> list[Answer | MeterError]:
        """What has come since this was asked last, in its order."""
        found: list[Answer | MeterError] = []
        with suppress(queue.Empty):
            while True:
                found.append(self._came.get_nowait())
        return found

    @property
    def silent_s(self) -> float:
        """Since the last answer. [s]"""
        return self._clock.monotonic() - self.answered_s

    def _run(self) -> None:
        pause_s = FIRST_PAUSE_S
        gone = False
        while not self._ends.is_set():
            began_s = self._clock.monotonic()
            try:
                if gone:
                    self.meter.reopen()
                    gone = False
                    began_s = self._clock.monotonic()  # that was no reading
                answer = self.meter.read()
            except MeterError as fault:
                gone = gone or isinstance(fault, Gone)
                self._came.put(fault)
                self._ends.wait(pause_s)
                pause_s = min(2 * pause_s, LONGEST_PAUSE_S)
                continue
            pause_s = FIRST_PAUSE_S
            self.answered_s = answer.monotonic_s
            self.takes_s = self._clock.monotonic() - began_s
            self._came.put(answer)
            while not self._ends.is_set() and (
                (left := began_s + self.every_s - self._clock.monotonic()) > 0
            ):
                self._clock.sleep(min(left, LOOK_S))
