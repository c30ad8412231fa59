"""The law of a step, and its forecast, on curves whose making is known."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.model.reforming import healing_time
from captriage.reform.fitted import fitted_law
from captriage.reform.forecast import forecast
from captriage.reform.law import side_by_side, weigh
from captriage.reform.step_data import steps_of
from reform.known_curves import RATING, curve, healing, noisy, times


def weighed(currents, time_s=None, *, ohm=np.nan):
    time_s = times() if time_s is None else time_s
    steps = steps_of(curve(time_s, currents, ohm=ohm), RATING)
    seen = side_by_side([step.averages for step in steps], np.array([s.slope for s in steps]))
    return seen, weigh(seen)


def test_probabilities_of_all_laws_sum_to_one():
    _, law = weighed(noisy(healing(times())))
    assert law.share.sum() == pytest.approx(1)
    assert (law.floor_a >= 0).all()
    assert (law.flaw_a >= 0).all()


def test_forecast_of_a_closed_form_meets_its_time():
    # I = b + I₀/(1 + I₀t/Q) reaches 1 mA at the time that the closed form gives.
    time = times(1200.0)
    seen, law = weighed(noisy(healing(time, charge=3.0, floor=0.1e-3), 0.03), time)
    due = healing_time(0.9e-3, current_start=8e-3, charge=3.0)
    low, middle, high = forecast(seen, law, np.array([1e-3])).limit_s[0]
    assert low < due < high
    assert middle == pytest.approx(due, rel=0.2)


def test_forecast_through_a_resistor_meets_its_time():
    # Resistor of 2.25 V/mA: I_R = w/(k R) as the model has it.
    time, slowing = times(600.0), 450 / 38.9 / 20e3
    true = healing(time, charge=0.3, floor=1e-6, slowing=slowing)
    seen, law = weighed(noisy(true, 0.03), time, ohm=20e3)
    due = healing_time(1e-3, current_start=8e-3, charge=0.3, slowing=slowing)
    wanted = 1e-3 / (1 - 1e-3 * 20e3 / 450) ** 1.943  # the limit at what the resistor leaves
    low, middle, high = forecast(seen, law, np.array([wanted])).limit_s[0]
    assert low < due < high
    assert middle == pytest.approx(due, rel=0.2)


def test_floor_above_the_limit_is_never_reached():
    seen, law = weighed(noisy(healing(times(), charge=0.3, floor=2e-3)))
    told = forecast(seen, law, np.array([1e-3]))
    assert told.ever[0] < 0.01
    assert told.limit_s[0, 1] == np.inf
    low, _, high = told.settles_a[0]
    assert low < 2e-3 < high


def test_current_of_the_last_moment_is_met():
    time = times()
    seen, law = weighed(noisy(healing(time)))
    low, _, high = forecast(seen, law, np.array([1e-3])).now_a[0]
    assert low < healing(time)[-1] < high


def test_curves_side_by_side_are_each_alone():
    time = times()
    one, two = noisy(healing(time), seed=1), noisy(healing(time, floor=2e-3), seed=2)[:500]
    steps = [steps_of(curve(time[: len(each)], each, ohm=np.nan), RATING)[0] for each in (one, two)]
    both = side_by_side([step.averages for step in steps], np.zeros(2))
    together = forecast(both, weigh(both), np.array([1e-3, 1e-3]))
    for row, step in enumerate(steps):
        alone = side_by_side([step.averages], np.zeros(1))
        told = forecast(alone, weigh(alone), np.array([1e-3]))
        np.testing.assert_allclose(told.now_a[0], together.now_a[row], rtol=1e-9)
        np.testing.assert_allclose(told.limit_s[0], together.limit_s[row], rtol=1e-6)


def test_law_by_least_squares_is_the_one_it_was_made_with():
    time = times(7200.0, 2000)
    seen, law = weighed(noisy(healing(time, floor=0.5e-3), 0.03), time)
    found = fitted_law(seen, law, 0)
    assert not found.failure
    assert found.floor_a == pytest.approx(0.5e-3, abs=4 * found.floor_error_a)
    assert found.exponent == pytest.approx(1.0, abs=4 * found.exponent_error)
    assert found.flaw_a == pytest.approx(8e-3, abs=4 * found.flaw_error_a)
    assert found.residual < 0.03


def test_law_of_too_few_averages_is_said_not_to_be_there():
    seen, law = weighed(np.array([4e-3, 1e-3, 5e-4, 4e-4]), np.array([20.0, 200, 800, 3000]))
    found = fitted_law(seen, law, 0)
    assert "4 readings for 4 parameters" in found.failure
    assert np.isnan(found.floor_a)
