"""The simulated hand: puts parts into the clips and takes them off, by itself or by command."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from typing import Final

from captriage.bench.rehearsal.wiring import Wiring

TOUCHABLE_V: Final = 1.0
"""What a voltmeter may show of a part for it to be measured."""

EMPTY_V: Final = 0.02
"""When the hand lets go of the discharge resistor."""

WAITING, BETWEEN, HOLDING, DISCHARGING, FINISHED = (
    "waiting for the first reading",
    "between two parts",
    "a part in the clips",
    "discharging a part",
    "finished",
)


class Hand:
    """Works through the drawer, as a person would who listens for the beep.

    A part stays in the clips until the bridge beeps. One that the voltmeter has shown to hold
    a charge is taken off, discharged through a resistor, and put back. It begins when a meter
    is first asked for a reading.

    Parameters
    ----------
    wiring : Wiring
    order : sequence of str
        The parts, as they lie in the drawer.
    clock : callable
        Seconds that only ever grow.
    pause_s : float
        Between one part and the next, and before a charge is dealt with.
    automatic : bool
        Whether it works by itself from the start.
    tell : callable
        Given a sentence, each time it has done something.
    """

    def __init__(
        self,
        wiring: Wiring,
        order: Sequence[str],
        *,
        clock: Callable[[], float],
        pause_s: float = 1.0,
        automatic: bool = True,
        tell: Callable[[str], None] = lambda _: None,
    ) -> None:
        self._wiring = wiring
        self._order = list(order)
        self._clock = clock
        self._pause_s = pause_s
        self._tell = tell
        self._lock = threading.RLock()
        self._wake = threading.Event()
        self._stopping = False
        self._next = 0  # place in the drawer of the part to be taken next
        self._at_s = 0.0  # when the next move is due
        self._charge_seen_at_s: float | None = None
        self._beeped = False
        self._discharging = ""  # the part that the resistor is held across
        self.automatic = automatic
        self.state = WAITING
        self._thread = threading.Thread(target=self._run, name="rehearsal hand", daemon=True)

    def start(self) -> None:
        """Let it work."""
        self._thread.start()

    def stop(self) -> None:
        """End its thread; what is in the clips stays there."""
        self._stopping = True
        self._wake.set()
        if self._thread.is_alive():
            self._thread.join()

    @property
    def done(self) -> int:
        """How many parts of the drawer it has taken up so far."""
        return self._next

    @property
    def drawer(self) -> int:
        """How many there are."""
        return len(self._order)

    def has_finished(self) -> bool:
        """Whether the drawer is done, and that has been told."""
        with self._lock:
            return self.state == FINISHED

    def asked(self) -> None:
        """A meter was asked for a reading: someone has begun."""
        if self.state == WAITING:
            with self._lock:
                if self.state == WAITING:
                    self._rest()
            self._wake.set()

    def beep(self) -> None:
        """The bridge beeped."""
        self._beeped = True
        self._wake.set()

    def voltage_shown(self, voltage: float) -> None:
        """The voltmeter across the clips showed this."""
        if abs(voltage) <= TOUCHABLE_V or self._wiring.clips is None:
            self._charge_seen_at_s = None
        elif self._charge_seen_at_s is None:
            self._charge_seen_at_s = self._clock()
            self._wake.set()

    def set_automatic(self, on: bool) -> None:
        """Let it work by itself, or wait for commands."""
        with self._lock:
            self.automatic = on
            if on and self.state in (WAITING, FINISHED):
                self._rest()
        self._wake.set()

    def clip(self, part: str | None) -> None:
        """Put this part into the clips, and go on after it; None takes off what is there.

        Raises
        ------
        MeterError
            The drawer has none of that name.
        """
        with self._lock:
            self._wiring.clip(part)
            self._beeped = False
            self._charge_seen_at_s = None
            if part is None:
                self._rest()
            else:
                self._next = self._order.index(part) + 1
                self.state = HOLDING

    def take_next(self) -> str | None:
        """Put the next part of the drawer into the clips; None where there is none left."""
        with self._lock:
            if self._next >= len(self._order):
                self.clip(None)
                self.state = FINISHED
                return None
            part = self._order[self._next]
            self.clip(part)
            return part

    def _rest(self) -> None:
        self.state = BETWEEN
        self._at_s = self._clock() + self._pause_s

    def _run(self) -> None:
        while not self._stopping:
            self._wake.wait(self._patience())
            self._wake.clear()
            with self._lock:
                if self.automatic and not self._stopping:
                    self._move()

    def _patience(self) -> float | None:
        """Seconds until the next move; None where only a beep can bring it."""
        if not self.automatic or self.state in (WAITING, FINISHED):
            return None
        seen_at_s = self._charge_seen_at_s
        if self.state == HOLDING:
            if seen_at_s is None:
                return None
            return max(0.0, seen_at_s + self._pause_s - self._clock())
        return max(0.001, self._at_s - self._clock())

    def _move(self) -> None:
        now = self._clock()
        if self.state == BETWEEN and now >= self._at_s:
            part = self.take_next()
            self._tell(f"{part} is in the clips" if part else "the drawer is done")
        elif self.state == HOLDING and self._beeped:
            self._tell(f"beep: takes {self._wiring.clips} off")
            self.clip(None)
        elif self.state == HOLDING and self._charge_is_old(now):
            self._discharge(now)
        elif self.state == DISCHARGING and now >= self._at_s:
            self._put_back(now)

    def _charge_is_old(self, now: float) -> bool:
        seen_at_s = self._charge_seen_at_s
        return seen_at_s is not None and now >= seen_at_s + self._pause_s

    def _discharge(self, now: float) -> None:
        part = self._wiring.clips
        self._charge_seen_at_s = None
        if part is None:
            return
        self._tell(f"{part} holds a charge: takes it off and discharges it")
        self._wiring.clip(None)
        self._wiring.probe(part)
        self._discharging = part
        self.state = DISCHARGING
        self._at_s = now + self._pause_s

    def _put_back(self, now: float) -> None:
        if abs(self._wiring.voltage(self._discharging)) > EMPTY_V:
            self._at_s = now + self._pause_s
            return
        self._wiring.probe(None)
        self.clip(self._discharging)
        self._tell(f"{self._discharging} is discharged, and in the clips again")
