"""A supply at the rehearsal bench: what it is told is done, or known not to be."""

from dataclasses import replace

import pytest

from bench.rehearsal.wires import wait_until
from captriage.bench.clock import SystemClock
from captriage.bench.meter import Meter
from captriage.bench.profiles import load_profile
from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.errors import Silent, Unset

SETTINGS = {
    "set_voltage": {"voltage_v": 60.0},
    "set_current_limit": {"current_a": 0.02},
    "protect_voltage": {"protection_v": 66.0},
    "protect_current": {},
    "on": {},
}


@pytest.fixture
def bench():
    with RehearsalBench(automatic=False) as running:
        yield running


@pytest.fixture
def supply(bench):
    profile = load_profile("supply_scpi")
    profile = replace(profile, transport=replace(profile.transport, timeout_s=0.2))
    meter = Meter(profile, bench.addresses["supply"], name="supply", clock=SystemClock())
    meter.open()
    yield meter
    meter.close()


def read(supply, function):
    supply.use(function)
    (value,) = supply.read().values
    return value.value


def test_all_that_it_is_told_it_says_it_has_done(supply):
    for action, settings in SETTINGS.items():
        assert supply.perform(action, **settings) == settings
    assert [read(supply, name) for name in ("voltage_set", "current_set", "protection_set")] == [
        60.0,
        0.02,
        66.0,
    ]
    assert (read(supply, "output"), read(supply, "voltage_tripped")) == (1, 0)
    assert read(supply, "dc_voltage") == pytest.approx(60.0, abs=0.3)
    assert read(supply, "dc_current") == pytest.approx(0.0, abs=1e-3)
    assert supply.perform("off") == {}
    assert read(supply, "output") == 0
    assert read(supply, "dc_voltage") == pytest.approx(0.0, abs=0.3)


def test_an_output_that_a_protection_switches_off_is_not_taken_for_on(supply):
    supply.perform("protect_voltage", protection_v=50.0)
    supply.perform("set_voltage", voltage_v=60.0)
    with pytest.raises(Unset, match=r"^supply: asked for ON, OUTP\? says 0; see that"):
        supply.perform("on")
    assert (read(supply, "voltage_tripped"), read(supply, "current_tripped")) == (1, 0)
    supply.perform("set_voltage", voltage_v=40.0)
    with pytest.raises(Unset, match=r"asked for ON, OUTP\? says 0"):
        supply.perform("on")  # until it is cleared
    supply.perform("clear_trip")
    supply.perform("on")
    assert read(supply, "output") == 1


def test_a_protection_trips_in_the_middle_of_a_charge(bench, supply):
    bench.command("jig D1")
    supply.perform("protect_voltage", protection_v=20.0)
    supply.perform("set_voltage", voltage_v=60.0)
    supply.perform("set_current_limit", current_a=0.01)
    supply.perform("on")
    wait_until(lambda: read(supply, "output") == 0)
    assert read(supply, "voltage_tripped") == 1
    assert bench.wiring.voltage("D1") <= 20.0


def test_a_short_trips_the_protection_of_the_current(bench, supply):
    for action, settings in SETTINGS.items():
        supply.perform(action, **settings)
    bench.command("jig D9")
    assert (read(supply, "output"), read(supply, "current_tripped")) == (0, 1)
    with pytest.raises(Unset, match=r"asked for ON, OUTP\? says 0"):
        supply.perform("on")


@pytest.mark.parametrize("action", SETTINGS)
def test_a_supply_that_is_deaf_is_found_out_at_each_action(bench, supply, action):
    bench.command("fault supply deaf")
    with pytest.raises(Unset, match=r"^supply: asked for "):
        supply.perform(action, **SETTINGS[action])
    bench.command("fault supply none")
    assert supply.perform(action, **SETTINGS[action]) == SETTINGS[action]


def test_a_supply_that_is_deaf_to_off_is_found_out(bench, supply):
    supply.perform("set_voltage", voltage_v=60.0)
    supply.perform("on")
    bench.command("fault supply deaf")
    with pytest.raises(Unset, match=r"^supply: asked for OFF, OUTP\? says 1; see that its keys"):
        supply.perform("off")


def test_a_voltage_that_it_cannot_give_is_an_error_in_its_own_words(supply):
    said = r"^supply: answers VOLT 550 with -222,\"Data out of range\"; see that"
    with pytest.raises(Unset, match=said):
        supply.perform("set_voltage", voltage_v=550.0)
    assert read(supply, "voltage_set") == 0


def test_a_supply_that_falls_silent_leaves_it_open_whether_it_did(bench, supply):
    bench.command("fault supply silence")
    with pytest.raises(Silent, match="no answer to"):
        supply.perform("set_voltage", voltage_v=60.0)
