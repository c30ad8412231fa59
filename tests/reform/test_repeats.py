"""The same voltage again after a rest."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.reform.repeats import beside_before, told
from captriage.reform.step_data import steps_of
from reform.known_curves import RATING, curve, joined, noisy, times

REST = curve([10.0, 20, 30], [0.0] * 3, supply_v=0.0)


def again(first, second, **second_at):
    whole = joined(curve(times(), first), REST, curve(times(), second, **second_at))
    steps = steps_of(whole, RATING)
    return beside_before(steps, len(steps) - 1)


def absorbed(time):
    return 1e-4 * (time / 60) ** -0.8 + 1e-5


def test_same_curve_again_is_absorption_alone():
    ratio = again(noisy(absorbed(times()), seed=1), noisy(absorbed(times()), seed=2))
    assert ratio == pytest.approx(1, abs=0.1)
    assert "nothing has healed" in told(ratio)


def test_lower_curve_has_healed():
    ratio = again(noisy(absorbed(times()), seed=1), noisy(0.4 * absorbed(times()), seed=2))
    assert ratio == pytest.approx(0.4, abs=0.05)
    assert "has healed" in told(ratio)


def test_higher_curve_has_faded():
    assert "faded again" in told(again(absorbed(times()), 2 * absorbed(times())))


def test_another_voltage_is_no_repeat():
    assert np.isnan(again(absorbed(times()), absorbed(times()), supply_v=400.0))


def test_nothing_is_told_of_a_first_time():
    assert told(np.nan) == ""
