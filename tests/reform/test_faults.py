"""Breakdown and a rising current, told from noise, slips and a slow creep."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.reform.averages import averages_of
from captriage.reform.faults import breakdown_of, gone_from, rise_of
from reform.known_curves import healing, noisy, times

UNKNOWN = np.full(900, np.nan)


def risen(currents, until_s=3600.0):
    return rise_of(averages_of(times(until_s), np.asarray(currents), 0.0))


def test_jump_for_good_is_a_breakdown():
    currents = noisy(healing(times()))
    currents[500:] = 22e-3
    assert breakdown_of(currents, UNKNOWN, charged=0) in range(498, 504)


def test_slip_of_the_meter_is_no_breakdown():
    currents = noisy(healing(times()))
    currents[500] = 22e-3
    assert breakdown_of(currents, UNKNOWN, charged=0) is None


def test_breakdown_that_heals_again_is_none():
    currents = noisy(healing(times()))
    currents[500:520] = 22e-3
    assert breakdown_of(currents, UNKNOWN, charged=0) is None


def test_voltage_that_collapses_is_a_breakdown_though_the_resistor_limits():
    currents = np.full(900, 3e-3)
    currents[500:] = 4.4e-3  # all that the resistor lets through: less than half as much again
    volts = np.where(np.arange(900) < 500, 150.0, 10.0)
    assert breakdown_of(currents, volts, charged=0) in range(498, 504)


def test_jump_while_the_part_charges_is_not_looked_at():
    currents = healing(times())
    currents[:10] *= 30
    assert breakdown_of(currents, UNKNOWN, charged=20) is None


def test_few_typed_readings_show_a_breakdown_too():
    assert breakdown_of(np.array([1e-3, 0.8e-3, 9e-3]), np.full(3, np.nan), charged=0) == 2


@pytest.mark.parametrize("n", [0, 1])
def test_nothing_to_compare_is_no_breakdown(n):
    assert breakdown_of(np.full(n, 1e-3), np.full(n, np.nan), charged=0) is None


def test_fall_is_no_rise():
    assert not risen(noisy(healing(times()))).is_real


def test_noise_about_a_plateau_is_no_rise():
    found = [risen(noisy(np.full(900, 2e-3), 0.1, seed)).is_real for seed in range(40)]
    assert sum(found) == 0


def test_runaway_is_a_fault():
    time = times()
    currents = noisy(healing(time, floor=1e-3) * np.exp(time / 2000))
    found = risen(currents)
    assert found.is_real
    assert found.is_fault(currents[-1], 1.58e-3)


def test_slow_creep_below_the_limit_is_none():
    # Falls for an hour, then comes up by 30 % over ten hours (Anderson and Devereux, 1975).
    time = times(40_000.0)
    currents = noisy(healing(time, floor=0.4e-3) * (1 + 0.3 * (1 - np.exp(-time / 15_000))))
    assert not risen(currents, 40_000.0).is_fault(currents[-1], 0.9e-3)


def test_rise_far_below_the_limit_is_none():
    time = times()
    currents = noisy(1e-5 * np.exp(time / 3000))
    found = risen(currents)
    assert found.is_real
    assert not found.is_fault(currents[-1], 1.58e-3)


def test_rise_that_has_turned_is_none():
    time = times()
    currents = noisy(1e-3 * (1 + np.exp(-(((time - 2000) / 400) ** 2))))
    assert not risen(currents).is_real


def test_three_averages_tell_nothing():
    assert not rise_of(averages_of(np.array([1.0, 2, 3]), np.array([1.0, 2, 9]), 0.0)).is_real


LEAST = 0.3e-3


@pytest.mark.parametrize("left", [0.0, 1e-7, -1e-7, 20e-6])
def test_current_that_ends_all_at_once_is_gone(left):
    currents = noisy(healing(times()))
    currents[500:] = left
    assert gone_from(times(), currents, least_a=LEAST) == 500


@pytest.mark.parametrize("back", [501, 505, 899])
def test_current_that_comes_back_is_not_gone(back):
    currents = noisy(healing(times()))
    currents[500:back] = 0.0
    found = gone_from(times(), currents, least_a=LEAST)
    assert found is None or back == 899  # the last reading alone may be a slip of the meter


@pytest.mark.parametrize("power", [0.5, 1.0, 1.2])
def test_current_that_falls_by_a_law_is_never_gone_however_seldom_it_is_read(power):
    time_s = np.array([5.0, 60.0, 300.0, 3600.0, 40000.0])
    assert gone_from(time_s, 0.1 * time_s**-power, least_a=1e-9) is None


@pytest.mark.parametrize("n", [0, 1])
def test_of_one_reading_nothing_is_gone(n):
    assert gone_from(np.arange(n, dtype=float), np.ones(n), least_a=LEAST) is None


def test_end_of_a_small_current_tells_nothing():
    assert gone_from(np.arange(1.0, 9), np.array([0.2e-3] * 4 + [0.0] * 4), least_a=LEAST) is None


def test_a_first_reading_at_nought_does_no_harm():
    assert gone_from(np.zeros(2), np.array([1e-3, 0.0]), least_a=LEAST) is None
