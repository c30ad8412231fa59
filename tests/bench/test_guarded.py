"""What a guardian refuses, what it finds out by itself, and what is said of it."""

import os
import signal
import time
from pathlib import Path

import pytest

from bench.guarded_bench import is_on, off_after, own_profile, started, until
from captriage.bench.clock import SystemClock
from captriage.bench.guarded import Address, GuardedSupply
from captriage.bench.guardian import Allowed, Guardian
from captriage.bench.held_supply import HeldSupply
from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.errors import CapTriageError, Gone, ProfileError, Unset

ALLOWED = Allowed(highest_v=100.0, highest_a=0.05, until_s=60.0)


@pytest.fixture
def bench():
    with RehearsalBench(automatic=False) as running:
        yield running


@pytest.fixture
def held(bench):
    """A supply that is held, and a guardian in this process."""
    supply = HeldSupply.of(
        "supply_scpi", bench.addresses["supply"], name="supply", clock=SystemClock(), answer_s=0.4
    )
    supply.open()
    yield supply
    supply.close()


@pytest.fixture
def guardian(held):
    """It tells what it has to say to its list ``said``."""
    said = []
    here = Guardian(held, ALLOWED, tell=said.append, clock=SystemClock())
    here.said = said
    return here


def asks(guardian, action, **settings):
    message = {"do": "perform", "number": 1, "action": action, "settings": settings}
    guardian.obey(message)
    return guardian.said[-1]


def switched_on(guardian, volts=60.0):
    asks(guardian, "set_voltage", voltage_v=volts)
    asks(guardian, "set_current_limit", current_a=0.02)
    assert asks(guardian, "on")["said"] == "done"


@pytest.mark.parametrize(
    ("action", "settings", "said"),
    [
        ("set_voltage", {"voltage_v": 101.0}, "supply: 101 V; at most 100 V is allowed"),
        ("set_current_limit", {"current_a": 0.06}, "supply: 0.06 A; at most 0.05 A is allowed"),
        ("on", {}, "supply: on, without set_current_limit and set_voltage; set them first"),
    ],
)
def test_it_refuses_what_is_not_allowed_before_it_is_on_the_wire(guardian, action, settings, said):
    answer = asks(guardian, action, **settings)
    assert (answer["said"], answer["kind"], answer["text"]) == ("refused", "CapTriageError", said)
    assert guardian.supply._output() == 0


def test_once_switched_off_it_is_never_switched_on_again(guardian):
    switched_on(guardian)
    guardian.switch_off("a stop")
    assert asks(guardian, "on")["text"] == "supply: on; it was switched off: a stop"
    assert guardian.supply._output() == 0


def test_a_voltage_above_what_was_set_switches_off(bench, guardian):
    switched_on(guardian)
    bench.ports["supply"].instrument.answer("VOLT 90")
    guardian.obey({"do": "beat"})
    guardian.watch()
    assert guardian.stopped.startswith("it gives 9")
    assert guardian.stopped.endswith("V, and was set to 60 V")
    assert not is_on(bench)


def test_what_a_discharged_part_gives_back_at_nought_volts_stops_nothing(bench, guardian):
    switched_on(guardian, 0.0)
    for volts, said in (("1.5", ""), ("3.5", "it gives 3.")):
        bench.ports["supply"].instrument.answer(f"VOLT {volts}")
        guardian._look()
        assert guardian.stopped.startswith(said)
        assert bool(guardian.stopped) == bool(said)


def test_a_current_above_the_limit_of_the_run_switches_off(bench, guardian):
    bench.command("jig D9")  # shorted
    bench.ports["supply"].instrument.answer("VOLT 100")
    switched_on(guardian, 100.0)
    bench.ports["supply"].instrument.answer("CURR 0.09")
    guardian.obey({"do": "beat"})
    guardian.watch()
    assert guardian.stopped == "it gives 90 mA; at most 50 mA is allowed"
    assert not is_on(bench)


def test_a_reading_over_range_switches_off(bench, guardian):
    switched_on(guardian)
    bench.command("fault supply over-range")
    guardian.watch()
    assert guardian.stopped == "it gives over range, and was set to 60 V"


def test_a_protection_that_trips_ends_the_run(bench, guardian):
    switched_on(guardian)
    bench.ports["supply"].instrument.answer("VOLT:PROT 50")
    guardian.obey({"do": "beat"})
    guardian.watch()
    assert guardian.stopped == "its output went off by itself: a protection has tripped"


def test_the_time_of_the_whole_run_ends_it(bench, tmp_path):
    with started(bench.addresses["supply"], tmp_path, until_s=0.5) as supply:
        until(lambda: supply.off is not None, every=supply.beat)
        assert supply.off.why == "the time of the whole run is over"
        assert not is_on(bench)
        with pytest.raises(CapTriageError, match=r"^supply: on; it was switched off: the time of"):
            supply.perform("on")


