"""What went wrong with a book, in words."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from sqlalchemy.exc import DBAPIError

from captriage.errors import BookError

_SQLITE: Final = {
    # beginning of SQLite's name of the error: what to say
    "SQLITE_BUSY": "another program keeps the book locked; end it, or try again when it is done",
    "SQLITE_LOCKED": "another program keeps the book locked; end it, or try again when it is done",
    "SQLITE_FULL": "the disk is full, nothing was kept of this; make room and try again",
    "SQLITE_READONLY": "the book cannot be written; check who may write the file and its folder",
    "SQLITE_CORRUPT": "the book is damaged; copy it away, and go on with the last backup",
    "SQLITE_NOTADB": "this file is no bench book; name another one",
    "SQLITE_CANTOPEN": "the book cannot be opened; check who may read and write its folder",
    "SQLITE_PERM": "the book cannot be opened; check who may read and write the file",
    "SQLITE_IOERR": "the disk did not take it, nothing was kept of this; check disk and space",
    "SQLITE_CONSTRAINT_FOREIGNKEY": "what it is said of belongs to another job, or is not there",
    "SQLITE_CONSTRAINT_UNIQUE": "another program has just entered the same; see the list",
    "SQLITE_CONSTRAINT_TRIGGER": "nothing was changed",
    "SQLITE_TOOBIG": "a text is too long to be kept",
}
_POSTGRESQL: Final = {
    # beginning of the standard's code of the error: what to say
    "23503": "what it is said of belongs to another job, or is not there",
    "23505": "another program has just entered the same; see the list",
    "P0001": "nothing was changed",
    "28": "the server refused the name or the password; check both in the address of the book",
    "3D000": "the server has no database of this name; make one with createdb",
    "53100": "the server's disk is full, nothing was kept of this; make room and try again",
    "53300": "the server has no connection left; try again when others are done",
    "55P03": "another program keeps the book locked; end it, or try again when it is done",
    "25006": "the server takes no writing now, nothing was kept of this; ask who runs it",
    "42501": "the server does not let this name write here; ask who runs it",
    "57P": "the server was shut down; whether the last reading was kept, the book's list tells",
    "08": "the server cannot be reached; whether the last reading was kept, the book's list tells",
}
_UNREACHED: Final = "the server cannot be reached; check its address, and that it runs"


@contextmanager
def in_words(
    where: str, *, secret: str = "", driver: type[Exception] = DBAPIError
) -> Iterator[None]:
    """Turn an error of the database into :class:`BookError`; ``secret`` is never repeated.

    ``driver`` is the error of the database's driver, where that is spoken to directly.

    Raises
    ------
    BookError
        Whatever the database refused.
    """
    try:
        yield
    except DBAPIError as error:
        raise BookError(f"{where}: {said(error.orig, secret=secret)}") from None
    except driver as error:
        raise BookError(f"{where}: {said(error, secret=secret)}") from None


def is_taken(error: Exception) -> bool:
    """Whether the database refused because another row has what only one may have."""
    name, state = getattr(error, "sqlite_errorname", ""), getattr(error, "sqlstate", "")
    return name == "SQLITE_CONSTRAINT_UNIQUE" or state == "23505"


def said(error: BaseException | None, *, secret: str = "") -> str:
    """What an error of a database means and what to do."""
    own = " ".join(str(error).split())
    if secret:
        own = own.replace(secret, "***")
    name = getattr(error, "sqlite_errorname", "")
    state = getattr(error, "sqlstate", None) or ""
    for start, words in _SQLITE.items():
        if name.startswith(start):
            return f"{words} ({own})"
    for start, words in _POSTGRESQL.items():
        if state.startswith(start):
            return f"{words} ({own})"
    if type(error).__module__.startswith("psycopg") and not state:
        return f"{_refused_at_the_door(own)} ({own})"
    return f"the database refused: {own}"


def _refused_at_the_door(own: str) -> str:
    """What it means that a server let nobody in; it gives no code for that."""
    if "database" in own and "does not exist" in own:
        return _POSTGRESQL["3D000"]
    if any(word in own for word in ("password", "authentication", "role ")):
        return _POSTGRESQL["28"]
    return _UNREACHED
