"""Files that are read must be files: a pipe never ends, and a device is never what was meant."""

from __future__ import annotations

import errno
import stat
from pathlib import Path
from typing import Final

LONGEST_TEXT: Final = 1_000_000
"""Bytes; no profile, policy or bench file is longer."""

_KINDS: Final = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


def other_than_file(path: Path) -> str:
    """What stands at a path that is no file: "a pipe"; "" for a file, and for nothing.

    Raises
    ------
    OSError
        It cannot be looked at.
    """
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        return ""
    return next((kind for is_kind, kind in _KINDS if is_kind(mode)), "")


def short_text(path: Path) -> str:
    """Text of a small file, UTF-8.

    Raises
    ------
    OSError
        It is no file, cannot be read, or is longer than :data:`LONGEST_TEXT`.
    ValueError
        It is not UTF-8.
    """
    kind = other_than_file(path)
    if kind:
        raise OSError(errno.EINVAL, f"it is {kind}, not a file")
    with path.open("rb") as file:
        data = file.read(LONGEST_TEXT + 1)
    if len(data) > LONGEST_TEXT:
        raise OSError(errno.EFBIG, f"more than {LONGEST_TEXT} bytes")
    return data.decode("utf-8")
