"""How fast answers come: which are new, and when nobody watched the clips for a while."""

from __future__ import annotations

from collections import deque
from typing import Final

from captriage.bench.measured import Answer

TIMES_USUAL: Final = 4.0
"""A pause of so many times the usual one is out of the ordinary for a slow meter; ours."""

REMEMBERED: Final = 9  # pauses, the median of which is the usual one


class Pace:
    """Pauses between one answer and the next, learnt as the work goes on.

    A program that is stopped, or a machine that sleeps, asks nothing meanwhile: no answer is
    missing, but the part may have been changed for one that reads alike.

    Parameters
    ----------
    gap_s : float
        Shortest pause in which a part may be changed, however fast the meter is. [s]
    """

    def __init__(self, gap_s: float) -> None:
        self.gap_s = gap_s
        self._last: float | None = None
        self._pauses: deque[float] = deque(maxlen=REMEMBERED)

    def forget(self) -> None:
        """What comes next follows no answer."""
        self._last = None

    def gap(self, monotonic_s: float) -> float:
        """Time before this answer in which nobody watched; 0 for one that came in its time. [s]"""
        last, self._last = self._last, monotonic_s
        if last is None:
            return 0.0
        pause = monotonic_s - last
        usual = sorted(self._pauses)
        self._pauses.append(pause)
        longest = max(self.gap_s, TIMES_USUAL * usual[(len(usual) - 1) // 2]) if usual else pause
        return pause if pause > longest else 0.0


class Fresh:
    """Which answers are new measurements: a meter that is asked too soon repeats itself.

    Parameters
    ----------
    spacing_s, fresh_s : float
        Least time since the last new one, and that where the reply is the very same. [s]
    """

    def __init__(self, spacing_s: float, fresh_s: float) -> None:
        self.spacing_s, self.fresh_s = spacing_s, fresh_s
        self._latest: Answer | None = None

    def is_new(self, answer: Answer) -> bool:
        """Whether this may be a new measurement; if so, the next is compared with it."""
        latest = self._latest
        if latest is not None:
            wanted = self.fresh_s if answer.raw == latest.raw else self.spacing_s
            if answer.monotonic_s - latest.monotonic_s < wanted:
                return False
        self._latest = answer
        return True
