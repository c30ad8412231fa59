"""Charging and its factors against netlists solved by ngspice, to 0.5 %."""

from __future__ import annotations

import math

import pytest

import ngspice
from captriage.model.charging import (
    charging_current,
    charging_time,
    constant_current_factor,
    discharge_factor,
    resistor_current,
    time_constant_factor,
)

pytestmark = ngspice.needed

CLOSE = 0.005
VOLTS, OHM, FARAD = 400.0, 10e3, 40e-6
TAU = OHM * FARAD
CHARGING = [f"V1 in 0 {VOLTS}", f"R1 in out {OHM}", f"C1 out 0 {FARAD} ic=0"]


def test_current_into_an_empty_part():
    times = [0.1, 0.4, 1.0]
    found = ngspice.solved(
        CHARGING,
        until_s=1.2,
        measures={f"i{n}": f"FIND i(V1) AT={time_s}" for n, time_s in enumerate(times)},
    )
    for n, time_s in enumerate(times):
        ours = charging_current(VOLTS, OHM, capacitance=FARAD, time_s=time_s)
        assert -found[f"i{n}"] == pytest.approx(float(ours), rel=CLOSE)


@pytest.mark.parametrize("fraction", [0.632, 0.9, 0.99])
def test_time_to_a_fraction_of_the_supply(fraction):
    found = ngspice.solved(
        CHARGING,
        until_s=6 * TAU,
        measures={"t": f"WHEN v(out)={fraction * VOLTS} RISE=1"},
    )
    ours = float(charging_time(OHM, FARAD, fraction=fraction))
    assert found["t"] == pytest.approx(ours, rel=CLOSE)


@pytest.mark.parametrize("ratio", [0.01, 0.1, 0.5])
def test_a_leak_delays_the_time_constant(ratio):
    found = ngspice.solved(
        [*CHARGING, f"RL out 0 {OHM / ratio}"],
        until_s=6 * TAU,
        measures={"t": f"WHEN v(out)={(1 - math.exp(-1)) * VOLTS} RISE=1"},
    )
    assert found["t"] / TAU == pytest.approx(float(time_constant_factor(ratio)), rel=CLOSE)


@pytest.mark.parametrize("fraction", [0.2, 0.5, 0.8])
def test_a_leak_delays_charging_at_constant_current(fraction):
    current = 5e-3
    leak = VOLTS / (fraction * current)
    ideal_s = FARAD * VOLTS / current
    found = ngspice.solved(
        [f"I1 0 out {current}", f"C1 out 0 {FARAD} ic=0", f"RL out 0 {leak}"],
        until_s=4 * ideal_s,
        measures={"t": f"WHEN v(out)={VOLTS} RISE=1"},
    )
    assert found["t"] / ideal_s == pytest.approx(
        float(constant_current_factor(fraction)), rel=CLOSE
    )


@pytest.mark.parametrize("ratio", [0.05, 0.5])
def test_a_leak_hastens_the_discharge(ratio):
    found = ngspice.solved(
        [f"C1 out 0 {FARAD} ic={VOLTS}", f"R1 out 0 {OHM}", f"RL out 0 {OHM / ratio}"],
        until_s=2 * TAU,
        measures={"t": f"WHEN v(out)={VOLTS / math.e} FALL=1"},
    )
    assert found["t"] / TAU == pytest.approx(float(discharge_factor(ratio)), rel=CLOSE)


def test_the_drop_across_a_resistor_tells_the_leakage_once_charging_is_over():
    leak = 2e6
    found = ngspice.solved(
        [*CHARGING, f"RL out 0 {leak}"],
        until_s=15 * TAU,
        measures={"v": f"FIND v(out) AT={15 * TAU}", "i": f"FIND i(V1) AT={15 * TAU}"},
    )
    ours = float(resistor_current(VOLTS, found["v"], resistance=OHM))
    assert ours == pytest.approx(-found["i"], rel=CLOSE)
    assert ours == pytest.approx(VOLTS / (leak + OHM), rel=CLOSE)
