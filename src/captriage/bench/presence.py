"""Whether somebody is there: a key is asked for now and then."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from captriage.bench.stopping import Stopped
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.sitting import Sitting

ASKED_AT: Final = 0.8
"""Share of the interval after which a key is asked for; ours."""


class Presence:
    """Any key says that somebody is there.

    Parameters
    ----------
    sitting : Sitting
        Screen, clock.
    every_s : float
        Longest time without a key. [s]
    """

    def __init__(self, sitting: Sitting, every_s: float) -> None:
        self._sitting, self._every_s = sitting, every_s
        self._last_s = sitting.clock.monotonic()
        self._asked = False

    def pressed(self) -> None:
        """A key was pressed."""
        self._last_s = self._sitting.clock.monotonic()
        self._asked = False

    def look(self) -> None:
        """Ask for a key where it is time to.

        Raises
        ------
        Stopped
            None came.
        """
        away_s = self._sitting.clock.monotonic() - self._last_s
        if away_s > self._every_s:
            every = format_quantity(self._every_s, "s")
            raise Stopped(f"no key was pressed for {every}: nobody is there", urgent=False)
        if away_s > ASKED_AT * self._every_s and not self._asked:
            self._asked = True
            left = format_quantity((1 - ASKED_AT) * self._every_s, "s", digits=2)
            self._sitting.show.bell()
            self._sitting.show.tell(
                "ask", f"are you there? Press Enter within {left}, or the run is ramped down"
            )
