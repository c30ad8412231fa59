"""Uncertainty against the propagation package, conformity against the guides' examples."""

import math

import numpy as np
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from captriage.columns import OUTCOMES
from captriage.model import uncertainty
from published import assert_published

Z = st.floats(-37, 37)


def test_combined_uncertainty_of_a_worked_bench_reading():
    # Meter ± 2 % as a rectangle, resolution 0.5 %, temperature 1 %: 1.607 %, expanded 3.21 %
    parts = [uncertainty.rectangular(0.02), 0.005, 0.01]
    combined = uncertainty.combined_uncertainty([1, 1, 1], parts)
    assert_published(combined, "1.607 %")
    assert_published(uncertainty.expanded(combined), "3.21 %")


@given(
    tan_delta=st.floats(0.01, 1),
    capacitance=st.floats(1e-6, 1e-2),
    shares=st.tuples(st.floats(1e-6, 0.1), st.floats(1e-6, 0.1), st.floats(1e-6, 0.01)),
)
def test_combined_uncertainty_is_that_of_the_propagation_package(tan_delta, capacitance, shares):
    values = tan_delta, capacitance, 120.0
    uncertain = [
        uncertainties.ufloat(v, v * share) for v, share in zip(values, shares, strict=True)
    ]
    esr = uncertain[0] / (2 * math.pi * uncertain[2] * uncertain[1])
    nominal = tan_delta / (2 * math.pi * 120.0 * capacitance)
    sensitivities = [nominal / tan_delta, -nominal / capacitance, -nominal / 120.0]
    ours = uncertainty.combined_uncertainty(sensitivities, [each.s for each in uncertain])
    assert ours == pytest.approx(esr.s, rel=1e-9)


def test_uncertainties_of_many_readings_combine_along_the_first_axis():
    combined = uncertainty.combined_uncertainty([[1], [1]], [[3.0, 5.0], [4.0, 12.0]])
    np.testing.assert_allclose(combined, [5, 13])


def test_rectangle_and_resolution_by_hand():
    # JCGM 100:2008, 4.3.7 and F.2.2.1: a/√3, and 0.29 of a step
    assert_published(uncertainty.rectangular(1.0), "0.577")
    assert_published(uncertainty.resolution(1.0), "0.29")


@pytest.mark.parametrize(
    ("readings", "printed"),
    [
        # JCGM 100:2008, Table H.2: five sets of simultaneous observations
        pytest.param((5.007, 4.994, 5.005, 4.990, 4.999), "0.0032", id="GUM H.2, V"),
        pytest.param((19.663, 19.639, 19.640, 19.685, 19.678), "0.0095", id="GUM H.2, mA"),
        pytest.param((1.0456, 1.0438, 1.0468, 1.0428, 1.0433), "0.00075", id="GUM H.2, rad"),
    ],
)
def test_uncertainty_of_a_mean_is_the_printed_one(readings, printed):
    squares = np.sum((np.array(readings) - np.mean(readings)) ** 2)
    assert_published(uncertainty.uncertainty_of_mean(squares, len(readings)), printed)


def test_uncertainty_of_a_mean_by_hand_and_outside_its_validity():
    # 1 and 3: each 1 from their mean 2, so √(2 / (2 · 1)) = 1
    np.testing.assert_array_equal(
        uncertainty.uncertainty_of_mean([2.0, 0.0, 2.0, -1.0, np.nan], [2, 5, 1, 3, 3]),
        [1.0, 0.0, np.nan, np.nan, np.nan],
    )


def test_negative_uncertainty_gives_nan():
    assert np.isnan(uncertainty.rectangular(-1.0))
    assert np.isnan(uncertainty.resolution(-1.0))
    assert np.isnan(uncertainty.combined_uncertainty([1, 1], [-0.1, 0.2]))


@given(z=Z)
def test_normal_probability_is_accurate_in_the_lower_tail(z):
    expected = pytest.approx(stats.norm.cdf(z), rel=1e-12, abs=0)
    assert uncertainty.normal_probability(z) == expected


@pytest.mark.parametrize(
    ("value", "standard", "limits", "printed"),
    [
        # JCGM 106:2012, Zener diode: limit -5.40 V, y = -5.47 V, u = 0.05 V
        pytest.param(-5.47, 0.05, {"high": -5.40}, "0.919", id="JCGM 106 Zener diode"),
        # JCGM 106:2012, SAE 40 oil: 12.5 to 16.3 mm²/s, y = 13.6, u = 1.8
        pytest.param(13.6, 1.8, {"low": 12.5, "high": 16.3}, "0.663", id="JCGM 106 oil"),
        # Leakage against 1.10 mA, u = 0.05 mA: Φ(2), Φ(1), Φ(-1)
        pytest.param(1.00, 0.05, {"high": 1.10}, "0.977", id="two u below"),
        pytest.param(1.05, 0.05, {"high": 1.10}, "0.841", id="one u below"),
        pytest.param(1.15, 0.05, {"high": 1.10}, "0.159", id="one u above"),
        pytest.param(1.10, 0.05, {"high": 1.10}, "0.5", id="on the limit"),
        pytest.param(1.10, 0.05, {}, "1", id="no limit"),
    ],
)
def test_conformity_probability_is_the_printed_one(value, standard, limits, printed):
    probability = uncertainty.conformity_probability(value, standard, **limits)
    assert_published(probability, printed)


