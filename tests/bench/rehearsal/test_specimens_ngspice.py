"""Invented parts against netlists of the same circuit, solved by ngspice, to 0.5 %."""

from __future__ import annotations

import pytest

import ngspice
from captriage.bench.rehearsal.circuit import Drive, absorption_branches
from captriage.bench.rehearsal.leaks import FIELD_EXPONENT, Leak
from captriage.bench.rehearsal.natures import Nature
from captriage.bench.rehearsal.specimens import Specimen

pytestmark = ngspice.needed

CLOSE = 0.005


def nature(**told) -> Nature:
    plain = {
        "capacitance_rated": 40e-6, "voltage_rated": 450.0, "capacitance": 40e-6,
        "resistance": 2.0, "absorption_share": 0.0,
    }  # fmt: skip
    return Nature("P", "leaky", **{**plain, **told})


def with_branches(told: Nature, *, volts: float) -> list[str]:
    """The part and each time constant of its absorption, at this voltage at first."""
    lines = [f"C0 out 0 {told.capacitance} ic={volts}"]
    branches = absorption_branches(
        told.capacitance, share=told.absorption_share, exponent=told.absorption_exponent
    )
    for n, branch in enumerate(branches, 1):
        ohm = branch.time_constant_s / branch.capacitance
        lines += [f"RB{n} out b{n} {ohm:.9g}", f"CB{n} b{n} 0 {branch.capacitance:.9g} ic={volts}"]
    return lines


@pytest.mark.parametrize("seconds", [0.2, 1.0, 5.0])
def test_charging_with_a_leak_that_is_a_resistance(seconds):
    told = nature(leakage_residual=450 / 200e3, leakage_exponent=1.0)
    drive = Drive(400.0, 10e3)
    found = ngspice.solved(
        ["V1 in 0 400", "R1 in out 10k", *with_branches(told, volts=0.0), "RL out 0 200k"],
        until_s=seconds,
        measures={"v": f"FIND v(out) AT={seconds}", "i": f"FIND i(V1) AT={seconds}"},
    )
    specimen = Specimen(told)
    specimen.advance(seconds, drive)
    assert specimen.voltage == pytest.approx(found["v"], rel=CLOSE)
    assert drive.current(specimen.voltage) == pytest.approx(-found["i"], rel=CLOSE)


@pytest.mark.parametrize("seconds", [2.0, 30.0, 300.0])
def test_absorption_after_charging(seconds):
    told = nature(absorption_share=0.1)
    drive = Drive(400.0, 1e3)
    found = ngspice.solved(
        ["V1 in 0 400", "R1 in out 1k", *with_branches(told, volts=0.0)],
        until_s=seconds,
        measures={"i": f"FIND i(V1) AT={seconds}"},
        step_s=seconds / 20000,
    )
    specimen = Specimen(told)
    specimen.advance(seconds, drive)
    assert drive.current(specimen.voltage) == pytest.approx(-found["i"], rel=CLOSE)


def test_recovery_after_a_short_discharge():
    told = nature(absorption_share=0.1, holds_v=400.0)
    found = ngspice.solved(
        [
            *with_branches(told, volts=400.0), "S1 out x c 0 sw", "RD x 0 100",
            ".model sw sw vt=0.5 ron=1e-3 roff=1e13", "VC c 0 PWL(0 1 1 1 1.000001 0)",
        ],
        until_s=11.0,
        measures={"v": "FIND v(out) AT=11"},
        step_s=5e-4,
    )  # fmt: skip
    specimen = Specimen(told)
    specimen.advance(1.0, Drive(0.0, 100.0))
    specimen.advance(11.0)
    assert specimen.voltage == pytest.approx(found["v"], rel=CLOSE)


@pytest.mark.parametrize("seconds", [1.0, 10.0, 60.0])
@pytest.mark.parametrize("ohm", [1e3, 22e3])
def test_flaws_whose_film_grows(ohm, seconds):
    """The film as the voltage of a capacitor that the current through the flaws charges."""
    told = nature(leakage_flaws=0.2e-3, film_v=300.0, flawed_area=2e-4, holds_v=280.0)
    per_volt = Leak(told).charge_per_volt
    law = f"0.2e-3*exp({FIELD_EXPONENT:.9g}*(v(out)/v(film)-1))"
    found = ngspice.solved(
        [
            "V1 in 0 350", f"R1 in out {ohm}", *with_branches(told, volts=280.0),
            f"B1 out 0 I={law}", f"B2 0 film I={law}", f"CF film 0 {per_volt:.9g} ic=300",
        ],
        until_s=seconds,
        measures={
            "v": f"FIND v(out) AT={seconds}",
            "i": f"FIND i(V1) AT={seconds}",
            "w": f"FIND v(film) AT={seconds}",
        },
        step_s=seconds / 5000,
    )  # fmt: skip
    drive = Drive(350.0, ohm)
    specimen = Specimen(told)
    specimen.advance(seconds, drive)
    assert specimen.voltage == pytest.approx(found["v"], rel=CLOSE)
    assert specimen.film_v == pytest.approx(found["w"], rel=CLOSE)
    assert drive.current(specimen.voltage) == pytest.approx(-found["i"], rel=CLOSE)
