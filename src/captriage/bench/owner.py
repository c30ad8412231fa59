"""One owner per instrument: two programs that question one meter get each other's answers.

Backends do not enforce this (a second open succeeds), so lock files do, in a folder that all
users of the computer share. The operating system lets go of them when the process ends,
however it ends.
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
import sys
import tempfile
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Final

from captriage.bench.sameness import things_at
from captriage.errors import Gone

FOLDER_VARIABLE: Final = "CAPTRIAGE_LOCKS"
SHARED: Final = ("/run/lock", "/var/lock", "/tmp")  # noqa: S108 - only where it is sticky
"""Where all users may make files and none may take away another's, the best first."""

_STICKY: Final = 0o1777
_ALL_MAY_WRITE: Final = 0o666  # who holds it is written into it, whoever made it
_TRIES: Final = 20  # where others let go of it, and take it, just now
_LONGEST_CARD: Final = 1000  # bytes; anybody may have written anything into it


class Taken(Exception):
    """Another has the lock; holds what is told of the holder."""


class Lock:
    """Lock file of one thing: held from when it is made, until :meth:`release`.

    Parameters
    ----------
    path : Path
        The file; made where there is none, and taken away at the end.

    Raises
    ------
    Taken
        Another process, or another part of this one, has it.
    OSError
        The file cannot be had, or is something else.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        for _ in range(_TRIES):
            self._file = _opened(path)
            self._take()
            if self._is_named():
                return
            os.close(self._file)  # its holder has just taken it away
        raise Taken("another program")

    def _take(self) -> None:
        try:
            _lock(self._file)
            self._write(_card())
        except BlockingIOError:
            os.lseek(self._file, 0, os.SEEK_SET)
            holder = _read_card(os.read(self._file, _LONGEST_CARD))
            os.close(self._file)
            raise Taken(holder) from None
        except BaseException:
            os.close(self._file)
            raise

    def release(self) -> None:
        """Let others have it."""
        with suppress(OSError):  # another user's file stays; so does one that is open, on Windows
            if self._is_named():
                self._path.unlink()
        _unlock(self._file)  # a child of this process may have it open still
        os.close(self._file)

    def _is_named(self) -> bool:
        """Whether the file that is locked is the one that others find."""
        try:
            return os.path.samestat(os.fstat(self._file), self._path.lstat())
        except FileNotFoundError:
            return False

    def _write(self, card: bytes) -> None:
        os.ftruncate(self._file, 0)
        os.lseek(self._file, 0, os.SEEK_SET)
        os.write(self._file, card)


class Owner:
    """Holds an instrument for this process until released."""

    def __init__(self, locks: list[Lock]) -> None:
        self._locks = locks

    def release(self) -> None:
        """Let others have it; twice does no harm."""
        while self._locks:
            self._locks.pop().release()


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
    where = where or address
    folder = shared_folder()
    owner = Owner(held := [])
    try:
        for thing in sorted(set(things_at(address))):
            name = hashlib.sha256(thing.encode()).hexdigest()[:32]
            held.append(Lock(folder / f"captriage-{name}.lock"))
    except Taken as holder:
        owner.release()
        raise Gone(f"{where}: in use by {holder}; end that first") from None
    except OSError as error:
        owner.release()
        raise Gone(
            f"{where}: cannot be locked in {folder} ({error.strerror or error}); free that folder, "
            f"or set {FOLDER_VARIABLE} to one that all who use this bench may write to"
        ) from error
    return owner


def shared_folder() -> Path:
    """Folder for lock files, the same for all users of this computer.

    ``CAPTRIAGE_LOCKS`` where that is set, else the first of :data:`SHARED` that belongs to the
    system and is sticky: nobody takes away another's file there.

    Raises
    ------
    Gone
        ``CAPTRIAGE_LOCKS`` names no folder.
    """
    named = os.environ.get(FOLDER_VARIABLE, "")
    if named:
        if not Path(named).is_dir():
            raise Gone(f"{FOLDER_VARIABLE}: {named!r} is no folder; name one, or unset it")
        return Path(named)
    for each in map(Path, SHARED):
        try:
            found = each.stat()
        except OSError:
            continue
        if found.st_uid == 0 and found.st_mode & _STICKY == _STICKY and each.is_dir():
            return each
    return Path(tempfile.gettempdir())  # Windows: one user's, as its serial ports are


def _opened(path: Path) -> int:
    """The lock file, open; never a link, a pipe, or another name of somebody's file.

    What is there is opened without O_CREAT: in a sticky folder, systems refuse that for a file
    of another user (Linux: fs.protected_regular).
    """
    how = os.O_RDWR | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    how |= getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
    try:
        file = os.open(path, how)
    except FileNotFoundError:
        try:
            file = os.open(path, how | os.O_CREAT | os.O_EXCL, _ALL_MAY_WRITE)
        except FileExistsError:  # somebody was quicker
            file = os.open(path, how)
        else:
            if hasattr(os, "fchmod"):
                os.fchmod(file, _ALL_MAY_WRITE)  # whatever the umask
    found = os.fstat(file)
    if not stat.S_ISREG(found.st_mode) or found.st_nlink != 1:
        os.close(file)
        raise OSError(f"{path} is not a lock file")
    return file


if sys.platform == "win32":

    def _lock(file: int) -> None:
        """Take the lock, or raise BlockingIOError."""
        import msvcrt

        os.lseek(file, _LONGEST_CARD, os.SEEK_SET)  # beyond what is read: locked bytes cannot be
        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except PermissionError as error:
            raise BlockingIOError from error

    def _unlock(file: int) -> None:
        """Let go of it."""
        import msvcrt

        os.lseek(file, _LONGEST_CARD, os.SEEK_SET)
        msvcrt.locking(file, msvcrt.LK_UNLCK, 1)

else:

    def _lock(file: int) -> None:
        """Take the lock, or raise BlockingIOError."""
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _unlock(file: int) -> None:
        """Let go of it."""
        import fcntl

        fcntl.flock(file, fcntl.LOCK_UN)


def _card() -> bytes:
    """Who this is, for those who find the lock taken."""
    said = {"pid": os.getpid(), "command": _command(), "since": f"{datetime.now():%H:%M}"}
    return json.dumps(said).encode()


def _read_card(card: bytes) -> str:
    try:
        said = json.loads(card)
        told = f"{said['command']} (process {int(said['pid'])}, since {said['since']})"
    except (ValueError, KeyError, TypeError):  # it has only just been taken
        return "another program"
    return "".join(sign for sign in told if sign.isprintable())


def _command() -> str:
    """What this process was called as: "captriage log"."""
    program = Path(sys.argv[0] if sys.argv else "").stem
    program = "captriage" if program in ("", "__main__", "-c") else program
    return " ".join([program, *sys.argv[1:2]])
