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

RAMP_SHARE_A_SECOND: Final = 2e-4
"""Of the voltage: a supply that moves faster is being raised, or lowered; ours. [1/s]"""

STANDS_SHARE: Final = 0.005
"""Of the voltage: a supply that moves less stands; ours."""

BESIDE: Final = 5
"""Readings before and after one, between which the supply is seen to move."""

NOISE_SPAN: Final = 20.0
"""Times the lower quartile of differences that noise spans at most: six standard deviations."""

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
    for first, after in _steady(time, supply, edges, highest):
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


def _steady(
    time: Floats, supply: Floats, edges: list[int], highest: float
) -> list[tuple[int, int]]:
    """Pieces between jumps in which the supply stands; a ramp of small steps is left out.

    A reading belongs to a ramp where the supply moves, from some readings before to some after it,
    farther than noise does and faster than a supply wanders. What stands at one voltage before and
    after is one piece.
    """
    found: list[tuple[int, int]] = []
    for first, after in pairwise(edges):
        volts, seconds = supply[first:after], time[first:after]
        if len(volts) <= 2 * BESIDE or np.ptp(volts) <= STANDS_SHARE * highest:
            found.append((first, after))
            continue
        at = np.arange(len(volts))
        low, high = np.maximum(at - BESIDE, 0), np.minimum(at + BESIDE, len(volts) - 1)
        moved = np.abs(volts[high] - volts[low])
        moving = moved > max(STANDS_SHARE * highest, NOISE_SPAN * _quiet(volts))
        moving &= moved > RAMP_SHARE_A_SECOND * highest * (seconds[high] - seconds[low])
        runs = np.flatnonzero(np.diff(moving, prepend=True, append=True))
        for begin, end in zip(runs[::2], runs[1::2], strict=True):
            _join(found, (first + int(begin), first + int(end)), supply, highest, first)
    return found


def _join(
    found: list[tuple[int, int]],
    piece: tuple[int, int],
    supply: Floats,
    highest: float,
    since: int,
) -> None:
    """Add a piece, to the one before it where both stand at one voltage after the same jump."""
    if found and found[-1][0] >= since:
        before = float(np.median(supply[slice(*found[-1])]))
        if abs(float(np.median(supply[slice(*piece)])) - before) <= CHANGED_SHARE[0] * highest:
            found[-1] = (found[-1][0], piece[1])
            return
    found.append(piece)


def _quiet(volts: Floats) -> float:
    """How far readings of a supply that stands differ, though it may move for most of them.

    Stairs have readings without a difference, a smooth ramp has differences that are all alike.
    """
    once, twice = np.abs(np.diff(volts)), np.abs(np.diff(volts, 2))
    return float(min(np.quantile(once, 0.25), np.quantile(twice, 0.25)))


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
