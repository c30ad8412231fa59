"""Charging, discharging and absorption against formulas that can be worked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from captriage.bench.rehearsal.circuit import (
    Drive,
    Network,
    absorption_branches,
    absorption_current,
)
from captriage.bench.rehearsal.natures import Nature
from captriage.bench.rehearsal.specimens import Specimen
from captriage.model.charging import (
    charging_current,
    constant_current_factor,
    time_constant_factor,
)
from captriage.model.leakage import leakage_settling
from captriage.model.spectrum import DC_FACTOR
from published import assert_published


def part(**told) -> Specimen:
    """A 40 µF 450 V part that neither absorbs nor leaks, but for what is told."""
    plain = {"capacitance_rated": 40e-6, "voltage_rated": 450.0, "capacitance": 40e-6}
    return Specimen(
        Nature("P", "fresh", **{**plain, "resistance": 1.0, "absorption_share": 0.0, **told})
    )


def time_to(specimen: Specimen, voltage: float, drive: Drive) -> float:
    """When it reaches a voltage: halving, each time from a part as it was at first."""
    low, high = 0.0, 40.0
    for _ in range(34):
        middle = 0.5 * (low + high)
        tried = Specimen(specimen.nature)
        tried.advance(middle, drive)
        low, high = (middle, high) if tried.voltage < voltage else (low, middle)
    return high


THROUGH_100K = Drive(450.0, 100e3)


def test_one_time_constant_reaches_632_thousandths():
    specimen = part()
    specimen.advance(4.0, THROUGH_100K)  # 100 kΩ times 40 µF
    assert specimen.voltage == pytest.approx(450 * (1 - math.exp(-1)), rel=1e-12)


def test_reforming_circuit_does_what_the_textbook_says():
    # 450 V, 100 kΩ, 40 µF worked by the textbook: τ 4.0 s, 4.5 mA at first, 99 % at 18.4 s
    assert_published(THROUGH_100K.current(0.0), "4.5 mA")
    assert_published(time_to(part(), 0.99 * 450, THROUGH_100K), "18.4 s")


@pytest.mark.parametrize("time_s", [0.0, 0.3, 4.0, 20.0])
def test_charging_current_is_that_of_the_numeric_core(time_s):
    specimen = part()
    specimen.advance(time_s, THROUGH_100K)
    expected = charging_current(450, 100e3, capacitance=40e-6, time_s=time_s)
    assert THROUGH_100K.current(specimen.voltage) == pytest.approx(float(expected), rel=1e-9)


@pytest.mark.parametrize(("to_v", "printed"), [(50, "0.879 s"), (60, "0.806 s"), (5, "1.800 s")])
def test_discharge_takes_as_long_as_the_textbook_says(to_v, printed):
    # t = R C ln(V0/V1), 10 kΩ and 40 µF from 450 V
    specimen = part(holds_v=450.0)
    low, high = 0.0, 10.0
    for _ in range(34):
        middle = 0.5 * (low + high)
        tried = Specimen(specimen.nature)
        tried.advance(middle, Drive(0.0, 10e3))
        low, high = (middle, high) if tried.voltage > to_v else (low, middle)
    assert_published(high, printed)


# C_app/C = -ln(1 - 0.63212 (1 + k)) / (1 + k), timed to 63.2 % through a resistor
LEAKY_RC = [(0.01, "1.0073"), (0.1, "1.080"), (0.5, "1.973")]


@pytest.mark.parametrize(("ratio", "printed"), LEAKY_RC)
def test_leaky_part_charges_late_through_a_resistor(ratio, printed):
    leaky = part(leakage_residual=450 / (100e3 / ratio), leakage_exponent=1.0)
    reached_s = time_to(leaky, 450 * (1 - math.exp(-1)), THROUGH_100K)
    assert_published(reached_s / 4.0, printed)
    assert reached_s / 4.0 == pytest.approx(float(time_constant_factor(ratio)), rel=1e-6)


# C_app/C = -ln(1 - x) / x at constant current, x = V / (I R_leak)
LEAKY_CONSTANT = [(0.2, "1.116"), (0.3, "1.189"), (0.5, "1.386")]


@pytest.mark.parametrize(("fraction", "printed"), LEAKY_CONSTANT)
def test_leaky_part_charges_late_at_constant_current(fraction, printed):
    current = 10e-3
    leak = 400.0 / (fraction * current)
    leaky = part(leakage_residual=450 / leak, leakage_exponent=1.0)
    source = Drive(500.0, 1.0, current_limit_a=current)
    factor = time_to(leaky, 400.0, source) / (40e-6 * 400.0 / current)
    assert_published(factor, printed)
    assert factor == pytest.approx(float(constant_current_factor(fraction)), rel=1e-6)


def test_current_limit_hands_over_to_the_resistor():
    # 10 mA into 40 µF: 250 V/s up to 450 V - 10 mA · 10 kΩ = 350 V at 1.4 s, then τ = 0.4 s
    source = Drive(450.0, 10e3, current_limit_a=10e-3)
    specimen = part()
    specimen.advance(1.0, source)
    assert specimen.voltage == pytest.approx(250.0, rel=1e-9)
    assert source.current(specimen.voltage) == 10e-3
    specimen.advance(1.4 + 0.4, source)
    assert specimen.voltage == pytest.approx(450 - 100 * math.exp(-1), rel=1e-6)


def test_nothing_connected_gives_no_current_and_no_limit():
    assert Drive().current(12.0) == 0.0
    assert Drive().limit_ends_at_v == -math.inf


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(1e-3, 50.0), min_size=1, max_size=8))
def test_many_steps_are_one_step(pieces):
    """Linear circuit, absorption and all: where it is looked at does not matter."""
    branches = absorption_branches(40e-6, share=0.1, exponent=0.9)
    network = Network(40e-6, branches)
    wired = {"conductance": 1e-5, "current": 4.5e-3}
    stepped = np.zeros(network.size)
    for seconds in pieces:
        stepped = network.step(stepped, seconds=seconds, **wired)
    whole = network.step(np.zeros(network.size), seconds=math.fsum(pieces), **wired)
    assert stepped == pytest.approx(whole, rel=1e-9, abs=1e-9)


def test_charge_is_neither_made_nor_lost():
    """Open part: what the capacitance gives, the branches take."""
    branches = absorption_branches(40e-6, share=0.1, exponent=0.9)
    network = Network(40e-6, branches)
    held = np.array([40e-6, *(branch.capacitance for branch in branches)])
    start = np.linspace(100.0, 0.0, network.size)
    after = network.step(start, conductance=0.0, current=0.0, seconds=1e4)
    assert held @ after == pytest.approx(held @ start, rel=1e-9)
    assert np.ptp(after) < np.ptp(start)


@pytest.mark.parametrize("exponent", [0.6, 0.8, 0.9, 1.0])
def test_absorption_dies_away_as_a_power_of_time(exponent):
    """The sum of exponentials against i = a·t^-n of the numeric core, over four decades."""
    specimen = part(absorption_share=0.1, absorption_exponent=exponent)
    a = specimen.absorption_current()
    drive = Drive(450.0, 0.1)
    for time_s in (1.0, 10.0, 60.0, 300.0, 3000.0):
        specimen.advance(time_s, drive)
        current = drive.current(specimen.voltage)
        expected = leakage_settling(time_s, absorption=a, exponent=exponent, residual=0.0)
        assert current == pytest.approx(float(expected), rel=0.08)


def test_absorption_current_at_one_second_is_its_coefficient():
    branches = absorption_branches(40e-6, share=0.1, exponent=0.9)
    taken = sum(
        b.capacitance / b.time_constant_s * math.exp(-1 / b.time_constant_s) for b in branches
    )
    assert absorption_current(branches, exponent=0.9) == pytest.approx(taken, rel=0.03)


def test_part_without_absorption_takes_no_such_current():
    assert absorption_current((), exponent=0.9) == 0.0


def test_direct_current_finds_a_tenth_more_capacitance():
    # Wikipedia, Aluminum electrolytic capacitor: a charge method reads about 10 % more
    branches = absorption_branches(
        100e-6, share=Nature("P", "fresh", 1, 1, 1, 1).absorption_share, exponent=0.9
    )
    assert 100e-6 + sum(b.capacitance for b in branches) == pytest.approx(DC_FACTOR * 100e-6)


def test_voltage_comes_back_after_a_discharge():
    # Wikipedia, Aluminum electrolytic capacitor: 10 % to 15 % of the charging voltage can;
    # ours absorbs a tenth, so that at most a tenth comes back, and most of it within days.
    specimen = part(absorption_share=0.1)
    specimen.advance(60 * 86400.0, Drive(450.0, 100.0))
    now = specimen.time_s
    specimen.advance(now + 0.1, Drive(0.0, 1.0))
    assert specimen.voltage < 1.0
    seen = []
    for hours in (0.01, 1, 24, 240):
        specimen.advance(now + 0.1 + 3600 * hours, Drive())
        seen.append(specimen.voltage)
    assert seen == sorted(seen)
    assert 0.06 * 450 < seen[-1] < 0.1 * 450
