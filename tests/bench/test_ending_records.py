"""Once the end of a run begins, a book that takes no more is told of and stands in nobody's way."""

import pytest

from bench.told import NOON, PART, Told
from captriage.bench.ending_records import EndingRecords
from captriage.bench.measured import Answer
from captriage.errors import BookError

FULL = "bench.book: no space left on the disk; make room"
ANSWER = Answer((), "", NOON, 0.0)


class FullBook(Told):
    full = True

    def keep(self, part, answer, conditions):
        self._check()
        return super().keep(part, answer, conditions)

    def event(self, kind, text, part=None):
        self._check()
        super().event(kind, text, part)

    def _check(self):
        if self.full:
            raise BookError(FULL)


def test_before_the_end_a_book_that_takes_no_more_ends_the_run():
    book = FullBook()
    records = EndingRecords(book, book)
    with pytest.raises(BookError, match="no space left on the disk"):
        records.keep(PART, ANSWER, {})
    with pytest.raises(BookError, match="no space left on the disk"):
        records.event("note", "it hums", PART)
    assert records.failed == ""


def test_from_the_end_on_it_is_told_once_and_the_end_goes_on():
    book = FullBook()
    records = EndingRecords(book, book)
    records.end_begins()
    records.event("note", "to be switched off", PART)
    assert records.keep(PART, ANSWER, {}).readings == ()
    assert book.having("book ") == [f"book {FULL}; the end of this run is not in the book"]
    assert records.failed == FULL


def test_what_can_be_kept_is():
    book = FullBook()
    book.full = False
    records = EndingRecords(book, book)
    for _ in range(2):
        records.event("note", "it hums", PART)
        records.keep(PART, ANSWER, {})
        records.end_begins()
    assert book.having("note: it hums") == ["note: it hums"] * 2
    assert records.failed == ""
