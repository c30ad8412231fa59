"""Flaws whose film grows, heat that feeds on itself, breakdown: against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from captriage.bench.rehearsal.circuit import NOTHING, Drive
from captriage.bench.rehearsal.leaks import FIELD_EXPONENT, Leak
from captriage.bench.rehearsal.natures import Nature
from captriage.bench.rehearsal.specimens import BROKEN_DOWN_RESISTANCE, Specimen
from captriage.model.oxide import charge_to_thicken
from captriage.model.reforming import (
    flaw_current,
    healing_charge,
    healing_current,
    slowing_current,
    temperature_rise,
)

ROOM = 20.0


def nature(**told) -> Nature:
    """A 32 µF 450 V part whose flaws were formed to 400 V and leak 1 mA there."""
    plain = {
        "capacitance_rated": 32e-6, "voltage_rated": 450.0, "capacitance": 32e-6,
        "resistance": 2.0, "absorption_share": 0.0,
        "leakage_flaws": 1e-3, "film_v": 400.0, "flawed_area": 1e-3,
    }  # fmt: skip
    return Nature("P", "leaky", **{**plain, **told})


def charged(told: Nature, volts: float) -> Specimen:
    """Such a part that has this voltage already."""
    specimen = Specimen(told)
    specimen._held[:] = volts
    return specimen


def test_current_is_the_high_field_law():
    leak = Leak(nature())
    for volts in (300.0, 400.0, 430.0):
        expected = float(flaw_current(volts, 400.0, current_at_film=1e-3))
        assert leak.current(volts) == pytest.approx(expected)
    assert leak.current(0.0) == leak.current(-5.0) == 0.0


@pytest.mark.parametrize("told", [{}, {"film_v": 0.0}, {"leakage_residual": 2e-3}])
@pytest.mark.parametrize("volts", [40.0, 380.0, 460.0])
def test_slope_is_that_of_the_current(told, volts):
    leak = Leak(nature(**told))
    by_difference = (leak.current(volts + 1e-4) - leak.current(volts - 1e-4)) / 2e-4
    assert leak.slope(volts) == pytest.approx(by_difference, rel=1e-5)


def test_charge_per_volt_is_faraday_s_for_the_flawed_share():
    whole = float(charge_to_thicken(32e-6, 540.0, by_v=1.0))
    assert Leak(nature()).charge_per_volt == pytest.approx(1e-3 * whole)


def test_at_steady_voltage_flaws_heal_by_the_closed_form():
    """I0/(1 + I0 t/Q): while the current halves the film grows by 1.8 %, and Q by no more."""
    leak = Leak(nature())
    charge = float(healing_charge(420.0, 400.0, charge_per_volt=leak.charge_per_volt))
    start = leak.current(420.0)
    for part in (0.25, 0.5, 1.0):
        told = Leak(nature())
        for _ in range(20):
            told.held_at(420.0, part * charge / start / 20)
        expected = float(healing_current(part * charge / start, current_start=start, charge=charge))
        assert told.current(420.0) == pytest.approx(expected, rel=0.02)


def test_one_long_time_is_many_short_ones_at_steady_voltage():
    whole, often = Leak(nature(loose_share=0.3)), Leak(nature(loose_share=0.3))
    whole.held_at(430.0, 300.0)
    for _ in range(3000):
        often.held_at(430.0, 0.1)
    assert often.film_v - 400 > 15
    assert whole.film_v - 400 == pytest.approx(often.film_v - 400, rel=0.005)


def test_late_one_over_the_current_grows_by_one_over_the_healing_charge():
    """dI/dt = -I²/Q, with the charge of the film as it is then."""
    leak = Leak(nature())
    for _ in range(2000):
        leak.held_at(440.0, 5.0)
    charge = float(healing_charge(440.0, leak.film_v, charge_per_volt=leak.charge_per_volt))
    before = 1 / leak.current(440.0)
    leak.held_at(440.0, 100.0)
    assert (1 / leak.current(440.0) - before) / 100.0 == pytest.approx(1 / charge, rel=1e-3)


def by_other_means(told: Nature, drive: Drive, seconds: float, volts: float) -> tuple[float, float]:
    """Voltage and film after a time, the two equations solved by a stiff solver."""
    per_volt = Leak(told).charge_per_volt

    def rates(_, state):
        v, film = state
        flaws = told.leakage_flaws * math.exp(FIELD_EXPONENT * (v / film - 1))
        residual = told.leakage_residual * (v / told.voltage_rated) ** told.leakage_exponent
        into = min((drive.voltage_v - v) / drive.resistance_ohm, drive.current_limit_a)
        return [(into - flaws - residual) / told.capacitance, flaws / per_volt]

    found = solve_ivp(
        rates, (0, seconds), [volts, told.film_v], method="Radau", rtol=1e-8, atol=1e-9
    )
    return found.y[0, -1], found.y[1, -1]


@pytest.mark.parametrize("seconds", [0.5, 5.0, 60.0, 3600.0])
@pytest.mark.parametrize(
    "drive", [Drive(440.0, 10e3), Drive(440.0, 1e3, 5e-3), Drive(440.0, 1e3, 1e-3)]
)
def test_healing_through_a_resistor_is_that_of_the_two_equations(drive, seconds):
    told = nature(leakage_residual=1e-4)
    specimen = charged(told, 380.0)
    specimen.advance(seconds, drive)
    volts, film = by_other_means(told, drive, seconds, 380.0)
    assert specimen.voltage == pytest.approx(volts, rel=2e-4)
    assert specimen.film_v == pytest.approx(film, rel=2e-4)
    into = drive.current(volts)
    assert drive.current(specimen.voltage) == pytest.approx(into, rel=0.01)


def test_healing_through_a_resistor_is_the_closed_form_while_the_film_is_much_the_same():
    """x + ln x = x0 + ln x0 + I_R t/Q, with x = I_R/I; 100 kΩ take 1 mA off at once."""
    told, drive = nature(flawed_area=1e-2), Drive(440.0, 20e3)
    specimen = charged(told, 408.0)
    specimen.advance(5.0, drive)  # quiet
    volts, start = specimen.voltage, drive.current(specimen.voltage)
    film = specimen.film_v
    specimen.advance(205.0, drive)
    per_volt = Leak(told).charge_per_volt
    middle_v = 0.5 * (volts + specimen.voltage)
    expected = healing_current(
        200.0,
        current_start=start,
        charge=healing_charge(middle_v, film, charge_per_volt=per_volt),
        slowing=slowing_current(film, 20e3),
    )
    assert drive.current(specimen.voltage) == pytest.approx(float(expected), rel=0.02)


@pytest.mark.parametrize("drive", [Drive(440.0, 20e3), Drive(440.0, 1e3, 5e-3)])
def test_where_it_is_looked_at_does_not_change_it(drive):
    hot = {"thermal_resistance": 20.0, "thermal_s": 30.0, "absorption_share": 0.1}
    whole, often = (Specimen(nature(leakage_residual=1e-3, **hot)) for _ in range(2))
    whole.advance(120.0, drive)
    for step in range(1, 1201):
        often.advance(step * 0.1, drive)
    assert whole.voltage == pytest.approx(often.voltage, rel=2e-4)
    assert whole.film_v - 400.0 == pytest.approx(often.film_v - 400.0, rel=0.01)
    assert drive.current(whole.voltage) == pytest.approx(drive.current(often.voltage), rel=5e-3)
    assert whole.temperature_rise == pytest.approx(often.temperature_rise, rel=5e-3)


def test_what_has_healed_stays_while_no_voltage_is_on():
    specimen = charged(nature(), 430.0)
    specimen.advance(600.0, Drive(430.0, 1e3))
    healed = specimen.film_v
    assert healed > 410
    specimen.advance(660.0, Drive(0.0, 100.0))  # discharged
    specimen.advance(660.0 + 30 * 86400.0)
    assert specimen.film_v == pytest.approx(healed, rel=1e-3)


def test_what_is_loose_goes_again_at_rest():
    told = nature(loose_share=0.5, loose_s=100.0)
    specimen = charged(told, 430.0)
    specimen.advance(60.0, Drive(430.0, 1e3))
    specimen.advance(61.0, Drive(0.0, 1.0))
    grown, kept = specimen.film_v, specimen._leak.film_v
    assert grown - kept > 5
    specimen.advance(261.0)
    assert specimen.film_v == pytest.approx(kept + (grown - kept) * math.exp(-2), rel=1e-4)


def test_temperature_settles_where_heat_and_cooling_meet():
    told = nature(
        leakage_flaws=0.0, film_v=0.0, leakage_residual=2e-3, thermal_resistance=12.0,
        thermal_s=50.0, leakage_growth_per_k=0.03,
    )  # fmt: skip
    specimen = charged(told, 450.0)
    specimen.advance(3000.0, Drive(450.0, 1.0))
    expected = temperature_rise(450 * 2e-3, 12.0, growth_per_k=0.03)
    assert specimen.temperature_rise == pytest.approx(float(expected), rel=1e-3)
    specimen.advance(3050.0, Drive(0.0, 1.0))
    assert specimen.temperature_rise == pytest.approx(float(expected) / math.e, rel=2e-2)


def test_above_semenov_s_condition_it_runs_away_and_vents():
    told = nature(
        leakage_flaws=0.0, film_v=0.0, leakage_residual=3e-3, thermal_resistance=12.0,
        thermal_s=50.0, leakage_growth_per_k=0.03, vents_at_rise_k=60.0,
    )  # fmt: skip
    assert math.isinf(float(temperature_rise(450 * 3e-3, 12.0, growth_per_k=0.03)))
    specimen, drive = charged(told, 450.0), Drive(450.0, 100.0)
    currents = []
    for step in range(1, 60):
        specimen.advance(10.0 * step, drive)
        if specimen.short_ohm:
            break
        currents.append(drive.current(specimen.voltage))
    assert currents == sorted(currents)
    assert specimen.short_ohm == BROKEN_DOWN_RESISTANCE


@pytest.mark.parametrize(
    "drive", [Drive(440.0, 10e3), Drive(440.0, 1e3, 5e-3), Drive(430.0, 100.0)]
)
def test_energy_is_kept(drive):
    """What the source gives is in the resistor, in the part, and in its heat: nothing is let out.

    The case loses no heat here, so that its rise is the heat over its heat capacity.
    """
    loses_nothing = {"thermal_resistance": 1e9, "thermal_s": 20e9, "leakage_growth_per_k": 0.0}
    specimen = Specimen(nature(leakage_residual=2e-3, **loses_nothing))
    times = np.concatenate([[0.0], np.geomspace(1e-4, 60.0, 8000)])
    seen = []
    for time_s in times:
        specimen.advance(float(time_s), drive)
        seen.append(specimen.voltage)
    volts = np.array(seen)
    current = np.array([drive.current(v) for v in volts])
    given = np.trapezoid(volts * current, times)  # behind the resistor
    stored = 0.5 * 32e-6 * volts[-1] ** 2
    heat = specimen.temperature_rise * 20.0  # J/K, thermal_s over thermal_resistance
    assert heat > 1.0
    assert given == pytest.approx(stored + heat, rel=2e-3)


def test_it_breaks_down_at_its_voltage_and_stays_a_short():
    told = nature(breakdown_v=300.0, absorption_share=0.1)
    specimen = Specimen(told)
    specimen.advance(60.0, Drive(295.0, 1e3))
    assert specimen.short_ohm == 0.0
    drive = Drive(310.0, 1e3)
    specimen.advance(61.0, drive)
    assert specimen.short_ohm == BROKEN_DOWN_RESISTANCE
    assert drive.current(specimen.voltage) == pytest.approx(0.31)
    specimen.advance(3600.0, NOTHING)
    specimen.advance(3601.0, Drive(10.0, 1e3))
    assert specimen.voltage == 0.0
    truth = specimen.truth()
    assert truth.esr == BROKEN_DOWN_RESISTANCE
    assert math.isnan(truth.capacitance)
    assert math.isnan(truth.leakage_current)
