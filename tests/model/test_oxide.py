"""Oxide thickness, the charge to grow it, and the high-field law.

The figures are worked from Parler's 1.2 nm/V and relative permittivity of 9, Faraday's law, and
a density of 3.1 g/cm³ from memory.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.model.oxide import (
    areal_capacitance,
    charge_to_thicken,
    forming_rate,
    forming_voltage,
    high_field_exponent,
    ionic_current_ratio,
    oxide_thickness,
)
from published import assert_published

CM2 = 1e-4  # m²
PER_VOLT = 1e-6  # F·V of one µF·V


def test_forming_voltage_is_a_fifth_to_a_half_above_rated():
    # Parler, "Improved Spice Models ...": "20-50 %" above the rated voltage
    low, high = forming_voltage(450)
    assert_published(low, "540 V")
    assert_published(high, "675 V")


def test_oxide_of_a_450_v_part_is_the_worked_one():
    assert_published(oxide_thickness(585), "7.02e-7")
    assert_published(areal_capacitance(585) * CM2, "0.01135 µF")
    # 1.4 nm/V is also quoted
    assert oxide_thickness(585, per_volt=1.4e-9) == pytest.approx(8.19e-7)


def test_charge_for_each_square_centimetre_is_the_worked_one():
    # 1.760 mC/cm² for each nm, 2.11 mC/cm² for each volt: take a part of 1 cm² true surface
    part = areal_capacitance(540) * CM2
    charge = charge_to_thicken(part, 540, by_v=1)
    assert_published(charge, "2.11 mC")
    assert_published(charge / 1.2, "1.760 mC")


@pytest.mark.parametrize(("per_volt", "printed"), [(1.2e-9, "318"), (1.4e-9, "433")])
def test_charge_as_a_multiple_of_capacitance_and_voltage_is_the_worked_one(per_volt, printed):
    assert_published(charge_to_thicken(1.0, 1.0, by_v=1.0, per_volt=per_volt), printed)


def test_capacitance_times_voltage_for_each_square_centimetre_is_the_worked_one():
    assert_published(areal_capacitance(1.0) * CM2 / PER_VOLT, "6.64")


def test_thickening_a_whole_40_uf_part_by_a_volt_takes_the_worked_charge():
    charge = charge_to_thicken(40e-6, 540, by_v=1)
    assert_published(charge, "6.87 C")
    assert_published(charge, "6.9 C")
    assert_published(charge / 1e-3 / 3600, "1.9 h")
    assert_published(forming_rate(1e-3, 40e-6, forming_v=540) * 60, "0.0087")


def test_growth_takes_as_long_as_its_charge():
    rate = forming_rate(2e-3, 16e-6, forming_v=600, efficiency=0.5)
    charge = charge_to_thicken(16e-6, 600, by_v=3)
    assert 3 / rate == pytest.approx(charge / (0.5 * 2e-3), rel=1e-12)


def test_charge_agrees_with_a_count_of_the_moles_of_oxide():
    # Two formulas: moles of Al2O3 in the added layer, times six electrons each
    area = 16e-6 / (8.854e-12 * 9 / (1.2e-9 * 600))
    moles = area * 1.2e-9 * 2.0 * 3100 / 0.10196
    expected = moles * 6 * 6.02214e23 * 1.602177e-19
    assert charge_to_thicken(16e-6, 600, by_v=2.0) == pytest.approx(expected, rel=1e-4)


def test_high_field_exponent_is_the_worked_one():
    exponent = high_field_exponent()
    assert_published(exponent, "38.9")
    assert_published(1 / exponent, "2.6 %")
    # slope B itself, 4.67e-6 cm/V
    assert_published(exponent * 1.2e-9 * 100, "4.67e-6")


# Corrosion 27(7) p. 265, abstract: activation distance 3.6 to 4.6 Å
@pytest.mark.parametrize(
    ("distance", "printed"), [(4e-10, "1.48"), (3.6e-10, "1.42"), (4.6e-10, "1.56")]
)
def test_one_per_cent_of_voltage_raises_the_current_as_worked(distance, printed):
    assert_published(ionic_current_ratio(1.01, activation_distance=distance), printed)


def test_at_the_forming_voltage_the_current_is_unchanged_and_steps_multiply():
    assert ionic_current_ratio(1.0) == 1.0
    twice = ionic_current_ratio(1.01) * ionic_current_ratio(1.02)
    assert ionic_current_ratio(1.03) == pytest.approx(twice, rel=1e-12)


@pytest.mark.parametrize("bad", [0.89, 1.11, -1.0, np.nan])
def test_far_from_the_forming_voltage_the_law_gives_nan(bad):
    assert np.isnan(ionic_current_ratio(bad))


@given(st.floats(1e-6, 0.1), st.floats(10, 800), st.floats(0.01, 10))
def test_charge_is_in_proportion_to_each_of_its_arguments(capacitance, forming_v, by_v):
    once = charge_to_thicken(capacitance, forming_v, by_v=by_v)
    assert charge_to_thicken(2 * capacitance, forming_v, by_v=by_v) == pytest.approx(2 * once)
    assert charge_to_thicken(capacitance, 2 * forming_v, by_v=by_v) == pytest.approx(2 * once)
    assert charge_to_thicken(capacitance, forming_v, by_v=2 * by_v) == pytest.approx(2 * once)


@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan])
def test_an_unusable_argument_gives_nan(bad):
    assert np.all(np.isnan(forming_voltage(bad)))
    assert np.isnan(oxide_thickness(bad))
    assert np.isnan(areal_capacitance(bad))
    assert np.isnan(charge_to_thicken(bad, 540, by_v=1))
    assert np.isnan(charge_to_thicken(40e-6, bad, by_v=1))
    assert np.isnan(forming_rate(1e-3, bad, forming_v=540))
    assert np.isnan(high_field_exponent(temperature_k=bad))


@pytest.mark.parametrize("bad", [-0.1, 1.01, np.nan])
def test_an_efficiency_outside_nought_to_one_gives_nan(bad):
    assert np.isnan(forming_rate(1e-3, 40e-6, forming_v=540, efficiency=bad))


def test_a_current_that_all_goes_into_oxide_or_none_is_allowed():
    assert forming_rate(1e-3, 40e-6, forming_v=540, efficiency=0.0) == 0
    whole = forming_rate(1e-3, 40e-6, forming_v=540, efficiency=1.0)
    assert whole == forming_rate(1e-3, 40e-6, forming_v=540)


def test_an_array_gives_what_its_scalars_give():
    farads = np.array([8e-6, 40e-6, np.nan])
    whole = charge_to_thicken(farads, 540, by_v=1)
    single = [charge_to_thicken(c, 540, by_v=1) for c in farads]
    np.testing.assert_array_equal(whole, single)
