"""The commands that read a sheet: judge, check, demo."""

from __future__ import annotations

import os
from contextlib import ExitStack
from pathlib import Path

import click

from captriage.cli.options import POLICY, WORKSHEET, format_of, judged_into, sheets_named
from captriage.cli.output import chosen_format, destination, folder
from captriage.report import CHECK_FORMATS, FORMATS


@click.command()
@judged_into(FORMATS, metavar="[SHEET...]", required=False)
@click.option("--book", metavar="FILE|URL", help="Bench book to judge from, instead of sheets.")
@click.option("--job", metavar="JOB", help="Job in the bench book; without --book, in bench.book.")
@click.option(
    "--curves",
    metavar="LOG|FOLDER",
    multiple=True,
    type=click.Path(path_type=Path),
    help="Logs of reforming runs, each named for its part; those of a book are in it.",
)
@click.option(
    "--no-record", "record", flag_value=False, default=True, help="Keep no verdicts in the book."
)
def judge(
    sheets: tuple[Path, ...],
    policy: str,
    format_: str | None,
    out: Path | None,
    worksheet: str | None,
    book: str | None,
    job: str | None,
    curves: tuple[Path, ...],
    record: bool,
) -> int:
    """Judge every part: keep, reform or replace.

    Each verdict comes with its reason, the limit and where that comes from, how sure it is,
    and what to measure next. Name sheets, or a job of a bench book; the book keeps the verdicts.

    Exit status: 0 every part is keep, 1 some are not, 2 the readings cannot be used.
    """
    from captriage.report.summary import all_keep, counted

    if sheets and (book or job):
        raise click.UsageError(
            "Sheets and a book are named: name one of them, or take the sheets into the book with "
            "'captriage book import'."
        )
    if not sheets and not job:
        raise click.UsageError("Missing argument 'SHEET...', or option '--job' for a bench book.")
    if curves and not sheets:
        raise click.UsageError("--curves goes with sheets; the runs of a book are judged with it.")
    write = FORMATS[chosen_format(format_, out, list(FORMATS))]
    source = book or os.environ.get("CAPTRIAGE_BOOK") or "bench.book"
    inputs = [*sheets, *curves, Path(policy), *([] if sheets else [Path(source)])]
    with destination(out, inputs=inputs) as stream:
        if job:
            from captriage.jobs import book as books

            judgement = books.judge(source, job, policy=policy, record=record)
        else:
            from captriage.jobs import sheets as jobs

            judgement = jobs.judge(sheets, policy=policy, worksheet=worksheet, curves=curves)
        write(judgement, stream)
    if out:
        click.echo(f"{counted(judgement)}. Written to {out}.")
    return 0 if all_keep(judgement) else 1


@click.command()
@sheets_named("SHEET...")
@format_of(CHECK_FORMATS)
@WORKSHEET
def check(sheets: tuple[Path, ...], format_: str, worksheet: str | None) -> int:
    """Show what is understood of the sheets.

    Nothing is judged yet. What could not be used is listed with its place and the remedy.

    Exit status: 0 every cell was used, 1 some were set aside, 2 nothing can be used.
    """
    from captriage.jobs import sheets as jobs

    found = jobs.check(sheets, worksheet=worksheet)
    with destination(None) as stream:
        CHECK_FORMATS[format_](found, stream)
    return 0 if found.set_aside.empty else 1


@click.command()
@POLICY
@click.option(
    "--out",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="Also write the report as DIR/captriage-demo.html; DIR is made where it is missing.",
)
def demo(policy: str, out: Path | None) -> int:
    """Judge an invented cinema rack of 1959.

    Exit status: 0, whatever the verdicts.
    """
    from captriage.jobs import sheets as jobs
    from captriage.report.terminal import Terminal

    sheets = jobs.demo_sheets()
    judgement = jobs.demo(policy=policy)
    page = folder(out) / "captriage-demo.html" if out else None
    with ExitStack() as kept:
        # Opened first: whether it can be written is told before anything is printed.
        html = kept.enter_context(destination(page)) if page else None
        with destination(None) as stream:
            screen = Terminal(stream)
            screen.paragraph(
                "Demonstration: a small cinema's 1959 amplifier rack. All its data are invented."
            )
            named = ", ".join(sheet.name for sheet in sheets)
            screen.paragraph(f"Sheets in {sheets[0].parent}: {named}")
            screen.paragraph("The same as: captriage judge on these sheets.")
            screen.line()
            FORMATS["table"](judgement, stream)
            if page and html:
                FORMATS["html"](judgement, html)
                screen.line()
                screen.paragraph(f"Report to read or print: {page}")
    return 0
