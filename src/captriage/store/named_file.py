"""Whether the file of an open book still has its name; saved under another one where it has not.

A file that is deleted, moved or replaced goes on taking what is written, and nobody finds it.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Final

from captriage.errors import BookError
from captriage.store.backups import copy_open, free_name

SAVED: Final = ".rescued"
"""What is added to the name of a book for the copy."""


class NamedFile:
    """The file of a book and its write-ahead log, known by what they are.

    Parameters
    ----------
    path : Path
        The book; it has just been opened.
    connection : sqlite3.Connection
        The way to it.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self._name = str(path)
        self._path = path.resolve()
        self._log = self._path.with_name(f"{self._path.name}-wal")
        self._connection = connection
        self._known: dict[Path, os.stat_result] = {}
        self._lost = ""
        self._look()

    def check(self) -> None:
        """Make sure that what is written can be found.

        Raises
        ------
        BookError
            It cannot; the message says where a copy of all that was kept is.
        """
        if not self._lost and not self._look():
            self._lost = self._saved()
        if self._lost:
            raise BookError(self._lost)

    def _look(self) -> bool:
        """Whether each name leads to what it led to before; the log is made when it is needed."""
        for path in (self._path, self._log):
            try:
                found = path.stat()
            except OSError:
                if path in self._known:
                    return False
                continue
            if not os.path.samestat(self._known.setdefault(path, found), found):
                return False
        return True

    def _saved(self) -> str:
        """Copy all that was kept to a file that has a name; what is to be said of it."""
        gone = (
            f"{self._name}: its file, or the {self._log.name} beside it, was deleted, moved or "
            "replaced while it was written to; nothing more is kept"
        )
        reason: BookError | None = None
        for folder in self._folders():
            copy = free_name(folder / f"{self._path.name}{SAVED}")
            try:
                copy_open(self._connection, copy)
            except BookError as error:
                reason = error
            else:
                return f"{gone}; all that was kept so far is in {copy}: go on with --book {copy}"
        return (
            f"{gone}, and what was kept is lost when this program ends, for it could not be "
            f"copied either ({reason}); write down what is on the screen"
        )

    def _folders(self) -> Iterator[Path]:
        yield self._path.parent
        with suppress(OSError):  # it may be gone as well
            yield Path.cwd()
        yield Path(tempfile.gettempdir())
