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
import socket
import subprocess
import sys
import tempfile
import termios

NOBODY = 65534


class Nursery:
    """Starts processes one at a time, and tells how each ended."""

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
        """Number of a new process; ``files`` become its standard input, output and error."""
        socket.send_fds(self._ours, [json.dumps(request).encode()], files)
        return int(self._ours.recv(100))

    def status(self):
        """How the process ended, as :class:`subprocess.Popen` tells it."""
        return int(self._ours.recv(100))

    def close(self):
        self._ours.close()
        assert self._process.wait(30) == 0


def warm_up():
    """Load what logging loads, and open what costs."""
    import captriage.bench.capture
    import captriage.bench.scan
    import captriage.jobs.advice
    import captriage.jobs.logging
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
    """Fork for each request until nobody asks any more."""
    ours.send(b"warm")
    while True:
        data, files, _, _ = socket.recv_fds(ours, 65536, 3)
        if not data:
            return
        child = os.fork()
        if not child:
            grow_up(files, **json.loads(data))
        for file in files:
            os.close(file)
        ours.send(str(child).encode())
        _, status = os.waitpid(child, 0)
        ours.send(str(os.waitstatus_to_exitcode(status)).encode())


def grow_up(
    files, *, arguments, folder, runtime, manner=None, largest=None, nobody=False, terminal=False
):
    """Be the command, which shows every reading of a stream; never returns.

    ``manner`` are other times for a capture, ``largest`` is the size that files may have,
    ``nobody`` a user who may not do everything, ``terminal`` whether the files are one.
    """
    from captriage import cli
    from captriage.bench import manner as manners
    from captriage.report import live

    status = 99
    try:
        if terminal:
            os.setsid()
            fcntl.ioctl(files[0], termios.TIOCSCTTY, 0)
        for number, file in enumerate(files):
            os.dup2(file, number)
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stderr = open(2, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        os.chdir(folder)
        os.environ["XDG_RUNTIME_DIR"] = runtime
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
