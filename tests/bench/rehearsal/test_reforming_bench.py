"""What a reforming run has to survive, seen on the wires: supply, jig, meters and thermometer."""

from __future__ import annotations

import pytest

from bench.rehearsal.wires import Caller
from captriage.bench.profiles import load_profile
from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.bench.rehearsal.drawer import REFORMING, demo_drawer


class SetClock:
    """A clock that a test moves on by hand."""

    now = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock():
    return SetClock()


@pytest.fixture
def bench(clock):
    """A bench with the drawer to be reformed, whose time a test moves on."""
    with RehearsalBench(
        demo_drawer(REFORMING), automatic=False, pause_s=0.01, clock=clock, reforming=True
    ) as running:
        yield running


@pytest.fixture
def supply(call):
    """Set to 100 V and 5 mA, and on."""
    caller = call("supply")
    caller.say("VOLT 100;CURR 0.005;OUTP ON")
    assert caller.ask("OUTP?") == "1"
    return caller


def volts(supply: Caller) -> float:
    return float(supply.ask("MEAS:VOLT?"))


def test_a_drifting_supply_says_what_it_was_set_to_and_creeps_up(bench, clock, supply):
    bench.command("fault supply drift")
    clock.now += 20.0
    assert supply.ask("VOLT?;OUTP?") == "100.000;1"
    assert volts(supply) == pytest.approx(120.0, abs=0.2)
    bench.command("fault supply none")
    assert volts(supply) == pytest.approx(100.0, abs=0.2)


@pytest.mark.usefixtures("supply")
def test_a_drifting_supply_raises_the_part_though_nobody_asks_the_supply(bench, clock, call):
    bench.command("jig D21")
    ammeter = call("ammeter")
    clock.now += 10.0
    assert float(ammeter.ask("MEAS:CURR?")) < 1e-4
    bench.command("fault supply drift")
    for _ in range(20):
        clock.now += 1.0
        current = float(ammeter.ask("MEAS:CURR?"))
    assert current == pytest.approx(54e-6 + 5e-6, rel=0.3)  # 54 µF at 1 V/s, its absorption
    assert bench.wiring.voltage("D21") > 117


def test_protection_trips_where_a_drifting_supply_passes_it(bench, clock, supply):
    supply.say("VOLT:PROT 110")
    bench.command("fault supply drift")
    clock.now += 20.0
    assert supply.ask("OUTP?;VOLT:PROT:TRIP?") == "0;1"
    assert volts(supply) == pytest.approx(0.0, abs=0.2)


@pytest.mark.parametrize("said", ["OUTP OFF", "VOLT 0", "*RST"])
def test_an_output_that_sticks_is_off_only_in_its_own_words(bench, supply, said):
    bench.command("jig D13")
    bench.command("fault supply stuck-on")
    supply.say(said)
    assert supply.ask("OUTP?;VOLT?") in ("0;100.000", "1;0.000", "0;0.000")
    bench.command("jig off")
    assert volts(supply) == pytest.approx(100.0, abs=0.2)


def test_an_output_that_sticks_can_be_raised_and_then_not_lowered(bench, supply):
    bench.command("fault supply stuck-on")
    supply.say("VOLT 130")
    supply.say("VOLT 50")
    assert volts(supply) == pytest.approx(130.0, abs=0.2)


def test_protection_switches_off_an_output_that_sticks(bench, supply):
    bench.command("fault supply stuck-on")
    supply.say("OUTP OFF")
    assert volts(supply) == pytest.approx(100.0, abs=0.2)
    supply.say("VOLT:PROT 50")
    assert supply.ask("VOLT:PROT:TRIP?") == "1"
    assert volts(supply) == pytest.approx(0.0, abs=0.2)


def test_a_supply_whose_output_is_off_has_nothing_to_stick_at(bench, call):
    supply = call("supply")
    bench.command("fault supply stuck-on")
    assert volts(supply) == pytest.approx(0.0, abs=0.2)
    supply.say("VOLT 80;OUTP ON")
    supply.say("OUTP OFF")
    assert volts(supply) == pytest.approx(80.0, abs=0.2)
    bench.command("fault supply none")
    assert volts(supply) == pytest.approx(0.0, abs=0.2)


@pytest.mark.usefixtures("supply")
def test_a_meter_that_is_stuck_shows_its_last_reading_for_ever(bench, clock, call):
    bench.command("jig D13")
    ammeter = call("ammeter")
    clock.now += 0.05
    before = ammeter.ask("MEAS:CURR?")
    bench.command("fault ammeter stuck")
    for _ in range(3):
        clock.now += 10.0
        assert ammeter.ask("MEAS:CURR?") == before
        assert ammeter.ask("FETC?") == before
    bench.command("fault ammeter none")
    assert abs(float(ammeter.ask("MEAS:CURR?"))) < 0.1 * float(before)


