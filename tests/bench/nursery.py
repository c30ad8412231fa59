"""A process that is warm, and forks others that are the command ``captriage`` from there on.

A start then costs milliseconds, so that hundreds of runs can be killed, stopped and starved.
Run as a script; it has no threads of its own, so that a fork of it is whole.
"""

from __future__ import annotations

import fcntl
import functools
import json
import os
import resource
import select
import signal
import socket
import subprocess
import sys
import tempfile
import termios

NOBODY = 65534


class Nursery:
    """Starts processes, several at once."""

    def __init__(self):
        self._ours, theirs = socket.socketpair()
        with theirs:
            self._process = subprocess.Popen(
                [sys.executable, __file__, str(theirs.fileno())],
                pass_fds=[theirs.fileno()],
                stdin=subprocess.DEVNULL,
                env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
            )
        assert self._ours.recv(100) == b"warm"

    def bear(self, files, **request):
        """A new process; ``files`` become its standard input, output and error."""
        ours, theirs = socket.socketpair()
        with theirs:
            data = json.dumps(request).encode()
            socket.send_fds(self._ours, [data], [*files, theirs.fileno()])
            return Child(ours)

    def close(self):
        self._ours.close()
        assert self._process.wait(30) == 0


class Child:
    """A process that was born."""

    def __init__(self, nurse):
        self._nurse = nurse
        self.pid = int(nurse.recv(100))

    def has_ended(self, within_s=0.0):
        return bool(select.select([self._nurse], [], [], within_s)[0])

    def status(self):
        """How it ended, as :class:`subprocess.Popen` tells it; its terminal is there still."""
        return int(self._nurse.recv(100))

    def close(self):
        self._nurse.close()


def warm_up():
    """Load what logging loads, and open what costs."""
    import encodings.idna  # noqa: F401 - nobody may not load it, where Python is root's own

    import captriage.bench.capture
    import captriage.bench.scan
    import captriage.jobs.advice
    import captriage.jobs.logging
    import captriage.jobs.part_by_part
    import captriage.judging.expectations
    import captriage.judging.verdicts
    import captriage.report.figures
    import captriage.store.frames  # noqa: F401
    from captriage.bench.connecting import manager
    from captriage.bench.owner import take
    from captriage.bench.profiles import load_profile
    from captriage.judging.policy import load_policy
    from captriage.store.book import Book

    manager("nursery", "@py")
    take("TCPIP::127.0.0.1::1::SOCKET").release()
    for name in ("lcr_scpi_values_status", "multimeter_scpi", "serial_stream"):
        load_profile(name)
    load_policy("ordinary-service")
    with tempfile.TemporaryDirectory() as folder:
        Book.open(f"{folder}/bench.book", create=True).close()


def serve(ours):
    """Fork a nurse for each request until nobody asks any more."""
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    ours.send(b"warm")
    while True:
        data, files, _, _ = socket.recv_fds(ours, 65536, 4)
        if not data:
            return
        if not os.fork():
            ours.close()
            nurse(socket.socket(fileno=files.pop()), files, **json.loads(data))
        for file in files:
            os.close(file)


def nurse(talk, files, *, terminal=False, **request):
    """Fork the process, tell its number and how it ended; hold its terminal until released.

    Never returns. Where ``terminal``, the files are one: it is that of a session of its own.
    """
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    if terminal:
        os.setsid()
        fcntl.ioctl(files[0], termios.TIOCSCTTY, 0)
    child = os.fork()
    if not child:
        talk.close()
        grow_up(files, **request)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for file in files if not terminal else ():
        os.close(file)
    talk.send(str(child).encode())
    _, status = os.waitpid(child, 0)
    talk.send(str(os.waitstatus_to_exitcode(status)).encode())
    talk.recv(100)
    os._exit(0)


def grow_up(files, *, arguments, folder, runtime, manner=None, largest=None, nobody=False):
    """Be the command, which shows every reading of a stream; never returns.

    ``manner`` are other times for a capture, ``largest`` is the size that files may have,
    ``nobody`` a user who may not do everything.
    """
    from captriage import cli
    from captriage.bench import manner as manners
    from captriage.report import live

    status = 99
    try:
        for number, file in enumerate(files):
            os.dup2(file, number)
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stderr = open(2, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        os.chdir(folder)
        os.environ |= {"CAPTRIAGE_LOCKS": runtime, "HOME": folder}
        if largest is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (largest, largest))
        if nobody and not os.geteuid():
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
        if manner is not None:
            manners.Manner = functools.partial(manners.Manner, **manner)
        live.TAKEN_EVERY_S = 0.0
        sys.argv = ["captriage", *arguments]
        cli.main()
    except SystemExit as end:
        status = end.code
    except BaseException:
        sys.excepthook(*sys.exc_info())
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)


if __name__ == "__main__":
    warm_up()
    serve(socket.socket(fileno=int(sys.argv[1])))
