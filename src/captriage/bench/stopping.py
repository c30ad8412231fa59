"""How a run is stopped: by a reason that is seen often enough, at once or with time to lower.

A reason that must be seen in several readings running is given with that number: a slip of a
meter ends no run of many hours, and a part that fails is seen again a second later. An urgent
stop switches off at once, any other lowers the voltage first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.moments import Moment


SLACK: Final = 0.05
"""Share by which voltages and currents that should be one may differ, beside uncertainty; ours."""

SLACK_V: Final = 1.0  # and volts


class Stopped(Exception):
    """The run ends here; the text says why. ``urgent``: the output goes off at once."""

    def __init__(self, why: str, *, urgent: bool = True) -> None:
        super().__init__(why)
        self.urgent = urgent


@dataclass(frozen=True, slots=True)
class Stop:
    """A stop: its function, how many readings in a row it takes, whether it is urgent."""

    reason: Callable[[Moment], str]
    readings: int = 1
    urgent: bool = True


class Watchers:
    """All stops, over a run."""

    def __init__(self, stops: Sequence[Stop]) -> None:
        self._stops = stops
        self._seen: defaultdict[int, int] = defaultdict(int)

    def look(self, moment: Moment) -> None:
        """See whether the run may go on.

        Raises
        ------
        Stopped
            It may not.
        """
        for number, stop in enumerate(self._stops):
            why = stop.reason(moment)
            self._seen[number] = self._seen[number] + 1 if why else 0
            if self._seen[number] >= stop.readings:
                raise Stopped(why, urgent=stop.urgent)


def volts(value: float) -> str:
    """A voltage in figures."""
    return format_quantity(value, "V")


def amps(value: float) -> str:
    """A current in figures."""
    return format_quantity(value, "A")