def test_a_supply_that_is_stuck_shows_its_last_voltage_and_current(bench, clock, supply):
    before = supply.ask("MEAS:VOLT?"), supply.ask("MEAS:CURR?")
    bench.command("fault supply stuck")
    supply.say("VOLT 50")
    clock.now += 1.0
    assert (supply.ask("MEAS:VOLT?"), supply.ask("MEAS:CURR?")) == before
    assert supply.ask("VOLT?") == "50.000"


def test_a_clip_that_slips_leaves_the_part_charged_and_the_meters_without_it(
    bench, clock, supply, call
):
    bench.command("jig D13")
    ammeter = call("ammeter")
    clock.now += 30.0
    charged = bench.wiring.voltage("D13")
    assert charged == pytest.approx(100.0, abs=0.1)
    assert bench.command("slip on") == "the clip of the jig has slipped off"
    assert abs(float(ammeter.ask("MEAS:CURR?"))) < 1e-8
    assert float(ammeter.ask("MEAS:VOLT?")) == pytest.approx(100.0, abs=0.1)
    supply.say("VOLT 200")
    supply.ask("VOLT?")
    clock.now += 1.0
    assert bench.wiring.voltage("D13") == pytest.approx(charged, rel=0.05)
    supply.say("OUTP OFF")
    supply.ask("OUTP?")
    assert float(ammeter.ask("MEAS:VOLT?")) == pytest.approx(0.0, abs=0.01)
    assert float(ammeter.ask("MEAS:RES?")) == 9.9e37
    clock.now += 1.0
    assert bench.wiring.voltage("D13") == pytest.approx(charged, rel=0.05)
    assert bench.command("slip off") == "the clip of the jig holds"
    assert float(ammeter.ask("MEAS:VOLT?")) == pytest.approx(charged, rel=0.05)


@pytest.mark.usefixtures("supply")
def test_another_resistor_limits_the_current(bench, call):
    bench.command("jig D19")
    assert bench.command("resistor 47000") == "47000 Ω lie between supply and jig"
    current = float(call("ammeter").ask("MEAS:CURR?"))
    assert current == pytest.approx(100 / 47e3, rel=1e-3)
    assert bench.command("knob 50") == "the jig is fed by hand with 50 V through 47000 Ω"


def test_the_thermometer_reads_the_case_of_the_part_in_the_jig(bench, clock, supply, call):
    thermometer = call("thermometer")
    assert bench.profiles["thermometer"] == "thermometer_scpi"
    assert load_profile("thermometer_scpi").title == "thermometer, SCPI"
    assert float(thermometer.ask("MEAS:TEMP?")) == pytest.approx(20.0, abs=0.1)
    bench.command("jig D16")
    supply.say("VOLT 400")
    supply.ask("VOLT?")
    for _ in range(60):
        clock.now += 1.0
        shown = float(thermometer.ask("MEAS:TEMP?"))
    rise = bench.wiring.specimens["D16"].temperature_rise
    assert rise > 10
    assert shown == pytest.approx(20.0 + rise, abs=0.1)
    assert abs(float(thermometer.ask("MEAS:VOLT?"))) < 1e-3
    assert float(thermometer.ask("MEAS:RES?")) == 9.9e37
    assert abs(float(thermometer.ask("MEAS:CURR?"))) < 1e-6


def test_the_voltmeter_lies_across_the_part_in_the_jig_and_else_on_the_clips(
    bench, clock, supply, call
):
    voltmeter = call("voltmeter")
    bench.command("resistor 100000")
    bench.command("jig D14")
    supply.say("VOLT 300")
    supply.ask("VOLT?")
    clock.now += 60.0
    part = bench.wiring.voltage("D14")
    assert part < 250
    assert float(voltmeter.ask("MEAS:VOLT?")) == pytest.approx(part, rel=1e-3)
    assert float(call("ammeter").ask("MEAS:VOLT?")) == pytest.approx(300.0, rel=1e-3)
    bench.command("slip on")
    assert float(voltmeter.ask("MEAS:VOLT?")) == pytest.approx(300.0, rel=1e-3)
    bench.command("clip D14")
    assert float(voltmeter.ask("MEAS:VOLT?")) == pytest.approx(part, rel=0.05)
    bench.command("clip D19")
    assert float(voltmeter.ask("MEAS:RES?")) == pytest.approx(0.4, rel=0.01)


def test_a_bench_of_spares_has_no_thermometer():
    with RehearsalBench(automatic=False) as spares:
        assert "thermometer" not in spares.addresses


def test_a_part_that_broke_down_is_a_short_for_every_meter(bench, clock, supply, call):
    bench.command("jig D15")
    supply.say("VOLT 310")
    supply.ask("VOLT?")
    clock.now += 30.0
    assert float(call("ammeter").ask("MEAS:CURR?")) == pytest.approx(5e-3, rel=1e-3)
    supply.say("OUTP OFF")
    supply.ask("OUTP?")
    bench.command("clip D15")
    assert float(call("voltmeter").ask("MEAS:RES?")) == pytest.approx(3.0, rel=0.01)
