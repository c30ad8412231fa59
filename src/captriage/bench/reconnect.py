"""Going on after an unplug: connect again, patiently, then do what was to be done."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final, TypeVar

from captriage.errors import Gone, MeterError

if TYPE_CHECKING:
    from captriage.bench.measured import Clock, Reads

FIRST_PAUSE_S: Final = 0.2
LONGEST_PAUSE_S: Final = 5.0

T = TypeVar("T")


def patiently(
    meter: Reads,
    action: Callable[[], T],
    *,
    within_s: float,
    clock: Clock,
    tell: Callable[[str], None],
) -> T:
    """Do something with a meter; where it is gone, connect again and do it then.

    Parameters
    ----------
    meter : Reads
        The meter, opened before.
    action : callable
        What to do; done again from its beginning after a reconnect.
    within_s : float
        How long to try to connect again each time, with pauses that double up to 5 s.
    clock : Clock
        Waits the pauses.
    tell : callable
        Gets a line when the meter is lost, and one when it is back.

    Raises
    ------
    Gone
        It did not come back in time.
    Silent, Garbled
        From the action itself: the meter is there, and what to do is the caller's to say.
    """
    while True:
        try:
            return action()
        except Gone as lost:
            tell(f"{lost}; trying to connect again for {within_s:g} s")
            _come_back(meter, lost, within_s=within_s, clock=clock)
            tell(f"{meter.name}: connected again")


def _come_back(meter: Reads, lost: MeterError, *, within_s: float, clock: Clock) -> None:
    until = clock.monotonic() + within_s
    pause = FIRST_PAUSE_S
    while True:
        left = until - clock.monotonic()
        if left <= 0:
            raise Gone(
                f"{meter.name}: did not come back within {within_s:g} s; the last that was "
                f"seen: {lost}"
            ) from lost
        clock.sleep(min(pause, left))
        pause = min(2 * pause, LONGEST_PAUSE_S)
        try:
            meter.reopen()
        except MeterError as still:
            lost = still
        else:
            return