def test_what_the_supply_says_reaches_the_run(bench, tmp_path):
    with started(bench.addresses["supply"], tmp_path) as supply:
        with pytest.raises(CapTriageError, match=r"^supply: 470 V; at most 450 V is allowed"):
            supply.perform("set_voltage", voltage_v=470.0)
        bench.command("fault supply deaf")
        with pytest.raises(Unset, match=r"^supply: asked for 30 V, VOLT\? says 60 V"):
            supply.perform("set_voltage", voltage_v=30.0)
        bench.command("fault supply none")


def test_a_run_whose_guardian_dies_at_a_question_switches_off(bench, tmp_path):
    with started(bench.addresses["supply"], tmp_path) as supply:
        os.kill(supply.guardian_pid, signal.SIGKILL)
        with pytest.raises(Gone, match=r"^supply: its guardian has died; begin again"):
            supply.perform("set_voltage", voltage_v=30.0)
        assert not is_on(bench)
        with pytest.raises(Gone, match=r"^supply: its guardian has died; switch off and begin"):
            supply.perform("on")
        assert supply.switch_off("done").fault == ""


@pytest.mark.ensemble
def test_a_guardian_that_hangs_at_a_question_is_ended(bench, tmp_path):
    with started(bench.addresses["supply"], tmp_path) as supply:
        os.kill(supply.guardian_pid, signal.SIGSTOP)
        with pytest.raises(Gone, match=r"^supply: its guardian does not answer within 5 s; begin"):
            supply.perform("set_voltage", voltage_v=30.0)
        assert not is_on(bench)


def test_a_profile_that_is_gone_by_then_keeps_no_run_from_switching_off(bench, tmp_path):
    path = own_profile(tmp_path)
    supply = GuardedSupply(
        Address("supply", bench.addresses["supply"], path), ALLOWED, clock=SystemClock()
    )
    supply.start()
    try:
        supply.perform("set_voltage", voltage_v=60.0)
        supply.perform("set_current_limit", current_a=0.02)
        supply.perform("on")
        Path(path).unlink()
        os.kill(supply.guardian_pid, signal.SIGKILL)
        until(lambda: supply.off is not None, every=supply.beat)
        assert not is_on(bench)
        assert supply.off.fault == ""
    finally:
        supply.close()


def test_a_supply_that_is_slow_to_obey_is_no_run_that_says_nothing(guardian, monkeypatch):
    switched_on(guardian)
    perform = guardian.supply.perform

    def slowly(action, **settings):
        time.sleep(1.6)
        return perform(action, **settings)

    monkeypatch.setattr(guardian.supply, "perform", slowly)
    assert asks(guardian, "set_voltage", voltage_v=70.0)["said"] == "done"
    guardian.watch()
    assert guardian.stopped == ""
    guardian.switch_off("done")


def test_an_output_that_is_on_already_is_left_alone(bench):
    bench.ports["supply"].instrument.answer("OUTP ON")
    supply = GuardedSupply(
        Address("supply", bench.addresses["supply"], "supply_scpi"), ALLOWED, clock=SystemClock()
    )
    with pytest.raises(CapTriageError, match=r"^supply: its output is on already; see what hangs"):
        supply.start()
    assert is_on(bench)


def test_a_supply_that_is_not_there_is_told_in_its_own_words(bench):
    bench.command("unplug supply")
    supply = GuardedSupply(
        Address("supply", bench.addresses["supply"], "supply_scpi"), ALLOWED, clock=SystemClock()
    )
    with pytest.raises(Gone, match=r"connection refused"):
        supply.start()


@pytest.mark.parametrize(
    ("profile", "said"),
    [
        ("multimeter_scpi", r"^supply: multimeter_scpi is a multimeter; name a supply"),
        (None, r"^supply: own_supply does not say how it is told or asked for off; write that"),
    ],
)
def test_a_profile_that_says_too_little_is_refused(bench, tmp_path, profile, said):
    profile = profile or own_profile(tmp_path, **{r'off = \[\["OUTP\?", "OFF"\]\]': ""})
    with pytest.raises(ProfileError, match=said):
        HeldSupply.of(profile, bench.addresses["supply"], name="supply", clock=SystemClock())


def test_an_output_that_sticks_trips_its_own_protection(bench, held):
    held.perform("set_voltage", voltage_v=60.0)
    held.perform("set_current_limit", current_a=0.02)
    held.perform("on")
    bench.command("fault supply stuck-on")  # it says that it is off, and gives its voltage still
    assert held.off() == ""
    assert bench.wiring.jig_source().voltage_v == 0.0
    assert not is_on(bench)
    off_after(bench)
