"""Print the speed of logging as ratios: ``python tests/benchmarks/logging_speed.py``.

The same simulated meter, in a process of its own, is read by a bare loop (a plain socket, an
insert and a commit with sqlite3, synchronous FULL in WAL as in the book) and by ``captriage log
stream`` at full speed, in turn, since a busy spell then falls on both; the best of each counts.
Then what the logger takes of one core at ten readings a second is measured.
"""

from __future__ import annotations

import argparse
import os
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

CAPTRIAGE = (sys.executable, "-m", "captriage")
METER = (
    "import sys, threading\n"
    "from captriage.bench.rehearsal.bench import RehearsalBench\n"
    "with RehearsalBench(automatic=False) as bench:\n"
    "    print(bench.addresses['ammeter'], flush=True)\n"
    "    sys.stdin.read()\n"
)
LEAST_SHARE = 0.60  # of the bare loop's readings a second
MOST_OF_A_CORE = 0.05
TABLE = (
    "CREATE TABLE readings (id INTEGER PRIMARY KEY, quantity TEXT, value REAL, raw TEXT, "
    "utc TEXT, monotonic_s REAL) STRICT"
)


@dataclass(frozen=True)
class Pace:
    """Readings kept, in how long, and how much of a core they took."""

    readings: int
    seconds: float
    core: float

    @property
    def a_second(self) -> float:
        """Readings a second."""
        return self.readings / self.seconds


@contextmanager
def simulated_meter() -> Iterator[str]:
    """VISA name of a simulated ammeter that answers at once, in a process of its own."""
    with subprocess.Popen(
        [sys.executable, "-c", METER], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as meter:
        assert meter.stdin is not None
        assert meter.stdout is not None
        yield meter.stdout.readline().strip()
        meter.stdin.close()


def bare_loop(address: str, folder: Path, seconds: float) -> Pace:
    """Query, insert, commit, as short as it can be written."""
    host, port = address.split("::")[1:3]
    book = folder / f"bare-{time.monotonic_ns()}.sqlite"
    with (
        closing(sqlite3.connect(book, isolation_level=None)) as base,
        closing(socket.create_connection((host, int(port)))) as wire,
    ):
        wire.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        base.execute("PRAGMA journal_mode = WAL")
        base.execute("PRAGMA synchronous = FULL")
        base.execute(TABLE)
        lines = wire.makefile("rb")
        wire.sendall(b"CONF:CURR:DC\n")
        count, before, began = 0, os.times(), time.monotonic()
        while (now := time.monotonic()) - began < seconds:
            wire.sendall(b"READ?\n")
            raw = lines.readline().decode("ascii").strip()
            base.execute("BEGIN")
            base.execute(
                "INSERT INTO readings VALUES (NULL, 'current', ?, ?, ?, ?)",
                (float(raw), raw, datetime.now(UTC).isoformat(), now),
            )
            base.execute("COMMIT")
            count += 1
        took, after = time.monotonic() - began, os.times()
        lines.close()
    return Pace(count, took, (after.user + after.system - before.user - before.system) / took)


def logged(address: str, folder: Path, seconds: float, *more: str) -> Pace:
    """The same by ``captriage log stream``; start-up is measured apart and taken off."""
    book = folder / f"ours-{time.monotonic_ns()}.book"
    bench = folder / "bench.toml"
    bench.write_text(f'[ammeter]\naddress = "{address}"\nprofile = "multimeter_scpi"\n', "utf-8")
    assert tomllib.loads(bench.read_text("utf-8"))
    known = ("--book", str(book), "--job", "speed")
    subprocess.run([*CAPTRIAGE, "book", "new", "speed", "--book", str(book)], check=True,
                   stdout=subprocess.DEVNULL)  # fmt: skip
    command = [*CAPTRIAGE, "log", "stream", *known, "--bench", str(bench), "--meter", "ammeter"]
    costs = []
    for until in (0.5, 0.5 + seconds):
        running = subprocess.Popen(
            [*command, "--until", f"{until}s", *more],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
        )
        _, status, usage = os.wait4(running.pid, 0)
        running.returncode = os.waitstatus_to_exitcode(status)
        assert running.returncode == 0, running.returncode
        with closing(sqlite3.connect(book)) as base:
            kept = base.execute("SELECT count(*) FROM readings").fetchone()[0]
        costs.append((kept, usage.ru_utime + usage.ru_stime))
    (first, short), (both, long) = costs
    return Pace(both - 2 * first, seconds, (long - short) / seconds)


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seconds", type=float, default=5.0, help="of each run")
    asked.add_argument("--times", type=int, default=3, help="runs of each kind")
    told = asked.parse_args()
    with tempfile.TemporaryDirectory() as name, simulated_meter() as address:
        folder = Path(name)
        pairs = [
            (bare_loop(address, folder, told.seconds), logged(address, folder, told.seconds))
            for _ in range(told.times)
        ]
        slow = [
            logged(address, folder, max(10.0, told.seconds), "--every", "0.1s")
            for _ in range(told.times)
        ]
    bare = max((pair[0] for pair in pairs), key=lambda pace: pace.a_second)
    ours = max((pair[1] for pair in pairs), key=lambda pace: pace.a_second)
    share = ours.a_second / bare.a_second
    least = min(slow, key=lambda pace: pace.core)
    fast = "within" if share >= LEAST_SHARE else "BELOW"
    light = "within" if least.core <= MOST_OF_A_CORE else "ABOVE"
    print(
        f"bare loop             {bare.a_second:8.0f} readings a second, {bare.core:.0%} of a core"
    )
    print(
        f"captriage log stream  {ours.a_second:8.0f} readings a second, {ours.core:.0%} of a core"
    )
    print(f"share                 {share:8.0%}  {fast} {LEAST_SHARE:.0%}")
    print(f"at {least.a_second:.1f} a second     {least.core:8.1%} of a core  "
          f"{light} {MOST_OF_A_CORE:.0%}")  # fmt: skip


if __name__ == "__main__":
    main()
