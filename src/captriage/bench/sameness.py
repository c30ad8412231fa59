"""What an address leads to, however it is spelt: the host and port, the device, the plug."""

from __future__ import annotations

import os
import socket
import stat
from contextlib import suppress
from ipaddress import IPv4Address, IPv6Address, ip_address
from pathlib import Path
from threading import Thread
from typing import Final

RESOLVE_S: Final = 1.0
"""How long a name server may take; a name that it does not tell by then stays as it is written."""

_HISLIP_PORT: Final = ",4880"  # by IVI-6.1; the same device where it is written and where not


def things_at(address: str) -> tuple[str, ...]:
    """Keys of the instrument at a VISA name; two addresses with one in common are one instrument.

    A network name has its own key and one for each address that it leads to, so that
    ``localhost`` and ``127.0.0.1`` meet, and two spellings of a name do while no name server
    answers. A serial port has that of its real path and that of the device behind it, so that
    ``/dev/serial/by-id/...`` and ``/dev/ttyUSB0`` meet. Fields left out get their default.

    Two protocols of one instrument, such as its raw socket and HiSLIP, do not meet: behind one
    host there may be several instruments.
    """
    from pyvisa import rname

    try:
        name = rname.parse_resource_name(address.strip())
    except ValueError:
        return (address.strip().casefold(),)
    if isinstance(name, rname.ASRLInstr):
        return tuple(f"serial {each}" for each in _ports(name.board))
    if isinstance(name, rname.TCPIPInstr):
        device = name.lan_device_name.casefold().removesuffix(_HISLIP_PORT)
        return tuple(f"network {host} {device}" for host in _hosts(name.host_address))
    if isinstance(name, rname.TCPIPSocket):
        port = int(name.port, 0)
        return tuple(f"network {host} port {port}" for host in _hosts(name.host_address))
    if isinstance(name, rname.USBInstr | rname.USBRaw):
        maker, model = int(name.manufacturer_id, 0), int(name.model_code, 0)
        return (f"usb {maker:#x} {model:#x} {name.serial_number} {name.usb_interface_number}",)
    return (str(name).casefold(),)


def _ports(board: str) -> tuple[str, ...]:
    """Real path of a serial port, and the number of its device where it is plugged in."""
    if "/" not in board:
        return (board.casefold(),)
    path = os.path.realpath(board)
    with suppress(OSError):
        found = Path(path).stat()
        if stat.S_ISCHR(found.st_mode):
            return path, f"device {found.st_rdev}"
    return (path,)


def _hosts(written: str) -> tuple[str, ...]:
    """A network name in small letters, and the addresses that it leads to."""
    name = written.strip("[]").rstrip(".").casefold()
    found = _resolved(name, socket.AI_NUMERICHOST)
    return tuple(sorted(found or {name, *_in_time(name)}))


def _in_time(name: str) -> set[str]:
    """Addresses of a name, none where the name server is slow: the meter cannot wait for it."""
    told: list[set[str]] = []
    asking = Thread(target=lambda: told.append(_resolved(name, 0)), name="resolve", daemon=True)
    asking.start()
    asking.join(RESOLVE_S)
    return told[0] if told else set()


def _resolved(name: str, flags: int) -> set[str]:
    try:
        answers = socket.getaddrinfo(name, None, type=socket.SOCK_STREAM, flags=flags)
    except (OSError, UnicodeError):  # not known; no name at all
        return set()
    return {_plain(str(address[0])) for *_, address in answers}


def _plain(text: str) -> str:
    """One spelling of an address: IPv4 within IPv6 is IPv4, and none at all is this computer."""
    try:
        address: IPv4Address | IPv6Address = ip_address(text)
    except ValueError:
        return text
    if isinstance(address, IPv6Address) and address.ipv4_mapped:
        address = address.ipv4_mapped
    if address.is_unspecified:
        return "127.0.0.1" if address.version == 4 else "::1"
    return str(address)
