"""The same voltage again after a rest."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.reform.repeats import beside_before, rested, told
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
    assert "nothing has healed" in told(ratio, rested=True)


def test_lower_curve_has_healed():
    ratio = again(noisy(absorbed(times()), seed=1), noisy(0.4 * absorbed(times()), seed=2))
    assert ratio == pytest.approx(0.4, abs=0.05)
    assert "has healed" in told(ratio, rested=True)


def test_higher_curve_has_faded():
    assert "faded again" in told(again(absorbed(times()), 2 * absorbed(times())), rested=True)


def test_another_voltage_is_no_repeat():
    assert np.isnan(again(absorbed(times()), absorbed(times()), supply_v=400.0))


def test_nothing_is_told_of_a_first_time():
    assert told(np.nan, rested=True) == ""


@pytest.mark.parametrize(("rest_s", "long_enough"), [(30.0, False), (3600.0, True)])
def test_a_lower_curve_after_a_short_rest_may_be_absorption_that_has_not_come_back(
    rest_s, long_enough
):
    rest = curve([rest_s / 3, rest_s / 1.5, rest_s], [0.0] * 3, supply_v=0.0)
    whole = joined(curve(times(), absorbed(times())), rest, curve(times(), 0.4 * absorbed(times())))
    steps = steps_of(whole, RATING)
    assert rested(steps, len(steps) - 1) is long_enough
    said = told(beside_before(steps, len(steps) - 1), rested=long_enough)
    assert ("the rest was too short to tell" in said) is not long_enough


def test_a_first_step_had_no_rest():
    assert not rested(steps_of(curve(times(), absorbed(times())), RATING), 0)
