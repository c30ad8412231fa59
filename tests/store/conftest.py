"""Books of both kinds: a file, and a database of a server."""

from datetime import timedelta
from itertools import count

import pytest

from captriage.store.book import Book
from store.entered import NOON


@pytest.fixture(params=["sqlite", "postgresql"])
def where(request, tmp_path):
    """Where a book may be made, of each kind."""
    if request.param == "sqlite":
        return str(tmp_path / "bench.book")
    return request.getfixturevalue("postgres_database")


def ticking():
    """Clock that goes on by a second whenever it is looked at."""
    seconds = count()
    return lambda: NOON + timedelta(seconds=next(seconds))


@pytest.fixture
def book(where):
    """A new book, of each kind."""
    with Book.open(where, create=True, now=ticking()) as opened:
        yield opened


@pytest.fixture
def path(tmp_path):
    """Name for a file."""
    return tmp_path / "bench.book"


@pytest.fixture
def file_book(path):
    """A new book in a file."""
    with Book.open(path, create=True, now=ticking()) as opened:
        yield opened
