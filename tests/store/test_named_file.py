"""What is kept is in a file that has a name, or it is said where it is saved."""

import os
import re
import shutil
from types import SimpleNamespace

import pytest

from captriage.errors import BookError
from captriage.store.book import Book
from store.entered import job_with_parts, reply


def deleted(path):
    path.unlink()


def moved(path):
    path.rename(path.with_name("elsewhere"))


def replaced(path):
    other = path.with_name("other")
    shutil.copy(path, other)
    other.replace(path)


def log_deleted(path):
    path.with_name(f"{path.name}-wal").unlink()


LOST = [deleted, moved, replaced, log_deleted]
WRITES = {
    "keep": lambda at: at.book.keep(at.run, at.part, reply(9)),
    "event": lambda at: at.book.event(at.run, "note", "x"),
    "look": lambda at: at.book.look(at.part, "bulged", "bulged", at.run),
    "add_job": lambda at: at.book.add_job("other"),
    "begin_run": lambda at: at.book.begin_run(at.job, "stream"),
    "strike": lambda at: at.book.strike("run", at.run, "wrong"),
}
SAID = re.compile(r"nothing more is kept; all that was kept so far is in (.*): go on with --book")


def written_to(book):
    job, (part,), run = job_with_parts(book, "C1")
    return SimpleNamespace(book=book, job=job, part=part, run=run)


def saved_in(error):
    return SAID.search(str(error))[1]


@pytest.mark.parametrize("lose", LOST)
def test_a_reply_is_not_kept_in_a_file_without_a_name(file_book, path, lose):
    job, (part,), run = job_with_parts(file_book, "C1")
    kept = file_book.keep(run, part, reply())
    lose(path)
    with pytest.raises(BookError, match="was deleted, moved or replaced while it was") as refused:
        file_book.keep(run, part, reply(2))
    saved = saved_in(refused.value)
    assert saved == f"{path}.rescued"
    with Book.open(saved) as book:
        assert [row.id for row in book.readings(job)] == kept
        assert book.check() == []


@pytest.mark.parametrize("write", WRITES)
def test_nothing_else_is_either_and_one_copy_is_enough(file_book, path, write):
    at = written_to(file_book)
    path.unlink()
    for _ in range(3):
        with pytest.raises(BookError, match="nothing more is kept"):
            WRITES[write](at)
    assert [found.name for found in path.parent.glob("*.rescued*")] == ["bench.book.rescued"]


@pytest.mark.parametrize("write", WRITES)
def test_what_loses_its_name_while_it_is_written_is_saved_too(file_book, path, write):
    """The name is looked for after the commit as well: nothing may be shown as taken."""
    at = written_to(file_book)
    file = file_book._session.opened.file
    checks = []
    honest = file.check

    def losing():
        honest()
        checks.append(1)
        path.unlink(missing_ok=True)

    file.check = losing
    with pytest.raises(BookError, match="all that was kept so far is in") as refused:
        WRITES[write](at)
    assert len(checks) == 1
    with Book.open(saved_in(refused.value)) as book:
        assert len(book.readings(at.job)) == (2 if write == "keep" else 0)
        assert len(book.events(at.job)) == (write == "event")


def test_a_book_that_others_open_close_and_check_has_its_name_still(file_book, path):
    job, (part,), run = job_with_parts(file_book, "C1")
    for number in range(3):
        with Book.open(path) as other:
            other._session.opened.connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        file_book.keep(run, part, reply(number))
    assert len(file_book.readings(job)) == 6


def test_a_book_behind_a_link_is_its_own_file(path, tmp_path):
    Book.open(path, create=True).close()
    link = tmp_path / "link.book"
    link.symlink_to(path)
    with Book.open(link) as book:
        _, (part,), run = job_with_parts(book, "C1")
        book.keep(run, part, reply())
        path.unlink()
        with pytest.raises(BookError, match=r"bench\.book\.rescued"):
            book.keep(run, part, reply(2))


def test_where_its_folder_is_gone_it_is_saved_in_the_present_one(tmp_path, monkeypatch):
    (tmp_path / "folder").mkdir()
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    with Book.open(tmp_path / "folder" / "bench.book", create=True) as book:
        job, (part,), run = job_with_parts(book, "C1")
        shutil.rmtree(tmp_path / "folder")
        (tmp_path / "here" / "bench.book.rescued").touch()
        with pytest.raises(BookError) as refused:
            book.keep(run, part, reply())
    assert saved_in(refused.value) == str(tmp_path / "here" / "bench.book.rescued-2")
    with Book.open(saved_in(refused.value)) as book:
        assert [row.part for row in book.parts(job)] == ["C1"]


def test_what_cannot_be_saved_either_is_said(file_book, path, monkeypatch):
    _, (part,), run = job_with_parts(file_book, "C1")
    path.unlink()
    for folder in ("captriage.store.named_file.Path.cwd", "tempfile.gettempdir"):
        monkeypatch.setattr(folder, lambda: path.parent / "none")
    monkeypatch.setattr(os.path, "lexists", lambda _: False)
    path.with_name("bench.book.rescued").touch()
    with pytest.raises(BookError, match=r"is lost when this program ends, .*; write down what is"):
        file_book.keep(run, part, reply())
