"""The command "captriage reform run" as a process, at a rehearsal bench of this one."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
from math import isfinite
from pathlib import Path

from bench.at_the_bench import JOB
from bench.reforming_bench import PART, PARTS, quick_plan, sound
from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.jobs.rehearsal import bench_text
from captriage.reform.plan_data import plan_as_data
from captriage.store.book import Book

ANSWERS = {
    # what is asked: what is typed
    "Type 'this can kill'": "this can kill",
    "type the volts that are shown": "0.1 V",
    "look at C1": "sound",
    "Type 'plus to plus'": "plus to plus",
    "press Enter, and the voltage comes": "",
}
PATIENCE_S = 40.0
INDENT = " " * 7


class RunProcess:
    """A bench, a book, and a run in a process of its own whose lines are read as they come.

    Parameters
    ----------
    folder : Path
        Of the book, the plan and the bench file.
    change : dict
        Of every step of the plan.
    """

    def __init__(self, folder, **change):
        self.folder = Path(folder)
        self.book = self.folder / "bench.book"
        self.bench = RehearsalBench([sound()], reforming=True, automatic=False)
        change = {"least_s": 30.0, "most_s": 60.0, **change}
        plan = plan_as_data(quick_plan(change=change))
        (self.folder / "plan.json").write_text(json.dumps(plan), "utf-8")
        with Book.open(self.book, create=True) as book:
            book.add_parts(book.add_job(JOB), PARTS)
        self.process = None
        self.lines = []
        self.off_at = None
        self._answered = set()
        self._ends = threading.Event()

    def __enter__(self):
        self.bench.__enter__()
        self.bench.command(f"jig {PART}")
        (self.folder / "bench.toml").write_text(bench_text(self.bench), "utf-8")
        self._looks = threading.Thread(target=self._look, daemon=True)
        self._looks.start()
        return self

    def __exit__(self, *error):
        if self.process.poll() is None:
            os.kill(self.process.pid, signal.SIGCONT)
            self.process.kill()
        self.leave()
        self._ends.set()
        self._looks.join()
        self.bench.__exit__(*error)

    def start(self, *more):
        """Begin the run."""
        command = [sys.executable, "-u", "-m", "captriage", "reform", "run", PART, "--job", JOB]
        command += ["--book", "bench.book", "--bench", "bench.toml", "--voltmeter", "voltmeter"]
        if self.process is not None:
            self.leave()
        self.lines.clear()
        self._answered.clear()
        self.process = subprocess.Popen(
            [*command, *more],
            cwd=self.folder,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )
        self._reads = threading.Thread(target=self._read, daemon=True)
        self._reads.start()
        return self

    def leave(self):
        """The process has ended, or is about to: close its pipes."""
        self._reads.join()
        self.process.wait()
        self.process.stdin.close()
        self.process.stdout.close()

    def _read(self):
        for line in self.process.stdout:
            if line.startswith(INDENT) and self.lines:  # a sentence goes on
                self.lines[-1] += f" {line.strip()}"
            else:
                self.lines.append(line.rstrip())
            for asked, typed in ANSWERS.items():
                if asked in self.lines[-1] and asked not in self._answered:
                    self._answered.add(asked)
                    self.type(typed)

    def type(self, text):
        """Type a line."""
        self.process.stdin.write(f"{text}\n")
        self.process.stdin.flush()

    def until(self, text):
        """Wait for a line that holds a text."""
        began = time.monotonic()
        while not self.having(text):
            assert time.monotonic() - began < PATIENCE_S, f"no {text!r} in {self.lines}"
            assert self.process.poll() is None or self.having(text), self.lines
            time.sleep(0.01)

    def having(self, text):
        return [line for line in list(self.lines) if text in line]

    @property
    def guardian(self):
        """Number of the process of the guardian: the child of the run."""
        children = f"/proc/{self.process.pid}/task/{self.process.pid}/children"
        return int(Path(children).read_text().split()[0])

    def gives(self):
        """Whether the supply truly feeds the jig, whatever it says."""
        return isfinite(self.bench.wiring.jig_source().resistance_ohm)

    def _look(self):
        was_on = False
        while not self._ends.wait(0.003):
            on = self.gives()
            if was_on and not on:
                self.off_at = time.monotonic()
            was_on = on

    def off_after(self, since, within_s=2.0):
        """Seconds from a moment until the output was off; fails where it stays on."""
        if not self.gives():  # it went off by itself, or was off before
            return max((self.off_at or since) - since, 0.0)
        while self.gives():
            assert time.monotonic() - since < within_s, "the output is on still"
            time.sleep(0.005)
        return time.monotonic() - since

    def problems(self):
        """What is wrong with the book."""
        with Book.open(self.book) as book:
            return book.check()
