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
import sys
import threading
from typing import TYPE_CHECKING, Final, Protocol, cast

from captriage.bench.refusals import gone
from captriage.errors import Gone

if TYPE_CHECKING:
    from pyvisa import ResourceManager
    from pyvisa.resources import MessageBasedResource, SerialInstrument
    from pyvisa.rname import ResourceName

    from captriage.bench.profile import Transport

CHUNK: Final = 4096  # bytes read at once

_managers: dict[str, ResourceManager] = {}
_managers_lock = threading.Lock()


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

    def __init__(self, resource: MessageBasedResource, *, kind: str, whole: bool) -> None:
        self.kind = kind
        self.whole = whole
        self._resource = resource
        interface = _interface(resource)
        hislip = getattr(interface, "_sync", None)
        self._sock = hislip if isinstance(hislip, socket.socket) else None

    def send(self, data: bytes, seconds: float) -> bool:
        """Write all of it within the time; whether that was possible."""
        from pyvisa.errors import VisaIOError

        self._resource.timeout = math.ceil(max(seconds, 0.001) * 1000)
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

        if self._sock is not None:
            if not select.select([self._sock], [], [], seconds)[0]:
                return b""
            if not self._sock.recv(1, socket.MSG_PEEK):
                raise ConnectionResetError(errno.ECONNRESET, "closed by the meter")
            seconds = max(seconds, 0.1)
        elif seconds <= 0:
            return b""
        self._resource.timeout = math.ceil(seconds * 1000)
        try:
            data = self._resource.read_bytes(CHUNK + 1, break_on_termchar=True)
        except (VisaIOError, TimeoutError) as error:
            if not _timed_out(error):
                raise
            if self._sock is not None:  # the rest of it would be read as the head of the next
                raise OSError(errno.ECONNRESET, "stopped within a message") from error
            return b""
        return bytes(data)

    def clear(self) -> None:
        """VISA's device clear."""
        self._resource.clear()

    def close(self) -> None:
        """Let go of it."""
        self._resource.close()


def connect(where: str, address: str, transport: Transport, *, backend: str) -> Channel:
    """Open a connection and set it up.

    Raises
    ------
    Gone
        It cannot be opened; the message says why and what to do.
    """
    from pyvisa import rname

    try:
        name = rname.parse_resource_name(address.strip())
    except ValueError as error:
        raise Gone(
            f"{where}: {address!r} is no VISA name; write TCPIP::HOST::PORT::SOCKET, "
            "ASRL/dev/ttyUSB0::INSTR, USB::MAKER::MODEL::SERIAL::INSTR or TCPIP::HOST::INSTR"
        ) from error
    resource: MessageBasedResource | None = None
    try:
        if isinstance(name, rname.TCPIPSocket | rname.TCPIPInstr):
            socket.getaddrinfo(name.host_address.split(",")[0], None, socket.AF_INET)
        patience = math.ceil(max(transport.timeout_s, 1.0) * 1000)
        opener = manager(where, backend)
        opened = opener.open_resource(address.strip(), open_timeout=patience)
        resource = cast("MessageBasedResource", opened)
        return _channel(resource, name, transport)
    except Gone:
        raise
    except Exception as error:
        if resource is not None:
            resource.close()
        raise gone(where, address, error) from error


def manager(where: str, backend: str) -> ResourceManager:
    """The one resource manager of this process and backend."""
    import pyvisa

    with _managers_lock:
        if backend not in _managers:
            try:
                _managers[backend] = pyvisa.ResourceManager(backend)
            except Exception as error:
                raise Gone(
                    f"{where}: there is no VISA backend {backend!r} ({error}); install it, "
                    "or leave --backend out"
                ) from error
        return _managers[backend]


def _channel(resource: MessageBasedResource, name: ResourceName, transport: Transport) -> Channel:
    from pyvisa import rname

    interface = _interface(resource)
    resource.timeout = math.ceil(transport.timeout_s * 1000)
    if isinstance(name, rname.ASRLInstr):
        _set_up_port(cast("SerialInstrument", resource), transport)
        if interface is not None and sys.platform != "win32":
            return PortChannel(resource, cast("Port", interface))
    if isinstance(interface, socket.socket):
        return SocketChannel(resource, interface)
    whole = not isinstance(name, rname.ASRLInstr | rname.TCPIPSocket)
    if not whole:
        resource.read_termination = transport.read_end
    kind = {"ASRL": "serial", "TCPIP": "network", "VICP": "network"}.get(name.interface_type, "bus")
    return MessageChannel(resource, kind=kind, whole=whole)


def _interface(resource: MessageBasedResource) -> object:
    """What the pure-Python backend holds; None with any other."""
    sessions = getattr(resource.visalib, "sessions", {})
    return getattr(sessions.get(resource.session), "interface", None)


def _set_up_port(resource: SerialInstrument, transport: Transport) -> None:
    from pyvisa.constants import ControlFlow, Parity, StopBits

    resource.baud_rate = transport.baud
    resource.data_bits = transport.data_bits
    resource.parity = {"none": Parity.none, "even": Parity.even, "odd": Parity.odd}[
        transport.parity
    ]
    resource.stop_bits = {1: StopBits.one, 1.5: StopBits.one_and_a_half, 2: StopBits.two}[
        transport.stop_bits
    ]
    resource.flow_control = {
        "none": ControlFlow.none,
        "xon/xoff": ControlFlow.xon_xoff,
        "rts/cts": ControlFlow.rts_cts,
    }[transport.flow]


def _timed_out(error: BaseException) -> bool:
    from pyvisa.constants import StatusCode

    code = getattr(error, "error_code", None)
    return isinstance(error, TimeoutError) or code == StatusCode.error_timeout
