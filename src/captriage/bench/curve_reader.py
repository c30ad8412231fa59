"""The curve of a run, read in a thread of its own: however long that takes, the run goes on."""

from __future__ import annotations

import queue
import threading
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from captriage.bench.run_data import Watches
    from captriage.reform.curves import Progress

EVERY_S: Final = 1.0
"""From one look at the whole curve to the next, at least. [s]"""

Reading = tuple[float, float, float, float]  # time [s], supply [V], current [A], part [V]


class CurveReader:
    """What the curve says, as of a moment ago.

    Parameters
    ----------
    watch : Watches
        Nobody else uses it.

    Attributes
    ----------
    progress : Progress or None
        The latest; None before the first, and when a step has begun since.
    """

    def __init__(self, watch: Watches) -> None:
        self._watch = watch
        self._came: queue.SimpleQueue[Reading | None] = queue.SimpleQueue()
        self._pause = threading.Event()
        self._from_s = 0.0  # of the step: what was read before tells nothing of it
        self._latest: tuple[float, Progress] | None = None
        self._thread = threading.Thread(target=self._run, name="reads the curve", daemon=True)
        self._thread.start()

    @property
    def progress(self) -> Progress | None:
        """What it says of this step; None as long as that is not known."""
        latest = self._latest
        return latest[1] if latest is not None and latest[0] >= self._from_s else None

    @property
    def works(self) -> bool:
        """Whether it is being read; false once that has failed."""
        return self._thread.is_alive()

    def add(self, time_s: float, *, supply_v: float, current_a: float, part_v: float) -> None:
        """Take in one reading."""
        self._came.put((time_s, supply_v, current_a, part_v))

    def step_from(self, time_s: float) -> None:
        """The voltage of a step was reached at this time of the run. [s]"""
        self._from_s = time_s

    def stop(self) -> None:
        """Read no more."""
        self._came.put(None)
        self._pause.set()
        self._thread.join()

    def _run(self) -> None:
        while (reading := self._came.get()) is not None:
            time_s, supply_v, current_a, part_v = reading
            self._watch.add(time_s, supply_v=supply_v, current_a=current_a, part_v=part_v)
            if self._came.empty():
                self._latest = (time_s, self._watch.progress())
                self._pause.wait(EVERY_S)


def warm_up(watch: Watches, volts: float) -> None:
    """Have a curve read once before there is power: the first time takes half a second.

    The guardian would take a run that is busy for so long for one that hangs.
    """
    for second in range(20):
        watch.add(float(second), supply_v=volts, current_a=1e-3 / (1 + second))
    watch.progress()
