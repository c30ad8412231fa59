"""The simulated hand: in drawer order, off at the beep, and charged parts discharged first."""

from __future__ import annotations

import time

import pytest

from bench.rehearsal.wires import Caller, wait_until
from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.bench.rehearsal.drawer import demo_drawer
from captriage.bench.rehearsal.hand import FINISHED, HOLDING, WAITING
from captriage.errors import MeterError


@pytest.fixture
def three():
    """A sound part, one with a charge, one that is open."""
    drawer = {nature.part: nature for nature in demo_drawer()}
    return [drawer[part] for part in ("D1", "D5", "D6")]


def test_hand_waits_until_a_reading_is_asked_for():
    with RehearsalBench(pause_s=0.01) as bench, Caller(bench.addresses["bridge"]) as bridge:
        bridge.ask("*IDN?")
        time.sleep(0.1)
        assert (bench.hand.state, bench.wiring.clips) == (WAITING, None)
        bridge.ask("FETC?")
        wait_until(lambda: bench.wiring.clips == "D1")


def test_whole_drawer_goes_through_by_beeps_and_voltmeter(three):
    said = []
    with (
        RehearsalBench(three, pause_s=0.02, tell=said.append) as bench,
        Caller(bench.addresses["bridge"]) as bridge,
        Caller(bench.addresses["voltmeter"]) as voltmeter,
    ):
        bridge.ask("FETC?")
        for part in ("D1", "D5", "D6"):
            wait_until(lambda part=part: bench.wiring.clips == part)
            wait_until(lambda: abs(float(voltmeter.ask("MEAS:VOLT?"))) < 1.0)
            wait_until(lambda part=part: bench.wiring.clips == part)
            assert abs(bench.wiring.voltage(part)) < 1.0
            bridge.say("SYST:BEEP")
        wait_until(lambda: bench.hand.state == FINISHED)
        assert not bench.is_done()  # while someone is on the line
    assert bench.is_done()
    assert said == [
        "D1 is in the clips",
        "beep: takes D1 off",
        "D5 is in the clips",
        "D5 holds a charge: takes it off and discharges it",
        "D5 is discharged, and in the clips again",
        "beep: takes D5 off",
        "D6 is in the clips",
        "beep: takes D6 off",
        "the drawer is done",
    ]


def test_part_stays_in_the_clips_until_the_beep():
    with RehearsalBench(pause_s=0.01) as bench, Caller(bench.addresses["bridge"]) as bridge:
        bridge.ask("FETC?")
        wait_until(lambda: bench.wiring.clips == "D1")
        for _ in range(20):
            bridge.ask("FETC?")
            time.sleep(0.005)
        assert (bench.wiring.clips, bench.hand.state) == ("D1", HOLDING)


def test_beep_without_a_part_takes_no_part_off():
    with RehearsalBench(pause_s=0.05) as bench, Caller(bench.addresses["bridge"]) as bridge:
        bridge.say("SYST:BEEP")
        bridge.ask("FETC?")
        wait_until(lambda: bench.wiring.clips == "D1")
        time.sleep(0.15)
        assert bench.wiring.clips == "D1"


def test_charge_that_has_gone_by_itself_is_left_alone(three):
    said = []
    with RehearsalBench(three, pause_s=0.5, tell=said.append) as bench:
        bench.command("clip D5")
        bench.hand.voltage_shown(12.0)
        bench.hand.voltage_shown(0.2)
        time.sleep(0.8)
        assert bench.wiring.clips == "D5"
    assert said == []


def test_hand_by_command_does_nothing_by_itself(bench, bridge):
    bridge.ask("*TRG")
    assert bench.command("next") == "D1 is in the clips"
    bridge.say("SYST:BEEP")
    bridge.ask("*OPC?")
    time.sleep(0.1)
    assert bench.wiring.clips == "D1"
    assert bench.command("next") == "D2 is in the clips"
    assert bench.command("off") == "the clips are empty"
    assert bench.wiring.clips is None


def test_hand_goes_on_after_the_part_that_was_clipped_by_command():
    with RehearsalBench(pause_s=0.01) as bench, Caller(bench.addresses["bridge"]) as bridge:
        bench.command("clip D7")
        bridge.ask("FETC?")
        assert bench.wiring.clips == "D7"
        bridge.say("SYST:BEEP")
        wait_until(lambda: bench.wiring.clips == "D8")


def test_hand_can_be_set_to_work_by_itself_while_it_runs(bench, bridge):
    assert bench.command("automatic on") == "the hand works by itself"
    wait_until(lambda: bench.wiring.clips == "D1")
    assert bench.command("automatic off") == "the hand works by command"
    bridge.say("SYST:BEEP")
    bridge.ask("*OPC?")
    time.sleep(0.1)
    assert bench.wiring.clips == "D1"


def test_drawer_that_is_done_says_so(bench):
    for _ in range(12):
        bench.command("next")
    assert bench.command("next") == "the drawer is done"
    assert bench.wiring.clips is None
    assert bench.hand.state == FINISHED


def test_part_that_is_not_in_the_drawer_cannot_be_clipped(bench):
    with pytest.raises(MeterError, match="drawer: there is no part 'C1'; there are D1, D2, "):
        bench.command("clip C1")


@pytest.mark.parametrize("command", ["jig C1", "discharge C1"])
def test_part_that_is_not_in_the_drawer_cannot_be_had_elsewhere(command, bench):
    with pytest.raises(MeterError, match="drawer: there is no part 'C1'"):
        bench.command(command)


def test_truth_of_a_part_that_is_not_there_is_refused(bench):
    with pytest.raises(MeterError, match="drawer: there is no part 'C1'"):
        bench.truth("C1")
