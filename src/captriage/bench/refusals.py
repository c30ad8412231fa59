"""What comes from below the wire, whatever its type, in words that say what to do."""

from __future__ import annotations

import errno
import re
from pathlib import Path
from typing import Final

from captriage.errors import Gone

RULES: Final = "/etc/udev/rules.d/60-meters.rules"
PORT_RULE: Final = 'SUBSYSTEM=="tty", ATTRS{idVendor}=="VVVV", MODE="0660", GROUP="dialout"'
USB_RULE: Final = 'SUBSYSTEM=="usb", ATTR{idVendor}=="VVVV", MODE="0660", GROUP="plugdev"'


def gone(where: str, address: str, error: BaseException) -> Gone:
    """The wire is dead, and why.

    Parameters
    ----------
    where : str
        How messages call the meter.
    address : str
        Its VISA name.
    error : BaseException
        What the backend, the operating system or a driver raised.
    """
    return Gone(f"{where}: {_words(address, error)}")


def _words(address: str, error: BaseException) -> str:
    said = " ".join(str(error).split()) or type(error).__name__
    number = _errno(error, said)
    if "to use this resource type" in said:
        return f"this connection needs a library that is missing; {said.split(' Note that')[0]}"
    if address.upper().startswith("USB"):
        return _usb_words(number, said)
    if address.upper().startswith("ASRL"):
        return _port_words(address[4:].removesuffix("::INSTR"), number, said)
    return _network_words(number, said)


def _errno(error: BaseException, said: str) -> int | None:
    """Number of the operating system's error, wherever it is kept."""
    link: BaseException | None = error
    while link is not None:
        number = getattr(link, "errno", None)
        if type(link).__module__ == "termios" and link.args:
            number = link.args[0]
        if isinstance(number, int) and number > 0:
            return number
        link = link.__cause__ or link.__context__
    written = re.search(r"\[Errno (\d+)\]", said)
    return int(written[1]) if written else None


def _port_words(port: str, number: int | None, said: str) -> str:
    if number == errno.ENOENT:
        return f"there is no port {port}; plug the meter in, or see 'captriage meters --scan'"
    if number in (errno.EACCES, errno.EPERM):
        group = _group_of(port)
        if group == "root":
            return (
                f"no permission to use {port}; it belongs to root alone: write a rule into "
                f"{RULES}: {PORT_RULE}, then plug the meter in again"
            )
        return (
            f"no permission to use {port}; it belongs to the group {group}: "
            f"'sudo usermod -aG {group} $USER', then log out and in again"
        )
    if number in (errno.EBUSY, errno.EAGAIN) or "exclusively lock" in said:
        return f"{port} is busy; close the other program that has it open"
    if number == errno.EIO or "returned no data" in said:
        return "the port is gone; was it unplugged? plug it in again"
    if number in (errno.ENOTTY, errno.EINVAL):
        return f"{port} is not a serial port, or cannot do these settings ({said})"
    return f"the port failed ({said}); plug it in again"


def _group_of(port: str) -> str:
    """Group that may use the port; "dialout" where it cannot be told."""
    try:
        return Path(port).group()
    except (OSError, KeyError, ImportError, ValueError):
        return "dialout"


def _usb_words(number: int | None, said: str) -> str:
    if "PyUSB" in said or "backend" in said:
        return (
            "no way to USB: the library libusb is missing; "
            "install it (Debian: 'sudo apt install libusb-1.0-0')"
        )
    if "No device found" in said or number in (errno.ENODEV, errno.ENOENT):
        return "no such meter on USB; plug it in, or see 'captriage meters --scan'"
    if number in (errno.EACCES, errno.EPERM) or "permission" in said or "Access" in said:
        return (
            "no permission to use this USB meter; write a rule into "
            f"{RULES}: {USB_RULE} "
            "(VVVV: the maker's number from the address), then plug it in again"
        )
    if number == errno.EBUSY:
        return "busy; close the other program that has it open"
    return f"USB failed ({said}); plug it in again"


def _network_words(number: int | None, said: str) -> str:
    if number == errno.ECONNREFUSED:
        return (
            "connection refused: the computer answers, but nothing listens at this port; "
            "switch the meter's remote control on, or correct the port"
        )
    if number in (errno.EHOSTUNREACH, errno.ENETUNREACH, errno.EHOSTDOWN):
        return "there is no way to this network address; check cable and address"
    if number == errno.ETIMEDOUT or "error_timeout" in said or "VI_ERROR_TMO" in said:
        return "nothing answers at this network address; check cable, power and address"
    if "getaddrinfo" in said or "not known" in said or "name resolution" in said:
        return f"this network name is not known ({said}); use its number, or correct the name"
    broken = ("dropped by server", "VI_ERROR_IO", "VI_ERROR_CONN_LOST")
    if number in (errno.ECONNRESET, errno.EPIPE) or any(words in said for words in broken):
        return "the meter closed the connection; is it on, and does nobody else use it?"
    if "VI_ERROR_INV_RSRC_NAME" in said or "VI_ERROR_RSRC_NFOUND" in said:
        return "no meter of this kind answers at this address; check address and port"
    return f"the connection failed ({said}); check cable, power and address"
