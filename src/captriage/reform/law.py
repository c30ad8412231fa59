r"""The law that a step's current follows once charging is over, and what may still come of it.

.. math:: I(t) = b\,s + \frac{a}{1 + \tau/\tau_0}, \quad d\tau = \frac{d(t^p)}{1 + \beta I R/U}

A floor :math:`b`, which does not heal and follows the voltage left on the part
(:math:`s = (1 - IR/U)^{1.94}`, :mod:`captriage.model.leakage`), and a current through flaws that
heal: those of one kind fall as :math:`1/t` (:mod:`captriage.model.reforming`, :math:`p = 1`). As
the voltage on the part climbs, flaws with thicker films join in, and absorption dies away by its
power law: both slow the fall down, which is an exponent :math:`p` below 1. While the series
resistor governs, time counts for less, by the exponent :math:`\beta` with which the current follows
the voltage: 39 at the forming field (:mod:`captriage.model.oxide`), nought where it does not.

All laws on a grid are weighed by how well they fit (Bayes' rule, Gaussian noise; :math:`a` and
:math:`b` by linear least squares, neither below nought), so that what the readings do not settle
stays open in the forecast. Many curves at once: the first axis of every array is the curve.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from captriage.model.leakage import VOLTAGE_EXPONENT
from captriage.reform.averages import Averages
from captriage.reform.curves import Floats

EXPONENTS: Final = np.linspace(0.4, 1.15, 12)
"""Of time; currents fall with 0.8 to 1.1 in tantalum (Teverovsky, NTRS 20060026218), with 0.5 to 1
in aluminium (from memory)."""

USUAL: Final = (1.05, 0.2)
"""Mean and spread of the exponent that is thought of beforehand; found by ensembles."""

FIELDS: Final = (0.0, 39.0)
"""Exponents of the current with the voltage that are thought possible."""

FIELD_SHARES: Final = (0.05, 0.95)
"""How probable each is thought beforehand: healing is the second."""

ONSETS: Final = np.geomspace(1e-2, 30.0, 32)
"""τ₀ over the τ that has been seen."""

MOST_DROP: Final = 0.999
"""Share of the supply voltage that the resistor can take: a part that is no short has some."""

FLOOR_POINTS: Final = 7
"""Equally probable values of the floor that stand for what the readings leave open of it."""

PLAIN: Final = 0.003
"""Share of the last current: floors are thought as probable in each equal share of their
logarithm, but for those below it."""

MODEL_SHARE: Final = 0.005
"""Of the current: how far the law itself may be off in one average; found by ensembles."""

FARTHEST: Final = 20.0
"""Times the time seen beyond which nothing is forecast, and nobody waits; ours."""

AGED_SHARE: Final = 0.045
"""The same for each e-fold of time that has passed since: flaws join in as the voltage climbs past
their films, so that the past tells less of what is to come; found by ensembles."""


@dataclass(frozen=True)
class Seen:
    """Averages of many curves, side by side: arrays of shape (curves, averages).

    Attributes
    ----------
    time_s, current_a, plain, weight : ndarray
        Since the voltage was reached; the current; one over its variance, and the same with what
        the law may be off; 0 where there is none (the time is then that of the last one). [s],
        [A], [1/A²], [1/A²]
    drop : ndarray
        Voltage across the series resistor over that of the supply; 0 where it is not known.
    slope : ndarray, shape (curves,)
        Of ``drop`` with the current. [1/A]
    now_s : ndarray, shape (curves,)
        Of the last reading, which is later than the last average. [s]
    """

    time_s: Floats
    current_a: Floats
    plain: Floats
    weight: Floats
    drop: Floats
    slope: Floats
    now_s: Floats


@dataclass(frozen=True)
class Law:
    """Laws that fit, and how well: arrays of shape (curves, fields, exponents, onsets, floors).

    Attributes
    ----------
    share : ndarray
        Probability of each; they sum to 1 over each curve.
    floor_a, flaw_a : ndarray
        b and a of each. [A]
    onset_s : ndarray, shape (curves, fields, exponents, onsets)
        τ₀. [s^p]
    time_s : ndarray, shape (curves, fields, exponents)
        τ at the last average. [s^p]
    """

    share: Floats
    floor_a: Floats
    flaw_a: Floats
    onset_s: Floats
    time_s: Floats


def side_by_side(averages: list[Averages], slopes: Floats) -> Seen:
    """Averages of several curves in arrays of one shape.

    Parameters
    ----------
    averages : list of Averages
        At least one of each curve.
    slopes : ndarray, shape (curves,)
        Series resistor over supply voltage; 0 where they are not known. [1/A]
    """
    most = max(len(each.time_s) for each in averages)
    shape = (len(averages), most)
    time, current = np.empty(shape), np.empty(shape)
    plain, weight = np.zeros(shape), np.zeros(shape)
    for row, each in enumerate(averages):
        n = len(each.time_s)
        time[row, :n], time[row, n:] = each.time_s, each.time_s[-1]
        current[row, :n], current[row, n:] = each.current_a, each.current_a[-1]
        passed = np.log(each.time_s[-1] / np.maximum(each.time_s, 1e-9))
        model = (MODEL_SHARE + AGED_SHARE * passed) * np.abs(each.current_a)
        plain[row, :n] = 1 / (each.spread_a**2 + 1e-30)
        weight[row, :n] = 1 / (each.spread_a**2 + model**2 + 1e-30)
    drop = np.clip(current * slopes[:, None], 0.0, MOST_DROP)
    now = np.array([each.now_s for each in averages])
    return Seen(time, current, plain, weight, drop, slopes, now)


def slowed_time(
    seen: Seen, exponents: Floats = EXPONENTS, fields: tuple[float, ...] = FIELDS
) -> Floats:
    """τ of each average; shape (curves, fields, exponents, averages). [s^p]"""
    rate = 1 / (1 + np.array(fields)[None, :, None] * seen.drop[:, None, :])
    power = seen.time_s[:, None, :] ** exponents[None, :, None]
    mean = 0.5 * (rate[:, :, 1:] + rate[:, :, :-1])
    steps = np.diff(power, axis=2)[:, None] * mean[:, :, None]
    first = power[:, None, :, :1] * rate[:, :, None, :1]
    return np.concatenate((first, first + np.cumsum(steps, axis=3)), axis=3)


def weigh(seen: Seen) -> Law:
    """Weigh all laws of the grid by the averages of each curve.

    Parameters
    ----------
    seen : Seen

    Returns
    -------
    Law
    """
    tau = slowed_time(seen)
    onset = tau[..., -1:] * ONSETS
    falls = 1 / (1 + tau[..., None, :] / onset[..., None])
    floor = (1 - seen.drop) ** VOLTAGE_EXPONENT
    weighted = seen.weight[:, None, None, None, :]
    gg = np.sum(falls * falls * weighted, axis=-1)
    pair = np.stack((seen.weight * floor, seen.weight * seen.current_a), axis=-1)
    gf, gy = np.moveaxis(np.einsum("cfomt,ctp->cfomp", falls, pair, optimize=True), -1, 0)
    ff, fy, yy = (
        np.sum(seen.weight * one * two, axis=1)[:, None, None, None]
        for one, two in ((floor, floor), (floor, seen.current_a), (seen.current_a,) * 2)
    )
    level, doubt, least = _best(gg, gf, gy, ff=ff, fy=fy, yy=yy)
    most = gy / gf  # a floor above it would leave less than nothing to fall
    bounded = np.clip(level, 0.0, np.maximum(most, 0.0))
    least = least + ((level - bounded) / doubt) ** 2
    best = least.min(axis=(1, 2, 3), keepdims=True)
    spare = np.maximum(np.sum(seen.weight > 0, axis=1) - 4, 1)[:, None, None, None]
    scale = np.maximum(best / spare, 1.0)  # a poor fit widens what is thought possible
    doubt = doubt * np.sqrt(scale)
    floors, room = _spread(level, doubt, most)
    flaws = np.maximum(gy[..., None] - floors * gf[..., None], 0.0) / gg[..., None]
    share = np.exp(-0.5 * (least - best) / scale) * doubt * room * _prior()
    usual = PLAIN * np.abs(seen.current_a[:, -1])[:, None, None, None, None]
    share = share[..., None] / (floors + usual)
    share /= share.sum(axis=(1, 2, 3, 4), keepdims=True)
    return Law(share, floors, flaws, onset, tau[..., -1])


def _best(
    gg: Floats, gf: Floats, gy: Floats, *, ff: Floats, fy: Floats, yy: Floats
) -> tuple[Floats, Floats, Floats]:
    """Floor by linear least squares beside each fall, its standard uncertainty, and the misfit."""
    spread = np.maximum(gg * ff - gf**2, 1e-9 * gg * ff)
    level = (gg * fy - gf * gy) / spread
    misfit = yy - (gg * fy**2 - 2 * gf * fy * gy + ff * gy**2) / spread
    return level, np.sqrt(gg / spread), misfit


def _spread(level: Floats, doubt: Floats, most: Floats) -> tuple[Floats, Floats]:
    """Equally probable floors from nought to ``most``, and how much room is between.

    A floor that is best outside has its values gather at the bound.
    """
    from scipy.special import ndtr, ndtri

    low, high = ndtr(-level / doubt), ndtr((most - level) / doubt)
    room = high - low
    places = (np.arange(FLOOR_POINTS) + 0.5) / FLOOR_POINTS
    inside = level[..., None] + doubt[..., None] * ndtri(
        np.clip(low[..., None] + room[..., None] * places, 1e-300, 1 - 1e-16)
    )
    outside = np.maximum(-level, level - most) / doubt
    tail = -np.log1p(-places) / (1 + np.abs(outside[..., None])) * doubt[..., None]
    gathered = np.where((level > most)[..., None], most[..., None] - tail, tail)
    within = room > 1e-6
    floors = np.where(within[..., None], inside, gathered)
    floors = np.clip(floors, 0.0, np.maximum(most, 0.0)[..., None])
    return floors, np.where(within, room, 0.4 / (1 + np.abs(outside)))


def _prior() -> Floats:
    """What is thought of fields and exponents beforehand; shape (1, fields, exponents, 1)."""
    exponent = np.exp(-0.5 * ((EXPONENTS - USUAL[0]) / USUAL[1]) ** 2)
    return np.array(FIELD_SHARES)[None, :, None, None] * exponent[:, None]
