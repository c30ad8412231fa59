"""When the current of a step will reach its limit, if it does, by all laws that fit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from captriage.model.leakage import VOLTAGE_EXPONENT
from captriage.reform.curves import Floats
from captriage.reform.law import EXPONENTS, FARTHEST, FIELDS, Law, Seen

NEGLIGIBLE: Final = 1e-4
"""Probability, over that of the best law, below which one is not followed any further."""

INTERVAL: Final = (0.05, 0.5, 0.95)
"""Quantiles: the middle, and the ends of a 90 % interval."""


@dataclass(frozen=True)
class Forecast:
    """What is to be expected of each curve: arrays of shape (curves,) or (curves, 3).

    Attributes
    ----------
    limit_s : ndarray, shape (curves, 3)
        Quantiles :data:`INTERVAL` of the time since the voltage was reached at which the current
        reaches the limit; infinite where it never does. [s]
    ever : ndarray, shape (curves,)
        Probability that it ever does.
    settles_a, now_a : ndarray, shape (curves, 3)
        Quantiles of the current it settles at, and of that at the last reading. [A]
    """

    limit_s: Floats
    ever: Floats
    settles_a: Floats
    now_a: Floats


def forecast(seen: Seen, law: Law, limit: Floats) -> Forecast:
    """Forecast each curve.

    Parameters
    ----------
    seen : Seen
    law : Law
        Weighed by it.
    limit : ndarray, shape (curves,)
        Limit of the current with the whole supply voltage on the part. [A]

    Returns
    -------
    Forecast
    """
    curves = len(limit)
    best = law.share.max(axis=(1, 2, 3, 4), keepdims=True)
    at = np.nonzero(law.share > NEGLIGIBLE * best)
    row, field, power, onset, _ = at
    share, floor, flaw = law.share[at], law.floor_a[at], law.flaw_a[at]
    start, p = law.onset_s[row, field, power, onset], EXPONENTS[power]
    slope, beta = seen.slope[row], np.array(FIELDS)[field]
    tau_now, now = law.time_s[row, field, power], seen.time_s[row, -1]
    # At the limit the resistor takes what the limit lets through.
    left = np.maximum(1 - slope * limit[row], 0.05) ** VOLTAGE_EXPONENT
    wanted = limit[row] * left
    heals = wanted - floor * left
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        tau = start * (flaw / np.maximum(heals, 0.0) - 1)
        charge = floor * (tau - tau_now) + flaw * start * np.log((start + tau) / (start + tau_now))
        time = np.maximum(now**p + (tau - tau_now) + beta * slope * charge, 0.0) ** (1 / p)
    time = np.where(heals > 0, time, np.inf)
    time = np.where(time > FARTHEST * now, np.inf, np.maximum(time, 0.0))
    drop = seen.drop[row, -1]
    tau_last = tau_now + (seen.now_s[row] ** p - now**p) / (1 + beta * drop)
    falling = flaw / (1 + tau_last / start)
    current = falling + floor * (1 - drop) ** VOLTAGE_EXPONENT
    settles = _settled(floor, slope)
    total = np.bincount(row, share, curves)
    return Forecast(
        _quantiles(row, time, share, curves),
        np.bincount(row, share * np.isfinite(time), curves) / total,
        _quantiles(row, settles, share, curves),
        _quantiles(row, current, share, curves),
    )


def _settled(floor: Floats, slope: Floats) -> Floats:
    """Current at which a floor and the resistor meet: I = b (1 - I R/U)^1.94. [A]"""
    current = floor / (1 + VOLTAGE_EXPONENT * slope * floor)
    for _ in range(4):  # Newton's method
        left = np.maximum(1 - slope * current, 1e-6)
        excess = current - floor * left**VOLTAGE_EXPONENT
        steep = 1 + VOLTAGE_EXPONENT * slope * floor * left ** (VOLTAGE_EXPONENT - 1)
        current = current - excess / steep
    return current


def _quantiles(row: np.ndarray, values: Floats, share: Floats, curves: int) -> Floats:
    """Quantiles :data:`INTERVAL` of weighted values of each curve; shape (curves, 3)."""
    order = np.lexsort((values, row))
    row, values, share = row[order], values[order], share[order]
    total = np.bincount(row, share, curves)
    before = np.concatenate(([0.0], np.cumsum(total)[:-1]))
    reached = (np.cumsum(share) - 0.5 * share - before[row]) / total[row] + row
    last = np.cumsum(np.bincount(row, minlength=curves)) - 1
    found = np.empty((curves, len(INTERVAL)))
    for column, wanted in enumerate(INTERVAL):
        place = np.searchsorted(reached, np.arange(curves) + wanted)
        found[:, column] = values[np.minimum(place, last)]
    return found
