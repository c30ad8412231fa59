"""``captriage rehearse`` as a process of its own, spoken to over its sockets and its terminal."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from bench.rehearsal.wires import Caller, wait_until
from captriage.bench.benches import load_bench
from captriage.bench.rehearsal import drawer
from captriage.cli.rehearse import DRAWERS

LIMIT_S = 60.0


@pytest.fixture
def rehearse(tmp_path):
    """Start it in an empty folder; killed where a test has not ended it."""
    running = []

    def start(*options) -> subprocess.Popen[str]:
        process = subprocess.Popen(
            [sys.executable, "-W", "error", "-m", "captriage", "rehearse", *options],
            cwd=tmp_path,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        running.append(process)
        return process

    yield start
    for process in running:
        if process.poll() is None:
            process.kill()
        process.communicate()


def bench_file(folder: Path) -> dict:
    """The bench file, once it is there whole."""
    path = folder / "rehearsal.toml"
    wait_until(lambda: path.exists() and path.read_text("utf-8").count("[hand]"), within_s=LIMIT_S)
    return tomllib.loads(path.read_text("utf-8"))


def test_drawer_is_read_over_the_wire_until_it_is_done(rehearse, tmp_path):
    process = rehearse("--pause", "0.02", "--until-done", "--dialect", "status_values")
    tables = bench_file(tmp_path)
    assert tables["bridge"]["profile"] == "lcr_scpi_status_values"
    with Caller(tables["bridge"]["address"]) as bridge, Caller(tables["hand"]["address"]) as hand:
        assert bridge.ask("FETC?").count(",") == 3
        for taken in range(1, 13):
            wait_until(lambda n=taken: f", {n} of 12 taken up" in hand.ask("state"))
            wait_until(lambda n=taken: f"clips: D{n} " in hand.ask("state"))
            bridge.say("SYST:BEEP")
        wait_until(lambda: "finished" in hand.ask("state"))
    said, complaints = process.communicate(timeout=LIMIT_S)
    assert (process.returncode, complaints) == (0, "")
    assert "D12 is in the clips\nbeep: takes D12 off\nthe drawer is done\n" in said
    assert said.endswith("The rehearsal has ended; rehearsal.toml is removed.\n")
    assert not (tmp_path / "rehearsal.toml").exists()


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP", "SIGQUIT"])
def test_signal_ends_it_cleanly(name, rehearse, tmp_path):
    if not hasattr(signal, name):
        pytest.skip(f"this system has no {name}")
    process = rehearse("--hand", "by-command", "--echo")
    tables = bench_file(tmp_path)
    serial = tables.get("query", {}).get("address", "")
    process.send_signal(getattr(signal, name))
    said, complaints = process.communicate(timeout=LIMIT_S)
    assert (process.returncode, complaints) == (0, "")
    assert said.endswith("The rehearsal has ended; rehearsal.toml is removed.\n")
    assert list(tmp_path.iterdir()) == []
    assert not os.path.lexists(serial.removeprefix("ASRL").removesuffix("::INSTR") or "/nowhere")


def test_commands_can_be_typed(rehearse, tmp_path):
    process = rehearse("--hand", "by-command")
    bench_file(tmp_path)
    said, complaints = process.communicate("clip D3\nclip D99\nfault bridge late\nstop\n", LIMIT_S)
    assert (process.returncode, complaints) == (0, "")
    lines = said.splitlines()
    assert "Everything here is simulated: the meters, the parts in the drawer, and the hand" in said
    assert "D3 is in the clips" in lines
    assert any(line.startswith("refused: drawer: there is no part 'D99'") for line in lines)
    assert "bridge: late" in lines


def test_drawer_to_be_reformed_lies_still_on_a_bench_with_a_thermometer(rehearse, tmp_path):
    process = rehearse("--drawer", "reforming")
    tables = bench_file(tmp_path)
    # Every meter that a bench file may name, and none that it may not: it would not be read.
    assert set(load_bench(tmp_path / "rehearsal.toml")) >= {"supply", "ammeter", "voltmeter"}
    with Caller(tables["hand"]["address"]) as hand, Caller(tables["supply"]["address"]) as supply:
        assert hand.ask("jig D19") == "D19 is in the jig"
        supply.say("VOLT 5;CURR 0.01;OUTP ON")
        assert float(supply.ask("MEAS:CURR?")) == pytest.approx(5e-3, rel=0.05)
        assert "hand: by command" in hand.ask("state")
    said, complaints = process.communicate("stop\n", timeout=LIMIT_S)
    assert (process.returncode, complaints) == (0, "")
    assert "(thermometer_scpi)" in said
    assert "captriage reform run D13 --bench rehearsal.toml" in said
    assert "data_demo/rehearsal/reforming.csv" in said


def test_drawers_that_can_be_told_are_those_there_are():
    assert set(DRAWERS) == set(drawer.DRAWERS)


def test_second_rehearsal_in_one_folder_is_refused(rehearse, tmp_path):
    first = rehearse()
    bench_file(tmp_path)
    second = rehearse()
    said, complaints = second.communicate(timeout=LIMIT_S)
    assert (second.returncode, said) == (2, "")
    assert complaints.startswith("captriage: rehearsal.toml: belongs to a rehearsal that is runn")
    first.communicate("stop\n", timeout=LIMIT_S)
    assert first.returncode == 0


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["--pause", "0"], "above 0.01 and up to 3600 is allowed"),
        (["--port", "70000"], "--port"),
        (["--dialect", "morse"], "--dialect"),
        (["--hand", "left"], "--hand"),
        (["--drawer", "kitchen"], "--drawer"),
    ],
)
def test_option_that_is_wrong_is_refused(options, message, rehearse):
    process = rehearse(*options)
    _, complaints = process.communicate(timeout=LIMIT_S)
    assert process.returncode == 2
    assert message in complaints
