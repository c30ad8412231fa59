"""Steps of a curve, and what Ohm's law adds to its readings."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.reform.curves import Curve
from captriage.reform.stretches import readings_of, stretches_of
from reform.known_curves import curve, joined, times


def steps(supply_v, time_s=None):
    supply_v = np.asarray(supply_v, float)
    time_s = np.arange(1.0, len(supply_v) + 1) if time_s is None else time_s
    return stretches_of(readings_of(curve(time_s, np.full(len(supply_v), 1e-3), supply_v=supply_v)))


def test_four_voltages_are_four_steps():
    found = steps(np.repeat([112.5, 225, 337.5, 450], 50))
    assert [step.supply_v for step in found] == [112.5, 225, 337.5, 450]
    assert [(step.first, step.last) for step in found] == [
        (0, 49),
        (50, 99),
        (100, 149),
        (150, 199),
    ]


def test_step_begins_where_the_reading_before_it_ended():
    found = steps(np.repeat([100, 200], 10))
    assert found[0].begins_s == 0
    assert found[1].begins_s == 10


def test_ramp_belongs_to_no_step():
    found = steps([100.0] * 20 + list(np.arange(110, 300, 10)) + [300.0] * 20)
    assert [step.supply_v for step in found] == [100, 300]
    assert found[1].first == 39


def test_ramp_of_small_steps_belongs_to_no_step():
    # 2 V every third of a second up to 385 V, as a supply under control is raised.
    supply = np.concatenate((np.repeat(np.arange(2.0, 384, 2), 2), np.full(200, 385.0)))
    found = steps(supply, time_s=0.17 * np.arange(1, len(supply) + 1))
    assert [round(step.supply_v) for step in found] == [385]
    assert found[0].first >= 370


def test_ramps_between_steps_are_left_out():
    up = np.concatenate((np.full(100, 96.0), np.arange(97.0, 192, 1), np.full(100, 192.0)))
    found = steps(up, time_s=0.2 * np.arange(1, len(up) + 1))
    assert [round(step.supply_v) for step in found] == [96, 192]


def test_supply_that_wanders_within_hours_is_one_step():
    hours = np.linspace(0, 8 * 3600, 2000)
    assert len(steps(450 + 12 * np.sin(hours / 9000), time_s=hours + 1)) == 1


def test_noise_of_the_supply_makes_no_step():
    dice = np.random.default_rng(1)
    assert len(steps(450 + 0.4 * dice.standard_normal(500))) == 1


def test_rest_without_voltage_is_off():
    found = steps(np.repeat([450, 0.5, 450], 20))
    assert [step.off for step in found] == [False, True, False]


def test_typed_voltages_of_one_reading_each_are_ramp_but_for_the_last():
    found = steps([50, 100, 150])
    assert [step.supply_v for step in found] == [150]


def test_last_change_is_a_step_at_once():
    assert [step.supply_v for step in steps([100] * 9 + [200])] == [100, 200]


def test_missing_voltages_are_those_before():
    found = steps([np.nan, 100, np.nan, 100, 100, np.nan, 200, np.nan, 200])
    assert [step.supply_v for step in found] == [100, 200]


def test_curve_without_any_voltage_is_one_step_of_unknown_voltage():
    (found,) = steps([np.nan] * 5)
    assert np.isnan(found.supply_v)
    assert not found.off


def test_no_reading_no_step():
    assert steps([]) == []


def test_clock_that_began_long_before_is_not_that_of_the_voltage():
    (found,) = steps([450] * 5, time_s=np.array([5000.0, 5001, 5002, 5003, 5004]))
    assert found.begins_s == 5000


@pytest.mark.parametrize(
    ("supply", "part", "current"),
    [(450.0, np.nan, 1e-3), (np.nan, 430.0, 1e-3), (450.0, 430.0, np.nan)],
)
def test_ohms_law_gives_the_third_of_supply_part_and_current(supply, part, current):
    one = Curve(np.ones(1), np.array([supply]), np.array([current]), np.array([part]), 20e3)
    found = readings_of(one)
    assert found.supply_v[0] == pytest.approx(450)
    assert found.part_v[0] == pytest.approx(430)
    assert found.current_a[0] == pytest.approx(1e-3)


def test_without_a_resistor_part_and_supply_are_one():
    one = Curve(np.ones(1), np.array([np.nan]), np.ones(1), np.array([430.0]), 0.0)
    assert readings_of(one).supply_v[0] == 430


def test_where_only_the_voltage_on_the_part_is_told_it_tells_the_steps():
    part = np.array([110.0] * 5 + [220.0] * 5)
    one = Curve(np.arange(1.0, 11), np.full(10, np.nan), np.full(10, 1e-3), part)
    assert [step.supply_v for step in stretches_of(readings_of(one))] == [110, 220]


def test_reading_without_current_or_time_is_left_out():
    bad = curve([1.0, np.nan, 3], [1e-3, 1e-3, np.nan])
    assert len(readings_of(bad).time_s) == 1


def test_steps_of_joined_runs_are_all_of_them():
    one = curve(times(), np.full(900, 1e-3), supply_v=225.0)
    assert len(stretches_of(readings_of(joined(one, curve(times(), np.full(900, 1e-3)))))) == 2
