"""``captriage log`` as a process of its own, at the wires of a rehearsal in this one."""

from __future__ import annotations

import json
import os
import re
import select
import signal
import tempfile
import time
from contextlib import suppress

from bench.at_the_bench import JOB, QUICK, Sitting
from captriage.bench.measured import Answer, Value
from captriage.bench.telling import answer_figures

PATIENCE_S = 60.0
TAKEN = re.compile(r"taken  (?:(\S+)  )?answer (\d+)  (.*)")
BEGUN = re.compile(r"run    (\d+) in ")


class Bench(Sitting):
    """A sitting whose logging is done by a process; the hand obeys every time it is asked."""

    def __init__(self, folder, parts, **bench):
        super().__init__(folder, parts, **bench)
        self.willing = True
        self.heard = {name: [] for name in self.bench.ports}
        for name, port in self.bench.ports.items():
            self._listen(name, port.instrument)

    def _listen(self, name, instrument):
        answer = instrument.answer

        def listened(text):
            self.heard[name].append(text)
            return answer(text)

        instrument.answer = listened

    def _happened(self, line):
        label, part = line[:7].strip(), line[7:].partition(" ")[0].rstrip(":")
        if self.willing and (label == "ready" or "may come" in line):
            self.do(f"clip {part}")
        elif self.willing and (label == "done" or "comes next" in line):
            self.do("off")
        super()._happened(line)

    def file(self, *names, quick=True):
        """Bench file with these meters."""
        path = self.folder / "bench.toml"
        lines = []
        for name in names:
            profile = self.meter(name).profile if quick else self.bench.profiles[name]
            lines += [f"[{name}]", f"address = {json.dumps(self.bench.addresses[name])}"]
            lines += [f"profile = {json.dumps(profile)}"]
        path.write_text("\n".join(lines), "utf-8")
        return path

    def by_hand_free(self, *more, job=JOB, meters=("bridge", "voltmeter")):
        """Arguments of the command that walks a job hands-free."""
        bench = str(self.file(*meters))
        common = ["--bench", bench, "--book", str(self.book), "--job", job]
        return ["log", *common, "--hands-free", *map(str, more)]

    def streaming(self, *more, meter="ammeter", job=JOB):
        """Arguments of the command that keeps what a meter sends."""
        bench = str(self.file(meter))
        common = ["--bench", bench, "--book", str(self.book), "--job", job, "--meter", meter]
        return ["log", "stream", *common, *map(str, more)]


class Logging:
    """A process that logs: what it has shown so far, its keys, its end."""

    def __init__(self, nursery, arguments, *, bench, manner=QUICK, terminal=None, **request):
        self.bench, self.nursery = bench, nursery
        self.lines = []
        self.began = time.monotonic()
        self._rest = b""
        self._error = tempfile.TemporaryFile()  # noqa: SIM115
        if terminal is None:
            theirs_in, self.keys = os.pipe()
            self._out, theirs_out = os.pipe()
            files = [theirs_in, theirs_out, self._error.fileno()]
        else:
            self._out = self.keys = terminal.ours
            files = [terminal.theirs] * 3
        self._terminal = terminal
        request = {"folder": str(bench.folder), "runtime": os.environ["XDG_RUNTIME_DIR"]} | request
        self.pid = nursery.bear(
            files, arguments=arguments, manner=manner, terminal=terminal is not None, **request
        )
        if terminal is None:
            os.close(theirs_in)
            os.close(theirs_out)

    def follow(self, until=lambda _: False, *, for_s=PATIENCE_S):
        """Hand each line to the bench as it comes, until one is the last that is waited for.

        That line; None where the time is up, or the output has ended.
        """
        deadline = time.monotonic() + for_s
        while (left := deadline - time.monotonic()) > 0:
            if not select.select([self._out], [], [], left)[0]:
                return None
            for line in self._received():
                self.lines.append(line)
                if until(line):
                    return line
                self.bench.shown.line(line)
            if self._ended:
                return None
        return None

    _ended = False

    def _received(self):
        try:
            data = os.read(self._out, 65536)
        except OSError:  # the terminal was closed
            data = b""
        self._ended = not data
        *whole, self._rest = (self._rest + data).split(b"\n")
        return [line.decode().rstrip("\r") for line in whole]

    def kill(self):
        """kill -9, and what it had shown until then."""
        with suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)
        return self.end(obey=False)

    def send(self, number):
        os.kill(self.pid, number)

    def end(self, *, obey=True):
        """Exit status, once it has ended by itself."""
        deadline = time.monotonic() + PATIENCE_S
        if self._terminal is None:
            while not self._ended:
                assert time.monotonic() < deadline, self.lines
                if obey:
                    self.follow(for_s=1.0)
                else:
                    self.lines += self._received()
        status = self.nursery.status()
        if self._terminal is None:
            os.close(self._out)
            os.close(self.keys)
        with self._error:
            self._error.seek(0)
            self.error = self._error.read().decode()
        return status

    def having(self, text):
        return [line for line in self.lines if text in line]

    @property
    def run(self):
        """Number of its run in the book; None before it was told."""
        found = next(filter(None, map(BEGUN.match, self.lines)), None)
        return int(found[1]) if found else None

    def shown(self):
        """(run, part, answer, figures) of each reading that was shown as taken."""
        found = filter(None, map(TAKEN.fullmatch, self.lines))
        return [(self.run, f[1] or "", int(f[2]), f[3]) for f in found]


def figures_in(book, job):
    """(run, part, answer, figures) of each reply in the book, as the bench would show it."""
    values = {}
    for row in book.readings(job):
        value = Value(
            row.quantity,
            row.value,
            row.uncertainty,
            row.at_least,
            row.at_most,
            row.range_high,
            row.flag,
        )
        values.setdefault((row.run_id, row.part, row.answer), []).append((value, row))
    return {
        (*key, answer_figures(Answer(tuple(v for v, _ in each), "-", None, each[0][1].monotonic_s)))
        for key, each in values.items()
    }
