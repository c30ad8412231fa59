"""One owner per instrument: two programs that question one meter get each other's answers.

Backends do not enforce this (a second open succeeds), so a lock file does, in a folder of the
user's own. The operating system lets go of it when the process ends, however it ends.
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
import sys
import tempfile
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from captriage.errors import Gone

if TYPE_CHECKING:
    from filelock import BaseFileLock


class Owner:
    """Holds an instrument for this process until released."""

    def __init__(self, lock: BaseFileLock, card: Path) -> None:
        self._lock = lock
        self._card = card

    def release(self) -> None:
        """Let others have it; twice does no harm."""
        if self._lock.is_locked:
            self._card.unlink(missing_ok=True)
            self._lock.release()


def take(address: str, *, where: str = "") -> Owner:
    """Become the owner of the instrument at an address.

    Parameters
    ----------
    address : str
        VISA name; other spellings of the same instrument meet the same lock.
    where : str
        How messages call the meter; its address where not given.

    Raises
    ------
    Gone
        Another process, or another part of this one, has it; the message says which.
    """
    from filelock import FileLock, Timeout

    where = where or address
    folder = runtime_folder()
    name = hashlib.sha256(same_name(address).encode()).hexdigest()[:32]
    card = folder / f"{name}.json"
    lock = FileLock(folder / f"{name}.lock", timeout=0, thread_local=False)
    try:
        lock.acquire()
    except Timeout as held:
        raise Gone(f"{where}: in use by {_holder(card)}; end that first") from held
    except OSError as error:
        raise Gone(f"{where}: cannot be locked in {folder} ({error}); free that folder") from error
    said = {"pid": os.getpid(), "command": _command(), "since": f"{datetime.now():%H:%M}"}
    card.write_text(json.dumps(said), encoding="utf-8")
    return Owner(lock, card)


def _holder(card: Path) -> str:
    try:
        said = json.loads(card.read_text(encoding="utf-8"))
        return f"{said['command']} (process {said['pid']}, since {said['since']})"
    except (OSError, ValueError, KeyError, TypeError):  # it has only just been taken
        return "another program"


def _command() -> str:
    """What this process was called as: "captriage log"."""
    program = Path(sys.argv[0] if sys.argv else "").stem
    program = "captriage" if program in ("", "__main__", "-c") else program
    return " ".join([program, *sys.argv[1:2]])


def runtime_folder() -> Path:
    """Folder of this user for what lives no longer than a session; made where missing.

    Raises
    ------
    Gone
        The folder is not the user's own: anybody might have put anything there.
    """
    given = os.environ.get("XDG_RUNTIME_DIR")
    user = str(os.getuid()) if hasattr(os, "getuid") else os.environ.get("USERNAME", "user")
    folder = (
        Path(given) / "captriage"
        if given and Path(given).is_dir()
        else Path(tempfile.gettempdir()) / f"captriage-{user}"
    )
    folder.mkdir(mode=0o700, exist_ok=True)
    found = folder.lstat()
    if hasattr(os, "getuid") and (found.st_uid != os.getuid() or not stat.S_ISDIR(found.st_mode)):
        raise Gone(f"{folder}: belongs to somebody else; remove it, or set XDG_RUNTIME_DIR")
    return folder


def same_name(address: str) -> str:
    """One spelling for all VISA names of one instrument.

    Serial ports are followed to the device itself, so that ``/dev/serial/by-id/...`` and
    ``/dev/ttyUSB0`` meet; network names are in small letters; fields left out get their default.
    """
    from pyvisa import rname

    try:
        name = rname.parse_resource_name(address.strip())
    except ValueError:
        return address.strip().lower()
    if isinstance(name, rname.ASRLInstr):
        return f"serial {os.path.realpath(name.board) if '/' in name.board else name.board.lower()}"
    if isinstance(name, rname.TCPIPInstr):
        return f"network {name.host_address.lower()} {name.lan_device_name.lower()}"
    if isinstance(name, rname.TCPIPSocket):
        return f"network {name.host_address.lower()} port {int(name.port, 0)}"
    if isinstance(name, rname.USBInstr | rname.USBRaw):
        maker, model = int(name.manufacturer_id, 0), int(name.model_code, 0)
        return f"usb {maker:#x} {model:#x} {name.serial_number} {name.usb_interface_number}"
    return str(name).lower()
