"""The book keeps what it is given, on SQLite and on PostgreSQL alike."""

from datetime import UTC, datetime
from math import nan

import pytest

from captriage.bench.measured import Answer, Value
from captriage.errors import BookError
from captriage.store.book import Book

NOON = datetime(2026, 11, 24, 12, 0, 0, 125, tzinfo=UTC)


@pytest.fixture
def book(tmp_path):
    with Book.open(tmp_path / "bench.book", create=True) as opened:
        yield opened


def reply(raw="4.7e-5,1.2", at=1.0, utc=NOON):
    return Answer((Value("capacitance", 4.7e-5), Value("esr", 1.2)), raw, utc, at)


def test_parts_come_back_as_they_were_entered(book):
    job = book.add_job("rack", "amplifier of 1959")
    ids = book.add_parts(job, [{"part": "C1", "capacitance_rated": 3.2e-5}, {"part": "C2"}])
    parts = book.parts(job)
    assert [part.id for part in parts] == ids
    assert [part.part for part in parts] == ["C1", "C2"]
    assert parts[0].capacitance_rated == 3.2e-5
    assert parts[1].capacitance_rated != parts[1].capacitance_rated


def test_a_reply_gets_a_number_for_each_of_its_values(book):
    job = book.add_job("rack")
    (part,) = book.add_parts(job, [{"part": "C1"}])
    run = book.begin_run(job, "part by part", meter="bridge", settings={"frequency_hz": 120.0})
    kept = book.keep(run, part, reply(), conditions={"frequency_hz": 120.0})
    assert len(set(kept)) == 2
    assert book.keep(run, part, reply(at=2.0)) == [kept[1] + 1, kept[1] + 2]


def test_an_infinite_number_is_refused(book):
    job = book.add_job("rack")
    run = book.begin_run(job, "stream")
    with pytest.raises(BookError, match="esr: an infinite number is no reading"):
        book.keep(run, None, Answer((Value("esr", float("inf")),), "x", NOON, 1.0))
    assert book.jobs()[0].readings == 0
    assert book.keep(run, None, Answer((Value("esr", nan, flag="open"),), "OL", NOON, 2.0))
