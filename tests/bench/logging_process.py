"""``captriage log`` as a process of its own, at the wires of a rehearsal in this one."""

from __future__ import annotations

import json
import os
import re
import select
import signal
import tempfile
import termios
import time
from contextlib import suppress
from pathlib import Path

from bench.at_the_bench import JOB, QUICK, Sitting
from captriage.bench.measured import Answer, Value
from captriage.bench.telling import answer_figures

PATIENCE_S = 20.0
TAKEN = re.compile(r"taken  (?:(\S+)  )?answer \d+\.(\d+)  (.*?)(?:  after [\d.]+ s at .*)?")
UNSEEN = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]|[\r\a]")
BEGUN = re.compile(r"run    (\d+) in ")


class Bench(Sitting):
    """A sitting whose logging is done by a process; the hand obeys every time it is asked."""

    def __init__(self, folder, parts, **bench):
        super().__init__(folder, parts, **bench)
        self.willing, self.process = True, None
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

    def type(self, text):
        """Whoever is at the keys types a line to the process that was begun last."""
        self.process.type(f"{text}\n")

    def file(self, *names, quick=True, timeout_s=0.1):
        """Bench file with these meters; ``quick`` ones are given so long for an answer."""
        path = self.folder / "bench.toml"
        lines = []
        for name in names:
            profile = self.bench.profiles[name]
            if quick:
                profile = self.meter(name).profile
                text = Path(profile).read_text("utf-8")
                Path(profile).write_text(
                    text.replace("timeout_s = 0.1", f"timeout_s = {timeout_s}"), "utf-8"
                )
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

    def __init__(self, nursery, arguments, *, bench, manner=QUICK, terminal=False, **request):
        self.bench, bench.process = bench, self
        self.lines = []
        self._rest = b""
        self.has_ended = False
        self._error = tempfile.TemporaryFile()  # noqa: SIM115
        if terminal:
            self.keys, self.terminal = os.openpty()
            self.terminal_was = termios.tcgetattr(self.terminal)
            files, self._ours = [self.terminal] * 3, [self.keys, self.terminal]
            self._out = self.keys
        else:
            theirs_in, self.keys = os.pipe()
            self._out, theirs_out = os.pipe()
            files, self._ours = [theirs_in, theirs_out, self._error.fileno()], [self.keys]
            self._ours.append(self._out)
        request = {"folder": str(bench.folder), "runtime": os.environ["CAPTRIAGE_LOCKS"]} | request
        self._child = nursery.bear(
            files, arguments=list(map(str, arguments)), manner=manner, terminal=terminal, **request
        )
        self.pid = self._child.pid
        for file in () if terminal else files[:2]:
            os.close(file)

    def follow(self, until=lambda _: False, *, for_s=PATIENCE_S):
        """Hand each line to the bench as it comes, until one is the last that is waited for.

        That line, which the bench does not get; None where the time is up, or it has ended.
        """
        deadline = time.monotonic() + for_s
        while not self.has_ended and (left := deadline - time.monotonic()) > 0:
            for line in self._received(left):
                if until(line):
                    return line
                self.bench.shown.line(line)
        return None

    def _received(self, within_s):
        """Lines that have come, one at a time; none is lost where the rest is not taken."""
        if b"\n" not in self._rest and select.select([self._out], [], [], within_s)[0]:
            try:
                data = os.read(self._out, 65536)
            except OSError:  # the terminal was closed
                data = b""
            self.has_ended = not data
            self._rest += data
        while b"\n" in self._rest:
            line, _, self._rest = self._rest.partition(b"\n")
            self.lines.append(UNSEEN.sub("", line.decode()))
            yield self.lines[-1]

    def prompts(self, text, *, for_s=PATIENCE_S):
        """Wait until it asks with this text, after which it waits on the same line."""
        deadline = time.monotonic() + for_s
        while text.encode() not in self._rest:
            assert time.monotonic() < deadline, self.lines
            self.follow(for_s=0.05)

    def type(self, text):
        os.write(self.keys, text.encode())

    def send(self, number):
        with suppress(ProcessLookupError):
            os.kill(self.pid, number)

    def kill(self):
        """kill -9, and what it had shown until then."""
        self.send(signal.SIGKILL)
        return self.end()

    def end(self, *, within_s=PATIENCE_S):
        """Exit status, once it has ended by itself; the bench goes on until then."""
        deadline = time.monotonic() + within_s
        while not self._child.has_ended():
            assert time.monotonic() < deadline, self.lines
            self.follow(for_s=0.02)
        at_terminal = os.isatty(self._ours[1])
        self.follow(for_s=0.1 if at_terminal else PATIENCE_S)  # what was written before
        status = self._child.status()
        if at_terminal:
            self.terminal_is = termios.tcgetattr(self.terminal)
        self._error.seek(0)
        self.error = self._error.read().decode()
        self._let_go()
        return status

    def dispose(self):
        """End it where the test did not."""
        if self._ours:
            self.send(signal.SIGKILL)
            self._child.status()
            self._let_go()

    def _let_go(self):
        self._child.close()
        self._error.close()
        for file in self._ours:
            os.close(file)
        self._ours = []

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
