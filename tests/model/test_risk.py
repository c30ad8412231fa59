"""Guard bands and risks against the guides, and against integrals done another way."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from captriage.columns import OUTCOMES
from captriage.model import risk
from captriage.model.uncertainty import conformity_outcome, conformity_probability
from published import assert_published

# Resistors of 1500 Ω ± 0.2 Ω, process 0.12 Ω, meter 0.04 Ω: the exercise of JCGM 106:2012
RESISTORS = {"uncertainty_standard": 0.04, "low": 1499.8, "high": 1500.2}


def words(codes):
    return [OUTCOMES[code] for code in np.atleast_1d(codes)]


@pytest.mark.parametrize(
    ("multiple", "printed"),
    [
        (0, "50 %"),
        (1, "15.9 %"),
        (1.282, "10 %"),
        (1.645, "5 %"),
        (2, "2.28 %"),
        (3, "0.135 %"),
    ],
)
def test_largest_false_acceptance_of_a_guard_band(multiple, printed):
    # JCGM 106:2012 and ILAC-G8:09/2019: w = 0 gives 50 %, w = U (k = 2) less than 2.5 %
    assert_published(risk.false_accept_maximum(multiple), printed)


def test_negative_guard_band_is_no_rule():
    assert np.isnan(risk.false_accept_maximum(-1.0))
    assert words(risk.outcome_binary(1.0, -0.1, high=2.0)) == ["not judged"]
    assert words(risk.outcome_guarded(1.0, -0.1, high=2.0)) == ["not judged"]


def test_four_outcomes_about_an_upper_limit():
    # ILAC-G8:09/2019, p. 10: pass to T - w, conditional to T and to T + w, fail beyond
    codes = risk.outcome_guarded([0.75, 0.76, 1.0, 1.01, 1.25, 1.26], 0.25, high=1.0)
    assert words(codes) == [
        "pass",
        "conditional pass",
        "conditional pass",
        "conditional fail",
        "conditional fail",
        "fail",
    ]


def test_nearer_of_two_limits_decides():
    codes = risk.outcome_guarded([-0.6, -0.1, 0.1, 5.0, 9.9], 0.5, low=0.0, high=10.0)
    assert words(codes) == [
        "fail",
        "conditional fail",
        "conditional pass",
        "pass",
        "conditional pass",
    ]


def test_binary_rule_with_and_without_guard_band():
    values = [0.75, 0.76, 1.0, 1.01]
    assert words(risk.outcome_binary(values, high=1.0)) == ["pass", "pass", "pass", "fail"]
    assert words(risk.outcome_binary(values, 0.25, high=1.0)) == ["pass", "fail", "fail", "fail"]


@pytest.mark.parametrize("rule", [risk.outcome_binary, risk.outcome_guarded])
@pytest.mark.parametrize(
    ("value", "band", "low", "high"),
    [(np.nan, 0, 0, 1), (1, np.nan, 0, 1), (1, 0, np.nan, 1), (1, 0, 2, 1), (np.inf, 0, 0, 1)],
)
def test_nothing_is_decided_outside_validity(rule, value, band, low, high):
    assert words(rule(value, band, low=low, high=high)) == ["not judged"]


@given(value=st.floats(-3, 3).filter(lambda z: min(abs(abs(z) - 1.96), abs(z)) > 1e-3))
def test_bands_of_1_96_u_are_the_outcomes_of_the_probabilities(value):
    by_band = risk.outcome_guarded(value, 1.959964, high=0.0)
    assert by_band == conformity_outcome(conformity_probability(value, 1.0, high=0.0))


def test_resistor_example_with_guard_band():
    # JCGM 106:2012 prints about 1 % and 7 % (from memory); acceptance 1499.82 to 1500.18
    risks = risk.global_risks(1500.0, 0.12, accept_low=1499.82, accept_high=1500.18, **RESISTORS)
    assert_published(risks.consumer, "0.00988")
    assert_published(risks.producer, "0.0690")
    assert_published(risks.conforming, "0.9044")


def test_resistor_example_without_guard_band():
    risks = risk.global_risks(1500.0, 0.12, accept_low=1499.8, accept_high=1500.2, **RESISTORS)
    assert_published(risks.consumer, "0.0189")
    assert_published(risks.producer, "0.0372")


@given(
    mean=st.floats(-2, 2),
    u=st.floats(0.001, 3),
    low=st.floats(-3, 0),
    high=st.floats(0, 3),
    guard=st.floats(-0.5, 0.5),
)
def test_risks_add_up_to_the_share_accepted(mean, u, low, high, guard):
    # The measured value is normal with both spreads: a closed form without any integral.
    accept = {"accept_low": low + min(guard, -low), "accept_high": high - min(guard, high)}
    risks = risk.global_risks(mean, 1.0, uncertainty_standard=u, low=low, high=high, **accept)
    spread = stats.norm(mean, math.hypot(1.0, u))
    accepted = spread.cdf(accept["accept_high"]) - spread.cdf(accept["accept_low"])
    assert risks.conforming - risks.producer + risks.consumer == pytest.approx(accepted, abs=1e-12)
    assert risks.conforming == pytest.approx(
        stats.norm.cdf(high, mean) - stats.norm.cdf(low, mean), abs=1e-12
    )


def test_consumer_risk_is_that_of_a_quadrature_package():
    risks = risk.global_risks(0.3, 1.0, uncertainty_standard=0.2, high=1.0, accept_high=0.8)

    def wrongly_accepted(true):
        return stats.norm.pdf(true, 0.3, 1.0) * stats.norm.cdf((0.8 - true) / 0.2)

    expected, _ = integrate.quad(wrongly_accepted, 1.0, 4.0, epsabs=1e-13)
    assert risks.consumer == pytest.approx(expected, abs=1e-11)


def test_perfect_meter_takes_no_risk_without_guard_band():
    risks = risk.global_risks(0.0, 1.0, uncertainty_standard=0.0, high=1.0, accept_high=1.0)
    assert risks.consumer == 0
    assert risks.producer == 0
    assert_published(risks.conforming, "0.8413")


@pytest.mark.parametrize(
    "bad",
    [
        {"deviation": 0.0},
        {"uncertainty_standard": -0.1},
        {"low": 2.0},
        {"accept_low": 2.0},
        {"mean": math.nan},
    ],
)
def test_risks_outside_validity_are_nan(bad):
    keywords = {
        "mean": 0.0,
        "deviation": 1.0,
        "uncertainty_standard": 0.1,
        "high": 1.0,
        "accept_high": 1.0,
    }
    assert np.isnan(risk.global_risks(**keywords | bad)).all()


def test_risk_of_one_decision_is_what_the_probability_leaves():
    values = np.array([0.5, 0.9, 1.1])
    accepted = np.array([True, True, False])
    wrong = risk.specific_risk(values, 0.1, accepted=accepted, low=0.0, high=1.0)
    p = conformity_probability(values, 0.1, low=0.0, high=1.0)
    np.testing.assert_allclose(wrong, np.where(accepted, 1 - p, p), atol=1e-15)


def test_very_small_risk_of_accepting_is_not_lost():
    wrong = risk.specific_risk(0.0, 0.1, accepted=True, high=1.0)
    assert wrong == pytest.approx(stats.norm.sf(10.0), rel=1e-12, abs=0)
    assert risk.specific_risk(1.0, 0.0, accepted=True, high=1.0) == 0
    assert np.isnan(risk.specific_risk(np.nan, 0.1, accepted=True, high=1.0))
