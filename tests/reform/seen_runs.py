"""What a meter logs of simulated runs, and what is true of them at a moment."""

from __future__ import annotations

import numpy as np

from captriage.reform.curves import (
    BROKEN_DOWN,
    CHARGING,
    FALLING,
    RISING,
    SETTLED_ABOVE,
    SETTLED_BELOW,
    TOO_EARLY,
    Curve,
    Rating,
)
from reform.simulated_runs import VOLTAGE_EXPONENT, Runs


def seen(
    runs: Runs, row: int, until_s: float, seed: int, *, ends_s: float = np.inf
) -> tuple[Curve, Rating]:
    """What a meter logs of one run up to a time: uneven, noisy, with gaps.

    ``ends_s``: when the run ends, over which the readings are spread.
    """
    dice = np.random.default_rng((seed, row))
    parts = runs.parts
    good = np.isfinite(runs.time_s[row])
    t, i = runs.time_s[row][good], runs.current[row][good]
    last = min(t[-1], ends_s)
    step = runs.step[row][good]
    count = int(dice.integers(300, 2000))  # of each step
    ends = [min(t[step == each].max(), last) for each in np.unique(step)]
    begins = [0.0, *ends[:-1]]
    spread = [dice.uniform(a, b, count) for a, b in zip(begins, ends, strict=True) if b > a]
    times = np.sort(np.concatenate(spread))
    early = np.geomspace(max(t[0], 0.2), last, 60)
    times = np.unique(np.concatenate([times, early]))
    if dice.random() < 0.3:  # a gap
        begins = dice.uniform(0, 0.8) * last
        times = times[(times < begins) | (times > begins + 0.08 * last)]
    times = times[times <= until_s]
    at = np.searchsorted(t, times).clip(1, len(t) - 1)
    edge = runs.supply_v[row][good]
    same = edge[at] == edge[at - 1]
    share = np.clip((times - t[at - 1]) / np.maximum(t[at] - t[at - 1], 1e-12), 0, 1)
    true = np.where(same, i[at - 1] + share * (i[at] - i[at - 1]), i[at])
    floor = 0.002 * parts.limit[row]
    read = true * (1 + parts.noise[row] * dice.standard_normal(len(times)))
    read += 0.5 * floor * dice.standard_normal(len(times))
    curve = Curve(
        times,
        edge[at],
        read,
        np.full(len(times), np.nan),
        series_ohm=float(parts.series[row]),
        floor_a=float(floor),
    )
    rating = Rating(
        float(parts.capacitance[row] * dice.uniform(0.75, 1.1)),
        float(parts.rated_v[row]),
        float(parts.rated_v[row]),
        float(parts.limit[row]),
    )
    return curve, rating


class Course:
    """One run without noise, as far as it went: arrays in order of time."""

    def __init__(self, runs: Runs, row: int) -> None:
        good = np.isfinite(runs.time_s[row])
        parts = runs.parts
        self.time = runs.time_s[row][good]
        self.current = runs.current[row][good]
        self.charging = runs.charging[row][good] / np.maximum(self.current, 1e-15)
        self.step = runs.step[row][good]
        self.broken = runs.broken[row][good]
        share = runs.part_v[row][good] / parts.rated_v[row]
        self.limit = parts.limit[row] * share**VOLTAGE_EXPONENT
        self.floor = runs.floor[row][good]

    def reaches_limit(self) -> tuple[float, float] | None:
        """When the last step began and when its current came down to the limit; None: never."""
        last = self.step == self.step[-1]
        first = int(np.argmax(last))
        begins = self.time[first - 1] if first else 0.0
        below = np.flatnonzero(last & (self.current <= self.limit) & (self.charging < 0.3))
        if not len(below) or below[0] == first:
            return None
        return begins, self.time[below[0]]

    def right_states(self, at_s: float) -> set[str]:
        """States that are right at a time; several where the truth lies between them."""
        k = max(int(np.searchsorted(self.time, at_s, side="right")) - 1, 0)
        current, limit, floor = self.current[k], self.limit[k], self.floor[k]
        if self.broken[k]:
            return {BROKEN_DOWN}
        if self.charging[k] > 0.3:
            return {CHARGING, TOO_EARLY}
        right = self._level(current, limit, floor)
        rise, a_fault = self._rise(k)
        if a_fault:
            right = {RISING}
        if 1.1 < rise < 1.35 and current > 0.4 * limit:  # about where a rise begins to count
            right |= {RISING} | self._level(current, limit, floor)
        if self.charging[k] > 0.02:
            right |= {CHARGING, TOO_EARLY}
        return right

    @staticmethod
    def _level(current: float, limit: float, floor: float) -> set[str]:
        right = set()
        if current <= 1.07 * limit:  # 7 % from the limit either is right
            right |= {SETTLED_BELOW}
        if current > limit:
            right |= {FALLING} if floor <= limit else {SETTLED_ABOVE}
        if current > 0.93 * limit:
            right |= {FALLING} if current <= 1.07 * limit else set()
            right |= {SETTLED_ABOVE} if floor > 0.9 * limit else set()
        if floor > limit and current > 1.15 * floor:  # on its way to a plateau
            right |= {FALLING}
        return right

    def _rise(self, k: int) -> tuple[float, bool]:
        """How far the current has come up within its step by reading k, and if that is a fault."""
        after = (self.step == self.step[k]) & (np.arange(len(self.time)) <= k)
        after &= self.charging < 0.05
        if not after.any():
            return 1.0, False
        places = np.flatnonzero(after)
        least = places[int(np.argmin(self.current[places]))]
        rise = float(self.current[k] / self.current[least])
        hours = max((self.time[k] - self.time[least]) / 3600, 1e-9)
        quick = np.log(rise) / hours > 0.2 or self.current[k] > self.limit[k]
        return rise, bool(rise > 1.2 and self.current[k] > 0.5 * self.limit[k] and quick)
