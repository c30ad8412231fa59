"""Begin a job from sheets, or see that it is the job of these sheets."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from captriage.errors import BookError

if TYPE_CHECKING:
    import os

    from captriage.store.book import Book
    from captriage.store.rows import JobRow, PartRow

    Where = str | os.PathLike[str]

NAMED_AT_MOST: Final = 4


def begin(
    where: Where,
    name: str,
    sheets: Sequence[Where],
    *,
    worksheet: str | None = None,
    today_year: int | None = None,
) -> None:
    """Begin a job from sheets; one that is there already must have the very parts of the sheets.

    The book is made too where it is missing.

    Raises
    ------
    BookError
        The book cannot be had, or the job has other parts than the sheets.
    ReadingsError
        A sheet cannot be used.
    """
    from captriage.store.book import Book

    with Book.open(where, create=True) as book:
        known = {job.name: job for job in book.jobs()}
        if name not in known:
            book.add_job(name)
        elif known[name].parts:
            _must_agree(book, known[name], sheets, worksheet=worksheet, today_year=today_year)
            return
    from captriage.jobs.book import import_sheets

    import_sheets(where, sheets, name, worksheet=worksheet, today_year=today_year)


def _must_agree(
    book: Book,
    job: JobRow,
    sheets: Sequence[Where],
    *,
    worksheet: str | None,
    today_year: int | None,
) -> None:
    """Refuse sheets with other parts than those of the job; one that was taken in has its own."""
    from captriage.jobs.book import source_of

    held = {
        mark
        for run in book.runs(job.id)
        if not run.struck
        for file in _files(run)
        for mark in (file["sha256"], file.get("text_sha256"))
    }
    paths = [Path(sheet) for sheet in sheets]
    if all(path.is_file() and source_of(path).marks & held for path in paths):
        return
    from captriage.jobs.sheets import check

    read = check(paths, worksheet=worksheet, today_year=today_year).parts
    apart = _apart(book.parts(job.id), read.to_dict("records"))
    if apart:
        more = len(apart) - NAMED_AT_MOST
        said = "; ".join(apart[:NAMED_AT_MOST]) + (f"; and {more} more" if more > 0 else "")
        names = ", ".join(path.name for path in paths)
        raise BookError(
            f"{names}: not the parts that job {job.name} has in {book.name}: {said}; leave --parts "
            "out to walk the job as it is, add the sheet to it with 'captriage book import', or "
            "begin another job with --job"
        )


def _files(run: Any) -> list[dict[str, str]]:  # noqa: ANN401 - of what an import has kept
    found: list[dict[str, str]] = run.settings.get("files", [])
    return found


def _apart(parts: Sequence[PartRow], rows: Sequence[dict[Any, Any]]) -> list[str]:
    """In what the parts of sheets differ from those of a job, in words."""
    from captriage.store.importing import differences

    known = {part.part: part for part in parts}
    said = [f"{row['part']} is not in the job" for row in rows if row["part"] not in known]
    for row in rows:
        if row["part"] in known:
            part = known[row["part"]]
            more, against = differences(part, row)
            said += [
                f"{part.part} has {column} {_shown(column, value)}, the job "
                + (
                    f"has {_shown(column, getattr(part, column))}"
                    if column in against
                    else "does not tell"
                )
                for column, value in (against | more).items()
            ]
    listed = {row["part"] for row in rows}
    return said + [f"{name} is in the job alone" for name in known if name not in listed]


def _shown(column: str, value: Any) -> str:  # noqa: ANN401 - of any column
    from captriage.columns import UNITS
    from captriage.units import format_quantity

    if isinstance(value, str):
        return value
    return format_quantity(value, UNITS[column]) if column in UNITS else f"{value:g}"
