"""What a check of the book finds when something did get past every guard."""

import os

import pytest
from sqlalchemy import text

from captriage.store import schema
from store.entered import job_with_parts, reply


def opened_to_errors(book):
    """Book with two jobs and replies in each, into which errors can be put by force."""
    for job in ("rack", "foyer"):
        _, (part,), run = job_with_parts(book, "C1", job=job)
        for number in range(1, 4):
            book.keep(run, part, reply(number))
        book.look(part, "sound", "ok", run)
        book.event(run, "note", "x", part_id=part)
    book.strike("reading", 1, "wrong")
    connection = book._session.opened.connection
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("PRAGMA foreign_keys = OFF")
        for table in schema.metadata.tables:
            for act in ("update", "delete"):
                connection.exec_driver_sql(f"DROP TRIGGER {table}_no_{act}")
    else:
        # As a superuser may: neither triggers nor references are looked at.
        connection.exec_driver_sql("SET session_replication_role = replica")
    return book


@pytest.fixture
def entered(book):
    return opened_to_errors(book)


@pytest.fixture
def entered_file(file_book):
    return opened_to_errors(file_book)


def test_a_sound_book_has_nothing_wrong(entered):
    assert entered.check() == []


@pytest.mark.parametrize(
    ("statement", "found"),
    [
        ("UPDATE readings SET part_id = 2 WHERE id = 1", "readings 1: its part is of another job"),
        ("UPDATE readings SET run_id = 2 WHERE id IN (1, 2) AND answer = 9", ""),
        ("UPDATE looks SET run_id = 2 WHERE id = 1", "looks 1: its run is of another job"),
        ("UPDATE events SET part_id = 2 WHERE id = 1", "events 1: its part is of another job"),
        ("DELETE FROM readings WHERE run_id = 1 AND answer = 2",
         "run 1: 2 replies are numbered 1 to 3"),
        ("DELETE FROM readings WHERE run_id = 1 AND answer = 1",
         "run 1: 2 replies are numbered 2 to 3"),
        ("UPDATE readings SET raw = '' WHERE id IN (3, 4)",
         "reading 3: the reply it came from, or its time, is missing"),
        ("UPDATE readings SET monotonic_s = NULL WHERE id IN (3, 4)",
         "reading 3: the reply it came from, or its time, is missing"),
        ("UPDATE readings SET raw = 'other' WHERE id = 3", "run 1, reply 2: its values differ"),
        ("UPDATE readings SET part_id = NULL WHERE id = 3", "run 1, reply 2: its values differ"),
        ("UPDATE readings SET monotonic_s = 0.5 WHERE id IN (3, 4)",
         "run 1, reply 2: its monotonic time lies before that of the last"),
        ("UPDATE readings SET utc = 'noon' WHERE id IN (3, 4)", "readings: 'noon' is no time"),
        ("UPDATE jobs SET utc = '2026-01-01T00:00:00' WHERE id = 1",
         "jobs: '2026-01-01T00:00:00' is no time"),
        ("UPDATE readings SET quantity = 'ears' WHERE id = 3",
         "readings: 'ears' is no quantity that is known"),
        ("UPDATE looks SET look = 'fishy'", "looks: 'fishy' is no look that is known"),
        ("UPDATE runs SET settings = '{' WHERE id = 2", "run 2: its settings cannot be read"),
        ("UPDATE strikes SET row_id = 999", "strike 1: there is no reading 999 in its job"),
        ("UPDATE strikes SET row_id = 7", "strike 1: there is no reading 7 in its job"),
    ],
)  # fmt: skip
def test_what_may_not_be_is_found(entered_file, statement, found):
    connection = entered_file._session.opened.connection
    connection.execute(text(statement))
    problems = entered_file.check()
    assert any(problem.startswith(found) for problem in problems) if found else problems == []


def test_several_faults_are_all_found(entered):
    connection = entered._session.opened.connection
    for statement in (
        "UPDATE readings SET part_id = 2 WHERE id = 1",
        "DELETE FROM readings WHERE run_id = 2 AND answer = 2",
        "UPDATE looks SET look = 'fishy' WHERE id = 2",
    ):
        connection.execute(text(statement))
    assert set(entered.check()) >= {
        "readings 1: its part is of another job",
        "run 2: 2 replies are numbered 1 to 3",
        "run 1, reply 1: its values differ in their reply, time or part",
        "looks: 'fishy' is no look that is known",
    }


def test_a_correction_of_a_correction_is_found(entered):
    row = entered.correct_part(1, {"made": 1959.0}, "misread")
    connection = entered._session.opened.connection
    other = entered.correct_part(1, {"made": 1960.0}, "misread")
    connection.execute(text(f"UPDATE parts SET revises = {row} WHERE id = {other}"))
    assert f"part row {other}: it corrects a row that is no part" in entered.check()


def test_damage_of_the_file_is_found(file_book, path):
    _, (part,), run = job_with_parts(file_book, "C1")
    for number in range(100):
        file_book.keep(run, part, reply(number, raw="1" * 500))
    connection = file_book._session.opened.connection
    connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.exec_driver_sql("PRAGMA cache_size = 0")
    with path.open("r+b") as file:
        file.seek(path.stat().st_size // 2 // 4096 * 4096)
        file.write(os.urandom(4096))
    found = file_book.check()
    assert found
    assert any("the file is damaged" in problem for problem in found)


def test_a_row_without_its_parent_is_found(file_book):
    job_with_parts(file_book, "C1")
    connection = file_book._session.opened.connection
    connection.exec_driver_sql("PRAGMA foreign_keys = OFF")
    connection.execute(
        schema.events.insert(),
        {"job_id": 1, "run_id": 77, "kind": "note", "text": "x",
         "utc": "2026-11-24T12:00:00.000000+00:00"},
    )  # fmt: skip
    assert "events 1: it belongs to a row of runs that is not there" in file_book.check()
