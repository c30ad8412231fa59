"""Copies of a book that is in use."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from captriage.errors import BookError
from captriage.store.wording import said


def copy_book(path: Path, copy: Path) -> None:
    """Copy the file of a book, whole as it stands at one moment, while others write to it.

    Raises
    ------
    BookError
        There is a file of the copy's name already, or the copy cannot be written.
    """
    if not copy.parent.is_dir():
        raise BookError(f"{copy}: there is no folder {copy.parent}; make it first")
    try:
        copy.open("xb").close()  # ours, should another program make one of this name just now
    except FileExistsError:
        raise BookError(f"{copy}: exists already; a backup goes to a new file") from None
    except OSError as error:
        raise BookError(f"{copy}: {error.strerror}; name another place for the backup") from error
    try:
        with (
            closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as source,
            closing(sqlite3.connect(copy)) as target,
        ):
            source.backup(target)
            target.execute("PRAGMA journal_mode = DELETE").fetchall()  # one file, to carry away
            found = target.execute("PRAGMA integrity_check(1)").fetchone()[0]
    except sqlite3.Error as error:
        copy.unlink(missing_ok=True)
        raise BookError(f"{copy}: no backup was made: {said(error)}") from None
    if found != "ok":
        copy.unlink(missing_ok=True)
        raise BookError(f"{path}: no backup was made, the book is damaged ({found})")
