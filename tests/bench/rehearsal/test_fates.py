"""The parts of the drawer to be reformed, taken up to their voltage in steps: each its fate.

The limits are those the parts would be judged by, K·C + 0.3 mA as for their day, here rounded.
"""

from __future__ import annotations

import json

import pytest

from captriage.bench.rehearsal.circuit import Drive
from captriage.bench.rehearsal.drawer import (
    QUICK_OHM,
    QUICK_PART,
    QUICK_PLAN,
    REFORMING,
    demo_drawer,
    demo_file,
)
from captriage.bench.rehearsal.specimens import Specimen
from captriage.reform.plan_data import plan_of_data

DRAWER = {nature.part: nature for nature in demo_drawer(REFORMING)}
LIMIT_A = 1e-3
SHARES = (0.3, 0.6, 0.75, 0.9, 1.0)


class Run:
    """A part raised in steps through a resistor, 5 mA at most, each held for the same time."""

    def __init__(self, part: str, *, ohm: float = 1e3) -> None:
        self.specimen = Specimen(DRAWER[part])
        self.ohm = ohm
        self.time_s = 0.0
        self.amperes: list[float] = []

    def hold(self, volts: float, seconds: float) -> list[float]:
        """Currents in the course of a time, ten of them."""
        drive = Drive(volts, self.ohm, 5e-3)
        seen = []
        for _ in range(10):
            self.time_s += seconds / 10
            self.specimen.advance(self.time_s, drive)
            seen.append(drive.current(self.specimen.voltage))
        return seen

    def up(self, seconds: float) -> list[float]:
        """All steps; the currents at the last."""
        for share in SHARES:
            seen = self.hold(share * self.specimen.nature.voltage_rated, seconds)
        return seen

    def rest(self, seconds: float) -> None:
        """Discharge it, and leave it."""
        self.hold(0.0, 2.0)
        self.time_s += seconds
        self.specimen.advance(self.time_s)

    def retest(self) -> float:
        """Current at rated voltage after five minutes."""
        return self.hold(self.specimen.nature.voltage_rated, 300.0)[-1]


@pytest.mark.parametrize("ohm", [1e3, 22e3])
def test_d13_heals_within_half_a_minute_a_step_and_stays_healed(ohm):
    run = Run("D13", ohm=ohm)
    seen = run.up(45.0)
    assert seen == sorted(seen, reverse=True)
    assert seen[-1] < LIMIT_A
    run.rest(86400.0)
    assert run.retest() < 0.5 * LIMIT_A


def test_the_plan_that_goes_with_the_drawer_is_done_in_minutes():
    (data,) = json.loads(demo_file(QUICK_PLAN).read_text("utf-8"))["plans"]
    plan = plan_of_data(data)
    nature = DRAWER[plan.part]
    assert plan.part == QUICK_PART
    assert "Invented" in plan.departures[0]
    assert plan.capacitance_rated == nature.capacitance_rated
    assert plan.target_v <= plan.voltage_rated == nature.voltage_rated
    specimen, time_s = Specimen(nature), 0.0
    for step in plan.steps:
        assert step.series_ohm == plan.series.ohm == QUICK_OHM
        drive = Drive(step.supply_v, step.series_ohm, plan.supply_limit_a)
        begun_s = time_s
        while time_s - begun_s < step.least_s or drive.current(specimen.voltage) > step.below_a:
            time_s += 1.0
            specimen.advance(time_s, drive)
            assert time_s - begun_s < 60
            # the stop is for after charging
            assert time_s - begun_s < 5 or drive.current(specimen.voltage) < step.stop_a
    assert time_s < 180
    assert drive.current(specimen.voltage) < plan.retest.limit_a


def test_d14_settles_at_a_plateau_above_its_limit():
    seen = Run("D14").up(300.0)
    assert seen[-1] > 2 * LIMIT_A
    assert seen[-1] == pytest.approx(seen[-3], rel=0.05)


def test_d15_breaks_down_at_290_v_and_is_a_short():
    run = Run("D15")
    assert run.hold(285.0, 30.0)[-1] < LIMIT_A
    assert run.specimen.short_ohm == 0
    assert run.hold(300.0, 1.0)[-1] == 5e-3
    assert run.specimen.short_ohm == 3.0
    assert run.specimen.voltage == 0


@pytest.mark.parametrize(("ohm", "volts"), [(1e3, 337.5), (22e3, 400.0)])
def test_d16_turns_and_rises_at_steady_voltage(ohm, volts):
    run = Run("D16", ohm=ohm)
    run.hold(270.0, 20.0)
    seen = run.hold(volts, 25.0)
    turned = seen.index(min(seen))
    assert turned < 8
    assert seen[turned:] == sorted(seen[turned:])
    assert seen[-1] > 1.2 * min(seen)
    assert run.specimen.temperature_rise > 15


def test_d16_vents_where_nothing_holds_the_current_back():
    specimen = Specimen(DRAWER["D16"])
    specimen.advance(300.0, Drive(450.0, 1e3, 0.1))
    assert specimen.short_ohm == 3.0


def test_d17_looks_healed_and_is_not_after_minutes_of_rest():
    run = Run("D17")
    assert run.up(60.0)[-1] < LIMIT_A
    run.rest(600.0)
    assert run.hold(350.0, 1.0)[-1] > 3 * LIMIT_A


def test_d18_takes_about_an_hour():
    run = Run("D18")
    assert run.up(60.0)[-1] > LIMIT_A
    assert run.hold(450.0, 3600.0)[-1] < 0.3 * LIMIT_A


def test_d19_is_a_short_and_d20_takes_voltage_without_current():
    assert Run("D19").hold(50.0, 1.0)[-1] == 5e-3
    run = Run("D20")
    assert abs(run.hold(450.0, 1.0)[-1]) < 1e-9
    assert run.specimen.voltage == pytest.approx(450.0)


def test_d21_needs_little():
    assert Run("D21").up(5.0)[-1] < 0.3 * LIMIT_A
