"""What a user can ask of the bench book: begin, list, take in, hand out, strike, keep, judge."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, replace
from os import PathLike, fspath
from pathlib import Path
from typing import TYPE_CHECKING

from captriage.store.book import Book

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement
    from captriage.report.book_lists import BookList, JobList
    from captriage.report.read_curve import ReadCurve
    from captriage.store.importing import Imported, Source
    from captriage.store.rows import LookRow, PartRow, RunRow

Where = str | PathLike[str]


def new_job(where: Where, name: str, *, machine: str = "", note: str = "") -> str:
    """Begin a job, in a new book where there is none; how the book is called.

    Raises
    ------
    BookError
        There is a job of this name, or no book can be had there.
    """
    with Book.open(where, create=True) as book:
        book.add_job(name, machine, note)
        return book.name


def list_jobs(where: Where) -> BookList:
    """Jobs of a book.

    Raises
    ------
    BookError
        There is no such book.
    """
    from captriage.report.book_lists import BookList

    with Book.open(where) as book:
        return BookList(book.name, [asdict(row) for row in book.jobs()])


def list_job(where: Where, name: str) -> JobList:
    """All that a book holds of a job, struck rows too.

    Raises
    ------
    BookError
        There is no such book or job.
    """
    from captriage.report.book_lists import JobList

    with Book.open(where) as book:
        job = book.job(name)
        return JobList(
            book=book.name,
            job=asdict(job),
            parts=[asdict(row) for row in book.parts(job.id)],
            runs=[asdict(row) for row in book.runs(job.id)],
            readings=[asdict(row) for row in book.readings(job.id)],
            looks=[asdict(row) for row in book.looks(job.id)],
            events=[asdict(row) for row in book.events(job.id)],
            strikes=[asdict(row) for row in book.strikes(job.id)],
            verdicts=[asdict(row) for row in book.verdicts(job.id)],
        )


def import_sheets(
    where: Where,
    sheets: Iterable[Where],
    name: str,
    *,
    because: str = "",
    worksheet: str | None = None,
    today_year: int | None = None,
) -> Imported:
    """Take sheets into a job: parts, readings, looks, and what was set aside of them.

    Raises
    ------
    ReadingsError
        A sheet cannot be opened, or nothing in it can be used.
    BookError
        There is no such book or job, it holds a sheet already, or has other ratings for a part.
    """
    from captriage.jobs.sheets import check

    paths = [Path(sheet) for sheet in sheets]
    with Book.open(where) as book:
        job = book.job(name)
        found = check(paths, worksheet=worksheet, today_year=today_year)
        files = [source_of(path) for path in paths]
        return book.import_sheets(job.id, found, files=files, because=because)


def source_of(path: Path) -> Source:
    """A sheet by its bytes, and by its text without what another program changes in saving."""
    from captriage.readers.text import decode, is_zip, read_bytes
    from captriage.store.importing import Source

    data = read_bytes(path, name=str(path))
    of_bytes = hashlib.sha256(data).hexdigest()
    if is_zip(data):
        return Source(path.name, of_bytes)
    text = decode(data, name=str(path)).rstrip("\n") + "\n"
    of_text = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
    return Source(path.name, of_bytes, of_text)


def export(where: Where, name: str, folder: Where) -> list[Path]:
    """Write a job as sheets that are read back exactly; struck rows are left out.

    Its reforming runs go into a folder beside them, as logs that are judged with ``--curves``.

    Raises
    ------
    BookError
        There is no such book or job, or the sheets cannot be written.
    """
    from captriage.jobs.reform_curves import reforming_runs
    from captriage.store.exporting import write_sheets

    with Book.open(where) as book:
        job = book.job(name)
        if not any(reforming_runs(book, job.id)):
            return write_sheets(book.sheets(job.id), Path(folder))
        from captriage.jobs.reforms_out import handed_out  # reads curves

        return handed_out(book, job.id, Path(folder))


def strike_answer(
    where: Where, run: int, answer: int, because: str, *, quantity: str | None = None
) -> str:
    """Strike out an answer, or one quantity of it; what was struck, in words.

    It stays in the lists and is not judged.

    Raises
    ------
    BookError
        There is no such answer, it is struck already, or no reason is given.
    """
    from captriage.report.book_lists import answer_told

    with Book.open(where) as book:
        struck = book.strike_answer(run, answer, because, quantity=quantity)
    return answer_told([asdict(row) for row in struck])


def strike(where: Where, what: str, number: int, because: str) -> str:
    """Strike out a look, run or part; what was struck, in words.

    It stays in the lists and is not judged.

    Raises
    ------
    BookError
        There is no such row, it is struck already, or no reason is given.
    """
    from captriage.report.book_lists import row_told

    with Book.open(where) as book:
        listed: dict[str, Callable[[int], Sequence[LookRow | PartRow | RunRow]]]
        listed = {"look": book.looks, "part": book.parts, "run": book.runs}
        found = [
            (job.id, row) for job in book.jobs() for row in listed[what](job.id) if row.id == number
        ]
        book.strike(what, number, because)
        if not found:  # a part of a struck import: it was in no list any more
            return f"{what} {number}"
        job_id, row = found[0]
        readings = [] if what == "look" else book.readings(job_id)
        own = [each for each in readings if number == getattr(each, f"{what}_id")]
        return row_told(what, asdict(row), readings=len(own))


def backup(where: Where, copy: Where) -> None:
    """Copy a book to a new file while others may write to it.

    Raises
    ------
    BookError
        The copy is there already, cannot be written, or the book is on a server.
    """
    with Book.open(where) as book:
        book.backup(copy)


def problems(where: Where) -> list[str]:
    """What is wrong with a book; nothing, where it is sound.

    Raises
    ------
    BookError
        It cannot be opened at all.
    """
    with Book.open(where) as book:
        return book.check()


def judge(
    where: Where,
    name: str,
    *,
    policy: str | os.PathLike[str] = "ordinary-service",
    today_year: int | None = None,
    record: bool = True,
) -> Judgement:
    """Verdict on every part of a job, as :func:`captriage.jobs.sheets.judge` gives it.

    What the reforming runs of the job prove goes into it.

    Parameters
    ----------
    where : str or path
        Book.
    name : str
        Job.
    policy : str or path
        Name of a built-in house policy, or a TOML file.
    today_year : int, optional
        Year to reckon ages to; the clock's where none is given.
    record : bool
        Keep the verdicts in the book, as far as they say something new.

    Raises
    ------
    BookError
        There is no such book or job, the job has no part, or the book cannot be written.
    PolicyError
        There is no such policy, or it holds something it may not.
    """
    from captriage.errors import BookError
    from captriage.jobs.reform_curves import reforming_runs
    from captriage.jobs.sheets import this_year
    from captriage.judging.policy import load_policy
    from captriage.judging.verdicts import judge_parts

    loaded = load_policy(fspath(policy))
    with Book.open(where) as book:
        job = book.job(name)
        found, kept_at = book.dated_sheets(job.id)
        if found.parts.empty:
            raise BookError(
                f"{book.name}: job {name} has no parts; take a list in with "
                "'captriage book import SHEET --job JOB'"
            )
        year = this_year() if today_year is None else today_year
        curves: Mapping[int, tuple[ReadCurve, ...]] = {}
        if any(reforming_runs(book, job.id)):
            from captriage.jobs.curves_in_book import beside_book

            beside = beside_book(
                found, book, job.id, policy=loaded, today_year=year, kept_at=kept_at
            )
            found, curves = beside.sheets, beside.curves
        judgement = judge_parts(found, policy=loaded, today_year=year)
        judgement = replace(judgement, curves=curves)
        if record:
            book.give_verdicts(job.id, judgement.verdicts, loaded.title)
    return judgement
