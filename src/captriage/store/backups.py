"""Copies of a book that is in use."""

from __future__ import annotations

import os
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
    _claim(copy)
    try:
        source = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
    except sqlite3.Error as error:
        copy.unlink(missing_ok=True)
        raise BookError(f"{copy}: no backup was made: {said(error)}") from None
    with closing(source):
        _fill(copy, source, str(path))


def copy_open(source: sqlite3.Connection, copy: Path) -> None:
    """Copy a book that is open, whatever has become of its file.

    Raises
    ------
    BookError
        There is a file of the copy's name already, or the copy cannot be written.
    """
    _claim(copy)
    _fill(copy, source, "the book")


def free_name(first: Path) -> Path:
    """The first name from this one on of which there is no file yet."""
    number, free = 1, first
    while os.path.lexists(free):
        number += 1
        free = first.with_name(f"{first.name}-{number}")
    return free


def _claim(copy: Path) -> None:
    """Make the file, ours alone."""
    if not copy.parent.is_dir():
        raise BookError(f"{copy}: there is no folder {copy.parent}; make it first")
    try:
        copy.open("xb").close()  # ours, should another program make one of this name just now
    except FileExistsError:
        raise BookError(f"{copy}: exists already; a backup goes to a new file") from None
    except OSError as error:
        raise BookError(f"{copy}: {error.strerror}; name another place for the backup") from error


def _fill(copy: Path, source: sqlite3.Connection, name: str) -> None:
    try:
        with closing(sqlite3.connect(copy)) as target:
            source.backup(target)
            target.execute("PRAGMA journal_mode = DELETE").fetchall()  # one file, to carry away
            found = target.execute("PRAGMA integrity_check(1)").fetchone()[0]
    except sqlite3.Error as error:
        copy.unlink(missing_ok=True)
        raise BookError(f"{copy}: no backup was made: {said(error)}") from None
    if found != "ok":
        copy.unlink(missing_ok=True)
        raise BookError(f"{name}: no backup was made, the book is damaged ({found})")
