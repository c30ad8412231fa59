"""Stored energy, discharge, and the classes of hazard."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.model.energy import (
    EnergyBand,
    Hazard,
    capacitance_at_energy,
    discharge_peak_power,
    discharge_resistance,
    discharge_time,
    energy_band,
    hazard,
    stored_energy,
)
from published import assert_published

ENERGY_PRINTED = [
    # engineeringtoolbox.com, d_1389: 10 µF at 230 V
    pytest.param(10e-6, 230, "0.26 J", id="engineeringtoolbox d_1389"),
    # Welwyn (TT electronics), Design Tool 4, S. J. Oxley, March 2005: 195 µF at 1500 V
    pytest.param(195e-6, 1500, "219.375 J", id="Welwyn Design Tool 4"),
    # Worked from E = CV²/2
    pytest.param(40e-6, 450, "4.05 J", id="worked, 40 µF 450 V"),
    pytest.param(100e-6, 450, "10.1 J", id="worked, 100 µF 450 V"),
    pytest.param(47_000e-6, 63, "93.3 J", id="worked, 47 000 µF 63 V"),
]


@pytest.mark.parametrize(("capacitance", "voltage", "printed"), ENERGY_PRINTED)
def test_stored_energy_is_the_printed_one(capacitance, voltage, printed):
    assert_published(stored_energy(capacitance, voltage), printed)


# Worked from C = 2E/V²
CAPACITANCE_WORKED = [
    (10, 450, "98.8 µF"),
    (0.25, 450, "2.47 µF"),
    (1, 350, "16.3 µF"),
    (100, 63, "50391 µF"),
]


@pytest.mark.parametrize(("energy", "voltage", "printed"), CAPACITANCE_WORKED)
def test_capacitance_that_holds_an_energy_is_the_worked_one(energy, voltage, printed):
    assert_published(capacitance_at_energy(energy, voltage), printed)


TIME_PRINTED = [
    # Welwyn (TT electronics), Design Tool 4, March 2005
    pytest.param(50, 195e-6, 1500, 320, "0.015062769 s", id="Welwyn Design Tool 4"),
    # OpenStax, College Physics, chapter 21, problem 71: to 0.250 % in 120 s (τ is 20 s);
    # a reader's own numbers, 260 kΩ, 85.0 µF to 0.350 %: 125 s (jiskha.com id 1362970384)
    pytest.param(250e3, 80e-6, 100, 0.25, "120 s", id="College Physics 21.71"),
    pytest.param(260e3, 85e-6, 100, 0.35, "125 s", id="jiskha 1362970384"),
    # Worked from t = RC·ln(V₀/V₁)
    pytest.param(10e3, 40e-6, 450, 60, "0.806 s", id="worked, to 60 V"),
    pytest.param(10e3, 40e-6, 450, 50, "0.879 s", id="worked, to 50 V"),
    pytest.param(10e3, 40e-6, 450, 5, "1.800 s", id="worked, to 5 V"),
    pytest.param(220e3, 40e-6, 450, 50, "19.3 s", id="worked, bleeder"),
]


@pytest.mark.parametrize(("resistance", "capacitance", "from_v", "to_v", "printed"), TIME_PRINTED)
def test_discharge_time_is_the_printed_one(resistance, capacitance, from_v, to_v, printed):
    found = discharge_time(resistance, capacitance, from_v=from_v, to_v=to_v)
    assert_published(found, printed)


RESISTANCE_PRINTED = [
    # 3roam.com, "Capacitor Discharge Resistor Calculator": 10 µF, 10 V to 0.1 V in 100 ms
    pytest.param(10e-6, 10, 0.1, 0.1, "2.17 kΩ", 2.17e3, "46 mW", id="3roam"),
    # Worked from R = t/(C·ln(V₀/V₁)), then P = V₀²/R from R as printed
    pytest.param(40e-6, 450, 60, 5, "62.0 kΩ", 62.0e3, "3.27 W", id="worked, 5 s"),
    pytest.param(40e-6, 450, 60, 1, "12.4 kΩ", 12.4e3, "16.3 W", id="worked, 1 s"),
]


@pytest.mark.parametrize(
    ("capacitance", "from_v", "to_v", "time_s", "printed", "resistance", "power"),
    RESISTANCE_PRINTED,
)
def test_discharge_resistor_and_its_power_are_the_printed_ones(
    capacitance, from_v, to_v, time_s, printed, resistance, power
):
    found = discharge_resistance(capacitance, from_v=from_v, to_v=to_v, time_s=time_s)
    assert_published(found, printed)
    assert_published(discharge_peak_power(from_v, resistance), power)


def test_peak_power_is_the_printed_one():
    # Welwyn (TT electronics), Design Tool 4, March 2005: 1500 V on 50 Ω
    assert_published(discharge_peak_power(1500, 50), "45000 W")
    # Worked from P = V²/R
    assert_published(discharge_peak_power(450, 10e3), "20.3 W")
    assert_published(discharge_peak_power(450, 220e3), "0.92 W")


@given(st.floats(1e-9, 1.0), st.floats(10, 1000), st.floats(0.01, 9), st.floats(0.01, 1e4))
def test_the_resistor_for_a_time_takes_that_time(capacitance, from_v, to_v, time_s):
    found = discharge_resistance(capacitance, from_v=from_v, to_v=to_v, time_s=time_s)
    again = discharge_time(found, capacitance, from_v=from_v, to_v=to_v)
    assert again == pytest.approx(time_s, rel=1e-9)


@given(st.floats(1e-9, 1.0), st.floats(0.1, 1000))
def test_the_capacitance_for_an_energy_holds_it(energy, voltage):
    held = stored_energy(capacitance_at_energy(energy, voltage), voltage)
    assert held == pytest.approx(energy, rel=1e-12)


def test_a_discharge_that_would_rise_gives_nan_and_one_that_is_done_takes_no_time():
    assert np.isnan(discharge_time(1e3, 1e-6, from_v=50, to_v=60))
    assert discharge_time(1e3, 1e-6, from_v=60, to_v=60) == 0
    assert np.isnan(discharge_resistance(1e-6, from_v=60, to_v=60, time_s=1))
    assert np.isnan(discharge_time(1e3, 1e-6, from_v=60, to_v=0))


# Berkeley Lab, Electrical Safety Manual: table 2.2.13 (capacitors, shock: >= 100 V and >= 10 J),
# table 2.3.3 (arc: >= 100 V and >= 10 kJ), table 2.3.5 (thermal: < 100 V and > 100 J)
HAZARDS = [
    (99e-6, 450, Hazard.SHOCK),
    (98e-6, 450, Hazard.BELOW_THRESHOLDS),
    (2e-3, 100, Hazard.SHOCK),  # exactly 10 J at exactly 100 V
    (2e-3, 99.9, Hazard.BELOW_THRESHOLDS),
    (2.0, 100, Hazard.SHOCK_AND_ARC),  # exactly 10 kJ
    (1.9, 100, Hazard.SHOCK),
    (51e-3, 63, Hazard.THERMAL),
    (80.5e-3, 50, Hazard.THERMAL),  # 100.6 J
    (50e-3, 63, Hazard.BELOW_THRESHOLDS),
    (0.08, 50, Hazard.BELOW_THRESHOLDS),  # exactly 100 J is not above it
    (47e-6, 0, Hazard.BELOW_THRESHOLDS),
    (np.nan, 450, Hazard.UNKNOWN),
    (47e-6, np.nan, Hazard.UNKNOWN),
    (47e-6, -450, Hazard.UNKNOWN),
    (0, 450, Hazard.UNKNOWN),
]


@pytest.mark.parametrize(("capacitance", "voltage", "expected"), HAZARDS)
def test_hazard_is_the_class_of_the_printed_thresholds(capacitance, voltage, expected):
    assert Hazard(int(hazard(capacitance, voltage))) is expected


# From memory of NFPA 70E-2021, article 360; the capacitances are the worked ones above, and
# that above 400 V is also told second-hand
BANDS = [
    (2.5e-6, 450, EnergyBand.OVER_400_V),
    (2.4e-6, 450, EnergyBand.BELOW_THRESHOLDS),
    (16.4e-6, 350, EnergyBand.FROM_100_V_TO_400_V),
    (16.3e-6, 350, EnergyBand.BELOW_THRESHOLDS),
    (12.6e-6, 400, EnergyBand.FROM_100_V_TO_400_V),
    (12.4e-6, 400, EnergyBand.BELOW_THRESHOLDS),
    (12.4e-6, 400.1, EnergyBand.OVER_400_V),
    (100e-6, 400.1, EnergyBand.OVER_400_V),
    (0.1, 100, EnergyBand.FROM_100_V_TO_400_V),  # 500 J, at exactly 100 V
    (100e-6, 450, EnergyBand.OVER_400_V),  # above the thresholds of the bands below as well
    (50e-6, 200, EnergyBand.BELOW_THRESHOLDS),  # exactly 1 J is not above it
    (2e-6, 500, EnergyBand.BELOW_THRESHOLDS),  # nor exactly 0.25 J
    (80e-3, 50, EnergyBand.BELOW_THRESHOLDS),  # nor exactly 100 J
    (1e-3, 100, EnergyBand.FROM_100_V_TO_400_V),  # 5 J at exactly 100 V
    (1e-3, 99.9, EnergyBand.BELOW_THRESHOLDS),
    (21e-3, 99.9, EnergyBand.UNDER_100_V),
    (0.05, 390, EnergyBand.FROM_100_V_TO_400_V),
    (50.4e-3, 63, EnergyBand.UNDER_100_V),
    (50.3e-3, 63, EnergyBand.BELOW_THRESHOLDS),
    (np.nan, 450, EnergyBand.UNKNOWN),
]


@pytest.mark.parametrize(("capacitance", "voltage", "expected"), BANDS)
def test_energy_band_is_the_one_whose_threshold_is_exceeded(capacitance, voltage, expected):
    assert EnergyBand(int(energy_band(capacitance, voltage))) is expected


def test_classes_are_numbered_from_unknown_upwards():
    # the numbers are stored in arrays of int8 and compared
    assert [int(c) for c in Hazard] == [-1, 0, 1, 2, 3]
    assert [int(c) for c in EnergyBand] == [-1, 0, 1, 2, 3]
    assert hazard(47e-6, [25, 450]).dtype == energy_band(47e-6, [25, 450]).dtype == np.int8


@given(st.floats(1e-9, 10), st.floats(0, 1000), st.floats(1, 10))
def test_more_capacitance_is_never_less_dangerous(capacitance, voltage, times):
    assert hazard(capacitance * times, voltage) >= hazard(capacitance, voltage)
    assert energy_band(capacitance * times, voltage) >= energy_band(capacitance, voltage)


@given(st.floats(1e-9, 10), st.floats(100, 1000), st.floats(1, 3))
def test_more_voltage_above_100_v_is_never_less_dangerous(capacitance, voltage, times):
    assert hazard(capacitance, voltage * times) >= hazard(capacitance, voltage)


def test_an_array_gives_what_its_scalars_give():
    farads = np.array([[40e-6], [100e-6], [np.nan]])
    volts = np.array([25.0, 350, 450])
    for function in (stored_energy, hazard, energy_band):
        whole = function(farads, volts)
        assert whole.shape == (3, 3)
        single = [[function(c, v) for v in volts] for c in farads[:, 0]]
        np.testing.assert_array_equal(whole, single)
