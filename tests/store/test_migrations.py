"""An older book is led to this version, whole or not at all; a newer one is refused."""

import sqlite3
from pathlib import Path

import pytest

from captriage.errors import BookError
from captriage.store import migrations, schema
from captriage.store.book import Book
from store.entered import job_with_parts, reply

OLDEST = Path(__file__).parents[1] / "data" / "book_version_1.sql"


@pytest.fixture
def oldest(path):
    """A book as the first version left it."""
    connection = sqlite3.connect(path)
    connection.executescript(OLDEST.read_text(encoding="utf-8"))
    connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
    connection.close()
    return path


def with_humidity(connection):
    column = "REAL" if connection.dialect.name == "sqlite" else "FLOAT8"
    connection.exec_driver_sql(f"ALTER TABLE readings ADD COLUMN humidity {column}")


def failing(connection):
    connection.exec_driver_sql("CREATE TABLE half_done (id INTEGER)")
    connection.exec_driver_sql("SELECT * FROM nowhere")


def shape(path):
    """What the tables and triggers of a book are made by."""
    connection = sqlite3.connect(path)
    found = connection.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()
    connection.close()
    return {name: " ".join((sql or "").split()) for name, sql in found}


def test_the_version_is_the_number_of_ways_and_one():
    assert len(migrations.MIGRATIONS) + 1 == schema.VERSION


def test_the_oldest_book_becomes_what_a_new_book_is(oldest, tmp_path):
    with Book.open(oldest) as book:
        job = book.job("rack")
        assert [row.raw for row in book.readings(job.id)] == ["4.7e-05,1.2"] * 2
        assert [row.part for row in book.parts(job.id)] == ["C1", "C2"]
        assert book.check() == []
        assert len(book.keep(1, 1, reply(5))) == 2
    Book.open(tmp_path / "new.book", create=True).close()
    assert shape(oldest) == shape(tmp_path / "new.book")


def test_a_book_of_this_version_is_left_alone(where, tmp_path):
    Book.open(where, create=True).close()
    before = sorted(tmp_path.iterdir())
    Book.open(where).close()
    assert sorted(tmp_path.iterdir()) == before


def test_the_next_version_is_reached_with_a_copy_of_the_one_before(where, path):
    with Book.open(where, create=True) as book:
        job, (part,), run = job_with_parts(book, "C1")
        kept = book.keep(run, part, reply())
    ways = (*migrations.MIGRATIONS, with_humidity)
    with Book.open(where, migrations=ways) as book:
        connection = book._session.opened.connection
        assert connection.exec_driver_sql("SELECT humidity FROM readings").all() == [(None,)] * 2
        assert [row.id for row in book.readings(job)] == kept
        found = connection.exec_driver_sql("SELECT version FROM meta ORDER BY version").all()
        assert [row[0] for row in found][-2:] == [schema.VERSION, schema.VERSION + 1]
    Book.open(where, migrations=ways).close()  # and stays there
    if "://" not in where:
        copies = [copy.name for copy in path.parent.iterdir() if ".version-" in copy.name]
        assert copies == [f"bench.book.version-{schema.VERSION}"]
        with Book.open(path.parent / copies[0]) as copy:
            assert [row.id for row in copy.readings(job)] == kept


def test_a_copy_of_an_older_version_is_never_written_over(path):
    Book.open(path, create=True).close()
    first = path.with_name(f"bench.book.version-{schema.VERSION}")
    first.write_text("mine", encoding="utf-8")
    Book.open(path, migrations=(*migrations.MIGRATIONS, with_humidity)).close()
    assert first.read_text(encoding="utf-8") == "mine"
    assert first.with_name(f"{first.name}-2").exists()


def test_a_migration_that_fails_leaves_the_book_as_it_was(where):
    with Book.open(where, create=True) as book:
        job, (part,), run = job_with_parts(book, "C1")
        book.keep(run, part, reply())
    ways = (*migrations.MIGRATIONS, with_humidity, failing)
    with pytest.raises(BookError, match="nowhere"):
        Book.open(where, migrations=ways)
    with Book.open(where) as book:
        connection = book._session.opened.connection
        assert migrations.version_of(connection) == schema.VERSION
        names = set(migrations.inspect(connection).get_table_names())
        assert names == set(schema.metadata.tables)
        assert len(book.readings(job)) == 2


def test_a_book_of_a_newer_program_is_refused(where):
    ways = (*migrations.MIGRATIONS, with_humidity)
    Book.open(where, create=True).close()
    Book.open(where, migrations=ways).close()
    with pytest.raises(
        BookError, match=r"a book of version \d+; this program knows up to \d+: install the newer"
    ):
        Book.open(where)
