"""Connections that die, cannot be opened, or take nothing."""

import time

import pytest
from pyvisa.constants import StatusCode
from pyvisa.errors import VisaIOError

import captriage.bench.wire as wire_module
from bench.wires import CLOSE, HislipMeter, PtyMeter, TcpMeter
from captriage.bench import channel, connecting
from captriage.bench.clock import SystemClock
from captriage.bench.profile import Transport
from captriage.bench.wire import Wire
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


# Through a backend that holds no socket or port of the operating system


@pytest.fixture
def other_backend(monkeypatch):
    """As with the VISA library of a vendor: only VISA's own reads and writes are to be had."""
    monkeypatch.setattr(connecting, "_interface", lambda _: None)


@pytest.mark.usefixtures("other_backend")
def test_another_backend_is_read_by_lines(talker, wire_to):
    talker.answers["SLOW?"] = [0.25, "+9.9E+00"]
    wire = wire_to(talker)
    assert wire._live().channel.kind == ("serial" if "ASRL" in talker.address else "network")
    assert wire.ask("READ?") == "+1.5E-03"
    with pytest.raises(Silent):
        wire.ask("SLOW?")
    assert wire.ask("READ?") == "+1.5E-03"
    assert wire.thrown_away == 1


@pytest.mark.usefixtures("other_backend")
def test_another_backend_that_loses_a_port_is_gone(tmp_path, wire_to):
    with PtyMeter(tmp_path) as talker:
        wire = wire_to(talker)
        talker.unplug()
        with pytest.raises(Gone, match=r"was it unplugged|the port failed"):
            wire.ask("READ?")
        talker.plug()


class Bus:
    """A USB instrument as VISA shows it: clear, write, read; one message in its queue."""

    def __init__(self):
        self.timeout, self.cleared, self.queue, self.closed = 0, 0, [], False

    def clear(self):
        self.cleared += 1
        self.queue.clear()

    def write_raw(self, data):
        self.queue += {b"*IDN?\n": [b"EXAMPLE"], b"READ?\n": [b"+1"]}.get(data, [])

    def read_bytes(self, *_, **__):
        if not self.queue:
            raise VisaIOError(StatusCode.error_timeout)
        return self.queue.pop(0)

    def close(self):
        self.closed = True


def test_a_bus_is_cleared_before_it_is_brought_into_step(monkeypatch):
    bus = Bus()
    made = channel.MessageChannel(bus, None, kind="bus", whole=True)
    monkeypatch.setattr(wire_module, "connect", lambda *_, **__: made)
    wire = Wire("USB0::1::2::SN::INSTR", Transport(timeout_s=0.05), clock=SystemClock())
    wire.open()
    assert wire.identify("*IDN?", ".+") == "EXAMPLE"
    with pytest.raises(Silent):
        wire.ask("NONE?")
    bus.queue.append(b"+9 late")
    assert wire.ask("READ?") == "+1"
    assert bus.cleared == 1
    wire.close()
    assert bus.closed


class Dead(Bus):
    """One that was pulled out."""

    def write_raw(self, _):
        raise VisaIOError(StatusCode.error_connection_lost)


def test_a_bus_that_fails_is_gone(monkeypatch):
    made = channel.MessageChannel(Dead(), None, kind="bus", whole=True)
    monkeypatch.setattr(wire_module, "connect", lambda *_, **__: made)
    wire = Wire("USB0::1::2::SN::INSTR", Transport(timeout_s=0.05), clock=SystemClock())
    wire.open()
    with pytest.raises(Gone, match=r"USB failed \(VI_ERROR_CONN_LOST"):
        wire.ask("READ?")
    wire.close()
