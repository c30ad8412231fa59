"""ESR and capacitance against frequency."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from impedance.models.circuits.elements import circuit_elements

from captriage.model.spectrum import (
    capacitance_at_frequency,
    capacitance_frequency_factor,
    esr_at_frequency,
    oxide_resistance,
    separate_losses,
)
from published import assert_published

AUDIO = st.floats(50.0, 200e3)

# Worked from ESR = R + tan δ_ox/(2πfC) with R = 0.5 Ω, tan δ_ox = 0.015 (from memory), 100 µF;
# the sum of parts is Albertsen's, text after his equation 1
ESR_WORKED = [(100, "0.7387 Ω"), (120, "0.6989 Ω"), (1e3, "0.5239 Ω"), (100e3, "0.5002 Ω")]


@pytest.mark.parametrize(("frequency_hz", "printed"), ESR_WORKED)
def test_esr_against_frequency_is_the_worked_one(frequency_hz, printed):
    at_120 = 0.5 + oxide_resistance(100e-6, frequency_hz=120)
    found = esr_at_frequency(at_120, 100e-6, from_hz=120, to_hz=frequency_hz)
    assert_published(found, printed)


def test_two_worked_readings_give_back_the_losses_they_were_made_from():
    # The inputs carry four digits: 0.0001 Ω is 0.000 008 of loss, times 2πfC = 0.075
    loss, resistance = separate_losses(0.6989, 0.5002, 100e-6, low_hz=120, high_hz=100e3)
    assert_published(loss, "0.0150")
    assert_published(resistance, "0.500 Ω")


def test_a_high_reading_taken_as_all_electrolyte_is_a_near_estimate():
    # Two independent formulas: with 1/f₂ left out, tan δ_ox ≈ (R₁ - R₂)·2πf₁C
    loss, _ = separate_losses(3.2, 1.9, 47e-6, low_hz=120, high_hz=10e3)
    assert loss == pytest.approx((3.2 - 1.9) * 2 * np.pi * 120 * 47e-6, rel=0.015)


def test_losses_come_back_from_an_independent_constant_phase_element():
    # A constant-phase element of exponent n has tan δ = tan((1 - n)π/2) at every frequency
    n = 1 - 2 / np.pi * np.arctan(0.015)
    f = np.array([120.0, 10e3])
    r, cpe = circuit_elements["R"], circuit_elements["CPE"]
    z = r([0.8], f) + cpe([100e-6, n], f)
    capacitance = -1 / (2 * np.pi * f[0] * z[0].imag)
    loss, resistance = separate_losses(z[0].real, z[1].real, capacitance, low_hz=f[0], high_hz=f[1])
    # its capacitance falls by 4 % over the two decades, ours is constant
    assert loss == pytest.approx(0.015, rel=0.01)
    assert resistance == pytest.approx(0.8, rel=0.001)


@given(
    st.floats(1e-7, 0.1),
    st.one_of(st.just(0.0), st.floats(1e-4, 0.5)),
    st.one_of(st.just(0.0), st.floats(0.01, 100)),
    st.floats(50, 1e3),
    AUDIO,
)
def test_losses_put_together_are_found_again(capacitance, loss, share, low_hz, high_hz):
    high_hz = max(high_hz, 2 * low_hz)
    resistance = share * 0.015 / (2 * np.pi * low_hz * capacitance)
    low, high = (
        resistance + oxide_resistance(capacitance, frequency_hz=f, tan_delta_oxide=loss)
        for f in (low_hz, high_hz)
    )
    found = separate_losses(low, high, capacitance, low_hz=low_hz, high_hz=high_hz)
    assert found[0] == pytest.approx(loss, rel=1e-6, abs=1e-9)
    assert found[1] == pytest.approx(resistance, rel=1e-6, abs=1e-9 * float(low))


@given(st.floats(1e-6, 0.1), st.floats(0.01, 1e3), AUDIO, AUDIO)
def test_esr_to_another_frequency_and_back_is_the_same(capacitance, above, first, second):
    esr = above + oxide_resistance(capacitance, frequency_hz=first)
    there = esr_at_frequency(esr, capacitance, from_hz=first, to_hz=second)
    back = esr_at_frequency(there, capacitance, from_hz=second, to_hz=first)
    assert back == pytest.approx(esr, rel=1e-9)


def test_esr_at_its_own_frequency_is_itself():
    assert esr_at_frequency(0.7, 100e-6, from_hz=120, to_hz=120) == 0.7


def test_esr_below_what_the_oxide_alone_causes_gives_nan():
    oxide = oxide_resistance(100e-6, frequency_hz=120)
    assert np.isnan(esr_at_frequency(0.99 * oxide, 100e-6, from_hz=120, to_hz=1e3))
    assert esr_at_frequency(oxide, 100e-6, from_hz=120, to_hz=1200) == pytest.approx(oxide / 10)


@pytest.mark.parametrize("bad", [-0.1, np.nan, np.inf])
def test_an_unusable_esr_gives_nan(bad):
    assert np.isnan(esr_at_frequency(bad, 100e-6, from_hz=120, to_hz=1e3))
    assert np.all(np.isnan(separate_losses(bad, 0.1, 1e-4, low_hz=120, high_hz=1e4)))
    assert np.all(np.isnan(separate_losses(9.0, bad, 1e-4, low_hz=120, high_hz=1e4)))


def test_readings_no_part_can_show_have_no_separate_losses():
    esr_low, esr_high = np.array([1.0, 5.0, 1.0, -1.0]), np.array([1.2, 0.001, np.nan, 0.5])
    loss, resistance = separate_losses(esr_low, esr_high, 100e-6, low_hz=120, high_hz=240)
    assert np.all(np.isnan(loss))
    assert np.all(np.isnan(resistance))
    for low_hz, high_hz in [(120, 120), (1000, 120), (10, 1000), (120, 1e6)]:
        pair = separate_losses(2.0, 1.0, 100e-6, low_hz=low_hz, high_hz=high_hz)
        assert np.all(np.isnan(pair))


@pytest.mark.parametrize("bad", [0.0, 49.9, 200.1e3, -1.0, np.nan])
def test_esr_outside_the_frequencies_the_model_holds_for_gives_nan(bad):
    assert np.isnan(esr_at_frequency(1.0, 100e-6, from_hz=bad, to_hz=1e3))
    assert np.isnan(esr_at_frequency(1.0, 100e-6, from_hz=1e3, to_hz=bad))


# Wikipedia, "Aluminum electrolytic capacitor": at 1 kHz about 10 % below the 100/120 Hz value,
# with direct current about 10 % above it
CAPACITANCE_PRINTED = [(1000, "90 µF"), (0, "110 µF"), (120, "100 µF"), (100, "100 µF")]


@pytest.mark.parametrize(("to_hz", "printed"), CAPACITANCE_PRINTED)
def test_capacitance_against_frequency_is_the_printed_one(to_hz, printed):
    found = capacitance_at_frequency(100e-6, from_hz=120, to_hz=to_hz)
    assert_published(found, printed)


def test_capacitance_never_rises_with_frequency():
    factors = capacitance_frequency_factor(np.r_[0, np.linspace(50, 1000, 200)])
    assert np.all(np.diff(factors) <= 0)


def test_halfway_in_the_logarithm_half_of_the_fall_has_happened():
    assert capacitance_frequency_factor(np.sqrt(120 * 1000)) == pytest.approx(0.95)


@pytest.mark.parametrize("bad", [-120, 1, 49.9, 1000.1, 10e3, 100e3, np.nan, np.inf])
def test_capacitance_at_a_frequency_nothing_is_known_of_gives_nan(bad):
    assert np.isnan(capacitance_at_frequency(100e-6, from_hz=bad, to_hz=120))
    assert np.isnan(capacitance_at_frequency(100e-6, from_hz=120, to_hz=bad))


@given(
    st.floats(1e-9, 1.0),
    st.one_of(st.just(0.0), st.floats(50, 1000)),
    st.one_of(st.just(0.0), st.floats(50, 1000)),
)
def test_capacitance_to_another_frequency_and_back_is_the_same(capacitance, first, second):
    there = capacitance_at_frequency(capacitance, from_hz=first, to_hz=second)
    back = capacitance_at_frequency(there, from_hz=second, to_hz=first)
    assert back == pytest.approx(capacitance, rel=1e-12)


def test_an_array_gives_what_its_scalars_give():
    frequencies = np.array([0.0, 60, 120, 400, 1000, 5000])
    whole = capacitance_at_frequency(1e-6, from_hz=120, to_hz=frequencies)
    single = [capacitance_at_frequency(1e-6, from_hz=120, to_hz=f) for f in frequencies]
    np.testing.assert_array_equal(whole, single)
    whole = esr_at_frequency(9.0, 47e-6, from_hz=120, to_hz=frequencies)
    single = [esr_at_frequency(9.0, 47e-6, from_hz=120, to_hz=f) for f in frequencies]
    np.testing.assert_array_equal(whole, single)
