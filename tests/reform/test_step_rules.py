import math

import pytest

from captriage.model.leakage import leakage_voltage_factor
from captriage.reform.equipment import Equipment
from captriage.reform.plan_steps import circuit_of
from captriage.reform.procedures import OURS_STEPS
from captriage.reform.step_rules import (
    current_at_heat,
    current_at_limit,
    end_current,
    healing_band,
    stop_power,
)
from published import assert_published
from reform.parts_to_reform import vintage


@pytest.mark.parametrize("ohm", [0.0, 30e3, 94e3])
@pytest.mark.parametrize("volts", [112.0, 225.0, 337.0, 450.0])
def test_a_step_ends_no_higher_than_the_limit_at_the_voltage_the_part_sees(volts, ohm):
    part = vintage()
    current = end_current(part, OURS_STEPS, volts, series_ohm=ohm)
    sees = volts - current * ohm
    limit = part.limit_a * float(leakage_voltage_factor(sees / part.voltage_rated))
    assert current <= limit * (1 + 1e-6)
    bounds = (1e-3, 0.5 / volts)  # the procedure's 1 mA, half of the 1 W that stops a can
    assert current == pytest.approx(min(limit, *bounds), rel=1e-6)


def test_limit_at_seven_tenths_of_rated_is_half():
    # handbook 2.2: I(0.7 Vr) ~ 0.5 I(Vr), as reported by a secondary source; 0.62 mA: handbook 1.1
    part = vintage(8e-6, 450.0)
    assert_published(part.limit_a, "0.62 mA")
    assert end_current(part, OURS_STEPS, 315.0, series_ohm=0.0) == pytest.approx(0.31e-3)


def test_a_part_at_its_limit_behind_a_resistor_is_at_the_limit_of_the_voltage_it_sees():
    # 1.9 mA at 450 V: handbook 0.2; the rest by the definition
    current = current_at_limit(1.9e-3, 450.0, supply_v=450.0, series_ohm=44e3)
    sees = 450 - current * 44e3
    assert current == pytest.approx(1.9e-3 * float(leakage_voltage_factor(sees / 450)))
    assert current_at_limit(1.9e-3, 450.0, supply_v=450.0, series_ohm=0.0) == pytest.approx(1.9e-3)
    # 0.7 of the voltage, half of the current: handbook 2.2
    half = current_at_limit(1.9e-3, 450.0, supply_v=315.0, series_ohm=0.0)
    assert half == pytest.approx(0.95e-3)


@pytest.mark.parametrize(
    ("watts", "volts", "ohm", "amps"),
    [
        (1.0, 400.0, 30e3, 10e-3 / 3),  # 3.33 mA · 300 V, by hand
        (1.0, 400.0, 40e3, 5e-3),  # V²/4R, all that goes: half of the voltage is left
        (1.0, 400.0, 40.1e3, math.inf),
        (1.0, 400.0, 0.0, 2.5e-3),
    ],
)
def test_a_part_is_too_hot_from_the_lower_of_two_currents(watts, volts, ohm, amps):
    assert current_at_heat(watts, volts, series_ohm=ohm) == pytest.approx(amps)


STOP_POWERS = [
    # diameter, W: 1 W for a can of 25 to 35 mm, handbook 4.11, common practice; (18/25)² by hand
    (35e-3, 1.0),
    (25e-3, 1.0),
    (18e-3, 0.5184),
    (5e-3, 0.04),
    (1e-3, 0.02),
]


@pytest.mark.parametrize(("diameter", "watts"), STOP_POWERS)
def test_power_that_stops_goes_with_the_surface_of_the_case(diameter, watts):
    assert stop_power(vintage(diameter_m=diameter)) == pytest.approx(watts)


def test_power_that_stops_goes_with_the_stored_energy_where_the_case_is_not_told():
    assert stop_power(vintage(40e-6, 450)) == pytest.approx(1.0)  # 4.05 J, handbook 0.23
    # an eighth of the energy, a quarter of the surface: 0.5 J of 4 J, by hand
    assert stop_power(vintage(1.0, 1.0)) == pytest.approx(0.25)


def test_healing_takes_from_half_an_hour_to_half_a_day_for_the_part_it_is_set_by():
    # published holding times: 30-60 min (maker), >= 4 h (maker, 1993), 485 min (surplus), 24 h
    steps = circuit_of(vintage(), Equipment(), OURS_STEPS, 450.0).steps
    least, most = (sum(band) for band in zip(*(step.healing_s for step in steps), strict=True))
    assert 0.4 * 3600 < least < 1 * 3600
    assert 8 * 3600 < most < 24 * 3600


def test_healing_takes_no_time_where_the_current_is_low_from_the_first():
    assert healing_band(vintage(), 45.0, 100e3, 1e-3, borne_v=0.0) == (0.0, 0.0)


def test_healing_to_half_the_current_takes_longer():
    long = healing_band(vintage(), 450.0, 44e3, 0.5e-3, borne_v=300.0)
    short = healing_band(vintage(), 450.0, 44e3, 1e-3, borne_v=300.0)
    assert long[0] > short[0] > 0
    assert long[1] > short[1]
    assert math.isclose(long[1] / long[0], 30)  # the shares of the foil, 0.1 % and 3 %
