"""An open book, one connection: transactions, locks, errors in words, the clock."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, datetime
from threading import RLock
from typing import Any

from sqlalchemy import Connection, insert
from sqlalchemy.exc import DBAPIError

from captriage.errors import BookError
from captriage.store import schema
from captriage.store.migrations import transaction
from captriage.store.opening import Opened
from captriage.store.wording import in_words


def clock() -> datetime:
    """Wall clock, aware, UTC."""
    return datetime.now(UTC)


def written(moment: datetime) -> str:
    """Moment as the book has it: UTC, ISO 8601 with microseconds.

    Raises
    ------
    BookError
        The moment names no zone.
    """
    if moment.tzinfo is None:
        raise BookError(f"time: {moment.isoformat()} names no zone; give it in UTC")
    return moment.astimezone(UTC).isoformat(timespec="microseconds")


class Session:
    """The way to the tables for all that a book can do; one thread at a time."""

    def __init__(self, opened: Opened, now: Callable[[], datetime]) -> None:
        self.opened = opened
        self.name = opened.name
        self.lock = RLock()
        self._now = now
        driver = opened.connection.dialect.dbapi
        self.driver_error: type[Exception] = driver.Error if driver else DBAPIError

    def utc(self) -> str:
        """The moment, as the book has it."""
        return written(self._now())

    def in_words(self) -> AbstractContextManager[None]:
        """Errors of the database become :class:`BookError`."""
        return in_words(self.name, secret=self.opened.secret, driver=self.driver_error)

    def named(self) -> None:
        """Make sure that the file of the book has its name still.

        Raises
        ------
        BookError
            It has not; the message says where all that was kept is.
        """
        if self.opened.file:
            self.opened.file.check()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """All that is read within it stood in the book at one moment."""
        with self.lock, self.in_words():
            connection = self.opened.connection
            with transaction(connection, write=False):
                yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """All that is written within it is kept, or nothing."""
        with self.lock, self.in_words():
            self.named()
            connection = self.opened.connection
            with transaction(connection):
                yield connection
            self.named()

    def add(self, table: str, values: dict[str, Any]) -> int:
        """Keep one row by itself; its number."""
        with self.lock, self.in_words():
            self.named()
            number = added(self.opened.connection, table, values)
            self.named()
            return number


def added(connection: Connection, table: str, values: dict[str, Any]) -> int:
    """Add one row within a transaction; its number."""
    chosen = schema.metadata.tables[table]
    return int(connection.execute(insert(chosen).returning(chosen.c.id), values).scalar_one())
