"""Going on after an unplug: connect again, patiently."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from captriage.errors import MeterError

if TYPE_CHECKING:
    from captriage.bench.measured import Reads

FIRST_PAUSE_S: Final = 0.2
LONGEST_PAUSE_S: Final = 5.0


def reconnect(
    meter: Reads, *, wait: Callable[[float], bool], still: Callable[[MeterError], None]
) -> bool:
    """Connect to a meter that is gone again and again, until it is back.

    Parameters
    ----------
    meter : Reads
        The meter, opened before.
    wait : callable
        Waits so many seconds before the next attempt: 0.2, then twice as long each time, 5 at
        most. Says whether to go on.
    still : callable
        Gets the reason of each attempt that fails.

    Returns
    -------
    bool
        Whether it is back; false where ``wait`` said not to go on.
    """
    pause = FIRST_PAUSE_S
    while wait(pause):
        pause = min(2 * pause, LONGEST_PAUSE_S)
        try:
            meter.reopen()
        except MeterError as error:
            still(error)
        else:
            return True
    return False
