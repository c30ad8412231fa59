"""Whatever was read, a curve has a state, and no advice that is unsafe."""

from __future__ import annotations

from math import inf, isfinite, nan

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from captriage.reform.curves import ADVICE, STATES, Curve
from captriage.reform.progress import read_curve
from reform.known_curves import RATING, curve, healing, noisy, times

NUMBERS = st.one_of(
    st.floats(-1e3, 1e3), st.sampled_from([0.0, nan, inf, 1e-9, 450.0, -1e-3]), st.floats(0, 1e-2)
)


@settings(max_examples=300, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0, 1e5), NUMBERS, NUMBERS, NUMBERS), max_size=60),
    st.sampled_from([nan, 0.0, 1e3, 1e5]),
    st.sampled_from([0.0, 3e-6]),
)
def test_whatever_was_read_has_a_state_and_no_unsafe_advice(rows, ohm, floor):
    table = np.array(sorted(rows), float).reshape(-1, 4)
    found = read_curve(Curve(*table.T, series_ohm=ohm, floor_a=floor), RATING)
    assert found.state in STATES
    assert found.advice in ADVICE
    assert found.because
    assert 0 <= found.sure <= 1
    if isfinite(found.forecast_s):
        assert found.forecast_low_s <= found.forecast_s <= found.forecast_high_s
    if found.state == "settled below the limit":
        assert found.steps[-1].leakage_a <= found.limit_a


@settings(max_examples=200, deadline=None)
@given(
    st.integers(1, 150),
    st.sampled_from([0.0, 1e-12, 1e-9, 1e-6, 1e-4, 5e-3, 0.1, -1e-4]),
    st.sampled_from([0.0, 1e-12, 1e-6, 1e-3]),
    st.sampled_from([0.0, 3e-6]),
    st.sampled_from([nan, 0.0, 20e3]),
    st.integers(0, 10_000),
)
def test_noise_about_any_current_is_neither_breakdown_nor_rise(n, level, noise, floor, ohm, seed):
    dice = np.random.default_rng(seed)
    at = np.sort(np.round(dice.uniform(0, 3600, n), 1))  # some at one moment
    found = read_curve(
        curve(at, level + noise * dice.standard_normal(n), ohm=ohm, floor_a=floor), RATING
    )
    assert found.state in STATES
    if level <= 1e-4 and noise <= 1e-6:
        assert found.state not in ("broken down", "rising")
    if level <= 0 and n > 40:  # of few readings three in four may be above nought by chance
        assert found.advice == "continue"


@settings(max_examples=40, deadline=None)
@given(st.floats(0.05, 20), st.floats(1e-6, 5e-3), st.integers(0, 10_000))
def test_scale_of_time_and_noise_do_not_turn_a_plateau_into_a_heal(charge, floor, seed):
    currents = noisy(healing(times(), charge=charge, floor=floor), seed=seed)
    found = read_curve(curve(times(), currents), RATING)
    if floor > 1.5 * RATING.limit_a:
        assert not isfinite(found.forecast_high_s)
        assert found.state != "settled below the limit"
