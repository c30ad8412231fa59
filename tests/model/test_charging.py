"""Charging arithmetic and charge-timing errors: printed figures and a solved circuit."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from captriage.model.charging import (
    charging_current,
    charging_time,
    constant_current_factor,
    discharge_factor,
    limiting_resistance,
    peak_resistor_power,
    resistor_current,
    short_circuit_current,
    time_constant,
    time_constant_factor,
)
from captriage.model.energy import stored_energy
from published import assert_published

# Worked from C_app/C = -ln(1 - x)/x
CURRENT_WORKED = [
    (0.05, "1.026"),
    (0.1, "1.054"),
    (0.2, "1.116"),
    (0.3, "1.189"),
    (0.5, "1.386"),
    (0.8, "2.012"),
]


@pytest.mark.parametrize(("leak_fraction", "printed"), CURRENT_WORKED)
def test_constant_current_timing_reads_high_as_worked(leak_fraction, printed):
    assert_published(constant_current_factor(leak_fraction), printed)


# Worked from C_app/C = -ln(1 - 0.63212(1 + k))/(1 + k)
CONSTANT_WORKED = [
    (0.01, "1.0073"),
    (0.05, "1.038"),
    (0.1, "1.080"),
    (0.2, "1.184"),
    (0.5, "1.973"),
]


@pytest.mark.parametrize(("resistance_ratio", "printed"), CONSTANT_WORKED)
def test_time_constant_timing_reads_high_as_worked(resistance_ratio, printed):
    assert_published(time_constant_factor(resistance_ratio), printed)


def crossing(slope, start, level):
    """Time at which the voltage of a circuit, solved step by step, passes a level."""

    def passes(_, v):
        return v[0] - level

    passes.terminal = True
    run = solve_ivp(slope, (0, 1000), [start], events=passes, rtol=1e-10, atol=1e-12)
    return run.t_events[0][0]


@pytest.mark.parametrize("leak", [0.05, 0.3, 0.7])
def test_factors_agree_with_the_circuit_solved_step_by_step(leak):
    # 1 F and 1 Ω throughout, so that a perfect part would be timed at 1 s
    grown = crossing(lambda _, v: [1 - leak * v[0]], 0.0, 1.0)
    assert constant_current_factor(leak) == pytest.approx(grown, rel=1e-7)
    k = leak / 2
    risen = crossing(lambda _, v: [1 - v[0] - k * v[0]], 0.0, 1 - np.exp(-1))
    assert time_constant_factor(k) == pytest.approx(risen, rel=1e-7)
    fallen = crossing(lambda _, v: [-v[0] - leak * v[0]], 1.0, np.exp(-1))
    assert discharge_factor(leak) == pytest.approx(fallen, rel=1e-7)


def test_without_leak_every_meter_reads_true():
    assert constant_current_factor(0.0) == 1
    assert time_constant_factor(0.0) == pytest.approx(1, rel=1e-12)
    assert discharge_factor(0.0) == 1


@given(st.floats(1e-12, 1e-4))
def test_a_small_leak_reads_high_by_half_its_share(leak):
    # first term of the series: -ln(1 - x)/x = 1 + x/2 + ...
    assert constant_current_factor(leak) - 1 == pytest.approx(leak / 2, rel=1e-3, abs=1e-15)


def test_a_leak_that_stops_the_meter_gives_nan():
    assert np.all(np.isnan(constant_current_factor([1.0, 1.5, -0.1, np.nan])))
    # never triggers from k = 1/(e - 1) on, printed 0.582
    limit = 1 / (np.e - 1)
    assert_published(limit, "0.582")
    assert np.all(np.isnan(time_constant_factor([limit * 1.0001, 0.6, 5, -0.1, np.nan])))
    assert np.isfinite(time_constant_factor(limit * 0.9999))
    assert np.isnan(discharge_factor(-0.1))


# Worked from τ = RC, I = V/R, P = V²/R, t = 4.605τ, E = CV²/2
RUNS = [
    (450, 100e3, 40e-6, "4.0 s", "4.5 mA", "2.03 W", "18.4 s", "4.05 J"),
    (450, 470e3, 40e-6, "18.8 s", "0.957 mA", "0.431 W", "86.6 s", "4.05 J"),
    (450, 30e3, 40e-6, "1.2 s", "15 mA", "6.75 W", "5.5 s", "4.05 J"),
    (350, 100e3, 80e-6, "8.0 s", "3.5 mA", "1.225 W", "36.8 s", "4.90 J"),
    (75, 10e3, 1000e-6, "10 s", "7.5 mA", "0.563 W", "46 s", "2.81 J"),
    (35, 100, 2200e-6, "0.22 s", "350 mA", "12.3 W", "1.0 s", "1.35 J"),
    # EIA-815 preconditioning (abstract): 1000 Ω above 100 V
    (450, 1e3, 40e-6, "40 ms", "450 mA", "202 W", "0.18 s", "4 J"),
]


@pytest.mark.parametrize("run", RUNS)
def test_a_charging_run_is_the_worked_one(run):
    voltage, resistance, capacitance, tau, current, power, full, energy = run
    assert_published(time_constant(resistance, capacitance), tau)
    assert_published(short_circuit_current(voltage, resistance), current)
    assert_published(peak_resistor_power(voltage, resistance), power)
    assert_published(charging_time(resistance, capacitance, fraction=0.99), full)
    assert_published(stored_energy(capacitance, voltage), energy)


def test_charging_times_are_those_of_a_textbook():
    # OpenStax, College Physics, chapter 21, problem 71: 250 kΩ and 80.0 µF; charged through
    # 100 Ω it reaches 0.865 of the supply in 16 ms
    assert_published(time_constant(250e3, 80e-6), "20 s")
    assert_published(charging_time(100, 80e-6, fraction=0.865), "16 ms")


def test_a_resistor_for_a_shorted_part_is_the_worked_one():
    assert_published(limiting_resistance(450, 5e-3), "90 kΩ")
    assert_published(limiting_resistance(450, 1e-3), "450 kΩ")


def test_leakage_from_the_drop_is_the_worked_one():
    # A tenth of 450 V across 30 kΩ: the old surplus trade's limit
    assert_published(resistor_current(450, 405, resistance=30e3), "1.5 mA")
    assert np.isnan(resistor_current(400, 405, resistance=30e3))


def test_charging_current_falls_to_a_hundredth_when_99_hundredths_are_reached():
    t = charging_time(100e3, 40e-6, fraction=0.99)
    start = charging_current(450, 100e3, capacitance=40e-6, time_s=0)
    assert_published(start, "4.5 mA")
    end = charging_current(450, 100e3, capacitance=40e-6, time_s=t)
    assert end == pytest.approx(start / 100, rel=1e-12)


def test_as_much_energy_goes_into_the_resistor_as_into_the_part():
    times = np.linspace(0, 30 * 4.0, 20_001)
    current = charging_current(450, 100e3, capacitance=40e-6, time_s=times)
    heat = np.trapezoid(current**2 * 100e3, times)
    assert heat == pytest.approx(stored_energy(40e-6, 450), rel=1e-5)


@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan])
def test_an_unusable_resistor_or_part_gives_nan(bad):
    assert np.isnan(time_constant(bad, 1e-6))
    assert np.isnan(time_constant(1e3, bad))
    assert np.isnan(charging_time(bad, 1e-6, fraction=0.5))
    assert np.isnan(short_circuit_current(450, bad))
    assert np.isnan(peak_resistor_power(450, bad))
    assert np.isnan(limiting_resistance(450, bad))
    assert np.isnan(resistor_current(450, 400, resistance=bad))
    assert np.isnan(charging_current(450, 1e3, capacitance=bad, time_s=1))


@pytest.mark.parametrize("bad", [-0.1, 1.0, 1.1, np.nan])
def test_a_fraction_never_reached_gives_nan(bad):
    assert np.isnan(charging_time(1e3, 1e-6, fraction=bad))


def test_an_array_gives_what_its_scalars_give():
    leaks = np.array([0.0, 0.1, 0.5, 0.9, 1.0])
    for factor in (constant_current_factor, time_constant_factor, discharge_factor):
        np.testing.assert_array_equal(factor(leaks), [factor(x) for x in leaks])
