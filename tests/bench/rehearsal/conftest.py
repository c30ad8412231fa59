"""One bench whose hand waits for commands, for every test of a meter on its wire."""

from __future__ import annotations

import pytest

from bench.rehearsal.wires import Caller, Terminal
from captriage.bench.rehearsal.bench import RehearsalBench


@pytest.fixture
def bench():
    with RehearsalBench(automatic=False, pause_s=0.01) as running:
        yield running


@pytest.fixture
def call(bench):
    """Connect to a meter by its name."""
    callers = []

    def connect(name: str) -> Caller | Terminal:
        address = bench.addresses[name]
        callers.append((Terminal if address.startswith("ASRL") else Caller)(address))
        return callers[-1]

    yield connect
    for caller in callers:
        caller.__exit__()


@pytest.fixture
def bridge(call):
    """The bridge, set to series capacitance and resistance at 120 Hz, measuring when told."""
    caller = call("bridge")
    for said in ("FUNC:IMP CSRS", "FREQ 120", "VOLT 0.5", "TRIG:SOUR BUS"):
        caller.say(said)
    caller.ask("*OPC?")  # all of it is done
    return caller
