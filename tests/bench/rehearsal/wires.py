"""Plain sockets and terminals: the tests' own way to speak to a simulated meter."""

from __future__ import annotations

import os
import select
import socket
import time
from collections.abc import Callable


def wait_until(holds: Callable[[], bool], *, within_s: float = 10.0) -> None:
    """Wait for something to become true."""
    until = time.monotonic() + within_s
    while not holds():
        assert time.monotonic() < until, "waited in vain"
        time.sleep(0.002)


class Line:
    """Bytes in and out, read up to a line end and no longer than a time."""

    def __init__(self, fd: int) -> None:
        self.fd = fd
        self._got = b""

    def say(self, text: str) -> None:
        os.write(self.fd, text.encode() + b"\n")

    def line(self, *, within_s: float = 5.0, end: bytes = b"\n") -> bytes:
        """Up to and with a line end; what there is where the time is over or the line closed."""
        until = time.monotonic() + within_s
        while end not in self._got:
            if not select.select([self.fd], [], [], max(0.0, until - time.monotonic()))[0]:
                break
            try:
                data = os.read(self.fd, 4096)
            except OSError:  # an unplugged terminal
                data = b""
            if not data:
                break
            self._got += data
        head, found, self._got = self._got.partition(end)
        return head + found

    def ask(self, text: str) -> str:
        self.say(text)
        return self.line().decode("ascii").rstrip("\r\n")

    def is_closed(self, *, within_s: float = 5.0) -> bool:
        """Whether the other end hangs up within a time, saying nothing more."""
        if not select.select([self.fd], [], [], within_s)[0]:
            return False
        try:
            return os.read(self.fd, 4096) == b""
        except OSError:
            return True


class Caller(Line):
    """A bare TCP connection to a VISA socket name, or to HOST:PORT."""

    def __init__(self, address: str) -> None:
        host, port = address.split("::")[1:3] if "::" in address else address.split(":")
        self._socket = socket.create_connection((host, int(port)), timeout=5.0)
        super().__init__(self._socket.fileno())

    def __enter__(self) -> Caller:
        return self

    def __exit__(self, *_: object) -> None:
        self._socket.close()


class Terminal(Line):
    """A terminal opened as a serial port is, raw, by its VISA name."""

    def __init__(self, address: str) -> None:
        self.path = address.removeprefix("ASRL").removesuffix("::INSTR")
        super().__init__(os.open(self.path, os.O_RDWR | os.O_NOCTTY))

    def __enter__(self) -> Terminal:
        return self

    def __exit__(self, *_: object) -> None:
        os.close(self.fd)
