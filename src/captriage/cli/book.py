"""The commands of the bench book: list, new, import, export, strike, backup, check."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from captriage.cli.options import BOOK, JOB, WORKSHEET, RowNumber, format_of, sheets_named
from captriage.cli.output import destination
from captriage.columns import BENCH_QUANTITIES, QUANTITIES
from captriage.report import BOOK_FORMATS

ANSWER = "answer"
WHAT = (ANSWER, "look", "part", "run")


@click.group()
def book() -> None:
    """Keep readings in a bench book that loses nothing.

    A job in the book is one machine. Nothing in it is overwritten: what proves wrong is struck
    out with a reason and stays to be seen.
    """


@book.command("list")
@BOOK
@click.option("--job", metavar="JOB", help="List all that was kept of this job.")
@format_of(BOOK_FORMATS)
def list_(book: str, job: str | None, format_: str) -> int:
    """List the jobs, or what was kept of one."""
    from captriage.jobs import book as jobs

    found = jobs.list_job(book, job) if job else jobs.list_jobs(book)
    with destination(None) as stream:
        BOOK_FORMATS[format_](found, stream)
    return 0


@book.command()
@click.argument("job")
@click.option("--machine", metavar="TEXT", default="", help="What is on the bench.")
@click.option("--note", metavar="TEXT", default="", help="Anything to remember with it.")
@BOOK
def new(job: str, machine: str, note: str, book: str) -> int:
    """Begin a job; a book that is missing is made."""
    from captriage.jobs import book as jobs

    name = jobs.new_job(book, job, machine=machine, note=note)
    click.echo(f"Job {job} is begun in {name}.")
    return 0


@book.command("import")
@sheets_named("SHEET...")
@JOB
@BOOK
@click.option(
    "--because",
    metavar="REASON",
    default="",
    help="Why the sheet is right where the book has other ratings; the book is corrected.",
)
@WORKSHEET
def import_(
    sheets: tuple[Path, ...], job: str, book: str, because: str, worksheet: str | None
) -> int:
    """Take sheets into a job.

    Raw cells, their places and what could not be used are kept with the readings. All the
    sheets are taken in, or none.
    """
    from captriage.jobs import book as jobs
    from captriage.report.terminal import Terminal

    taken = jobs.import_sheets(book, sheets, job, because=because, worksheet=worksheet)
    click.echo(
        f"Taken in as run {taken.run_id}: {taken.new_parts} new parts, {taken.readings} readings, "
        f"{taken.looks} looks."
    )
    if taken.known_parts:
        click.echo(
            f"Parts that were there already: {taken.known_parts}; "
            f"better known now: {taken.changed_parts}."
        )
    if taken.set_aside:
        noun = "cell or line was" if taken.set_aside == 1 else "cells or lines were"
        click.echo(f"{taken.set_aside} {noun} set aside; see them with:")
        option = ["--worksheet", worksheet] if worksheet else []
        Terminal(sys.stdout).command(["captriage", "check", *map(str, sheets), *option])
    return 0


@book.command()
@JOB
@BOOK
@click.option(
    "--out",
    metavar="DIR",
    required=True,
    type=click.Path(path_type=Path),
    help="Folder for the sheets; it is made where it is missing.",
)
def export(job: str, book: str, out: Path) -> int:
    """Write a job as sheets that are read back exactly.

    What is struck out is left out.
    """
    from captriage.jobs import book as jobs

    for path in jobs.export(book, job, out):
        click.echo(str(path))
    return 0


@book.command()
@click.argument("number", metavar="NUMBER", type=RowNumber())
@click.option("--because", metavar="REASON", required=True, help="Why it is wrong.")
@click.option(
    "--what",
    type=click.Choice(WHAT),
    default=WHAT[0],
    show_default=True,
    help="What the number is of; a run is struck with all it brought.",
)
@click.option(
    "--quantity",
    type=click.Choice([*QUANTITIES, *BENCH_QUANTITIES]),
    help="Only this of an answer. [all of it]",
)
@BOOK
def strike(
    number: tuple[int, ...], because: str, what: str, quantity: str | None, book: str
) -> int:
    """Strike out an answer of a meter by the NUMBER that the log and the list show, such as 2.7.

    That is the run and the answer in it. Looks, parts and runs have numbers without a point. What
    is struck out stays in the list with the reason, and is not judged.
    """
    from captriage.jobs import book as jobs
    from captriage.report.terminal import Terminal

    shown = ".".join(map(str, number))
    if what != ANSWER and (len(number) != 1 or quantity):
        raise click.UsageError(
            f"{shown}: a {what} has a number without a point and no quantity; "
            "'captriage book list --job JOB' shows it."
        )
    if what == ANSWER:
        if len(number) == 1:
            raise click.UsageError(
                f"{shown}: an answer has two numbers, such as 2.7, in the log and in "
                "'captriage book list --job JOB'; for another thing say --what."
            )
        told = jobs.strike_answer(book, number[0], number[1], because, quantity=quantity)
    else:
        told = jobs.strike(book, what, number[0], because)
    page = Terminal(sys.stdout)
    page.paragraph(f"Struck out: {told}.")
    page.paragraph("It stays in the list with the reason, and is not judged.")
    return 0


@book.command()
@click.argument("file", type=click.Path(path_type=Path))
@BOOK
def backup(file: Path, book: str) -> int:
    """Copy the book to a new file, while it is in use."""
    from captriage.jobs import book as jobs

    jobs.backup(book, file)
    click.echo(f"Copied to {file}.")
    return 0


@book.command("check")
@BOOK
def check(book: str) -> int:
    """Check that the book can be believed.

    Exit status: 0 it is sound, 1 something is wrong, 2 it cannot be opened.
    """
    from captriage.jobs import book as jobs

    problems = jobs.problems(book)
    for problem in problems:
        click.echo(problem)
    click.echo(f"{len(problems)} wrong." if problems else "The book is sound.")
    return 1 if problems else 0
