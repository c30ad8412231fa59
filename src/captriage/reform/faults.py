"""What ends a run at once: sudden breakdown, and a current that goes on rising."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from captriage.reform.averages import Averages, middle_of_three
from captriage.reform.curves import Floats

JUMP: Final = 3.0
"""Times the current before: within three readings, and for good, it is a breakdown; ours."""

NOISY: Final = 6.0
"""Times the usual difference between readings: a smaller jump is noise; ours."""

COLLAPSE: Final = 0.6
"""Of the voltage on the part before: less after three readings, and for good, is one too; ours."""

SHORTED_SHARE: Final = 0.03
"""Of the supply: less than that on a part that has had time to charge is a short; ours."""

RISE: Final = 1.2
"""Last current above the least one by this: it is rising, as the house policies have it; common
practice."""

SMOOTHED: Final = 3
"""Averages taken together."""

RISE_SIGMAS: Final = 6.0
"""Standard uncertainties by which a rise is beyond noise."""

RISE_SHARE: Final = 0.5
"""Of the limit: a rise that stays below is no fault; common practice."""

CREEP_SHARE_AN_HOUR: Final = 0.2
"""A slower rise, below the limit, is a creep: after hours the current of a sound oxide creeps up to
a steady value (Anderson and Devereux, J. Electrochem. Soc. 122 (2) 267, 1975, abstract); the figure
is ours."""

VANISHES: Final = 10.0
"""Times that a current falls from one reading to the next, to be gone; ours."""

STEEPEST: Final = 3.0
"""Exponent of time that no current falls with: absorption and healing stay below 1.2 (Teverovsky,
NTRS 20060026218; :mod:`captriage.model.reforming`), and charging is over; ours."""

SHORTEST_S: Final = 1e-3
"""Time that counts as some. [s]"""


@dataclass(frozen=True)
class Rise:
    """How the current of a step has come up from its least value.

    Attributes
    ----------
    factor : float
        Last current over the least one before it; 1 where it is the least.
    sigmas : float
        How many standard uncertainties the rise is.
    share_an_hour : float
        By which the current grew in an hour, on average since its least value. [1/h]
    goes_on : bool
        Whether the last current is the highest since the least one, within noise.
    """

    factor: float
    sigmas: float
    share_an_hour: float
    goes_on: bool

    @property
    def is_real(self) -> bool:
        """Whether it is beyond noise, and as large as matters."""
        return self.factor > RISE and self.sigmas > RISE_SIGMAS and self.goes_on

    def is_fault(self, last_a: float, limit_a: float) -> bool:
        """Whether a part is given up for it, at a last current and its limit. [A], [A]"""
        if not self.is_real or last_a < RISE_SHARE * limit_a:
            return False
        return last_a > limit_a or self.share_an_hour > CREEP_SHARE_AN_HOUR


def rise_of(averages: Averages) -> Rise:
    """How far the current has come up from its least value.

    Parameters
    ----------
    averages : Averages
        Of a step, after charging.
    """
    if len(averages.time_s) < 2 * SMOOTHED:
        return Rise(1.0, 0.0, 0.0, goes_on=False)
    # The least of several together: of many noisy averages the least one alone is too low.
    weight = 1 / np.maximum(averages.spread_a, 1e-30) ** 2
    together = sliding_window_view(weight, SMOOTHED).sum(axis=1)
    level = sliding_window_view(averages.current_a * weight, SMOOTHED).sum(axis=1) / together
    time = sliding_window_view(averages.time_s, SMOOTHED).mean(axis=1)
    doubt = 1 / np.sqrt(together)
    least = int(np.argmin(level))
    if level[least] <= 0 or least >= len(level) - 1:
        return Rise(1.0, 0.0, 0.0, goes_on=False)
    rise = level[-1] - level[least]
    hours = (time[-1] - time[least]) / 3600
    factor = float(level[-1] / level[least])
    after = level[least:]
    goes_on = bool(level[-1] + 2 * doubt[-1] >= 0.97 * after.max())
    return Rise(
        factor,
        float(rise / np.hypot(doubt[-1], doubt[least])),
        float(np.log(max(factor, 1e-9)) / max(hours, 1e-9)),
        goes_on,
    )


def breakdown_of(
    current_a: Floats, part_v: Floats, *, charged: int, least_a: float = 0.0
) -> int | None:
    """Reading at which the part breaks down, within a step.

    Parameters
    ----------
    current_a, part_v : ndarray, shape (n,)
        In order of time; the voltage NaN where it is not known. [A], [V]
    charged : int
        First reading after charging.
    least_a : float
        A current up to here is no breakdown, whatever it was before. [A]

    Returns
    -------
    int or None
        None where it does not, or recovers from it.
    """
    current = current_a[charged:]
    wide = 3 if len(current) >= 7 else 1
    if len(current) < 2 * wide:
        return None
    level = _levels(current, wide)
    before, after = _last_seen(level)[:-wide], level[wide:]
    steps = np.abs(np.diff(current))
    scatter = NOISY * float(np.median(steps) if wide > 1 else steps.min())
    jumped = (after > JUMP * np.maximum(before, 0.0) + scatter) & (after > least_a)
    volts = part_v[charged:]
    if np.isfinite(volts).all():
        at = _levels(volts, wide)
        jumped |= at[wide:] < COLLAPSE * at[:-wide]
    # The last readings tell whether it came back.
    places = np.flatnonzero(jumped & (np.median(current[-wide:]) > 0.7 * JUMP * before))
    if not len(places) and np.isfinite(volts).all():
        places = np.flatnonzero(jumped & (np.median(volts[-wide:]) < COLLAPSE * at[:-wide]))
    return None if not len(places) else charged + int(places[0]) + wide


def gone_from(time_s: Floats, current_a: Floats, *, least_a: float) -> int | None:
    """Reading from which on a current is gone that was there: no part does that, clips do.

    Parameters
    ----------
    time_s, current_a : ndarray, shape (n,)
        Of one step well after charging, in order of time: since the voltage was reached [s], [A].
    least_a : float
        A current up to here is too small for its end to tell anything. [A]

    Returns
    -------
    int or None
        None where it falls as currents of parts do, or comes back.
    """
    if len(current_a) < 2:
        return None
    level = current_a.copy()
    level[1:-1] = middle_of_three(current_a[:-2], current_a[1:-1], current_a[2:])
    most_after = np.maximum.accumulate(level[:0:-1])[::-1]
    slowly = (time_s[:-1] / np.maximum(time_s[1:], SHORTEST_S)) ** STEEPEST
    gone = most_after < np.minimum(1 / VANISHES, slowly) * level[:-1]
    gone &= level[:-1] > least_a
    return int(np.argmax(gone)) + 1 if gone.any() else None


def _last_seen(level: Floats) -> Floats:
    """Each level, or the last one above nought before it: clips that slipped off broke nothing."""
    at = np.maximum.accumulate(np.where(level > 0, np.arange(len(level)), -1))
    return np.asarray(np.where(at >= 0, level[at], level))


def _levels(values: Floats, wide: int) -> Floats:
    """Each reading, or the middle one of each three."""
    if wide == 1:
        return values
    return middle_of_three(values[:-2], values[1:-1], values[2:])
