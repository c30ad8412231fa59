"""Looking for instruments: only when asked, and said beforehand what is sent where."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from captriage.bench.connecting import manager
from captriage.bench.profile import Transport
from captriage.bench.refusals import gone
from captriage.bench.wire import Wire
from captriage.errors import MeterError

if TYPE_CHECKING:
    from captriage.bench.measured import Clock

SENT: Final = (
    "Serial ports: the system lists them; nothing is sent to them.",
    "USB: each device on the bus is asked for its description, as when it is plugged in.",
    "Network: one broadcast (UDP port 111, VXI-11 discovery) goes to the local network, "
    "and a multicast (mDNS) where zeroconf is installed. It takes a second.",
)
"""What a scan sends, for the person to read before it is sent."""

SENT_TO_ASK: Final = (
    "Each one that is found is then asked *IDN?, a serial port at 9600 baud. What is no "
    "meter (a modem, a printer) gets these five characters too."
)

USB_TEST_AND_MEASUREMENT: Final = (0xFE, 3)  # class and subclass of USBTMC, of the USB-IF
ASK_TIMEOUT_S: Final = 1.0
BY_ID: Final = Path("/dev/serial/by-id")


@dataclass(frozen=True, slots=True)
class Found:
    """Something at an address, or a reason why a kind of connection cannot be looked at."""

    address: str  # "" for a reason
    what: str
    identity: str = ""


def serial_ports(by_id: Path = BY_ID) -> list[Found]:
    """Serial ports that the system knows, by a name that stays the same where there is one."""
    from serial.tools.list_ports import comports  # type: ignore[import-untyped]

    lasting = {link.resolve(): link for link in by_id.iterdir()} if by_id.is_dir() else {}
    return [
        Found(
            f"ASRL{lasting.get(Path(port.device).resolve(), port.device)}::INSTR",
            port.description if port.description != "n/a" else "serial port",
        )
        for port in sorted(comports(), key=lambda port: port.device)
    ]


def usb_meters() -> list[Found]:
    """Devices of the USB test and measurement class."""
    import usb.core  # type: ignore[import-untyped]

    try:
        devices = list(usb.core.find(find_all=True))
    except (usb.core.NoBackendError, usb.core.USBError, ValueError) as error:
        return [Found("", str(gone("USB", "USB", error)))]
    return [_usb(device) for device in devices if _measures(device)]


def _measures(device: Any) -> bool:  # noqa: ANN401 - pyusb has no types
    return any(
        (face.bInterfaceClass, face.bInterfaceSubClass) == USB_TEST_AND_MEASUREMENT
        for configuration in device
        for face in configuration
    )


def _usb(device: Any) -> Found:  # noqa: ANN401 - pyusb has no types
    import usb.core

    numbers = f"USB0::{device.idVendor:#06x}::{device.idProduct:#06x}"
    try:
        return Found(f"{numbers}::{device.serial_number}::INSTR", str(device.product))
    except (usb.core.USBError, ValueError) as error:  # it may not be asked
        return Found("", str(gone(numbers, "USB", error)))


def network_meters(backend: str) -> list[Found]:
    """What answers to the discovery of a VISA backend on the local network."""
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        names = manager("scan", backend).list_resources("TCPIP?*")
    return [Found(name, "network instrument") for name in names] + [
        Found("", f"network: {str(each.message).split('Install')[0].strip()}")
        for each in said
        if issubclass(each.category, UserWarning)
    ]


def scan(*, clock: Clock, backend: str = "@py", ask: bool = False) -> Iterator[Found]:
    """All that can be found, one by one; see :data:`SENT` for what is sent.

    Parameters
    ----------
    clock : Clock
        Paces the questions.
    backend : str
        PyVISA backend that looks at the network.
    ask : bool
        Ask each that is found who it is; see :data:`SENT_TO_ASK`.

    Raises
    ------
    Gone
        There is no such backend.
    """
    for look in (serial_ports, usb_meters, lambda: network_meters(backend)):
        for found in look():
            yield _asked(found, clock, backend) if ask and found.address else found


def _asked(found: Found, clock: Clock, backend: str) -> Found:
    wire = Wire(found.address, Transport(timeout_s=ASK_TIMEOUT_S), clock=clock, backend=backend)
    try:
        wire.open()
        return replace(found, identity=wire.ask("*IDN?"))
    except MeterError as error:
        return replace(found, what=f"{found.what}; {error}")
    finally:
        wire.close()
