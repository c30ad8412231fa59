"""A reforming run on the screen: a picture of the step at a terminal, lines elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from captriage.report.live import FIRST_S, WIDTH, leakage_picture

if TYPE_CHECKING:
    from captriage.report.live import Screen


class StepView:
    """The current of a step against time at its voltage, on logarithmic axes.

    Parameters
    ----------
    screen : Screen
        Where to.
    """

    def __init__(self, screen: Screen) -> None:
        self.screen = screen
        self._limit_a, self._until_s = 0.0, 1.0

    def step(self, limit_a: float, until_s: float) -> None:
        """A step begins: the current that ends it [A], and its longest time [s]."""
        self._limit_a, self._until_s = limit_a, until_s

    def reading(self, text: str, points: Sequence[tuple[float, float]]) -> None:
        """A reading that is on the disk, and time [s] and current [A] at this voltage so far."""
        if not self.screen.live or not points:
            self.screen.taken(lambda: text)
            return
        times, currents = zip(*points, strict=True)
        ends = self._until_s
        drawn = leakage_picture(
            times,
            currents,
            until_s=ends,
            limit=((min(FIRST_S, ends / 10), self._limit_a), (ends, self._limit_a)),
            width=min(WIDTH, self.screen.page.width),
        )
        if any("#" in line for line in drawn):
            drawn[-1] += "  # read, on the limit"
        self.screen.picture([*drawn, *wrap(text, self.screen.page.width - 1)])
