"""Plain sockets and terminals: the tests' own way to speak to a simulated meter."""

from __future__ import annotations

import socket
import time
from collections.abc import Callable


def wait_until(holds: Callable[[], bool], *, within_s: float = 10.0) -> None:
    """Wait for something to become true."""
    until = time.monotonic() + within_s
    while not holds():
        assert time.monotonic() < until, "waited in vain"
        time.sleep(0.002)


class Caller:
    """A bare TCP connection to a VISA socket name, or to HOST:PORT."""

    def __init__(self, address: str, *, timeout_s: float = 5.0) -> None:
        host, port = address.split("::")[1:3] if "::" in address else address.split(":")
        self._socket = socket.create_connection((host, int(port)), timeout=timeout_s)
        self._lines = self._socket.makefile("rb")

    def say(self, text: str) -> None:
        self._socket.sendall(text.encode() + b"\n")

    def line(self) -> bytes:
        """What comes up to a line end; what came before the close where there is none."""
        return self._lines.readline()

    def ask(self, text: str) -> str:
        self.say(text)
        return self.line().decode("ascii").rstrip("\n")

    def close(self) -> None:
        self._lines.close()
        self._socket.close()

    def __enter__(self) -> Caller:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()
