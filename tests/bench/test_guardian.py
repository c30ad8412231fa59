"""Whatever becomes of a run or of its guardian, the output of the supply goes off."""

import json
import os
import signal
import time

import pytest

from bench.guarded_bench import OFF_WITHIN_S, is_on, off_after, run_of_its_own, started, until
from captriage.bench.rehearsal.bench import RehearsalBench


@pytest.fixture
def bench():
    with RehearsalBench(automatic=False) as running:
        yield running


@pytest.fixture
def address(bench):
    return bench.addresses["supply"]


def words(folder):
    until((folder / "last.json").exists)
    return json.loads((folder / "last.json").read_text("utf-8"))


def test_it_is_on_as_long_as_the_run_says_that_it_lives(bench, address, tmp_path):
    with started(address, tmp_path) as supply:
        began = time.monotonic()
        until(lambda: time.monotonic() - began > 2.5, every=supply.beat)
        assert is_on(bench)
        assert supply.volts.values[0].value == pytest.approx(60.0, abs=0.5)
        assert supply.switch_off("done").fault == ""
        assert not is_on(bench)
    assert words(tmp_path)["why"] == "done"


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM, signal.SIGHUP])
def test_a_run_that_is_killed_leaves_the_output_off(bench, address, tmp_path, number):
    with run_of_its_own(address, tmp_path) as (process, guardian):
        assert is_on(bench)
        process.send_signal(number)
        assert off_after(bench) < OFF_WITHIN_S
    until(lambda: not alive(guardian))
    said = words(tmp_path)
    assert said["why"] == "the run has ended without switching it off"
    assert said["confirmed"]


def test_a_run_that_hangs_leaves_the_output_off(bench, address, tmp_path):
    with run_of_its_own(address, tmp_path) as (process, _):
        process.send_signal(signal.SIGSTOP)
        assert off_after(bench) < OFF_WITHIN_S
        assert words(tmp_path)["why"] == "the run said nothing for 1.4 s"


@pytest.mark.ensemble
def test_what_a_terminal_sends_does_not_reach_the_guardian(bench, address, tmp_path):
    with run_of_its_own(address, tmp_path) as (process, guardian):
        assert os.getsid(guardian) != os.getsid(process.pid)
        for number in (signal.SIGINT, signal.SIGHUP, signal.SIGQUIT):
            os.kill(guardian, number)
        time.sleep(0.3)
        assert is_on(bench)
        assert alive(guardian)
        os.killpg(process.pid, signal.SIGKILL)
        assert off_after(bench) < OFF_WITHIN_S
    until(lambda: not alive(guardian))


def test_a_guardian_that_is_killed_is_replaced_by_the_run(bench, address, tmp_path):
    with started(address, tmp_path) as supply:
        os.kill(supply.guardian_pid, signal.SIGKILL)
        until(lambda: supply.off is not None, OFF_WITHIN_S, supply.beat)
        assert not is_on(bench)
        assert (supply.off.why, supply.off.fault) == ("its guardian has died", "")


def test_a_guardian_that_hangs_is_replaced_by_the_run(bench, address, tmp_path):
    with started(address, tmp_path) as supply:
        supply.beat()
        os.kill(supply.guardian_pid, signal.SIGSTOP)
        until(lambda: supply.off is not None, OFF_WITHIN_S + 0.5, supply.beat)
        assert not is_on(bench)
        assert supply.off.why.startswith("its guardian says nothing for 1.")


def test_a_guardian_told_to_end_switches_off_first(bench, address, tmp_path):
    with started(address, tmp_path) as supply:
        os.kill(supply.guardian_pid, signal.SIGTERM)
        assert off_after(bench) < OFF_WITHIN_S
        until(lambda: not alive(supply.guardian_pid) or supply.off, every=supply.beat)


def test_a_wire_that_is_cut_and_comes_back_finds_the_output_switched_off(bench, address, tmp_path):
    with started(address, tmp_path) as supply:
        bench.command("unplug supply")
        until(lambda: supply.off is not None, every=supply.beat)
        assert "it told nothing to be believed for" in supply.off.why
        assert "connection refused" in supply.off.fault
        assert is_on(bench)  # no wire leads to it
        bench.command("replug supply")
        off_after(bench)
        until(lambda: supply.off.fault == "", every=supply.beat)


@pytest.mark.ensemble
def test_a_wire_that_is_cut_as_the_run_dies_is_tried_until_it_is_back(bench, address, tmp_path):
    with run_of_its_own(address, tmp_path) as (process, guardian):
        bench.command("unplug supply")
        process.kill()
        time.sleep(0.5)
        bench.command("replug supply")
        off_after(bench)
    until(lambda: not alive(guardian))
    assert words(tmp_path)["confirmed"]


@pytest.mark.ensemble
@pytest.mark.parametrize("fault", ["silence", "garbage", "dropped", "terminator", "late 3", "echo"])
def test_a_supply_that_tells_nothing_to_be_believed_is_switched_off(
    bench, address, tmp_path, fault
):
    with started(address, tmp_path) as supply:
        bench.command(f"fault supply {fault}")
        began = time.monotonic()
        until(lambda: not is_on(bench), OFF_WITHIN_S, supply.beat)
        assert time.monotonic() - began < OFF_WITHIN_S
        until(lambda: supply.off is not None, every=supply.beat)
        assert "nothing to be believed" in supply.off.why
        assert supply.faults
        bench.command("fault supply none")
        until(lambda: supply.off.fault == "", every=supply.beat)


def test_an_output_that_does_not_go_off_is_never_said_to_be_off(bench, address, tmp_path):
    with started(address, tmp_path) as supply:
        bench.command("fault supply deaf")
        assert "asked for OFF, OUTP? says 1" in supply.switch_off("done").fault
        bench.command("fault supply none")
        until(lambda: supply.off.fault == "", every=supply.beat)
        assert not is_on(bench)


def alive(pid):
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True
