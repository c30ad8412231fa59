"""Curves whose making is known: closed forms of the model, with noise."""

from __future__ import annotations

import numpy as np

from captriage.model.reforming import healing_current
from captriage.reform.curves import Curve, Rating

RATING = Rating(32e-6, 450.0, 450.0, 1.58e-3)  # K·C + 0.3 mA of 32 µF at 450 V
OHM = 20e3


def noisy(currents, share=0.05, seed=3):
    dice = np.random.default_rng(seed)
    return np.asarray(currents) * (1 + share * dice.standard_normal(len(currents)))


def times(until_s=3600.0, n=900):
    return np.linspace(until_s / n, until_s, n)


def curve(time_s, current_a, *, supply_v=450.0, ohm=OHM, floor_a=3e-6, part_v=np.nan):
    time_s = np.asarray(time_s, float)
    return Curve(
        time_s,
        np.broadcast_to(np.asarray(supply_v, float), time_s.shape).copy(),
        np.asarray(current_a, float),
        np.broadcast_to(np.asarray(part_v, float), time_s.shape).copy(),
        series_ohm=ohm,
        floor_a=floor_a,
    )


def healing(time_s, *, start=8e-3, charge=3.0, floor=0.3e-3, slowing=np.inf):
    return floor + healing_current(time_s, current_start=start, charge=charge, slowing=slowing)


def joined(*curves):
    """Curves one after the other, the clock going on."""
    begins, parts = 0.0, []
    for each in curves:
        parts.append((each.time_s + begins, each.supply_v, each.current_a, each.part_v))
        begins += each.time_s[-1]
    time, supply, current, part = (np.concatenate(each) for each in zip(*parts, strict=True))
    return Curve(
        time, supply, current, part, series_ohm=curves[0].series_ohm, floor_a=curves[0].floor_a
    )
