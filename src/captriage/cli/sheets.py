"""The commands that read a sheet: judge, check, demo."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import click

from captriage.cli.options import POLICY, WORKSHEET, format_of, judged_into, sheets_named
from captriage.cli.output import chosen_format, destination, folder
from captriage.report import CHECK_FORMATS, FORMATS


@click.command()
@judged_into(FORMATS)
def judge(
    sheets: tuple[Path, ...],
    policy: str,
    format_: str | None,
    out: Path | None,
    worksheet: str | None,
) -> int:
    """Judge every part: keep, reform or replace.

    Each verdict comes with its reason, the limit and where that comes from, how sure it is,
    and what to measure next.

    Exit status: 0 every part is keep, 1 some are not, 2 the sheet cannot be used.
    """
    from captriage.jobs import sheets as jobs
    from captriage.report.summary import all_keep, counted

    write = FORMATS[chosen_format(format_, out, list(FORMATS))]
    with destination(out, inputs=[*sheets, Path(policy)]) as stream:
        judgement = jobs.judge(sheets, policy=policy, worksheet=worksheet)
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
