"""Leakage current against time, temperature and voltage."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.model import leakage
from published import assert_published

POSITIVE = st.floats(1e-9, 1e3)


@pytest.mark.parametrize(
    ("degc", "printed"),
    [
        (85, "4"),  # Wikipedia, "Aluminum electrolytic capacitor": four times that at 20 °C
        (20, "1"),
        (25, "1.113"),
        (30, "1.238"),
        (15, "0.899"),
    ],
)
def test_temperature_factor_is_four_from_20_to_85_degrees(degc, printed):
    assert_published(leakage.leakage_temperature_factor(degc), printed)


@pytest.mark.parametrize("degc", [-10, 14.9, 85.1, np.nan])
def test_temperature_that_no_source_covers_gives_nan(degc):
    assert np.isnan(leakage.leakage_temperature_factor(degc))


@pytest.mark.parametrize(
    ("fraction", "printed"),
    [
        (0.7, "0.5"),  # Wikipedia: 0.7 of rated voltage halves the current
        (1.0, "1"),
        (0.9, "0.815"),
        (0.8, "0.648"),
    ],
)
def test_voltage_factor_is_a_half_at_seven_tenths_of_rated(fraction, printed):
    assert_published(leakage.leakage_voltage_factor(fraction), printed)


def test_voltage_exponent_is_the_derived_one():
    assert_published(leakage.VOLTAGE_EXPONENT, "1.943")


@pytest.mark.parametrize("fraction", [1.0001, 1.15, 0.0, -0.5, np.nan])
def test_voltage_above_rated_or_not_above_zero_gives_nan(fraction):
    assert np.isnan(leakage.leakage_voltage_factor(fraction))


def test_time_exponent_of_two_readings():
    # 300 µA after 60 s and 75 µA after 300 s: ln 4 / ln 5
    assert_published(leakage.leakage_time_exponent(300e-6, 60, 75e-6, 300), "0.861")


@pytest.mark.parametrize(("exponent", "printed"), [(1.0, "0.20"), (0.8, "0.276")])
def test_fall_from_one_to_five_minutes(exponent, printed):
    assert_published(leakage.leakage_at_time(1.0, 60, time=300, exponent=exponent), printed)


def test_rising_current_has_a_negative_exponent():
    assert leakage.leakage_time_exponent(1e-3, 60, 2e-3, 300) < 0


@pytest.mark.parametrize(
    "readings",
    [
        (1e-3, 300, 1e-3, 60),
        (1e-3, 60, 1e-3, 60),
        (0.0, 60, 1e-3, 300),
        (1e-3, 0.0, 1e-3, 300),
        (1e-3, 60, np.nan, 300),
    ],
)
def test_readings_out_of_order_or_without_current_give_no_exponent(readings):
    assert np.isnan(leakage.leakage_time_exponent(*readings))


@given(early=POSITIVE, late=POSITIVE, start=st.floats(1, 1e3), factor=st.floats(1.1, 1e3))
def test_fitted_exponent_leads_back_to_the_second_reading(early, late, start, factor):
    exponent = leakage.leakage_time_exponent(early, start, late, start * factor)
    back = leakage.leakage_at_time(early, start, time=start * factor, exponent=exponent)
    assert back == pytest.approx(late, rel=1e-9)


def test_settling_current_is_pure_power_law_without_residual_and_ends_on_it():
    terms = {"absorption": 2e-3, "exponent": 0.8}
    alone = leakage.leakage_settling([60.0, 300.0], residual=0.0, **terms)
    assert leakage.leakage_time_exponent(alone[0], 60, alone[1], 300) == pytest.approx(0.8)
    late = leakage.leakage_settling(1e12, residual=5e-6, **terms)
    assert late == pytest.approx(5e-6, rel=1e-3)
    assert np.isnan(leakage.leakage_settling(60.0, residual=-5e-6, **terms))
    assert np.isnan(leakage.leakage_settling(0.0, residual=5e-6, **terms))


def test_translation_is_the_ratio_of_both_factors():
    # 100 µA at 30 °C and 0.7 of rated: 100 · (1 / 1.2378) / 0.5 at 20 °C and rated voltage
    there = {"from_temperature_degc": 30.0, "from_fraction_of_rated": 0.7}
    assert_published(leakage.leakage_translated(100e-6, **there), "161.6 µA")
    assert leakage.leakage_translated(100e-6) == 100e-6
    assert np.isnan(leakage.leakage_translated(100e-6, to_fraction_of_rated=1.1))
    assert np.isnan(leakage.leakage_translated(-1e-6))


@given(current=POSITIVE, degc=st.floats(15, 85), fraction=st.floats(0.01, 1))
def test_translation_there_and_back_changes_nothing(current, degc, fraction):
    there = leakage.leakage_translated(
        current, to_temperature_degc=degc, to_fraction_of_rated=fraction
    )
    back = leakage.leakage_translated(
        there, from_temperature_degc=degc, from_fraction_of_rated=fraction
    )
    assert back == pytest.approx(current, rel=1e-9)


def test_arrays_broadcast_and_equal_their_scalars():
    current, time = np.array([[1e-3], [2e-3]]), np.array([60.0, 120.0, np.nan])
    at = leakage.leakage_at_time(current, 30.0, time=time, exponent=0.9)
    assert at.shape == (2, 3)
    assert np.isnan(at[:, 2]).all()
    assert at[1, 1] == leakage.leakage_at_time(2e-3, 30.0, time=120.0, exponent=0.9)
