"""From the book as it was to the book as it is: one function a version, in the order of time.

To change the tables: change :mod:`captriage.store.schema`, raise its VERSION by one, and add here
the function that does the same to a book of the version before. It gets a connection inside a
transaction; what fails leaves the book as it was.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Final

from sqlalchemy import Connection, func, insert, inspect, select
from sqlalchemy.exc import DBAPIError

from captriage import __version__
from captriage.errors import BookError
from captriage.store import schema

Migration = Callable[[Connection], None]

MIGRATIONS: Final[tuple[Migration, ...]] = ()
"""The first leads from version 1 to 2, and so on."""

_ONE_AT_A_TIME: Final = "SELECT pg_advisory_xact_lock(1130459220)"


@contextmanager
def transaction(connection: Connection, *, write: bool = True) -> Iterator[None]:
    """All of it or nothing; of a reading transaction, all as it stood at one moment."""
    sqlite = connection.dialect.name == "sqlite"
    if write:
        begin = "BEGIN IMMEDIATE" if sqlite else "BEGIN"
    else:
        begin = "BEGIN" if sqlite else "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY"
    connection.exec_driver_sql(begin)
    try:
        yield
        connection.exec_driver_sql("COMMIT")
    except BaseException:
        with suppress(DBAPIError):  # the first error is the one to tell
            connection.exec_driver_sql("ROLLBACK")
        raise


def version_of(connection: Connection) -> int:
    """Version of the book; 0 where there is none yet."""
    if not inspect(connection).has_table("meta"):
        return 0
    return int(connection.execute(select(func.max(schema.meta.c.version))).scalar() or 0)


def make(connection: Connection, *, utc: str) -> None:
    """Make the tables of a new book, unless another program has just done so."""
    with transaction(connection):
        _alone(connection)
        if version_of(connection):
            return
        schema.metadata.create_all(connection)
        for statement in schema.protection(connection.dialect.name):
            connection.exec_driver_sql(statement)
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql(f"PRAGMA application_id = {schema.APPLICATION_ID}")
        _note(connection, schema.VERSION, utc)


def migrate(
    connection: Connection,
    where: str,
    *,
    utc: str,
    migrations: tuple[Migration, ...] = MIGRATIONS,
) -> int:
    """Lead an older book to the version of this program; the version it had.

    Raises
    ------
    BookError
        The book was made by a newer program.
    """
    newest = len(migrations) + 1
    with transaction(connection):
        _alone(connection)
        found = version_of(connection)
        if found > newest:
            raise BookError(
                f"{where}: a book of version {found}; this program knows up to {newest}: "
                "install the newer CapTriage that wrote it"
            )
        for number in range(found, newest):
            migrations[number - 1](connection)
            _note(connection, number + 1, utc)
    return found


def _alone(connection: Connection) -> None:
    """Wait until no other program makes or migrates this book; SQLite locks the whole file."""
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql(_ONE_AT_A_TIME)


def _note(connection: Connection, version: int, utc: str) -> None:
    row = {"version": version, "program": __version__, "utc": utc}
    connection.execute(insert(schema.meta), row)
