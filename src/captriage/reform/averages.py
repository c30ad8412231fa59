"""Readings of a step averaged in equal shares of the logarithm of time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from captriage.reform.curves import Floats

MOST: Final = 36
"""Averages of one step: a fall over three decades of time has twelve in each."""

FALL: Final = 0.7
"""Exponent of time of a current amid those that are met: the mean current of a share is put at the
time at which such a current has it. At the mean time it would stand 0.2 to 0.4 % too high, which
many readings make out."""

LEAST_NOISE: Final = 0.003
"""Share by which a reading is trusted at best; below it, other things than noise count."""

SMALLEST_A: Final = 1e-15
"""Below any current that a meter of the bench reads: what a share is taken of is not nought. [A]"""

OUTLYING: Final = 5.0
"""Times the noise beyond which one reading is left out of its average."""

WITHIN: Final = 0.3
"""Share by which the current may change from one reading to the next but one."""


@dataclass(frozen=True)
class Averages:
    """Averages of one step, ascending in time; arrays of one length.

    Attributes
    ----------
    time_s : ndarray
        Since the voltage was reached. [s]
    current_a, spread_a : ndarray
        Mean, and its standard uncertainty. [A]
    noise : float
        Standard deviation of one reading, as a share of it.
    now_s : float
        Of the last reading, which is later than the last average. [s]
    """

    time_s: Floats
    current_a: Floats
    spread_a: Floats
    noise: float
    now_s: float


def averages_of(time_s: Floats, current_a: Floats, floor_a: float) -> Averages:
    """Average the readings of a step.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Since the voltage was reached, ascending. [s]
    current_a : ndarray, shape (n,)
        [A]
    floor_a : float
        Of the meter, k = 2. [A]

    Returns
    -------
    Averages
        At most :data:`MOST`. A reading far from its neighbours is left out, but not where half of
        them are: then there is no telling which are the odd ones.
    """
    noise, now_s = noise_of(current_a, floor_a), float(time_s[-1])
    keep = ~_outlying(current_a, noise, floor_a)
    if not keep.all() and keep.mean() > 0.5:
        time_s, current_a = time_s[keep], current_a[keep]
    log = np.log(np.maximum(time_s, max(float(time_s[-1]) * 1e-5, 1e-3)))
    span = log[-1] - log[0]
    scale = MOST / span if span > 0 else 0.0
    place = np.minimum((log - log[0]) * scale, MOST - 1).astype(np.intp)
    number = np.bincount(place, minlength=MOST)
    full = number > 0
    number = number[full]
    time = (np.bincount(place, np.exp(-FALL * log), MOST)[full] / number) ** (-1 / FALL)
    mean = np.bincount(place, current_a, MOST)[full] / number
    variance = ((noise * mean) ** 2 + (floor_a / 2) ** 2) / number
    return Averages(time, mean, np.sqrt(variance), noise, now_s)


def _outlying(current: Floats, noise: float, floor_a: float) -> np.ndarray:
    """Which readings stand far from the middle one of the five about them."""
    if len(current) < 5:
        return np.zeros(len(current), bool)
    one, two, three, four, five = _neighbours(current)
    low = np.maximum(np.minimum(one, two), np.minimum(four, five))
    high = np.minimum(np.maximum(one, two), np.maximum(four, five))
    middle = middle_of_three(low, three, high)
    reach = OUTLYING * (noise * np.abs(middle) + floor_a) + WITHIN * np.abs(middle)
    return np.asarray(np.abs(current - middle) > reach)


def _neighbours(current: Floats) -> tuple[Floats, ...]:
    """Each reading with the two before and after it, as five arrays; mirrored at the ends."""
    padded = np.concatenate((current[2:0:-1], current, current[-2:-4:-1]))
    return tuple(padded[k : k + len(current)] for k in range(5))


def middle_of_three(one: Floats, two: Floats, three: Floats) -> Floats:
    """The middle one of three, place by place."""
    return np.maximum(np.minimum(one, two), np.minimum(np.maximum(one, two), three))


def noise_of(current_a: Floats, floor_a: float) -> float:
    """Standard deviation of one reading as a share of it, from each to the next.

    Parameters
    ----------
    current_a : ndarray, shape (n,)
        In order of time. [A]
    floor_a : float
        Of the meter, k = 2: what it explains is not counted. [A]
    """
    if len(current_a) < 8:
        return 0.05  # a few typed values: what meters of the bench are good for, common practice
    # Twice the middle one of three, less its neighbours: a steady fall does not show.
    odd = current_a[1:-1] - 0.5 * (current_a[2:] + current_a[:-2])
    size = np.abs(current_a[1:-1])
    rest = np.sqrt(np.maximum(odd**2 / 1.5 - (floor_a / 2) ** 2, 0.0))
    share = rest / (size + floor_a + SMALLEST_A)
    return max(float(np.median(share)) / 0.6745, LEAST_NOISE)
