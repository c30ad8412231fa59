"""A sitting at the rehearsal bench: real wires, a real book, and a hand that follows a script."""

from __future__ import annotations

import os
import re
import shlex
import time
from collections import defaultdict
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from math import inf
from pathlib import Path

from captriage.bench.manner import Manner
from captriage.bench.profiles import profile_paths
from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.cli.keys import LineKeys
from captriage.jobs import logging as jobs
from captriage.jobs import part_by_part
from captriage.jobs.bench_meters import MeterAt
from captriage.store.book import Book

JOB = "drawer"
YEAR = 2026
PARTS = [
    {"part": "D1", "capacitance_rated": 32e-6, "voltage_rated": 450.0, "made": 1962.0},
    {"part": "D3", "capacitance_rated": 100e-6, "voltage_rated": 25.0, "made": 1975.0},
    {"part": "D8", "capacitance_rated": 220e-6, "voltage_rated": 40.0, "made": 1991.0},
]
SHORT = [{"part": "D9", "capacitance_rated": 16e-6, "voltage_rated": 350.0, "made": 1963.0}]
OPEN = [{"part": "D6", "capacitance_rated": 50e-6, "voltage_rated": 350.0, "made": 1964.0}]
CHARGED = [{"part": "D5", "capacitance_rated": 47e-6, "voltage_rated": 63.0, "made": 1988.0}]
QUICK = {
    "spacing_s": 0.002,
    "fresh_s": 0.02,
    "settled_s": 0.02,
    "off_s": 0.03,
    "off_broken_s": 0.06,
    "double_s": 0.0,
    "interval_s": 0.004,
}


class FastClock:
    """So many seconds in each real one; its wall clock can be set."""

    def __init__(self, times=1.0):
        self.times = times
        self._began = time.monotonic()
        self.set_by = timedelta(0)
        self.slept_s = 0.0

    def monotonic(self):
        return (time.monotonic() - self._began) * self.times + self.slept_s

    def utc(self):
        return datetime(2026, 1, 1, tzinfo=UTC) + timedelta(seconds=self.monotonic()) + self.set_by

    def sleep(self, seconds):
        time.sleep(max(0.0, seconds / self.times))


class Shown:
    """What a person would see, as lines; each may set the hand or the keys going."""

    live = False

    def __init__(self, act):
        self.lines = []
        self.bells = 0
        self.pictures = []
        self._act = act

    def line(self, text=""):
        self.lines.append(text)
        print(text)  # shown where a test fails
        self._act(text)

    def tell(self, label, text):
        self.line(f"{label:<7}{text}")

    def command(self, words):
        self.line(shlex.join(words))

    def taken(self, text):
        self.line(text())

    def status(self, text):
        pass

    def picture(self, lines):
        self.pictures.append(list(lines))

    def bell(self):
        self.bells += 1

    def having(self, text):
        return [line for line in self.lines if text in line]

    def __str__(self):
        return "\n".join(self.lines)


class Sitting:
    """The bench, the book, the keys, and a script.

    ``on(text, action...)``: the n-th line that holds the text sets off the n-th action: a
    command to the rehearsal, or after "key " something typed; an action may be several, with
    ";" between, or a function.
    """

    def __init__(self, folder, parts=PARTS[:2], **bench):
        self.folder = Path(folder)
        self.book = self.folder / "bench.book"
        self.bench = RehearsalBench(**{"automatic": False, "pause_s": 0.02, **bench})
        self.shown = Shown(self._happened)
        self._script = defaultdict(list)
        self._keys_in, self._typed = os.pipe()
        self.keys = LineKeys(self.shown.line, self._keys_in)
        with Book.open(self.book, create=True) as book:
            job = book.add_job(JOB)
            book.add_parts(job, parts)

    def __enter__(self):
        self.bench.__enter__()
        return self

    def __exit__(self, *error):
        self.bench.__exit__(*error)
        os.close(self._keys_in)
        os.close(self._typed)

    def on(self, text, *actions):
        self._script[text] += actions
        return self

    def type(self, text):
        os.write(self._typed, f"{text}\n".encode())

    def _happened(self, line):
        for text, actions in self._script.items():
            if text in line and actions:
                self.do(actions.pop(0))

    def do(self, action):
        if callable(action):
            action()
            return
        for each in action.split(";"):
            command = each.strip()
            if command.startswith("key"):
                self.type(command[4:])
            elif command:
                self.bench.command(command)

    def by_itself(self, *parts):
        """The hand clips each part as it is asked for, and takes it off when it is done."""
        for part in parts:
            self.on(f"ready  {part}", f"clip {part}")
            self.on(f"done   {part}", "off")
        return self

    def meter(self, name):
        """With its profile, but a timeout that a test can wait for."""
        profile = self.folder / f"quick_{name}.toml"
        text = profile_paths()[self.bench.profiles[name]].read_text("utf-8")
        profile.write_text(re.sub("timeout_s = .*", "timeout_s = 0.1", text), "utf-8")
        return MeterAt(name, self.bench.addresses[name], str(profile))

    def log(self, *, voltmeter=True, patience_s=inf, hands_free=True, readings=5, **more):
        manner = Manner(hands_free=hands_free, readings=readings, patience_s=patience_s, **QUICK)
        return part_by_part.log_parts(
            self.book,
            JOB,
            keys=self.keys,
            show=self.shown,
            bridge=self.meter("bridge"),
            voltmeter=self.meter("voltmeter") if voltmeter else None,
            manner=manner,
            today_year=YEAR,
            **more,
        )

    def soak(self, part, plan, *, voltmeter=None, clock=None):
        return jobs.log_soak(
            self.book,
            JOB,
            part,
            keys=self.keys,
            show=self.shown,
            ammeter=self.meter("ammeter"),
            voltmeter=self.meter(voltmeter) if voltmeter else None,
            plan=plan,
            today_year=YEAR,
            clock=clock,
        )

    def stream(self, meter="stream", function="dc_current", **more):
        return jobs.log_stream(
            self.book,
            JOB,
            keys=self.keys,
            show=self.shown,
            meter=self.meter(meter),
            function=function,
            **more,
        )

    @contextmanager
    def opened(self):
        with Book.open(self.book) as book:
            yield book, book.job(JOB).id

    def counting(self, part, quantity="capacitance"):
        """Values of a part that count."""
        return [row.value for row in self.rows(part, quantity) if not row.struck]

    def rows(self, part=None, quantity="capacitance"):
        with self.opened() as (book, job):
            return [
                row
                for row in book.readings(job)
                if quantity in (row.quantity, None) and part in (row.part, None)
            ]

    def events(self, kind=None):
        with self.opened() as (book, job):
            return [(e.kind, e.part, e.text) for e in book.events(job) if kind in (e.kind, None)]

    def looks(self):
        with self.opened() as (book, job):
            return [(look.part, look.look) for look in book.looks(job)]
