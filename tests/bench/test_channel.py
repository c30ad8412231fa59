"""Connections that die, cannot be opened, or take nothing."""

import time

import pytest

from bench.wires import CLOSE, HislipMeter, TcpMeter
from captriage.errors import Gone, Silent


def elapsed(call):
    start = time.monotonic()
    call()
    return time.monotonic() - start


def test_a_connection_closed_in_mid_answer_is_gone_at_once(wire_to):
    with TcpMeter({"HALF?": [b"+1.23", CLOSE]}) as talker:
        wire = wire_to(talker, timeout_s=5)
        with pytest.raises(Gone, match="the meter closed the connection"):
            assert elapsed(lambda: wire.ask("HALF?")) < 1
        assert not wire.is_open


def test_a_connection_closed_between_questions_is_gone_at_once(meter, wire_to):
    wire = wire_to(meter, timeout_s=5)
    meter.unplug()
    start = time.monotonic()
    with pytest.raises(Gone, match=r"closed the connection|was it unplugged"):
        wire.ask("READ?")
    with pytest.raises(Gone, match="not connected"):
        wire.tell("*RST")
    assert time.monotonic() - start < 1
    meter.plug()


def test_a_meter_that_comes_back_is_the_same(meter, wire_to):
    wire = wire_to(meter)
    meter.unplug()
    with pytest.raises(Gone):
        wire.ask("READ?")
    meter.plug()
    wire.open()
    wire.resume()
    assert wire.ask("READ?") == "+1.5E-03"


def test_a_meter_that_hangs_up_is_gone_at_once_over_hislip(wire_to):
    with HislipMeter({"DIE?": [CLOSE]}) as meter:
        wire = wire_to(meter, timeout_s=5)
        start = time.monotonic()
        with pytest.raises(Gone, match="closed the connection"):
            wire.ask("DIE?")
        assert time.monotonic() - start < 1


def test_a_meter_that_takes_nothing_is_silent(wire_to):
    with TcpMeter({"STOP": [30]}) as talker:
        wire = wire_to(talker)
        wire.tell("STOP")
        with pytest.raises(Silent, match=r"does not take .* within 0.15 s; check its flow"):
            [wire.tell("X" * 4000) for _ in range(100_000)]


def test_closing_never_raises_and_may_be_done_twice(meter, wire_to):
    wire = wire_to(meter)
    meter.unplug()
    wire.close()
    wire.close()
    assert not wire.is_open
    meter.plug()
