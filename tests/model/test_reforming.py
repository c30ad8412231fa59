"""Healing of flaws: figures of handbook section 6, limits derived by hand, the ODE by itself."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from captriage.model.oxide import charge_to_thicken, high_field_exponent
from captriage.model.reforming import (
    charge_to_heal,
    flaw_current,
    healing_charge,
    healing_current,
    healing_time,
    slowing_current,
    temperature_rise,
)
from published import assert_published

# Activation distance 4 Å, 25 °C, 8.3 MV/cm: B·E = 38.9; "+1 % V -> x1.48", "e-folds per 2.6 % of
# voltage" (derived from the abstract of Corrosion 27 (7) 265 and from Parler's 1.2 nm/V).


def test_one_per_cent_more_voltage_is_half_as_much_again():
    ratio = flaw_current(454.5, 450, current_at_film=1.0)
    assert_published(ratio, "1.48")


def test_current_grows_e_fold_for_2_6_per_cent_of_voltage():
    assert_published(100 / high_field_exponent(), "2.6")
    ratio = flaw_current(450 * (1 + 1 / high_field_exponent()), 450, current_at_film=1.0)
    assert ratio == pytest.approx(np.e)


def test_charge_of_a_flawed_share_of_the_foil():
    # 40 µF formed at 540 V: "6.87 C" for one volt over the whole foil (Faraday, 1.2 nm/V).
    whole = charge_to_thicken(40e-6, 540, by_v=1)
    assert_published(whole, "6.87 C")
    # w² Q₁/(k V) with w = V: w Q₁/k; a thousandth of the area at 450 V: 450 × 6.87 mC/38.9.
    assert_published(healing_charge(450, 450, charge_per_volt=1e-3 * whole), "0.079 C")


def test_current_late_is_charge_over_time():
    # 1/I = 1/I₀ + t/Q: after ten thousand times Q/I₀ the start no longer counts.
    late = healing_current(2e6, current_start=5e-3, charge=1.0)
    assert late == pytest.approx(1.0 / 2e6, rel=2e-4)


def test_current_halves_after_charge_over_current():
    assert healing_current(20, current_start=5e-3, charge=0.1) == pytest.approx(2.5e-3)


def test_strong_resistor_makes_the_fall_exponential():
    # I ≫ I_R: dI/dt = -I I_R/Q.
    currents = healing_current([0, 10], current_start=1.0, charge=1e-3, slowing=1e-5)
    assert currents[1] / currents[0] == pytest.approx(np.exp(-10 * 1e-5 / 1e-3), rel=1e-3)


def test_weak_resistor_changes_nothing():
    free = healing_current([0, 5, 500], current_start=4e-3, charge=0.08)
    bound = healing_current([0, 5, 500], current_start=4e-3, charge=0.08, slowing=1e6)
    np.testing.assert_allclose(bound, free, rtol=1e-6)


@pytest.mark.parametrize("slowing", [np.inf, 1e-4, 3e-3])
def test_closed_form_solves_the_equation_of_the_film(slowing):
    charge, start = 0.08, 5e-3
    times = np.geomspace(0.1, 1e4, 25)
    found = solve_ivp(
        lambda _, i: -(i**2) / charge / (1 + i / slowing),
        (0, times[-1]),
        [start],
        t_eval=times,
        method="LSODA",
        rtol=1e-10,
        atol=1e-16,
    )
    closed = healing_current(times, current_start=start, charge=charge, slowing=slowing)
    np.testing.assert_allclose(closed, found.y[0], rtol=1e-6)


def test_film_stepped_by_faraday_falls_as_the_closed_form():
    # A film of 450 V grows by I/Q₁ volts a second; over a small growth the law above holds.
    film, per_volt, volts, at_film, step = 450.0, 7e-3, 448.0, 4e-3, 0.05
    start = float(flaw_current(volts, film, current_at_film=at_film))
    charge = float(healing_charge(volts, film, charge_per_volt=per_volt))
    for _ in range(int(60 / step)):
        film += float(flaw_current(volts, film, current_at_film=at_film)) * step / per_volt
    stepped = float(flaw_current(volts, film, current_at_film=at_film))
    assert film - 450 < 20
    assert stepped == pytest.approx(
        healing_current(60, current_start=start, charge=charge), rel=0.03
    )


@pytest.mark.parametrize("slowing", [np.inf, 2e-4])
def test_time_and_current_are_each_others_inverse(slowing):
    times = np.array([0.0, 1, 60, 3600, 1e5])
    currents = healing_current(times, current_start=5e-3, charge=0.08, slowing=slowing)
    back = healing_time(currents, current_start=5e-3, charge=0.08, slowing=slowing)
    np.testing.assert_allclose(back, times, rtol=1e-9, atol=1e-9)


@pytest.mark.parametrize("slowing", [np.inf, 2e-4])
def test_charge_is_the_integral_of_the_current(slowing):
    times = np.linspace(0, 1000, 200_001)
    currents = healing_current(times, current_start=5e-3, charge=0.08, slowing=slowing)
    passed = charge_to_heal(currents[-1], current_start=5e-3, charge=0.08, slowing=slowing)
    assert passed == pytest.approx(np.trapezoid(currents, times), rel=1e-6)


def test_resistor_governs_above_a_fortieth_of_its_short_current():
    # I_R = w/(k R): 450 V/100 kΩ is 4.5 mA, over 38.9.
    assert_published(slowing_current(450, 100e3), "0.116 mA")


def test_cold_part_warms_by_power_times_thermal_resistance():
    assert temperature_rise(1e-3, 15, growth_per_k=0.0213) == pytest.approx(0.015, rel=1e-3)


def test_part_runs_away_beyond_one_over_e():
    # ΔT = R P e^(αΔT) has its last solution at αRP = 1/e, where ΔT = 1/α.
    edge = 1 / (np.e * 0.05 * 20)
    assert temperature_rise(edge * (1 - 1e-9), 20, growth_per_k=0.05) == pytest.approx(20, rel=1e-3)
    assert temperature_rise(edge * 1.001, 20, growth_per_k=0.05) == np.inf


def test_warm_part_is_in_balance():
    rise = temperature_rise(0.3, 20, growth_per_k=0.05)
    assert rise == pytest.approx(20 * 0.3 * np.exp(0.05 * rise))


@pytest.mark.parametrize("bad", [np.nan, -1.0, np.inf])
def test_unusable_arguments_give_nan(bad):
    assert np.isnan(flaw_current(bad, 450, current_at_film=1e-3))
    assert np.isnan(healing_current(bad, current_start=1e-3, charge=0.1))
    assert np.isnan(healing_charge(450, bad, charge_per_volt=1.0))
    assert np.isnan(healing_time(1e-4, current_start=bad, charge=0.1))
    assert np.isnan(temperature_rise(bad, 15, growth_per_k=0.02))


def test_what_no_law_covers_is_nan():
    assert np.isnan(flaw_current(500, 40, current_at_film=1e-3))  # over ten times the film
    assert np.isnan(healing_time(2e-3, current_start=1e-3, charge=0.1))  # it does not rise


def test_arrays_are_their_scalars():
    times, starts = np.array([1.0, 10.0]), np.array([1e-3, 5e-3])
    both = healing_current(times, current_start=starts, charge=0.1, slowing=1e-3)
    one = [
        healing_current(t, current_start=i, charge=0.1, slowing=1e-3)
        for t, i in zip(times, starts, strict=True)
    ]
    np.testing.assert_allclose(both, one)
