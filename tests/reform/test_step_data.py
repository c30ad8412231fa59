"""One step made ready: when charging ends, and its limit."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.model.charging import charging_current
from captriage.reform.curves import Rating
from captriage.reform.step_data import steps_of
from reform.known_curves import RATING, curve, joined, times


def test_charging_is_set_apart():
    # 100 kΩ and 32 µF: 3.2 s; 5 % of 0.2 mA is left of 4.5 mA after ln(450) time constants.
    time = np.linspace(0.5, 120, 240)
    rising = charging_current(450, 100e3, capacitance=32e-6, time_s=time) + 2e-4
    (step,) = steps_of(curve(time, rising, ohm=100e3), RATING)
    ends = time[step.charged]
    assert 3.2 * np.log(450) < ends < 3 * 3.2 * np.log(450)
    charging = charging_current(450, 100e3, capacitance=32e-6, time_s=ends)
    assert charging < 0.05 * 2e-4


def test_next_step_charges_only_the_difference():
    low = curve(times(600.0), np.full(900, 2e-4), supply_v=400.0, ohm=100e3)
    high = curve(times(600.0), np.full(900, 2e-4), supply_v=450.0, ohm=100e3)
    first, second = steps_of(joined(low, high), RATING)
    assert second.time_s[second.charged] < first.time_s[first.charged]


def test_nothing_charges_where_no_resistor_stands():
    (step,) = steps_of(curve(times(), np.full(900, 1e-4), ohm=0.0), RATING)
    assert step.charged == 0


def test_run_shorter_than_its_charging_has_no_leakage_yet():
    time = np.linspace(0.2, 5, 25)
    rising = charging_current(450, 100e3, capacitance=32e-6, time_s=time)
    (step,) = steps_of(curve(time, rising, ohm=100e3), RATING)
    assert step.charged == len(time)
    assert not step.can_be_fitted


def test_limit_at_seven_tenths_of_rated_is_half():
    # Leakage at 0.7 of rated voltage is half (Wikipedia, Aluminum electrolytic capacitor).
    (step,) = steps_of(curve(times(), np.full(900, 1e-4), supply_v=315.0, ohm=0.0), RATING)
    assert step.limit_a == pytest.approx(RATING.limit_a / 2)


def test_limit_follows_what_the_resistor_leaves():
    (step,) = steps_of(curve(times(), np.full(900, 1e-4), ohm=20e3), RATING)
    assert step.limit_now(0.3 * 450 / 20e3) == pytest.approx(RATING.limit_a / 2)


def test_voltage_that_is_not_known_is_taken_for_the_target():
    known = Rating(32e-6, 450.0, 315.0, 1.58e-3)
    (step,) = steps_of(curve(times(), np.full(900, 1e-4), supply_v=np.nan, ohm=np.nan), known)
    assert step.limit_a == pytest.approx(1.58e-3 / 2)


def test_rest_is_no_step():
    rest = curve(times(), np.full(900, 0.0), supply_v=0.0)
    assert len(steps_of(joined(curve(times(), np.full(900, 1e-4)), rest), RATING)) == 1
