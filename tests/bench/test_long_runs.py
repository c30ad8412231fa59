"""A day at five readings a second, on a wire, by a clock that runs ahead: memory stays level."""

import json
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from pathlib import Path

import pytest

from captriage.store.book import Book

A_DAY_S = 86_400.0
EVERY_S = 0.2
LEVEL_BYTES = 1_000_000
"""How much the process may grow from a tenth of the day to its end: under 3 bytes a reading."""

FILLING_BYTES = 3_000_000
"""And in a run that is so short that SQLite's cache of 2 MB fills up meanwhile."""

METER = """
import sys
from captriage.bench.rehearsal.bench import RehearsalBench
with RehearsalBench(automatic=False) as bench:
    print(bench.addresses["ammeter"], flush=True)
    sys.stdin.read()
"""

LOGGER = """
import json, os, sys, time
from datetime import UTC, datetime, timedelta

from captriage.cli.keys import Keys
from captriage.jobs.bench_meters import MeterAt
from captriage.jobs.logging import log_stream
from captriage.report.live import Screen

book, address, readings, every_s = sys.argv[1], sys.argv[2], int(sys.argv[3]), float(sys.argv[4])
PAGE = os.sysconf("SC_PAGE_SIZE")


class Ahead:
    # Waits for nothing: what is slept is put on the clock.
    now_s = 0.0

    def monotonic(self):
        return self.now_s

    def utc(self):
        return datetime(2026, 1, 1, tzinfo=UTC) + timedelta(seconds=self.now_s)

    def sleep(self, seconds):
        self.now_s += max(0.0, seconds)


class Weighed(Screen):
    shown = 0
    resident = []

    def taken(self, text):
        super().taken(text)
        self.shown += 1
        if self.shown % (readings // 10) == 0:
            with open("/proc/self/statm") as memory:
                self.resident.append(int(memory.read().split()[1]) * PAGE)


clock = Ahead()
screen = Weighed(open(os.devnull, "w"))
meter = MeterAt("ammeter", address, "multimeter_scpi")
summary = log_stream(
    book, "day", keys=Keys(screen.write), show=screen, meter=meter, function="dc_current",
    until_s=readings * every_s - every_s / 2, every_s=every_s, clock=clock,
)
print(json.dumps([summary.taken, summary.seconds, summary.ended, screen.resident]))
"""


@pytest.fixture
def meter():
    """Address of a simulated meter that runs in a process of its own."""
    command = [sys.executable, "-c", METER]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True}
    with subprocess.Popen(command, **pipes) as running:
        yield running.stdout.readline().strip()
        running.stdin.close()


@pytest.fixture
def quick_disk():
    """Folder in memory, where there is one: a disk would take minutes to write all that through."""
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as name:
        yield Path(name)


@pytest.mark.timeout(600)
@pytest.mark.parametrize(
    ("readings", "most_bytes"),
    [
        (20_000, FILLING_BYTES),
        pytest.param(round(A_DAY_S / EVERY_S), LEVEL_BYTES, marks=pytest.mark.ensemble),
    ],
)
def test_memory_does_not_grow_with_what_is_kept(meter, quick_disk, readings, most_bytes):
    path = quick_disk / "bench.book"
    with Book.open(path, create=True) as book:
        book.add_job("day")
    ran = subprocess.run(
        [sys.executable, "-c", LOGGER, path, meter, str(readings), str(EVERY_S)],
        capture_output=True,
        text=True,
        check=True,
        timeout=590,
    )
    taken, seconds, ended, resident = json.loads(ran.stdout)
    assert (taken, ended) == (readings, "")
    assert seconds == pytest.approx(readings * EVERY_S)
    assert len(resident) == 10
    assert max(resident) - resident[0] < most_bytes, resident
    print(resident)
    with Book.open(path) as book:
        assert book.check() == []
    with closing(sqlite3.connect(path)) as bare:
        question = "SELECT count(*), count(DISTINCT answer), min(answer), max(answer) FROM readings"
        assert bare.execute(question).fetchone() == (readings, readings, 1, readings)
