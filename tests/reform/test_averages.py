"""Averages over equal shares of the logarithm of time."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.reform.averages import LEAST_NOISE, MOST, averages_of, noise_of
from reform.known_curves import healing, noisy, times


@pytest.mark.parametrize("share", [0.03, 0.05, 0.10])
def test_noise_is_found_beside_a_fall(share):
    currents = noisy(healing(times(n=2000)), share)
    assert noise_of(currents, 0.0) == pytest.approx(share, rel=0.1)


def test_floor_of_the_meter_is_not_noise_of_the_reading():
    dice = np.random.default_rng(2)
    currents = 1e-6 + 1e-7 * dice.standard_normal(2000)
    assert noise_of(currents, 2e-7) < 0.5 * noise_of(currents, 0.0)


def test_reading_that_never_changes_is_not_trusted_without_end():
    assert noise_of(np.full(100, 1e-3), 0.0) == LEAST_NOISE


def test_averages_lie_on_the_curve_within_their_spread():
    time = times(n=2000)
    found = averages_of(time, noisy(healing(time), 0.05), 0.0)
    away = (found.current_a - healing(found.time_s)) / found.spread_a
    assert len(found.time_s) <= MOST
    assert np.abs(away).max() < 4.5
    assert 0.5 < np.std(away) < 1.6


def test_slip_of_the_meter_is_left_out():
    time = times(n=400)
    currents = noisy(healing(time), 0.03)
    clean = averages_of(time, currents, 0.0)
    currents[200] *= 40
    np.testing.assert_allclose(
        averages_of(time, currents, 0.0).current_a, clean.current_a, rtol=0.02
    )


def test_real_change_for_good_is_not_left_out():
    time = times(n=400)
    currents = np.where(time < 1800, 1e-3, 5e-3)
    found = averages_of(time, currents, 0.0)
    assert found.current_a[0] == pytest.approx(1e-3)
    assert found.current_a[-1] == pytest.approx(5e-3)


@pytest.mark.parametrize("n", [1, 2, 4, 5])
def test_few_readings_are_their_own_averages(n):
    time = np.geomspace(10, 1000, n)
    found = averages_of(time, np.full(n, 1e-3), 0.0)
    np.testing.assert_allclose(found.current_a, 1e-3)
    assert found.current_a.size == n


def test_readings_of_one_moment_are_one_average():
    found = averages_of(np.full(6, 30.0), np.full(6, 1e-3), 0.0)
    assert found.current_a.size == 1


def test_where_half_of_the_readings_are_odd_none_is_left_out():
    # the middle one of five is far from each of these: noise about nought of a coarse meter
    currents = np.array([0.0, 2.0, 1.0, 0.0, -1.0, 1.0]) * 1e-3
    assert averages_of(np.arange(60.0, 420.0, 60.0), currents, 0.0).current_a.size == 6
