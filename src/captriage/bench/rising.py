"""Whether a voltage has been applied, by a jump of what a meter reads.

A jump counts once it has lasted to a second reading, a number: one may be a slip of the meter.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from math import inf, isfinite, isnan, nan
from typing import Final

from captriage.bench.measured import Answer, Reads, Value
from captriage.bench.steadiness import Noise
from captriage.columns import CURRENT, VOLTAGE

CALM: Final = 3
"""Readings before the voltage, against which a jump is seen."""

JUMP_A: Final = 1e-6  # least rise of the current that is taken for the voltage; ours [A]
JUMP_NOISES: Final = 10.0  # and so many times the noise of the ammeter; ours
JUMP_SHARE: Final = 0.1  # share of the measuring voltage that is taken for it; ours


def shown(value: Value | None) -> float:
    """Number of a reading, infinite with its sign for over range; NaN where it tells nothing."""
    if value is None or not isnan(value.value):
        return nan if value is None else value.value
    if value.flag.startswith("over range negative"):
        return -inf
    return inf if value.flag.startswith("over range") else nan


class Rise:
    """Watches one meter for the jump.

    Parameters
    ----------
    meter : Reads
        The meter, set up.
    quantity : str
        What it reads.
    least : callable
        Least rise that counts, given the last calm reading. Both of the quantity.

    Attributes
    ----------
    slipped : bool
        Whether the last reading was calm again after a jump.
    """

    def __init__(self, meter: Reads, quantity: str, least: Callable[[float], float]) -> None:
        self.meter = meter
        self.slipped = False
        self._quantity = quantity
        self._least = least
        self._calm: deque[float] = deque(maxlen=CALM)
        self._since_s = nan  # moment of a jump that has not lasted yet

    @property
    def calm(self) -> bool:
        """Whether it has seen enough to notice a jump."""
        return len(self._calm) == CALM

    @property
    def rests(self) -> bool:
        """Whether what it shows now is no jump from what it showed before."""
        return self.calm and isnan(self._since_s)

    def forget(self) -> None:
        """A reading is missing: what was calm before it says nothing of what is now."""
        self._calm.clear()
        self._since_s = nan

    def began_s(self, answer: Answer) -> float:
        """Take the next answer; moment of the jump once that is sure, NaN before."""
        self.slipped = False
        size = abs(shown(answer.of(self._quantity)))
        if isnan(size):
            return nan
        if self._has_risen(size):
            if isnan(self._since_s):
                self._since_s = answer.monotonic_s
            elif isfinite(size):
                return self._since_s
            return nan
        self.slipped = not isnan(self._since_s)
        self._since_s = nan
        if isfinite(size):
            self._calm.append(size)
        return nan

    def _has_risen(self, size: float) -> bool:
        if not self.calm:
            return False
        return size - max(self._calm) > self._least(self._calm[-1])


def rises_of(
    ammeter: Reads, voltmeter: Reads | None, *, voltage_v: float, noise: Noise
) -> list[Rise]:
    """What a voltage is noticed by, the surest first: the voltmeter where there is one."""

    def amperes(calm: float) -> float:
        noisy = noise(CURRENT, calm)
        return max(JUMP_A, 0.0 if isnan(noisy) else JUMP_NOISES * noisy)

    rises = [Rise(ammeter, CURRENT, amperes)]
    if voltmeter is not None:
        rises.insert(0, Rise(voltmeter, VOLTAGE, lambda _: JUMP_SHARE * voltage_v))
    return rises
