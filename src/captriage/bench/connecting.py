"""Opening a connection by its VISA name, and setting it up as the profile says."""

from __future__ import annotations

import math
import socket
import sys
import threading
from typing import TYPE_CHECKING, cast

from captriage.bench.channel import Channel, MessageChannel, Port, PortChannel, SocketChannel
from captriage.bench.refusals import gone
from captriage.errors import Gone

if TYPE_CHECKING:
    from pyvisa import ResourceManager
    from pyvisa.resources import MessageBasedResource, SerialInstrument
    from pyvisa.rname import ResourceName

    from captriage.bench.profile import Transport

_managers: dict[str, ResourceManager] = {}
_managers_lock = threading.Lock()


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
    return MessageChannel(resource, interface, kind=kind, whole=whole)


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


def _interface(resource: MessageBasedResource) -> object:
    """What the pure-Python backend holds; None with any other."""
    sessions = getattr(resource.visalib, "sessions", {})
    return getattr(sessions.get(resource.session), "interface", None)
