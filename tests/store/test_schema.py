"""Nothing in a book is changed or deleted, whoever asks."""

import sqlite3

import pytest
from sqlalchemy.exc import DBAPIError

from captriage.columns import PARTS, READINGS
from captriage.errors import BookError
from captriage.store import schema
from store.entered import job_with_parts, reply

TABLES = [table.name for table in schema.metadata.sorted_tables]


@pytest.fixture
def filled(book):
    """A book with a row in every table."""
    _, (part,), run = job_with_parts(book, "C1")
    (reading, _) = book.keep(run, part, reply())
    book.look(part, "sound", "ok", run)
    book.event(run, "note", "x")
    book.strike("reading", reading, "wrong")
    with book._session.writing() as connection:
        for table in (schema.set_aside, schema.verdicts):
            values = {"job_id": 1, "run_id": run, "part_id": part}
            for column in table.c:
                if column.name not in values and not column.nullable and column.name != "id":
                    values[column.name] = 0 if column.type.python_type is int else ""
            connection.execute(table.insert(), {k: v for k, v in values.items() if k in table.c})
    return book


@pytest.mark.parametrize("table", TABLES)
def test_no_row_is_changed_or_deleted(filled, table):
    connection = filled._session.opened.connection
    column = schema.metadata.tables[table].c.keys()[-1]
    quoted = connection.dialect.identifier_preparer.quote(column)
    statements = [f"UPDATE {table} SET {quoted} = {quoted}", f"DELETE FROM {table}"]
    if connection.dialect.name == "sqlite":
        statements += [
            f"REPLACE INTO {table} SELECT * FROM {table}",
            f"UPDATE OR REPLACE {table} SET {quoted} = NULL",
        ]
    else:
        statements.append(f"TRUNCATE {table} CASCADE")
    for statement in statements:
        with pytest.raises(DBAPIError, match="nothing in a bench book is changed or deleted"):
            connection.exec_driver_sql(statement)
    assert connection.exec_driver_sql(f"SELECT count(*) FROM {table}").scalar() > 0


def test_no_other_program_can_change_it_by_accident(file_book, path):
    _, (part,), run = job_with_parts(file_book, "C1")
    file_book.keep(run, part, reply())
    other = sqlite3.connect(path)
    with pytest.raises(sqlite3.IntegrityError, match="strike it out"):
        other.execute("UPDATE readings SET value = 1")
    with pytest.raises(sqlite3.IntegrityError, match="cannot store TEXT value in REAL column"):
        other.execute(
            "INSERT INTO readings (job_id, run_id, answer, quantity, value, flag, raw, utc) "
            "VALUES (1, 1, 9, 'esr', 'open', '', 'open', '')"
        )
    other.close()


def test_a_refusal_is_told_in_words(filled):
    with (
        pytest.raises(BookError, match=r"nothing was changed .nothing in a bench book is changed"),
        filled._session.writing() as connection,
    ):
        connection.exec_driver_sql("DELETE FROM readings")


def test_the_tables_have_the_columns_of_the_vocabulary():
    assert set(PARTS) <= set(schema.parts.c.keys())
    assert set(READINGS) - {"part_row"} <= set(schema.readings.c.keys())
