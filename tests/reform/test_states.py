"""States of steps whose meter shows noughts; the currents are closed forms of the model."""

from __future__ import annotations

from math import isnan

import numpy as np
import pytest

from captriage.reform.curves import Rating
from captriage.reform.progress import read_curve
from reform.known_curves import RATING, curve, healing, noisy, times


def state(currents):
    return read_curve(curve(times(), currents), RATING)


SLIPPED = [
    # which readings are nought; what is said of it
    pytest.param(np.arange(900) // 30 % 3 == 1, "33 % of the readings, in between", id="now, then"),
    pytest.param(np.arange(900) >= 400, "and so to the end", id="at the end"),
]


@pytest.mark.parametrize(("nought", "said"), SLIPPED)
def test_noughts_between_currents_are_neither_a_good_part_nor_an_open_one(nought, said):
    current = np.where(nought, 0.0, noisy(healing(times())))
    found = state(current)
    assert (found.state, found.advice) == ("too early to say", "continue")
    assert said in found.because
    assert isnan(found.steps[-1].leakage_a)
    assert found.law is None


def test_noise_about_nought_is_no_current_that_slips():
    found = state(np.random.default_rng(7).normal(0, 1e-5, 900))
    assert (found.state, found.advice) == ("too early to say", "continue")
    assert "was ever seen" in found.because


TINY = Rating(10e-3, 6.3, 5.75, 10e-6)


def test_a_current_out_of_noughts_is_seen_for_what_it_is():
    # The supply was switched on late, or a part that showed nothing broke down: both go by what
    # flows from then on.
    late = np.where(np.arange(900) < 400, 0.0, 15e-3)
    assert state(late).advice == "stop and replace"
    healed = np.where(np.arange(900) < 400, 0.0, noisy(healing(times(), charge=0.2)))
    assert state(healed).state == "settled below the limit"


@pytest.mark.parametrize("growth_s", [60, 120, 300, 600, 1000])
@pytest.mark.parametrize("until_a", [3e-3, 6e-3, 12e-3])
def test_a_part_that_runs_away_at_the_end_is_never_below_its_limit(growth_s, until_a):
    # The averages of the last hour of two span some ten minutes: a runaway is over by then.
    time = times(7200.0, 720)
    current = healing(time, charge=0.2) * np.exp(np.maximum(time - 5000, 0) / growth_s)
    seen = time <= time[np.argmax((time > 5000) & (current > until_a)) or -1]
    found = read_curve(curve(time[seen], noisy(current)[seen]), RATING)
    assert found.advice == "stop and replace"


LOW_AT_THE_END = [
    # falling curves with noise of a tenth whose last reading is low; times in s, currents in mA
    ([60, 120, 180, 240, 320, 400], [6.35, 4.96, 3.8, 3.17, 2.99, 2.01]),
    ([70, 140, 210, 280, 346], [5.27, 3.46, 3.49, 3.4, 2.38]),
]


@pytest.mark.parametrize(("time", "milliamperes"), LOW_AT_THE_END)
def test_a_low_reading_at_the_end_makes_no_rise_of_those_before(time, milliamperes):
    found = read_curve(curve(time, 1e-3 * np.array(milliamperes)), RATING)
    assert found.state not in ("rising", "broken down")


def test_readings_by_hand_that_rise_are_not_averaged_into_a_good_part():
    found = read_curve(
        curve([60, 1800, 3600, 5400, 7200], [2e-3, 0.6e-3, 0.9e-3, 1.2e-3, 1.5e-3]), RATING
    )
    assert (found.state, found.advice) == ("rising", "stop and replace")
    assert "the latest readings, 1.2 mA, are" in found.because


def test_a_supply_that_goes_into_its_current_limit_clears_no_part():
    time = times(7200.0, 720)
    current = np.minimum(
        healing(time, charge=0.2) * np.exp(np.maximum(time - 4000, 0) / 300), 12e-3
    )
    sagged = np.where(current >= 12e-3, 250.0, 450.0)
    found = read_curve(curve(time, noisy(current, 0.02), supply_v=sagged), RATING)
    assert found.advice == "stop and replace"


RAMP = 450 * times(7200.0, 720) / 7200  # by hand, with a variable transformer


def test_a_slow_ramp_is_no_step_and_its_current_no_rise():
    leak = 0.3e-3 * (RAMP / 450) ** 1.943 + 32e-6 * 450 / 7200
    found = read_curve(curve(times(7200.0, 720), noisy(leak), supply_v=RAMP), RATING)
    assert (found.state, found.advice) == ("too early to say", "continue")
    assert "did not stand still (23 V to 428 V): hold it" in found.because  # 5 and 95 % of 450 V


def test_a_part_that_fails_on_a_slow_ramp_has_failed():
    leak = 0.3e-3 * (RAMP / 450) ** 1.943 * np.exp(np.maximum(RAMP - 380, 0) / 15)
    found = read_curve(curve(times(7200.0, 720), noisy(leak), supply_v=RAMP), RATING)
    assert found.advice == "stop and replace"


def test_noise_as_large_as_the_current_is_read_without_harm():
    # the law of these goes down to nought, beside which every current were a rise
    time = [1593.0, 7970.0, 13559.0, 19898.0, 28251.0, 33502.0, 36254.0, 38162.0]
    noise = np.array([7.0, 2.0, 5.9, 3.3, 6.7, -0.35, 7.5, 4.0]) * 1e-6
    found = read_curve(curve(time, noise, supply_v=4.7, ohm=1e3, floor_a=0.0), TINY)
    assert found.state == "settled below the limit"
