"""Supply and ammeter in the leakage jig, and the voltmeter across the clips, over their sockets."""

from __future__ import annotations

import pytest

from bench.rehearsal.wires import Caller, wait_until
from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.bench.rehearsal.circuit import Drive
from captriage.bench.rehearsal.specimens import Specimen

OVER = "+9.90000000E+37"


class SetClock:
    """A clock that a test moves on by hand."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock():
    return SetClock()


@pytest.fixture
def bench(clock):
    """A bench whose time stands still until the test moves it on."""
    with RehearsalBench(automatic=False, pause_s=0.01, clock=clock) as running:
        yield running


@pytest.fixture
def supply(call):
    caller = call("supply")
    caller.say("CURR 0.1")
    return caller


@pytest.fixture
def ammeter(call):
    caller = call("ammeter")
    caller.say("CONF:CURR:DC")
    return caller


def test_supply_starts_off_and_says_what_it_was_told(supply):
    assert supply.ask("VOLT?;CURR?;OUTP?") == "0.000;0.10000;0"
    supply.say("VOLT 390.5 V")
    supply.say("SOUR:CURR 5E-3")
    supply.say("OUTP ON")
    assert supply.ask("VOLT?;CURR?;OUTP?") == "390.500;0.00500;1"
    assert float(supply.ask("MEAS:VOLT?")) == pytest.approx(390.5, abs=0.2)
    assert float(supply.ask("MEAS:CURR:DC?")) == pytest.approx(0.0, abs=1e-4)
    supply.say("*RST")
    assert supply.ask("VOLT?;CURR?;OUTP?") == "0.000;0.01000;0"
    assert float(supply.ask("MEAS:VOLT?")) == pytest.approx(0.0, abs=0.2)


@pytest.mark.parametrize(
    ("said", "error"), [("VOLT 501", "-222"), ("VOLT -1", "-222"), ("CURR 0.2", "-222"),
                        ("OUTP MAYBE", "-224"), ("VOLT", "-109")]
)  # fmt: skip
def test_supply_refuses_what_it_cannot_give(said, error, supply):
    before = supply.ask("VOLT?;CURR?;OUTP?")
    supply.say(said)
    assert supply.ask("SYST:ERR?").startswith(error)
    assert supply.ask("VOLT?;CURR?;OUTP?") == before


def test_leakage_falls_as_the_specimen_says_it_does(bench, clock, supply, ammeter):
    bench.command("jig D1")
    supply.say("VOLT 385")
    supply.say("OUTP ON")
    supply.ask("OUTP?")
    twin = Specimen(bench.wiring.specimens["D1"].nature)
    drive = Drive(385.0, 1e3, current_limit_a=0.1)
    for minute in (1, 2, 5):
        clock.now = 60.0 * minute
        twin.advance(clock.now, drive)
        expected = drive.current(twin.voltage)
        assert float(ammeter.ask("READ?")) == pytest.approx(expected, rel=2e-3)
    assert bench.truth("D1", soak_s=300).leakage_current > expected  # that is at rated voltage


def test_current_limit_holds_while_a_part_charges(bench, clock, supply, ammeter):
    bench.command("jig D1")
    supply.say("VOLT 400;CURR 0.005;OUTP ON")
    assert supply.ask("OUTP?") == "1"
    clock.now = 1.0
    assert float(ammeter.ask("READ?")) == pytest.approx(5e-3, rel=1e-3)
    at_part = bench.wiring.voltage("D1")
    assert 100 < at_part < 150  # about 5 mA · 1 s / 34.6 µF, less what is absorbed
    assert float(supply.ask("MEAS:VOLT?")) == pytest.approx(at_part + 5e-3 * 1e3, abs=0.2)


def test_shorted_part_draws_the_limit(bench, clock, supply, ammeter):
    bench.command("jig D9")
    supply.say("VOLT 300;CURR 0.02;OUTP ON")
    assert supply.ask("OUTP?") == "1"
    clock.now = 10.0
    assert float(ammeter.ask("READ?")) == pytest.approx(0.02, rel=1e-3)
    assert supply.ask("VOLT:PROT:TRIP?") == "0"


def test_current_protection_trips_on_a_short(bench, supply):
    supply.say("VOLT 300;CURR 0.02;CURR:PROT:STAT ON;OUTP ON")
    assert supply.ask("OUTP?;CURR:PROT:STAT?;CURR:PROT:TRIP?") == "1;1;0"
    bench.command("jig D9")
    assert supply.ask("OUTP?;CURR:PROT:TRIP?;VOLT:PROT:TRIP?") == "0;1;0"
    supply.say("OUTP ON")
    assert supply.ask("OUTP?") == "0"  # until it is cleared
    bench.command("jig off")
    supply.say("OUTP:PROT:CLE;OUTP ON")
    assert supply.ask("OUTP?;CURR:PROT:TRIP?") == "1;0"


def test_voltage_protection_trips_above_its_level(supply):
    supply.say("VOLT:PROT 400;VOLT 350;OUTP ON")
    assert supply.ask("OUTP?;VOLT:PROT?") == "1;400.000"
    supply.say("VOLT 401")
    assert supply.ask("OUTP?;VOLT:PROT:TRIP?;CURR:PROT:TRIP?") == "0;1;0"
    supply.say("VOLT 390;VOLT:PROT:CLE;OUTP ON")
    assert supply.ask("OUTP?") == "1"


def test_voltage_protection_trips_as_the_terminals_pass_its_level(bench, clock, supply, ammeter):
    bench.command("jig D1")
    supply.say("VOLT:PROT 200;VOLT 400;CURR 0.005;OUTP ON")
    assert supply.ask("OUTP?") == "1"  # the part holds the terminals down
    clock.now = 1.0
    assert 100 < float(supply.ask("MEAS:VOLT?")) < 200
    assert supply.ask("OUTP?;VOLT:PROT:TRIP?") == "1;0"
    clock.now = 60.0
    assert bench.wiring.voltage("D1") <= 200
    assert supply.ask("OUTP?;VOLT:PROT:TRIP?") == "0;1"
    assert float(ammeter.ask("READ?")) == pytest.approx(0.0, abs=1e-6)
    assert float(supply.ask("MEAS:VOLT?")) == pytest.approx(0.0, abs=0.2)
    supply.say("OUTP ON")
    assert supply.ask("OUTP?") == "0"  # until it is cleared


def test_output_that_is_switched_off_leaves_the_charge_on_the_part(bench, clock, supply, ammeter):
    bench.command("jig D1")
    supply.say("VOLT 385;OUTP ON")
    supply.ask("OUTP?")
    clock.now = 300.0
    supply.say("OUTP OFF")
    assert supply.ask("OUTP?") == "0"
    clock.now = 301.0
    assert float(ammeter.ask("READ?")) == pytest.approx(0.0, abs=1e-9)
    assert bench.wiring.voltage("D1") > 370
    ammeter.say("CONF:VOLT:DC")
    assert float(ammeter.ask("READ?")) == pytest.approx(bench.wiring.voltage("D1"), rel=1e-3)


def test_knob_feeds_the_jig_in_place_of_the_supply(bench, clock, supply, ammeter):
    bench.command("jig D11")
    told = bench.command("knob 350")
    assert told == "the jig is fed by hand with 350 V through 1000 Ω"
    clock.now = 60.0
    by_hand = float(ammeter.ask("READ?"))
    assert 1e-3 < by_hand < 4e-3
    ammeter.say("CONF:VOLT:DC")
    assert float(ammeter.ask("READ?")) == pytest.approx(350.0, rel=1e-3)
    assert float(supply.ask("MEAS:CURR?")) == pytest.approx(0.0, abs=1e-4)
    assert bench.command("knob 0") == "the supply feeds the jig"
    ammeter.say("CONF:CURR:DC")
    assert float(ammeter.ask("READ?")) == pytest.approx(0.0, abs=1e-9)


def test_part_taken_from_the_jig_keeps_its_charge_in_the_clips(bench, clock, supply, call):
    bench.command("jig D1")
    supply.say("VOLT 385;OUTP ON")
    supply.ask("OUTP?")
    clock.now = 60.0
    bench.command("clip D1")
    assert bench.wiring.jig is None
    clock.now = 61.0
    voltmeter = call("voltmeter")
    voltmeter.say("CONF:VOLT:DC")
    assert 370 < float(voltmeter.ask("READ?")) < 385
    bench.command("jig D1")
    assert bench.wiring.clips is None


def test_voltmeter_drains_the_part_that_it_watches(bench, clock, call):
    # 10 MΩ across 45.2 µF: τ = 452 s, to 36.8 %. Its own leak takes about a tenth more current,
    # and absorption gives some charge back.
    bench.command("clip D5")
    clock.now = 452.0
    voltmeter = call("voltmeter")
    assert 12 * 0.33 < float(voltmeter.ask("MEAS:VOLT:DC?")) < 12 * 0.42


def test_discharge_empties_a_part_where_it_is():
    with RehearsalBench(automatic=False, pause_s=0.01) as bench:
        bench.command("clip D5")
        assert bench.wiring.voltage("D5") == pytest.approx(12.0, rel=1e-3)
        assert bench.command("discharge D5") in {f"D5 holds 0.0{n} V" for n in (0, 1, 2)}
        assert bench.wiring.clips == "D5"


def test_voltmeter_sees_no_part_where_there_is_none(call):
    assert float(call("voltmeter").ask("MEAS:VOLT?")) == pytest.approx(0.0, abs=1e-5)


@pytest.mark.parametrize(("part", "shown"), [("D9", 0.4), ("D6", None), ("D1", None)])
def test_ohmmeter_finds_the_shorted_part(part, shown, bench, clock, call):
    bench.command(f"clip {part}")
    clock.now = 1.0
    answer = call("voltmeter").ask("MEAS:RES?")
    if shown is None:
        assert answer == OVER
    else:
        assert float(answer) == pytest.approx(shown, abs=0.01)


def test_ohmmeter_in_the_jig_sees_what_is_in_it(bench, call):
    ammeter = call("ammeter")
    assert ammeter.ask("MEAS:RES?") == OVER
    bench.command("jig D9")
    assert float(ammeter.ask("MEAS:RES?")) == pytest.approx(0.4, abs=0.01)


def test_thermometer_reads_the_room(call):
    voltmeter, ammeter = call("voltmeter"), call("ammeter")
    voltmeter.say("UNIT:TEMP C")
    for meter in (voltmeter, ammeter):
        assert float(meter.ask("MEAS:TEMP?")) == pytest.approx(20.0, abs=0.05)
    assert float(voltmeter.ask("MEAS:CURR?")) == pytest.approx(0.0, abs=1e-8)


def test_multimeter_in_a_fixed_range_is_over_range_above_it(bench, supply, ammeter):
    bench.command("jig D9")
    supply.say("VOLT 300;CURR 0.02;OUTP ON")
    supply.ask("OUTP?")
    ammeter.say("CONF:CURR:DC 1E-3")
    assert ammeter.ask("READ?") == OVER
    ammeter.say("CONF:CURR:DC AUTO")
    assert float(ammeter.ask("READ?")) == pytest.approx(0.02, rel=1e-3)
    ammeter.say("CONF:CURR:DC 5")
    assert ammeter.ask("SYST:ERR?").startswith("-222")
    ammeter.say("CONF:CURR:DC 0.05")
    assert ammeter.ask("CONF?") == '"CURR 0.1"'


@pytest.mark.parametrize("function", ["CURR", "VOLT", "RES", "TEMP"])
def test_multimeter_says_what_it_measures(function, ammeter):
    ammeter.say(f"CONF:{function}")
    assert ammeter.ask("FUNC?") == f'"{function}"'
    assert ammeter.ask("UNIT:TEMP?") == "C"


def test_multimeter_fetches_only_what_it_has_read(ammeter):
    assert ammeter.ask("FETC?") == OVER
    ammeter.say("INIT")
    assert float(ammeter.ask("FETC?")) == pytest.approx(0.0, abs=1e-8)
    ammeter.say("*RST")
    assert ammeter.ask("CONF?") == '"VOLT AUTO"'


@pytest.mark.parametrize("said", ["TRIG:SOUR MOON", "UNIT:TEMP F"])
def test_multimeter_refuses_words_that_it_does_not_know(said, ammeter):
    ammeter.say(said)
    assert ammeter.ask("SYST:ERR?").startswith("-224")


def test_multimeter_takes_what_changes_nothing_here(ammeter):
    ammeter.say("SENS:CURR:DC:NPLC 10;CURR:NPLC 1;TRIG:SOUR IMM;SAMP:COUN 1;SYST:BEEP;ABOR")
    ammeter.say("SYST:REM;SYST:LOC")
    assert ammeter.ask("SYST:ERR?") == '0,"No error"'


def test_beep_of_any_other_meter_leaves_the_part_in_the_clips():
    with (
        RehearsalBench(pause_s=0.01) as bench,
        Caller(bench.addresses["voltmeter"]) as voltmeter,
        Caller(bench.addresses["bridge"]) as bridge,
    ):
        voltmeter.ask("READ?")
        wait_until(lambda: bench.wiring.clips == "D1")
        voltmeter.say("SYST:BEEP")
        voltmeter.ask("*OPC?")
        assert bench.wiring.clips == "D1"
        bridge.say("SYST:BEEP")
        wait_until(lambda: bench.wiring.clips == "D2")
