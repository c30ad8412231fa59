"""The serial meters, read and written as a terminal, byte by byte."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from bench.rehearsal.wires import Terminal, wait_until
from captriage.bench.rehearsal import terminals
from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.bench.rehearsal.terminals import TerminalPort
from captriage.errors import MeterError

pytestmark = pytest.mark.skipif(
    not terminals.has_terminals(), reason="this system has no pseudo-terminals"
)


@pytest.fixture
def query(call):
    meter = call("query")
    meter.say("SYST:REM")
    return meter


def test_serial_meter_is_deaf_until_it_is_told_that_it_is_remote(call):
    meter = call("query")
    meter.say("*IDN?")
    assert meter.line(within_s=0.2) == b""
    meter.say("SYST:REM")
    assert meter.ask("*IDN?") == "CAPTRIAGE,REHEARSAL SERIAL METER,SIMULATED,1"
    meter.say("SYST:LOC")
    meter.say("*IDN?")
    assert meter.line(within_s=0.2) == b""


def test_answers_carry_their_unit_and_end_in_carriage_return_and_line_feed(bench, query):
    bench.command("jig D9")
    bench.command("knob 20")
    query.say("CONF:CURR:DC")
    query.say("READ?")
    assert re.fullmatch(rb"(20\.00\d|19\.99\d) mA\r\n", query.line())
    query.say("CONF:VOLT:DC")
    query.say("READ?")
    assert re.fullmatch(rb"(20\.0\d\d|19\.9\d\d) V\r\n", query.line())
    query.say("CONF:RES")
    query.say("READ?")
    assert re.fullmatch(rb"0\.\d\d Ohm\r\n", query.line())
    bench.command("jig off")
    assert query.ask("READ?") == "OL MOhm"


def test_between_two_ranges_there_is_no_number(bench, query):
    query.say("CONF:VOLT:DC")
    bench.command("knob 2")
    assert re.fullmatch(r"\d\.\d{4} V", query.ask("READ?"))
    bench.command("knob 300")
    assert query.ask("READ?") == "---- V"
    assert re.fullmatch(r"(300\.\d\d|299\.\d\d) V", query.ask("READ?"))


def test_serial_meter_refuses_what_it_cannot_measure(query):
    query.say("CONF:TEMP")
    assert query.ask("SYST:ERR?").startswith("-224")


def test_meter_with_echo_sends_each_question_first():
    with RehearsalBench(automatic=False, echo=True) as bench:
        assert bench.profiles["query"] == "serial_query_echo"
        with Terminal(bench.addresses["query"]) as meter:
            meter.say("SYST:REM")
            assert meter.line() == b"SYST:REM\r\n"
            meter.say("READ?")
            assert meter.line() == b"READ?\r\n"
            assert re.fullmatch(rb"-?0\.\d+ V\r\n", meter.line())


def test_streaming_meter_sends_lines_unasked(bench, call):
    bench.command("jig D9")
    bench.command("knob 20")
    stream = call("stream")
    stream.line()  # what lay on the line before, perhaps cut
    lines = [stream.line() for _ in range(4)]
    assert all(re.fullmatch(rb"DC (\d+\.\d+|----) (mA|uA)\r\n", line) for line in lines)
    assert re.fullmatch(rb"DC (20\.0|19\.9)\d+ mA\r\n", lines[-1])
    stream.say("*IDN?")
    assert stream.line().startswith(b"DC ")


def test_streaming_meter_cannot_have_faults_of_questions(bench):
    for kind in ("echo", "stranger"):
        with pytest.raises(MeterError, match=f"stream: cannot have the fault '{kind}'; it can: "):
            bench.command(f"fault stream {kind}")


def test_what_nobody_reads_is_lost_and_the_meter_goes_on():
    with (
        RehearsalBench(automatic=False, stream_every_s=1e-4) as bench,
        Terminal(bench.addresses["stream"]) as stream,
    ):
        wait_until(lambda: bench.ports["stream"].instrument.readings > 2000, within_s=30)
        for _ in range(400):
            stream.line()
        assert stream.line().startswith(b"DC ")


def test_unplugged_terminal_is_dead_and_a_link_leads_to_the_new_one(bench, query):
    link = Path(bench.addresses["query"].removeprefix("ASRL").removesuffix("::INSTR"))
    assert link.samefile(os.ttyname(query.fd))
    bench.command("unplug query")
    assert not link.is_symlink()
    assert query.is_closed()
    bench.command("replug query")
    with Terminal(bench.addresses["query"]) as again:
        again.say("SYST:REM")
        assert again.ask("*IDN?").startswith("CAPTRIAGE")


def test_dropped_terminal_can_be_opened_again(bench, query):
    bench.command("fault query dropped once")
    query.say("*IDN?")
    assert query.line(within_s=1.0) in {b"", b"CAPTRIAGE,REHEARSAL SE"}  # the rest is lost
    assert query.is_closed()
    with Terminal(bench.addresses["query"]) as again:
        assert again.ask("*IDN?").startswith("CAPTRIAGE")


def test_links_are_gone_when_the_bench_is_closed():
    with RehearsalBench(automatic=False) as bench:
        serial = [a for a in bench.addresses.values() if a.startswith("ASRL")]
        folders = [Path(a.removeprefix("ASRL").removesuffix("::INSTR")).parent for a in serial]
        assert all(folder.is_dir() for folder in folders)
    assert len(folders) == 2
    assert not any(folder.exists() for folder in folders)


def test_system_without_terminals_is_told_so(bench, monkeypatch):
    meter = bench.ports["query"]
    monkeypatch.setattr(terminals, "has_terminals", lambda: False)
    with pytest.raises(MeterError, match="query: this system has no pseudo-terminals; only the"):
        TerminalPort(meter.instrument, meter.conversation)


def test_bench_on_such_a_system_has_the_meters_on_tcp(monkeypatch):
    monkeypatch.setattr("captriage.bench.rehearsal.bench.has_terminals", lambda: False)
    with RehearsalBench(automatic=False) as bench:
        assert set(bench.addresses) == {"bridge", "voltmeter", "ammeter", "supply"}
