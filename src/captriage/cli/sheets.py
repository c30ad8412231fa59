"""The commands that read a sheet: judge, check, demo."""

from __future__ import annotations

from pathlib import Path

import click

from captriage.cli.output import chosen_format, destination
from captriage.report import CHECK_FORMATS, FORMATS

SHEETS = click.argument(
    "sheets", metavar="SHEET...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
WORKSHEET = click.option("--worksheet", metavar="NAME", help="Sheet of a workbook to read.")
POLICY = click.option(
    "--policy",
    metavar="NAME|FILE",
    default="ordinary-service",
    show_default=True,
    help="House policy: a built-in one, or a TOML file of your own.",
)
OUT = click.option(
    "--out",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Write to this file; its ending gives the format where none is named.",
)


@click.command()
@SHEETS
@POLICY
@click.option("--format", "format_", type=click.Choice(list(FORMATS)), help="[default: table]")
@OUT
@WORKSHEET
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
    from captriage import jobs
    from captriage.report.summary import all_keep, counted

    write = FORMATS[chosen_format(format_, out, list(FORMATS))]
    with destination(out, inputs=sheets) as stream:
        judgement = jobs.judge(sheets, policy=policy, worksheet=worksheet)
        write(judgement, stream)
    if out:
        click.echo(f"{counted(judgement)}. Written to {out}.")
    return 0 if all_keep(judgement) else 1


@click.command()
@SHEETS
@click.option(
    "--format",
    "format_",
    type=click.Choice(list(CHECK_FORMATS)),
    default="table",
    show_default=True,
)
@WORKSHEET
def check(sheets: tuple[Path, ...], format_: str, worksheet: str | None) -> int:
    """Show what is understood of the sheets.

    Nothing is judged yet. What could not be used is listed with its place and the remedy.

    Exit status: 0 every cell was used, 1 some were set aside, 2 nothing can be used.
    """
    from captriage import jobs

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
    help="Also write the report as DIR/captriage-demo.html.",
)
def demo(policy: str, out: Path | None) -> int:
    """Judge an invented cinema rack of 1959.

    Exit status: 0, whatever the verdicts.
    """
    from captriage import jobs

    sheets = jobs.demo_sheets()
    judgement = jobs.demo(policy=policy)
    click.echo("Demonstration: a small cinema's 1959 amplifier rack. All its data are invented.")
    click.echo(f"Sheets in {sheets[0].parent}: {', '.join(sheet.name for sheet in sheets)}")
    click.echo("The same as: captriage judge on these sheets.\n")
    with destination(None) as stream:
        FORMATS["table"](judgement, stream)
    if out:
        page = out / "captriage-demo.html"
        with destination(page) as stream:
            FORMATS["html"](judgement, stream)
        click.echo(f"\nReport to read or print: {page}")
    return 0
