"""The log at a terminal: single keys, and the terminal as it was afterwards."""

import os
import pty
import select
import signal
import subprocess
import time

from captriage.store.book import Book
from cli.processes import COMMAND, JOB, parts_sheet, rehearsal


def test_at_a_terminal_single_keys_are_obeyed_and_it_is_put_back(tmp_path):
    parts_sheet(tmp_path, 2)
    person, program = pty.openpty()
    known = ("--book", "bench.book", "--job", JOB, "--parts", "drawer.csv", "--hands-free")
    with rehearsal(tmp_path, "--hand", "by-command"):
        running = subprocess.Popen(
            [*COMMAND, "log", *known],
            cwd=tmp_path,
            stdin=program,
            stdout=program,
            stderr=program,
            env={**os.environ, "TERM": "xterm"},
        )
        os.close(program)
        told_until(person, b"ready  D1")
        for key, answer in (
            (b"l", b"corroded"),
            (b"bu\n", b"bulged (case"),
            (b"s", b"ready  D2"),
            (b"b", b"ready  D1"),
        ):
            os.write(person, key)
            told_until(person, answer)
        told_until(person, b"\x1b[KD1: nothing in the clips")
        running.send_signal(signal.SIGINT)
        told_until(person, b"stopped by Ctrl-C")
        assert running.wait(timeout=20) == 1
        os.close(person)
    with Book.open(tmp_path / "bench.book") as book:
        assert [look.look for look in book.looks(book.job(JOB).id)] == ["bulged"]


def told_until(person, wanted, *, within_s=20.0):
    said, until = b"", time.monotonic() + within_s
    while wanted not in said:
        assert time.monotonic() < until, said
        if select.select([person], [], [], 0.2)[0]:
            said += os.read(person, 65536)
    return said
