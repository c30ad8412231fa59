"""Print the speed of logging as ratios: ``python tests/benchmarks/logging_speed.py``.

The same simulated meter, in a process of its own, is read by a bare loop (a plain socket, an
insert and a commit with sqlite3, synchronous FULL in WAL as in the book) and by ``captriage log
stream`` at full speed, in turn, since a busy spell then falls on both; the best of each counts.
Then what the logger takes of one core at ten readings a second is measured: of ``log stream``,
and of ``log`` itself, which asks a bridge and the voltmeter beside it so often.
"""

from __future__ import annotations

import argparse
import os
import signal
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
    "    bench.command('clip D3')\n"
    "    print(*(bench.addresses[name] for name in sys.argv[1:]), flush=True)\n"
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
def simulated_meters(*names: str) -> Iterator[list[str]]:
    """VISA names of simulated meters that answer at once, in a process of their own."""
    command = [sys.executable, "-c", METER, *names]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as meters:
        assert meters.stdin is not None
        assert meters.stdout is not None
        yield meters.stdout.readline().split()
        meters.stdin.close()


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


def walked(bridge: str, voltmeter: str, folder: Path, seconds: float) -> Pace:
    """A part taken by ``captriage log``, ten readings a second, once its limits are told."""
    book, bench, parts = folder / "walk.book", folder / "walk.toml", folder / "parts.csv"
    bench.write_text(
        f'[bridge]\naddress = "{bridge}"\nprofile = "lcr_scpi_values_status"\n'
        f'[voltmeter]\naddress = "{voltmeter}"\nprofile = "multimeter_scpi"\n',
        "utf-8",
    )
    parts.write_text("part,rated (µF),rated (V),made\nD3,100,25,1975\n", "utf-8")
    known = ("--book", str(book), "--job", f"walk {time.monotonic_ns()}")
    command = [*CAPTRIAGE, "log", *known, "--bench", str(bench), "--parts", str(parts)]
    with subprocess.Popen(
        [*command, "--hands-free", "--readings", "1000"],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        text=True,
    ) as running:
        assert running.stdout is not None
        while not running.stdout.readline().startswith("taken "):
            assert running.poll() is None
        time.sleep(1.0)  # the limits are being worked out
        (first, before), began = taken_so_far(running.pid, book), time.monotonic()
        time.sleep(seconds)
        (last, after), took = taken_so_far(running.pid, book), time.monotonic() - began
        running.send_signal(signal.SIGINT)
        running.stdout.read()
    return Pace(last - first, took, (after - before) / took)


def taken_so_far(process: int, book: Path) -> tuple[int, float]:
    """Replies of a bridge in a book, and the seconds of a core that a process has had so far."""
    fields = Path(f"/proc/{process}/stat").read_text("ascii").rpartition(")")[2].split()
    ticks = int(fields[11]) + int(fields[12])
    with closing(sqlite3.connect(book)) as base:
        kept = base.execute("SELECT count(*) FROM readings WHERE quantity = 'esr'").fetchone()[0]
    return kept, ticks / os.sysconf("SC_CLK_TCK")


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seconds", type=float, default=5.0, help="of each run")
    asked.add_argument("--times", type=int, default=3, help="runs of each kind")
    told = asked.parse_args()
    with (
        tempfile.TemporaryDirectory() as name,
        simulated_meters("ammeter", "bridge", "voltmeter") as (address, bridge, voltmeter),
    ):
        folder = Path(name)
        pairs = [
            (bare_loop(address, folder, told.seconds), logged(address, folder, told.seconds))
            for _ in range(told.times)
        ]
        slow = [
            logged(address, folder, max(10.0, told.seconds), "--every", "0.1s")
            for _ in range(told.times)
        ]
        walks = [walked(bridge, voltmeter, folder, told.seconds) for _ in range(told.times)]
    bare = max((pair[0] for pair in pairs), key=lambda pace: pace.a_second)
    ours = max((pair[1] for pair in pairs), key=lambda pace: pace.a_second)
    share = ours.a_second / bare.a_second
    fast = "within" if share >= LEAST_SHARE else "BELOW"
    print(
        f"bare loop             {bare.a_second:8.0f} readings a second, {bare.core:.0%} of a core"
    )
    print(
        f"captriage log stream  {ours.a_second:8.0f} readings a second, {ours.core:.0%} of a core"
    )
    print(f"share                 {share:8.0%}  {fast} {LEAST_SHARE:.0%}")
    for what, paces in (("log stream", slow), ("log", walks)):
        least = min(paces, key=lambda pace: pace.core)
        light = "within" if least.core <= MOST_OF_A_CORE else "ABOVE"
        print(
            f"captriage {what:<11} {least.a_second:8.1f} readings a second, "
            f"{least.core:.1%} of a core  {light} {MOST_OF_A_CORE:.0%}"
        )


if __name__ == "__main__":
    main()
