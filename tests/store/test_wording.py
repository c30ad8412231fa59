"""Errors of a database in words, without the secret of its address."""

import sqlite3

import pytest
from sqlalchemy.exc import OperationalError

from captriage.errors import BookError
from captriage.store.wording import in_words, is_taken, said


class Refused(Exception):
    """An error of a driver, with the code it gives."""

    def __init__(self, text, *, sqlite_errorname="", sqlstate=None):
        super().__init__(text)
        self.sqlite_errorname, self.sqlstate = sqlite_errorname, sqlstate


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (Refused("x", sqlite_errorname="SQLITE_BUSY_SNAPSHOT"), "keeps the book locked"),
        (Refused("x", sqlite_errorname="SQLITE_IOERR_WRITE"), "the disk did not take it, nothing"),
        (Refused("x", sqlite_errorname="SQLITE_IOERR_FSYNC"), "the disk did not take it"),
        (Refused("x", sqlite_errorname="SQLITE_FULL"), "the disk is full, nothing was kept"),
        (Refused("x", sqlite_errorname="SQLITE_CANTOPEN"), "check who may read and write its"),
        (Refused("x", sqlstate="53100"), "the server's disk is full, nothing was kept"),
        (Refused("x", sqlstate="08006"), "whether the last reading was kept, the book's list"),
        (Refused("x", sqlstate="57P01"), "the server was shut down"),
        (Refused("x", sqlstate="42501"), "does not let this name write here"),
        (Refused("two\n lines"), "the database refused: two lines"),
    ],
)
def test_each_kind_of_refusal_has_its_words(error, words):
    assert words in said(error)


def test_the_secret_is_never_repeated():
    error = Refused("password hunter2 of hunter2 is wrong", sqlstate="28P01")
    assert "hunter2" not in said(error, secret="hunter2")
    with (
        pytest.raises(BookError, match=r"book: .* \(password \*\*\* of \*\*\* is wrong\)"),
        in_words("book", secret="hunter2"),
    ):
        raise OperationalError("SELECT", {}, error)


def test_an_error_of_the_driver_itself_is_told_as_well():
    with (
        pytest.raises(BookError, match="book: the database refused: x"),
        in_words("book", driver=sqlite3.Error),
    ):
        raise sqlite3.OperationalError("x")


def test_other_errors_are_left_as_they_are():
    with pytest.raises(KeyError), in_words("book", driver=sqlite3.Error):
        raise KeyError("x")


def test_a_number_that_is_taken_is_told_from_other_refusals():
    assert is_taken(Refused("x", sqlite_errorname="SQLITE_CONSTRAINT_UNIQUE"))
    assert is_taken(Refused("x", sqlstate="23505"))
    assert not is_taken(Refused("x", sqlstate="23503"))
    assert not is_taken(ValueError("x"))
