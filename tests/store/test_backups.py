"""A copy of a book is whole, new, and one file."""

import os
import resource

import pytest

from captriage.errors import BookError
from captriage.store.book import Book
from store.entered import job_with_parts, reply


def test_a_backup_holds_all_while_the_book_is_in_use(file_book, tmp_path):
    job, (part,), run = job_with_parts(file_book, "C1")
    kept = file_book.keep(run, part, reply())
    file_book.backup(tmp_path / "copy.book")
    file_book.keep(run, part, reply(2))
    assert sorted(path.name for path in tmp_path.glob("copy*")) == ["copy.book"]
    with Book.open(tmp_path / "copy.book") as copy:
        assert [row.id for row in copy.readings(job)] == kept
        assert copy.check() == []
    assert len(file_book.readings(job)) == 4


def test_a_backup_never_goes_over_a_file(file_book, tmp_path):
    (tmp_path / "copy.book").write_text("mine", encoding="utf-8")
    with pytest.raises(BookError, match=r"copy.book: exists already; a backup goes to a new file"):
        file_book.backup(tmp_path / "copy.book")
    assert (tmp_path / "copy.book").read_text(encoding="utf-8") == "mine"


def test_a_backup_needs_a_folder_that_takes_it(file_book, tmp_path):
    with pytest.raises(BookError, match=r"there is no folder .*attic; make it first"):
        file_book.backup(tmp_path / "attic" / "copy.book")
    with pytest.raises(BookError, match="name another place for the backup"):
        file_book.backup(tmp_path / ("n" * 300))


def test_a_backup_that_finds_no_room_leaves_nothing(file_book, tmp_path):
    job, (part,), run = job_with_parts(file_book, "C1")
    for number in range(50):
        file_book.keep(run, part, reply(number, raw="1" * 2000))
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, before[1]))
    try:
        with pytest.raises(BookError, match="no backup was made: "):
            file_book.backup(tmp_path / "copy.book")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert not (tmp_path / "copy.book").exists()
    assert len(file_book.readings(job)) == 100


def test_no_backup_is_made_of_a_damaged_book(file_book, path, tmp_path):
    _, (part,), run = job_with_parts(file_book, "C1")
    for number in range(100):
        file_book.keep(run, part, reply(number, raw="1" * 500))
    file_book._session.opened.connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    size = path.stat().st_size
    with path.open("r+b") as file:
        file.seek(size // 2 // 4096 * 4096)
        file.write(os.urandom(8192))
    with pytest.raises(BookError, match="no backup was made"):
        file_book.backup(tmp_path / "copy.book")
    assert not (tmp_path / "copy.book").exists()


def test_a_book_on_a_server_is_backed_up_by_the_server(postgres_database, tmp_path):
    with (
        Book.open(postgres_database, create=True) as book,
        pytest.raises(BookError, match=r"is backed up by the server's own tools .pg_dump"),
    ):
        book.backup(tmp_path / "copy.book")
