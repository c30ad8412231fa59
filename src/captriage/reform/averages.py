"""Readings of a step averaged in equal shares of the logarithm of time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from captriage.reform.curves import Floats

MOST: Final = 48
"""Averages of one step: a fall over three decades of time has sixteen in each."""

LEAST_NOISE: Final = 0.003
"""Share by which a reading is trusted at best; below it, other things than noise count."""

OUTLYING: Final = 5.0
"""Times the noise beyond which one reading is left out of its average."""

WITHIN: Final = 0.3
"""Share by which the current may change within one average."""


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
    """

    time_s: Floats
    current_a: Floats
    spread_a: Floats
    noise: float


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
        At most :data:`MOST`. A reading far from its neighbours is left out.
    """
    noise = noise_of(current_a, floor_a)
    least = max(float(time_s[-1]) * 1e-5, 1e-3)
    log = np.log(np.maximum(time_s, least))
    span = log[-1] - log[0]
    place = np.minimum((log - log[0]) * (MOST / span), MOST - 1).astype(int) if span > 0 else None
    if place is None:
        place = np.zeros(len(log), int)
    current, keep = current_a, None
    mean = _means(place, current)
    away = np.abs(current - mean[place])
    reach = OUTLYING * (noise * np.abs(mean) + floor_a) + WITHIN * np.abs(mean)
    keep = away <= reach[place]
    if not keep.all():
        place, time_s, current = place[keep], time_s[keep], current[keep]
    count = np.bincount(place, minlength=MOST)
    full = count > 0
    number = count[full]
    time = np.bincount(place, time_s, MOST)[full] / number
    mean = np.bincount(place, current, MOST)[full] / number
    variance = ((noise * mean) ** 2 + (floor_a / 2) ** 2) / number
    return Averages(time, mean, np.sqrt(variance), noise)


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
    share = np.sqrt(np.maximum(odd**2 / 1.5 - (floor_a / 2) ** 2, 0.0)) / (size + floor_a)
    return max(float(np.median(share)) / 0.6745, LEAST_NOISE)


def _means(place: np.ndarray, current: Floats) -> Floats:
    """Mean of what lies in each place; median where three or more do, against an outlier."""
    edges = np.flatnonzero(np.diff(place, prepend=-1))
    means = np.zeros(MOST)
    for begin, end in zip(edges, [*edges[1:], len(place)], strict=True):
        means[place[begin]] = np.median(current[begin:end])
    return means
