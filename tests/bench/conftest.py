"""Wires to small meters of our own, closed at the end of the test."""

import pytest

from bench.logging_process import Logging
from bench.nursery import Nursery
from bench.wires import IDENTITY, HislipMeter, PtyMeter, TcpMeter
from bench.wires_vxi11 import Vxi11Meter
from captriage.bench.clock import SystemClock
from captriage.bench.profile import Transport
from captriage.bench.wire import Wire

QUICK = 0.15  # s, for one answer


@pytest.fixture(autouse=True)
def own_folder_of_locks(tmp_path_factory, monkeypatch):
    """Locks of instruments lie in a folder of the test's own."""
    monkeypatch.setenv("CAPTRIAGE_LOCKS", str(tmp_path_factory.mktemp("run")))


@pytest.fixture
def wire_to():
    """Opens a wire to a meter; those it opened are closed at the end."""
    opened = []

    def open_wire(meter, *, identify=True, clock=None, **transport):
        transport = {"timeout_s": QUICK, **transport}
        wire = Wire(meter.address, Transport(**transport), clock=clock or SystemClock(), name="dmm")
        opened.append(wire)
        wire.open()
        if identify:
            assert wire.identify("*IDN?", "EXAMPLE.*") == IDENTITY
        return wire

    yield open_wire
    for wire in opened:
        wire.close()


@pytest.fixture(params=["socket", "serial", "hislip", "vxi11"])
def meter(request, tmp_path):
    """A meter of each kind of connection."""
    made = {
        "socket": TcpMeter,
        "serial": lambda: PtyMeter(tmp_path),
        "hislip": HislipMeter,
        "vxi11": Vxi11Meter,
    }
    with made[request.param]() as talker:
        yield talker


@pytest.fixture(params=["socket", "serial"])
def talker(request, tmp_path):
    """A meter of each kind of connection that carries plain lines."""
    made = {"socket": TcpMeter, "serial": lambda: PtyMeter(tmp_path)}
    with made[request.param]() as talker:
        yield talker


@pytest.fixture(scope="session")
def nursery():
    """A warm process that forks others."""
    warm = Nursery()
    yield warm
    warm.close()


@pytest.fixture
def start(nursery):
    """Starts processes that log at a bench; those that go on still are killed at the end."""
    started = []

    def begin(bench, arguments, **how):
        started.append(Logging(nursery, arguments, bench=bench, **how))
        return started[-1]

    yield begin
    for each in started:
        each.dispose()
