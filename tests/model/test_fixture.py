"""Fixture correction: a worked case, a network library, and the limits of trust."""

import numpy as np
import pytest
import skrf
from hypothesis import given
from hypothesis import strategies as st
from skrf.calibration.deembedding import ShortOpen

from captriage.model.fixture import (
    correct_fixture,
    correct_open_short,
    fixture_within_limits,
    tan_delta_added_by_leads,
)
from captriage.model.impedance import complex_impedance, series_equivalent, tan_delta_from_esr
from published import assert_published

# Worked case at 120 Hz of the circuit in the Agilent Impedance Measurement Handbook, p. B-2
MEASURED = 0.850017 - 13.262530j
SHORT = 0.05 + 0.000377j
OPEN = 1e-7 + 1.508e-8j


def in_fixture(z, z_short, y_open):
    """Reading of a part in a fixture: stray admittance across it, residual in series."""
    return z_short + 1 / (y_open + 1 / np.asarray(z))


def test_the_worked_reading_is_what_the_circuit_gives():
    z = in_fixture(complex_impedance(100e-6, 0.8, frequency_hz=120), SHORT, OPEN)
    assert_published(z.real, "0.850017 Ω")
    assert_published(z.imag, "-13.262530 Ω")


def test_the_worked_reading_is_corrected_to_the_part():
    z = correct_fixture(MEASURED, z_short=SHORT, y_open=OPEN)
    assert_published(z.real, "0.800000 Ω")
    assert_published(z.imag, "-13.262912 Ω")
    capacitance, esr = series_equivalent(z, frequency_hz=120)
    assert_published(capacitance, "100.00 µF")
    assert_published(esr, "0.8000 Ω")
    assert_published(tan_delta_from_esr(esr, capacitance, frequency_hz=120), "0.06032")
    raw_capacitance, raw_esr = series_equivalent(MEASURED, frequency_hz=120)
    assert_published(tan_delta_from_esr(raw_esr, raw_capacitance, frequency_hz=120), "0.06409")


def test_both_forms_agree_where_the_open_fixture_is_far_above_the_short_one():
    opened = SHORT + 1 / OPEN
    other = correct_open_short(MEASURED, z_open=opened, z_short=SHORT)
    ours = correct_fixture(MEASURED, z_short=SHORT, y_open=OPEN)
    assert other == pytest.approx(ours, rel=1e-7)
    assert other == pytest.approx(ours * opened * OPEN, rel=1e-12)  # what the handbook leaves out


@pytest.fixture(scope="module")
def network():
    """A part, its fixture and the readings of both, built from lumped elements."""
    frequency = skrf.Frequency.from_f([100.0, 1e3, 10e3, 100e3], unit="hz")
    medium = skrf.media.DefinedGammaZ0(frequency, z0=50)
    part = medium.resistor(0.5) ** medium.capacitor(22e-6) ** medium.short()
    residual = medium.resistor(0.08) ** medium.inductor(0.4e-6)
    stray = medium.shunt_capacitor(200e-12)
    return {
        "frequency": frequency.f,
        "part": part,
        "measured": residual**stray**part,
        "short": residual ** medium.short(),
        "open": residual**stray ** medium.open(),
    }


def impedance_of(one_port):
    return one_port.z[:, 0, 0]


def test_correction_agrees_with_the_de_embedding_of_a_network_library(network):
    short, opened = network["short"], network["open"]
    theirs = impedance_of(ShortOpen(short, opened).deembed(network["measured"]))
    z_short, z_open = impedance_of(short), impedance_of(opened)
    measured = impedance_of(network["measured"])
    ours = correct_fixture(measured, z_short=z_short, y_open=1 / (z_open - z_short))
    np.testing.assert_allclose(ours, theirs, rtol=1e-9)
    np.testing.assert_allclose(
        correct_open_short(measured, z_open=z_open, z_short=z_short), theirs, rtol=1e-4
    )
    expected = complex_impedance(22e-6, 0.5, frequency_hz=network["frequency"])
    np.testing.assert_allclose(ours, expected, rtol=1e-6)


PARTS = st.builds(complex, st.floats(1e-3, 1e3), st.floats(-1e4, -1e-3))
RESIDUALS = st.builds(complex, st.floats(0, 0.1), st.floats(-0.1, 0.1))
STRAYS = st.builds(complex, st.floats(0, 1e-6), st.floats(-1e-6, 1e-6))


@given(PARTS, RESIDUALS, STRAYS)
def test_a_part_put_into_a_fixture_comes_out_again(z, z_short, y_open):
    measured = in_fixture(z, z_short, y_open)
    found = correct_fixture(measured, z_short=z_short, y_open=y_open)
    assert found == pytest.approx(z, rel=1e-9, abs=1e-12)


def test_an_ideal_fixture_changes_nothing():
    assert correct_fixture(3 - 4j, z_short=0, y_open=0) == 3 - 4j


def test_a_missing_value_or_an_impossible_reading_gives_nan():
    assert np.isnan(correct_fixture(complex(np.nan, 1), z_short=0, y_open=0))
    assert np.isnan(correct_fixture(np.inf, z_short=0, y_open=0))
    assert np.isnan(correct_fixture(1.0, z_short=0, y_open=np.nan))
    assert np.isnan(correct_fixture(1e6, z_short=0, y_open=1e-6))  # the open fixture itself
    assert np.isnan(correct_open_short(1e6, z_open=1e6, z_short=0))
    assert np.isnan(correct_open_short(1.0, z_open=np.inf, z_short=0))


def test_fixture_limits_are_a_hundredfold_either_way():
    # Agilent Impedance Measurement Handbook 4.3.5: open above 100 times, short below 1/100
    trusted = fixture_within_limits(
        10.0,
        open_impedance=[1001, 1000, 1001, np.inf, np.nan],
        short_impedance=[0.099, 0.05, 0.1, 0.0, 0.0],
    )
    np.testing.assert_array_equal(trusted, [True, False, False, True, False])
    assert not fixture_within_limits(np.nan, open_impedance=1e9, short_impedance=0)


def test_a_tenth_of_an_ohm_of_lead_adds_the_worked_loss():
    # Worked from tan δ = 2πfCR; that leads add to the ESR: Agilent handbook 4.4
    assert_published(tan_delta_added_by_leads(0.1, 100e-6, frequency_hz=120), "0.00754")
    assert_published(tan_delta_added_by_leads(0.1, 1000e-6, frequency_hz=120), "0.0754")


def test_an_array_gives_what_its_scalars_give():
    readings = np.array([MEASURED, 1 - 1j, np.nan])
    whole = correct_fixture(readings, z_short=SHORT, y_open=OPEN)
    single = [correct_fixture(z, z_short=SHORT, y_open=OPEN) for z in readings]
    np.testing.assert_array_equal(whole, single)
