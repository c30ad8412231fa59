"""Which steps a curve has: stretches of steady supply voltage, with the ramps between left out."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from captriage.reform.curves import Curve, Floats

CHANGED_SHARE: Final = (0.01, 0.05)
"""Of the highest voltage: a smaller change is the supply's own unsteadiness, a larger one never;
common practice."""

NOISY: Final = 6.0
"""Times the usual difference between readings of the supply that a change exceeds, in between."""

OFF_SHARE: Final = 0.02
"""Of the highest voltage: below it the supply is off."""

OFF_V: Final = 0.05
"""Below it, it is off too: what a voltmeter shows of nothing. [V]"""

FEWEST: Final = 2
"""Readings of a step, but for the last one: fewer are a ramp."""


@dataclass(frozen=True)
class Stretch:
    """Readings at one supply voltage.

    Attributes
    ----------
    first, last : int
        Its readings of the curve, the last one included.
    begins_s : float
        When the voltage was reached. [s]
    supply_v : float
        Median; NaN unknown. [V]
    off : bool
        Whether the part is at rest, without voltage.
    """

    first: int
    last: int
    begins_s: float
    supply_v: float
    off: bool


@dataclass(frozen=True)
class Readings:
    """A curve whose readings are whole: each has a current, and what follows from Ohm's law.

    Attributes
    ----------
    time_s, supply_v, part_v, current_a : ndarray
        As in :class:`captriage.reform.curves.Curve`, ascending in time; a voltage that was not read
        is that of the other end of the series resistor less, or plus, its drop. Where neither the
        supply nor a resistor is told, the voltage on the part stands for the supply. NaN unknown.
    """

    time_s: Floats
    supply_v: Floats
    part_v: Floats
    current_a: Floats


def readings_of(curve: Curve) -> Readings:
    """The readings of a curve that can be used, with what Ohm's law adds to them.

    Parameters
    ----------
    curve : Curve

    Returns
    -------
    Readings
        Without readings that have no time or no current, and cannot get one.
    """
    current, supply, part = (
        np.where(np.isfinite(each), each, np.nan)  # an endless reading is over range: none
        for each in (curve.current_a, curve.supply_v, curve.part_v)
    )
    ohm = curve.series_ohm
    if ohm > 0:
        current = np.where(np.isnan(current), (supply - part) / ohm, current)
        supply = np.where(np.isnan(supply), part + current * ohm, supply)
        part = np.where(np.isnan(part), np.maximum(supply - current * ohm, 0.0), part)
    elif ohm == 0 or np.isnan(supply).all():  # the voltage on the part is all that is told
        supply = np.where(np.isnan(supply), part, supply)
        part = np.where(np.isnan(part), supply, part)
    use = np.isfinite(curve.time_s) & np.isfinite(current)
    if not use.all():
        current, supply, part = current[use], supply[use], part[use]
    return Readings(curve.time_s[use], supply, part, current)


def stretches_of(readings: Readings) -> list[Stretch]:
    """Steps of a curve, in order of time.

    Parameters
    ----------
    readings : Readings

    Returns
    -------
    list of Stretch
        None for a curve without readings; one where no supply voltage is known.
    """
    time, supply = readings.time_s, readings.supply_v
    n = len(time)
    if n == 0:
        return []
    if np.isnan(supply).all():
        return [Stretch(0, n - 1, _begun(time, 0), float("nan"), off=False)]
    supply = _carried_on(supply)
    highest = float(np.nanmax(supply))
    jumps = np.abs(np.diff(supply))
    usual = float(np.median(jumps)) if n > FEWEST else 0.0
    least, most = (share * highest for share in CHANGED_SHARE)
    changed = np.flatnonzero(jumps > min(max(NOISY * usual, least), most))
    edges = [0, *(changed + 1).tolist(), n]
    found: list[Stretch] = []
    for first, after in pairwise(edges):
        if after - first < FEWEST and after < n:
            continue  # on the way from one voltage to the next
        volts = float(np.median(supply[first:after]))
        found.append(
            Stretch(
                first,
                after - 1,
                _begun(time, first),
                volts,
                off=volts < max(OFF_SHARE * highest, OFF_V),
            )
        )
    return found


def _carried_on(supply: Floats) -> Floats:
    """Each missing voltage as the one before it, or as the first there is."""
    known = np.isfinite(supply)
    if known.all():
        return supply
    at = np.maximum.accumulate(np.where(known, np.arange(len(supply)), 0))
    at[: int(np.argmax(known))] = int(np.argmax(known))
    return supply[at]


def _begun(time: Floats, first: int) -> float:
    """When the voltage of a step was reached, as far as the readings tell."""
    if first:
        return float(time[first - 1])
    # A clock that began with the voltage has its first reading soon after nought.
    return 0.0 if 0 <= time[0] <= 0.1 * time[-1] else float(time[0])
