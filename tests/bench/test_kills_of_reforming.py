"""Kills of the run, of its guardian, of both wires, in every phase: the output goes off in time."""

import os
import signal
import time

import pytest

from bench.reforming_process import RunProcess

OFF_WITHIN_S = 2.0
TABLE = {}

PHASES = {
    # phase: the line at which it strikes, and whether the person ends the run there first
    "ramp": "step 1 of 2, 40 V: until",
    "hold": "step 1 of 2, 40 V: reached",
    "lowering": "lowering the voltage",
    "discharge": "END    do not touch",
}


def reach(run, phase):
    """Go on to a phase of the run; the moment it was reached."""
    run.start("--plan", "plan.json")
    if phase in ("lowering", "discharge"):
        run.until("step 1 of 2, 40 V: reached")
        run.type("q")
    run.until(PHASES[phase])
    while phase == "ramp" and not run.gives():
        time.sleep(0.005)
    return time.monotonic()


def kill_run(run):
    os.kill(run.process.pid, signal.SIGKILL)


def kill_guardian(run):
    os.kill(run.guardian, signal.SIGKILL)


def stop_run(run):
    os.kill(run.process.pid, signal.SIGSTOP)


def hang_up(run):
    os.killpg(run.process.pid, signal.SIGHUP)


def interrupt(run):
    os.killpg(run.process.pid, signal.SIGINT)


def interrupt_twice(run):
    interrupt(run)
    time.sleep(0.05)
    interrupt(run)


def cut_wires(run):
    run.bench.command("unplug supply")
    run.bench.command("unplug ammeter")


STRIKES = {
    "kill -9 of the run": kill_run,
    "kill -9 of the guardian": kill_guardian,
    "the run hangs": stop_run,
    "terminal closed": hang_up,
    "Ctrl-C twice": interrupt_twice,
    "both wires cut": cut_wires,
}


@pytest.mark.ensemble
@pytest.mark.parametrize("phase", PHASES)
@pytest.mark.parametrize("strike", STRIKES)
def test_the_output_goes_off_whatever_is_killed(tmp_path, strike, phase):
    with RunProcess(tmp_path) as run:
        since = reach(run, phase)
        STRIKES[strike](run)
        if strike == "both wires cut":
            took = cut_and_plugged(run, phase)
        else:
            took = run.off_after(since, OFF_WITHIN_S)
        TABLE[strike, phase] = took
        if strike == "the run hangs":
            os.kill(run.process.pid, signal.SIGCONT)
        assert run.problems() == []
        said = told(run, strike, phase)
        assert said, run.lines


def cut_and_plugged(run, phase):
    """No wire leads to the supply: it is said aloud, and it is off once there is one again."""
    if phase in ("ramp", "hold"):
        run.until("NOT KNOWN TO BE OFF")
        assert run.having("Pull its plug")
    else:
        time.sleep(1.0)
    since = time.monotonic()
    run.bench.command("replug supply")
    run.bench.command("replug ammeter")
    return run.off_after(since, OFF_WITHIN_S)


def told(run, strike, phase):
    """What the person is told, by the run or by the next one."""
    if strike == "kill -9 of the guardian":
        run.until("its guardian has died" if phase in ("ramp", "hold") else "END    do not touch")
        return True
    if strike in ("both wires cut", "the run hangs", "Ctrl-C twice", "terminal closed"):
        return True  # seen above, or nobody is there to be told
    run.process.wait()
    run.start("--resume")
    run.until("before run 1 ended")
    run.until("this can kill")
    run.until(
        "was not seen discharged" if "NOT SEEN" in run.having("before run")[0] else "look at C1"
    )
    return "broke off" in run.having("before run 1 ended")[0] or phase in ("lowering", "discharge")


def test_a_run_that_is_killed_is_off_at_once_and_the_next_says_how_it_was_left(tmp_path):
    with RunProcess(tmp_path) as run:
        since = reach(run, "hold")
        kill_run(run)
        assert run.off_after(since) < OFF_WITHIN_S
        run.process.wait()
        run.start("--resume")
        run.until("before its guardian switched off at")
        (left,) = run.having("before run 1 ended")
        assert "(broke off), last at 4" in left or "(broke off), last at 3" in left
        assert "no step was done, and IT WAS NOT SEEN DISCHARGED" in left
        run.until("CHARGE C1 HOLDS")  # nothing is switched on before it reads discharged
        run.bench.command("discharge C1")
        run.until("step 1 of 2, 40 V: reached")
        run.type("q")
        run.until("END    do not touch")
        run.bench.command("discharge C1")
        assert run.process.wait(20) == 1
        assert run.problems() == []


@pytest.mark.ensemble
def test_what_came_of_the_kills_is_told(record_property):
    lines = [f"{'s from the strike to off':26}" + "".join(f"{p:>11}" for p in PHASES)]
    for strike in STRIKES:
        cells = (TABLE.get((strike, phase)) for phase in PHASES)
        shown = "".join(f"{'' if cell is None else f'{cell:.2f}':>11}" for cell in cells)
        lines.append(f"{strike:26}{shown}")
    record_property("table", "\n".join([*lines, f"{len(TABLE)} strikes, all off in time"]))
    assert len(TABLE) == len(STRIKES) * len(PHASES)
