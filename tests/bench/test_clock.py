"""The real clock."""

import time
from datetime import UTC

import pytest

from captriage.bench.clock import SystemClock


@pytest.mark.skipif(not hasattr(time, "CLOCK_BOOTTIME"), reason="only Linux has two such clocks")
def test_the_time_in_which_the_machine_sleeps_counts(monkeypatch):
    """No test puts the machine to sleep: the kernel's clock that counts it has to be asked."""
    shown = {time.CLOCK_BOOTTIME: 5000.0, time.CLOCK_MONOTONIC: 100.0}
    monkeypatch.setattr(time, "clock_gettime", shown.__getitem__)
    monkeypatch.setattr(time, "monotonic", lambda: 100.0)
    assert SystemClock().monotonic() == 5000.0


def test_it_goes_on_and_waits():
    clock = SystemClock()
    before = clock.monotonic()
    clock.sleep(0.02)
    clock.sleep(-1.0)
    assert 0.02 <= clock.monotonic() - before < 1.0
    assert clock.utc().tzinfo is UTC
