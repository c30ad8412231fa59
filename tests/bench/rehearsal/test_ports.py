"""The wires themselves: one caller at a time, plugs pulled, nothing left behind."""

from __future__ import annotations

import gc
import os
import socket
import threading
import warnings
from pathlib import Path

import pytest

from bench.rehearsal.wires import Caller, wait_until
from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.errors import MeterError


def test_second_caller_is_hung_up_on_and_the_first_goes_on(bench, bridge):
    with Caller(bench.addresses["bridge"]) as second:
        assert second.is_closed()
    assert bridge.ask("*IDN?").startswith("CAPTRIAGE")


def test_next_caller_is_heard_as_soon_as_the_first_has_left(bench):
    for _ in range(50):
        with Caller(bench.addresses["bridge"]) as caller:
            assert caller.ask("*IDN?").startswith("CAPTRIAGE")


def test_what_was_asked_before_a_line_closed_is_not_answered_on_the_next(bench):
    bench.command("fault bridge late 0.1 once")
    with Caller(bench.addresses["bridge"]) as first:
        first.say("FREQ?")
        first.say("*OPC?")
    with Caller(bench.addresses["bridge"]) as second:
        assert second.line(within_s=0.3) == b""


def test_questions_cut_anywhere_are_put_together(bridge):
    for piece in (b"*I", b"DN", b"?\r", b"\n*OPC?\nFR"):
        os.write(bridge.fd, piece)
    assert bridge.line().startswith(b"CAPTRIAGE")
    assert bridge.line() == b"1\n"
    os.write(bridge.fd, b"EQ?\n")
    assert bridge.line() == b"1.200000E+02\n"


def test_endless_line_is_given_up_and_the_next_is_heard(bridge):
    os.write(bridge.fd, b"7" * 20_000)
    os.write(bridge.fd, b"\n")
    assert bridge.ask("*IDN?").startswith("CAPTRIAGE")


def test_bytes_that_are_no_text_are_an_undefined_header(bridge):
    os.write(bridge.fd, b"\xff\xfe\x00\n\n")
    assert bridge.ask("SYST:ERR?").startswith("-113")


def test_unplugged_meter_keeps_its_place_for_when_it_is_plugged_in_again(bench, bridge):
    before = bench.addresses["bridge"]
    assert bench.command("unplug bridge") == "bridge is unplugged"
    bench.command("unplug bridge")  # nothing more to pull
    assert "unplugged: bridge" in bench.state()
    assert bench.command("replug bridge") == "bridge is plugged in"
    bench.command("replug bridge")
    assert bench.addresses["bridge"] == before
    with Caller(before) as again:
        assert float(again.ask("FREQ?")) == 120.0  # it had its own supply
    assert bridge.is_closed()


def test_place_that_was_taken_meanwhile_is_told(bench, bridge):
    port = int(bench.addresses["bridge"].split("::")[2])
    bench.command("unplug bridge")
    assert bridge.is_closed()
    message = f"bridge: TCP port {port}: .*; name another, or 0"
    with socket.create_server(("127.0.0.1", port)), pytest.raises(MeterError, match=message):
        bench.command("replug bridge")
    bench.command("replug bridge")
    with Caller(bench.addresses["bridge"]) as again:
        assert again.ask("*OPC?") == "1"


def test_port_in_use_is_refused_and_nothing_is_left_open():
    before = threading.active_count()
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        bench = RehearsalBench(bridge_port=port)
        with pytest.raises(MeterError, match=f"bridge: TCP port {port}: "):
            bench.__enter__()
    assert threading.active_count() == before


def test_port_can_be_chosen():
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    with RehearsalBench(bridge_port=port) as bench:
        assert bench.addresses["bridge"] == f"TCPIP::127.0.0.1::{port}::SOCKET"


def test_meter_that_takes_its_time_over_a_reading():
    with (
        RehearsalBench(automatic=False, reading_s=0.2) as bench,
        Caller(bench.addresses["voltmeter"]) as meter,
    ):
        meter.say("READ?")
        assert meter.line(within_s=0.1) == b""
        assert abs(float(meter.line())) < 1e-5
        meter.say("*IDN?")
        assert meter.line(within_s=0.15).startswith(b"CAPTRIAGE")


def flood(caller):
    """Ask and ask and read nothing, until there is no more room or the meter hangs up."""
    os.set_blocking(caller.fd, False)
    for _ in range(200_000):
        os.write(caller.fd, b"*IDN?\n" * 50)


def test_caller_who_never_reads_does_not_stop_the_bench(bench):
    with Caller(bench.addresses["bridge"]) as rude:
        with pytest.raises((BlockingIOError, BrokenPipeError, ConnectionResetError)):
            flood(rude)
        wait_until(lambda: "clips" in bench.command("state"))


def open_files() -> int:
    """How many this process has open; where the system does not tell, none."""
    folder = Path("/proc/self/fd")
    return len(list(folder.iterdir())) if folder.is_dir() else 0


def test_nothing_is_left_behind():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with RehearsalBench():  # whatever is opened once and kept
            pass
        gc.collect()
        threads, files = threading.active_count(), open_files()
        for _ in range(3):
            with RehearsalBench() as bench, Caller(bench.addresses["bridge"]) as caller:
                caller.ask("FETC?")
                with Caller(bench.control_address) as control:
                    control.ask("state")
        bench.close()  # a second time does nothing
        assert bench.control_address == ""
        gc.collect()
    assert (threading.active_count(), open_files()) == (threads, files)


def test_bench_closes_while_callers_are_connected():
    with RehearsalBench() as bench:
        bridge = Caller(bench.addresses["bridge"])
        control = Caller(bench.control_address)
        control.ask("state")
    with bridge, control:
        assert bridge.is_closed()
        assert control.is_closed()


def test_bench_that_was_never_started_closes():
    RehearsalBench().close()
