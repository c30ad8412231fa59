"""Bytes to a meter and back, through PyVISA, with a deadline for each move.

PyVISA opens, names and sets up every connection. Where its pure-Python backend holds a socket
or a serial port of the operating system, that is read and written here directly: the backend
reports a closed connection as a timeout, throws a partial answer away, may wait for ever to
write and has no deadline for the whole of an answer. Any other connection (HiSLIP, VXI-11,
USB, another backend) moves whole messages.
"""

from __future__ import annotations

import errno
import math
import os
import select
import socket
from contextlib import suppress
from typing import TYPE_CHECKING, Final, Protocol

if TYPE_CHECKING:
    from pyvisa.resources import MessageBasedResource

CHUNK: Final = 4096  # bytes read at once


class Channel(Protocol):
    """A connection that is open. Whatever it raises means that it is dead."""

    kind: str
    """"network": old answers die with the connection; "serial"; "bus": USB and the like."""

    whole: bool
    """Whether each answer arrives as one message, with or without a line end."""

    def send(self, data: bytes, seconds: float) -> bool:
        """Write all of it within the time; whether that was possible."""

    def receive(self, seconds: float) -> bytes:
        """What has come, at the latest after the time; nothing where nothing came."""

    def clear(self) -> None:
        """On a bus: both sides forget what was under way."""

    def close(self) -> None:
        """Let go of it."""


class Port(Protocol):
    """What is used here of the serial port that the backend holds."""

    exclusive: bool

    def fileno(self) -> int:
        """File descriptor."""


class SocketChannel:
    """A TCP socket of the operating system."""

    kind = "network"
    whole = False

    def __init__(self, resource: MessageBasedResource, sock: socket.socket) -> None:
        self._resource = resource
        self._sock = sock
        # The backend calls a connection open that was refused.
        refused = sock.getsockopt(socket.SOL_SOCKET, socket.SO_ERROR)
        if refused:
            raise OSError(refused, os.strerror(refused))
        sock.getpeername()
        sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)

    def send(self, data: bytes, seconds: float) -> bool:
        """Write all of it within the time; whether that was possible."""
        self._sock.settimeout(max(seconds, 0.001))
        try:
            self._sock.sendall(data)
        except TimeoutError:
            return False
        return True

    def receive(self, seconds: float) -> bytes:
        """What has come, at the latest after the time; nothing where nothing came."""
        self._sock.settimeout(seconds)
        try:
            data = self._sock.recv(CHUNK)
        except (TimeoutError, BlockingIOError):
            return b""
        if not data:
            raise ConnectionResetError(errno.ECONNRESET, "closed by the meter")
        return data

    def clear(self) -> None:
        """Not used: the backend's loops for ever on a socket that was closed."""

    def close(self) -> None:
        """Let go of it."""
        self._resource.close()


class PortChannel:
    """A serial port with a file descriptor."""

    kind = "serial"
    whole = False

    def __init__(self, resource: MessageBasedResource, port: Port) -> None:
        self._resource = resource
        port.exclusive = True  # against programs that lock as this does: others are not seen
        self._fd = port.fileno()
        self._readable = select.poll()
        self._readable.register(self._fd, select.POLLIN)
        self._writable = select.poll()
        self._writable.register(self._fd, select.POLLOUT)

    def send(self, data: bytes, seconds: float) -> bool:
        """Write all of it within the time; whether that was possible."""
        while data:
            if not self._writable.poll(max(seconds, 0.001) * 1000):
                return False
            data = data[os.write(self._fd, data) :]
        return True

    def receive(self, seconds: float) -> bytes:
        """What has come, at the latest after the time; nothing where nothing came."""
        if not self._readable.poll(seconds * 1000):
            return b""
        data = os.read(self._fd, CHUNK)
        if not data:
            raise OSError(errno.EIO, "unplugged")
        return data

    def clear(self) -> None:
        """Not used: a serial port has no way to do this."""

    def close(self) -> None:
        """Let go of it."""
        self._resource.close()


class MessageChannel:
    """Whatever else VISA connects to: what is received is one read of VISA's."""

    def __init__(
        self, resource: MessageBasedResource, interface: object, *, kind: str, whole: bool
    ) -> None:
        self.kind = kind
        self.whole = whole
        self._resource = resource
        self._allowed = 0  # ms
        hislip, rpc = getattr(interface, "_sync", None), getattr(interface, "sock", None)
        self._announces = isinstance(hislip, socket.socket)  # HiSLIP: an answer comes unasked
        sock = hislip if self._announces else rpc
        self._sock = sock if isinstance(sock, socket.socket) else None

    def send(self, data: bytes, seconds: float) -> bool:
        """Write all of it within the time; whether that was possible."""
        from pyvisa.errors import VisaIOError

        self._allow(seconds)
        try:
            self._resource.write_raw(data)
        except (VisaIOError, TimeoutError) as error:
            if _timed_out(error):
                return False
            raise
        return True

    def receive(self, seconds: float) -> bytes:
        """One message, at the latest after the time; nothing where none came.

        Without a socket to look at there is no telling whether something waits: then
        nothing is, where no time is given.
        """
        from pyvisa.errors import VisaIOError

        waits = self._look(seconds if self._announces else 0)
        if self._announces:
            if not waits:
                return b""
        elif seconds <= 0:
            return b""
        else:
            self._allow(seconds)
        try:
            data = self._resource.read_bytes(CHUNK + 1, break_on_termchar=True)
        except (VisaIOError, TimeoutError) as error:
            if not _timed_out(error):
                raise
            if self._announces:  # the rest of it would be read as the head of the next
                raise OSError(errno.ECONNRESET, "stopped within a message") from error
            return b""
        return bytes(data)

    def clear(self) -> None:
        """VISA's device clear."""
        self._resource.clear()

    def close(self) -> None:
        """Let go of it."""
        from pyvisa.errors import Error as VisaError

        with suppress(ConnectionError):
            self._look(0)
        with suppress(VisaError):
            self._resource.close()

    def _allow(self, seconds: float) -> None:
        """Set the time for one move; that costs as much as a question, so only where it changes."""
        allowed = math.ceil(max(seconds, 0.001) * 1000)
        if allowed != self._allowed:
            self._resource.timeout = self._allowed = allowed

    def _look(self, seconds: float) -> bool:
        """Whether something comes within the time, as far as a socket is there to tell."""
        if self._sock is None or not select.select([self._sock], [], [], seconds)[0]:
            return False
        if not self._sock.recv(1, socket.MSG_PEEK):
            with suppress(OSError):  # else the backend waits for an answer to its good-bye
                self._sock.shutdown(socket.SHUT_RDWR)
            raise ConnectionResetError(errno.ECONNRESET, "closed by the meter")
        return True


def _timed_out(error: BaseException) -> bool:
    from pyvisa.constants import StatusCode

    code = getattr(error, "error_code", None)
    return isinstance(error, TimeoutError) or code == StatusCode.error_timeout
