"""Ripple current between frequencies, and its heat."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.model import ripple
from published import assert_published

# Vishay BCcomponents doc. 28340, rev. 07-Nov-05, p. 64: multiplier of the ripple current
FREQUENCIES = [50, 100, 200, 400, 1000, 2000, 4000, 10000]
PRINTED = {
    (10, 16, 25): [0.93, 1.00, 1.04, 1.07, 1.11, 1.13, 1.15, 1.18],
    (40, 63, 100): [0.91, 1.00, 1.05, 1.09, 1.13, 1.15, 1.18, 1.22],
    (101, 385, 450): [0.86, 1.00, 1.13, 1.21, 1.29, 1.32, 1.35, 1.40],
}


@pytest.mark.parametrize("voltages", PRINTED, ids=str)
def test_multiplier_is_the_cell_of_the_printed_table(voltages):
    for voltage in voltages:
        multipliers = ripple.ripple_multiplier(FREQUENCIES, voltage)
        np.testing.assert_allclose(multipliers, PRINTED[voltages], rtol=1e-12)


def test_multiplier_is_flat_above_10_kilohertz_and_unknown_below_50_hertz_or_10_volts():
    assert ripple.ripple_multiplier(1e6, 450) == pytest.approx(1.40)
    assert np.isnan(ripple.ripple_multiplier([49.9, np.nan], 450)).all()
    assert np.isnan(ripple.ripple_multiplier(100, [9.9, np.nan])).all()


@given(frequency=st.floats(50, 1e5))
def test_rating_between_two_bands_is_allowed_the_lesser_current(frequency):
    at_35_v = ripple.ripple_multiplier(frequency, 35)
    assert at_35_v == ripple.ripple_multiplier(frequency, [25, 40]).min()


@given(frequencies=st.tuples(st.floats(50, 1e5), st.floats(50, 1e5)))
def test_more_current_is_allowed_at_higher_frequency(frequencies):
    low, high = ripple.ripple_multiplier(sorted(frequencies), 450)
    assert low <= high


def test_two_currents_heat_like_one_at_100_hertz():
    # 0.5 A at 100 Hz and 0.4 A at 1 kHz: √(0.5² + (0.4 / 1.29)²)
    equivalent = ripple.ripple_equivalent([0.5, 0.4], [100, 1000], voltage=450)
    assert_published(equivalent, "0.588 A")
    assert np.isnan(ripple.ripple_equivalent([0.5, -0.4], [100, 1000], voltage=450))
    many = ripple.ripple_equivalent(np.ones((2, 3)), [[100], [100]], voltage=[16, 63, 450])
    np.testing.assert_allclose(many, np.sqrt(2))


@pytest.mark.parametrize(("share", "printed"), [(0.8, "3.2 K"), (1.2, "7.2 K"), (1.0, "5 K")])
def test_core_of_a_105_degree_part_is_heated_by_the_square_of_the_current(share, printed):
    assert_published(ripple.ripple_heating(share * 0.7, 0.7), printed)


def test_core_rise_at_rated_ripple_is_the_reported_one():
    # Wikipedia, "Aluminum electrolytic capacitor": 10 K (85 °C), 5 K (105 °C), 3 K (125 °C)
    assert dict(ripple.CORE_RISE_RATED) == {85: 10, 105: 5, 125: 3}


@given(current=st.floats(0.01, 10), esr=st.floats(0.01, 10))
def test_heat_on_the_case_gives_the_square_law_of_the_core(current, esr):
    keywords = {"area": 30e-4, "transfer": 12.0}
    rise, rise_rated = (
        ripple.case_heating(ripple.ripple_power(i, esr), **keywords) for i in (current, 0.7)
    )
    assert ripple.ripple_heating(current, 0.7, rise_rated=rise_rated) == pytest.approx(rise)


def test_heat_by_hand_and_outside_validity():
    assert ripple.ripple_power(2.0, 0.5) == 2.0
    assert ripple.case_heating(1.2, 0.01, transfer=10.0) == pytest.approx(12.0)
    assert np.isnan(ripple.ripple_power(-1.0, 0.5))
    assert np.isnan(ripple.case_heating(1.0, 0.0, transfer=10.0))
    assert np.isnan(ripple.ripple_heating(1.0, 0.0))
