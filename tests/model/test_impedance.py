"""Loss and impedance: printed figures, an independent circuit library, and round trips.

Where a figure has no printed source it was worked out separately from the textbook formula
named; those are marked "worked".
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from impedance.models.circuits.elements import circuit_elements

from captriage.model.impedance import (
    complex_impedance,
    esr_from_tan_delta,
    impedance_modulus,
    power_factor_from_tan_delta,
    q_from_tan_delta,
    reactance,
    resonance_frequency,
    series_equivalent,
    tan_delta_from_esr,
    tan_delta_from_power_factor,
    tan_delta_from_q,
)
from published import assert_published

FARADS = st.floats(1e-12, 1.0)
OHMS = st.floats(1e-4, 1e6)
LOSSES = st.floats(1e-4, 100.0)
HERTZ = st.floats(1.0, 1e6)

ESR_PRINTED = [
    # electro-tech-online.com, thread 91034 "ESR of capacitor": 10 µF, 0.25 at 120 Hz
    pytest.param(0.25, 10e-6, 120, "33.2 Ω", id="electro-tech-online 91034"),
    # Worked from ESR = tan δ/(2πfC), Vishay BCcomponents 28309
    pytest.param(0.08, 100e-6, 120, "1.061 Ω", id="worked, 100 µF"),
    pytest.param(0.25, 47e-6, 120, "7.055 Ω", id="worked, 47 µF"),
    pytest.param(0.17, 100e-6, 100, "2.706 Ω", id="worked, 100 Hz"),
    pytest.param(0.15, 4700e-6, 120, "0.0423 Ω", id="worked, 4700 µF 63 V"),
]


@pytest.mark.parametrize(("tan_delta", "capacitance", "frequency_hz", "printed"), ESR_PRINTED)
def test_esr_is_the_printed_one(tan_delta, capacitance, frequency_hz, printed):
    assert_published(esr_from_tan_delta(tan_delta, capacitance, frequency_hz=frequency_hz), printed)


def test_loss_tangent_of_a_resistance_and_a_reactance_is_the_printed_one():
    # calculatorultra.com, "Capacitor Dissipation Factor Calculator": 0.05 Ω over 2 Ω is 0.025
    capacitance = 1 / (2 * np.pi * 1000 * 2.0)
    assert_published(tan_delta_from_esr(0.05, capacitance, frequency_hz=1000), "0.025")


def test_loss_tangent_of_one_fifth_is_quality_five_and_its_power_factor():
    # Worked from the identities in the Agilent Impedance Measurement Handbook, table 1-3, and
    # of an instrument maker's manual (PF = DF/√(1 + DF²), easymanua.ls/omicron/cp-td12 p. 31)
    assert_published(q_from_tan_delta(0.2), "5.0")
    assert_published(power_factor_from_tan_delta(0.2), "0.1961")
    assert_published(tan_delta_from_q(5), "0.2")


def test_power_factor_of_thirty_per_cent_is_the_worked_loss_tangent():
    assert_published(tan_delta_from_power_factor(0.30), "0.3145")


def test_power_factor_is_the_sine_where_the_loss_tangent_is_the_tangent():
    angle = np.radians([0, 1, 10, 45, 80])
    np.testing.assert_allclose(power_factor_from_tan_delta(np.tan(angle)), np.sin(angle))
    np.testing.assert_allclose(tan_delta_from_power_factor(np.sin(angle)), np.tan(angle))


def test_reactance_is_the_worked_one():
    assert_published(reactance(100e-6, frequency_hz=120), "13.263 Ω")


def test_leads_raise_the_modulus_at_100_khz_as_worked():
    # 0.500 Ω of part and 0.05 Ω + 0.5 µH of leads
    modulus = impedance_modulus(100e-6, 0.55, frequency_hz=100e3, inductance=0.5e-6)
    assert_published(modulus, "0.626 Ω")


def test_resonance_is_the_printed_one():
    # hypercode.alexisbouchez.com, PCB design, "Self-Resonant Frequency": 100 nF with 1 nH
    assert_published(resonance_frequency(100e-9, 1e-9), "15.9 MHz")
    # Worked: 100 µF with 15 nH, the inductance that Vishay BCcomponents 28309 gives radial parts
    assert_published(resonance_frequency(100e-6, 15e-9), "130 kHz")


def test_at_resonance_only_the_resistance_is_left():
    f = resonance_frequency(470e-6, 20e-9)
    modulus = impedance_modulus(470e-6, 0.03, frequency_hz=f, inductance=20e-9)
    assert modulus == pytest.approx(0.03, rel=1e-9)


def circuit(capacitance, esr, inductance, frequency_hz):
    """The same series circuit in the ``impedance`` library."""
    r, c, inductor, in_series = (circuit_elements[name] for name in ("R", "C", "L", "s"))
    f = np.atleast_1d(np.asarray(frequency_hz, float))
    return in_series([r([esr], f), c([capacitance], f), inductor([inductance], f)])


@pytest.mark.parametrize("capacitance", [1e-6, 47e-6, 10e-3])
@pytest.mark.parametrize("inductance", [0.0, 15e-9, 1e-6])
def test_impedance_agrees_with_an_independent_circuit_library(capacitance, inductance):
    frequency = np.geomspace(20, 1e6, 60)
    expected = circuit(capacitance, 0.35, inductance, frequency)
    z = complex_impedance(capacitance, 0.35, frequency_hz=frequency, inductance=inductance)
    np.testing.assert_allclose(z, expected, rtol=1e-12, atol=1e-15)
    modulus = impedance_modulus(capacitance, 0.35, frequency_hz=frequency, inductance=inductance)
    np.testing.assert_allclose(modulus, np.abs(expected), rtol=1e-12)


def test_loss_and_quality_agree_with_an_independent_circuit_library():
    z = circuit(47e-6, 2.2, 0.0, 120)[0]
    loss = tan_delta_from_esr(2.2, 47e-6, frequency_hz=120)
    assert loss == pytest.approx(z.real / -z.imag, rel=1e-12)
    assert q_from_tan_delta(loss) == pytest.approx(-z.imag / z.real, rel=1e-12)
    assert power_factor_from_tan_delta(loss) == pytest.approx(np.cos(np.angle(z)), rel=1e-12)


@given(FARADS, OHMS, HERTZ)
def test_esr_to_loss_tangent_and_back_is_the_same(capacitance, esr, frequency_hz):
    loss = tan_delta_from_esr(esr, capacitance, frequency_hz=frequency_hz)
    back = esr_from_tan_delta(loss, capacitance, frequency_hz=frequency_hz)
    assert back == pytest.approx(esr, rel=1e-12)


@given(LOSSES)
def test_loss_tangent_to_power_factor_or_quality_and_back_is_the_same(loss):
    through_pf = tan_delta_from_power_factor(power_factor_from_tan_delta(loss))
    assert through_pf == pytest.approx(loss, rel=1e-9)
    assert tan_delta_from_q(q_from_tan_delta(loss)) == pytest.approx(loss, rel=1e-12)


@given(FARADS, OHMS, HERTZ)
def test_impedance_to_series_values_and_back_is_the_same(capacitance, esr, frequency_hz):
    z = complex_impedance(capacitance, esr, frequency_hz=frequency_hz)
    found = series_equivalent(z, frequency_hz=frequency_hz)
    assert found == pytest.approx((capacitance, esr), rel=1e-12)


def test_an_inductive_or_active_impedance_is_no_capacitor():
    capacitance, esr = series_equivalent([1 + 2j, -1 - 2j, 0 - 2j, 1 + 0j], frequency_hz=100)
    np.testing.assert_array_equal(np.isnan(capacitance), [True, True, False, True])
    np.testing.assert_array_equal(np.isnan(esr), [True, True, False, True])


def test_an_array_gives_what_its_scalars_give():
    losses, farads = np.array([0.05, 0.1, np.nan]), np.array([[10e-6], [1e-3]])
    whole = esr_from_tan_delta(losses, farads, frequency_hz=100)
    assert whole.shape == (2, 3)
    for row, c in enumerate(farads[:, 0]):
        for column, d in enumerate(losses):
            one = esr_from_tan_delta(d, c, frequency_hz=100)
            np.testing.assert_array_equal(whole[row, column], one)


@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan, np.inf])
def test_an_unusable_capacitance_or_frequency_gives_nan(bad):
    for c, f in [(bad, 120), (1e-6, bad)]:
        assert np.isnan(esr_from_tan_delta(0.1, c, frequency_hz=f))
        assert np.isnan(tan_delta_from_esr(0.1, c, frequency_hz=f))
        assert np.isnan(reactance(c, frequency_hz=f))
        assert np.isnan(impedance_modulus(c, 0.1, frequency_hz=f))
    assert np.isnan(resonance_frequency(bad, 1e-9))
    assert np.isnan(resonance_frequency(1e-6, bad))


def test_no_loss_is_no_resistance_but_no_finite_quality():
    assert esr_from_tan_delta(0.0, 1e-6, frequency_hz=120) == 0
    assert tan_delta_from_esr(0.0, 1e-6, frequency_hz=120) == 0
    assert power_factor_from_tan_delta(0.0) == 0
    assert np.isnan(q_from_tan_delta(0.0))


@pytest.mark.parametrize("bad", [-0.01, 1.0, 1.2, 30.0, np.nan])
def test_a_power_factor_outside_nought_to_one_gives_nan(bad):
    assert np.isnan(tan_delta_from_power_factor(bad))