@given(
    y=st.floats(-20, 20),
    u=st.floats(0.5, 10),
    low=st.floats(-10, 10),
    width=st.floats(0.01, 10),
)
def test_two_sided_probability_is_that_of_a_statistics_package(y, u, low, width):
    p = uncertainty.conformity_probability(y, u, low=low, high=low + width)
    # Mirrored, where the package would lose the upper tail.
    a, b = (low - y) / u, (low + width - y) / u
    a, b = (-b, -a) if a > 0 else (a, b)
    expected = stats.norm.cdf(b) - stats.norm.cdf(a)
    # Beyond 38 u the package gives 0 where a subnormal number is left: Φ(-38) is 2.9e-316.
    assert p == pytest.approx(expected, rel=1e-9, abs=1e-300)


@given(y=st.floats(-30, 30), low=st.floats(-5, -0.1), high=st.floats(0.1, 5))
def test_probability_mirrors_with_its_limits(y, low, high):
    p = uncertainty.conformity_probability(y, 1.0, low=low, high=high)
    mirrored = uncertainty.conformity_probability(-y, 1.0, low=-high, high=-low)
    assert p == pytest.approx(mirrored, rel=1e-12, abs=0)


def test_tail_of_a_two_sided_probability_is_kept_far_outside():
    # 10 u below both limits: what counts is the near one
    p = uncertainty.conformity_probability(-10.0, 1.0, low=0.0, high=100.0)
    assert p == pytest.approx(stats.norm.sf(10.0), rel=1e-12, abs=0)


@pytest.mark.parametrize(
    ("value", "probability"), [(0.9, 1), (1.0, 1), (1.1, 0), (0.5, 1), (0.4999, 0)]
)
def test_exact_value_keeps_its_limits_or_breaks_them_and_never_half(value, probability):
    assert uncertainty.conformity_probability(value, 0.0, low=0.5, high=1.0) == probability


@pytest.mark.parametrize(
    ("value", "standard", "low", "high"),
    [
        (np.nan, 0.1, 0, 1),
        (0.5, np.nan, 0, 1),
        (0.5, 0.1, np.nan, 1),
        (0.5, 0.1, 0, np.nan),
        (0.5, -0.1, 0, 1),
        (0.5, np.inf, 0, 1),
        (np.inf, 0.1, 0, 1),
        (0.5, 0.1, 1, 0),
        (np.nan, 0.0, 0, 1),
    ],
)
def test_probability_outside_validity_is_nan(value, standard, low, high):
    assert np.isnan(uncertainty.conformity_probability(value, standard, low=low, high=high))


@pytest.mark.parametrize(
    ("probability", "outcome"),
    [
        (1.0, "pass"),
        (0.975, "pass"),
        (0.9749, "conditional pass"),
        (0.5, "conditional pass"),
        (0.4999, "conditional fail"),
        (0.025, "conditional fail"),
        (0.0249, "fail"),
        (0.0, "fail"),
        (np.nan, "not judged"),
    ],
)
def test_outcome_of_a_probability(probability, outcome):
    assert OUTCOMES[uncertainty.conformity_outcome(probability)] == outcome


def test_codes_are_the_places_of_the_vocabulary():
    named = {
        "pass": uncertainty.PASS,
        "conditional pass": uncertainty.CONDITIONAL_PASS,
        "conditional fail": uncertainty.CONDITIONAL_FAIL,
        "fail": uncertainty.FAIL,
        "not judged": uncertainty.NOT_JUDGED,
    }
    assert all(OUTCOMES[code] == word for word, code in named.items())


def test_arrays_broadcast_and_equal_their_scalars():
    values, standards = np.array([[0.9], [1.2]]), np.array([0.0, 0.1, np.nan])
    p = uncertainty.conformity_probability(values, standards, high=1.0)
    assert p.shape == (2, 3)
    assert p[1, 1] == uncertainty.conformity_probability(1.2, 0.1, high=1.0)
    assert p[0, 0] == 1
    assert np.isnan(p[:, 2]).all()
    assert uncertainty.conformity_outcome(p).dtype == np.int8
