"""Capacitance and ESR against temperature: the ranges given, and what bands must obey."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.model.impedance import esr_from_tan_delta, impedance_modulus
from captriage.model.temperature import capacitance_at_temperature, esr_at_temperature

DEGREES = st.floats(-40, 85)


def test_capacitance_at_both_ends_is_the_range_remembered():
    # From memory: 10 % to 40 % less at -40 °C, up to 10 % more at 85 °C
    low, high = capacitance_at_temperature(100e-6, from_degc=25, to_degc=[-40, 85])
    np.testing.assert_allclose(low, [60e-6, 100e-6])
    np.testing.assert_allclose(high, [90e-6, 110e-6])


def test_capacitance_band_holds_the_change_a_maker_prints():
    # KEMET, EDK series data sheet (A4001, 4/22/2019), p. 9: "up to 20% depending on the series
    # considered, from 0 to 80 °C"
    low, high = capacitance_at_temperature(1.0, from_degc=0, to_degc=80)
    assert low <= 1.20 <= high


def test_esr_at_both_ends_is_the_range_remembered():
    # From memory: 10 to 100 times at -40 °C, 0.35 to 0.5 times at 85 °C
    low, high = esr_at_temperature(2.0, from_degc=20, to_degc=[-40, 85])
    np.testing.assert_allclose(low, [20.0, 0.70], rtol=1e-9)
    np.testing.assert_allclose(high, [200.0, 1.00], rtol=1e-9)


def test_bands_reach_from_the_least_to_the_largest_impedance_ratio_a_maker_prints():
    # Lelon, RGA series data sheet, impedance ratio at low temperature, 120 Hz: the extremes
    # that can be read are 2 and 20. A part of tan δ 0.2 is taken (its table: 0.08 to 0.25).
    esr = esr_from_tan_delta(0.2, 100e-6, frequency_hz=120)
    small, large = capacitance_at_temperature(100e-6, from_degc=20, to_degc=-40)
    least, most = esr_at_temperature(esr, from_degc=20, to_degc=-40)
    warm = impedance_modulus(100e-6, esr, frequency_hz=120)
    low = impedance_modulus(large, least, frequency_hz=120) / warm
    high = impedance_modulus(small, most, frequency_hz=120) / warm
    assert low == pytest.approx(2, rel=0.15)
    assert high == pytest.approx(20, rel=0.15)


@given(DEGREES)
def test_at_its_own_temperature_a_reading_is_itself(degrees):
    for band in (
        capacitance_at_temperature(47e-6, from_degc=degrees, to_degc=degrees),
        esr_at_temperature(47e-6, from_degc=degrees, to_degc=degrees),
    ):
        assert band == pytest.approx((47e-6, 47e-6), rel=1e-12)


@given(DEGREES, DEGREES)
def test_the_way_back_from_either_edge_can_reach_the_reading(first, second):
    for translate in (capacitance_at_temperature, esr_at_temperature):
        for edge in translate(1.0, from_degc=first, to_degc=second):
            low, high = translate(edge, from_degc=second, to_degc=first)
            assert low <= 1 + 1e-9
            assert high >= 1 - 1e-9


@given(DEGREES, DEGREES)
def test_warmth_lowers_esr_and_does_not_lower_capacitance(first, second):
    cold, warm = sorted((first, second))
    assert esr_at_temperature(1.0, from_degc=cold, to_degc=warm)[1] <= 1 + 1e-12
    assert capacitance_at_temperature(1.0, from_degc=cold, to_degc=warm)[0] >= 1 - 1e-12


@pytest.mark.parametrize("bad", [-40.1, 85.1, np.nan])
def test_outside_the_temperatures_known_the_band_is_nan(bad):
    for translate in (capacitance_at_temperature, esr_at_temperature):
        assert np.all(np.isnan(translate(1.0, from_degc=bad, to_degc=20)))
        assert np.all(np.isnan(translate(1.0, from_degc=20, to_degc=bad)))


def test_an_unusable_reading_gives_nan():
    assert np.all(np.isnan(capacitance_at_temperature(0.0, from_degc=20, to_degc=25)))
    assert np.all(np.isnan(esr_at_temperature(-1.0, from_degc=20, to_degc=25)))


def test_an_array_gives_what_its_scalars_give():
    degrees = np.array([-40.0, 0, 20, 60, 90])
    for translate in (capacitance_at_temperature, esr_at_temperature):
        whole = np.array(translate(3.0, from_degc=15, to_degc=degrees))
        single = [translate(3.0, from_degc=15, to_degc=t) for t in degrees]
        np.testing.assert_array_equal(whole, np.array(single).T)
