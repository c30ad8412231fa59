"""The commands that read logs of reforming runs: reform read, reform triage."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import isnan, nan
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from captriage.cli.at_the_bench import OHMS
from captriage.cli.options import POLICY, VOLTS, WORKSHEET, Decorated, format_of
from captriage.cli.output import destination, same_file
from captriage.errors import CapTriageError
from captriage.report import CURVE_FORMATS, TRIAGE_FORMATS
from captriage.units import parse_quantity

if TYPE_CHECKING:
    from captriage.jobs.curve_parts import Told

PICTURES: Final = (".svg", ".png")


def amperes_given(context: click.Context, option: click.Parameter, value: str | None) -> float:
    """Amperes of "1.1 mA" or "50 µA"; NaN where none are given."""
    del context, option
    if value is None:
        return nan
    amperes = parse_quantity(value, "A")
    if not 0.0 < amperes <= 1.0:
        raise click.BadParameter(f'{value!r}; write a current up to 1 A, such as "1.1 mA"')
    return amperes


def told(beside: Mapping[str, Any]) -> Told:
    """What the options of :func:`told_beside` say."""
    from captriage.jobs.curve_parts import Told

    floor = beside["floor"]
    return Told(
        rating=beside["rating"],
        made=beside["made"],
        voltage_working=nan if beside["working"] is None else beside["working"],
        series_ohm=beside["resistor"],
        supply_v=nan if beside["supply"] is None else beside["supply"],
        limit_a=beside["limit"],
        floor_a=0.0 if isnan(floor) else floor,
        columns=beside["columns"],
        worksheet=beside["worksheet"],
    )


def told_beside(command: Decorated) -> Decorated:
    """Options that tell of a log what it may not say itself, alike for all that read one."""
    options: tuple[Callable[[Decorated], Decorated], ...] = (
        click.option("--rating", default="", help='As printed on the part: "32 µF 450 V".'),
        click.option("--made", metavar="YEAR|CODE", default="", help="Year, or a date code."),
        click.option(
            "--working", metavar="V", type=VOLTS, default=None,
            help="Highest that its circuit puts on it, where that is enough.",
        ),
        OHMS,
        click.option(
            "--supply", metavar="V", type=VOLTS, default=None,
            help="Voltage of the supply, where it stood still and is not in the log.",
        ),
        click.option(
            "--limit", metavar="A", callback=amperes_given,
            help='Most leakage at the rated voltage, such as "1.1 mA"; otherwise by the policy.',
        ),
        click.option(
            "--floor", metavar="A", callback=amperes_given,
            help="What the ammeter may be off at nought, such as \"1 µA\".",
        ),
        click.option(
            "--columns", metavar="NAMES", default="",
            help='Columns of a log without headings: "time s, supply V, current mA".',
        ),
        WORKSHEET,
        POLICY,
    )  # fmt: skip
    for option in reversed(options):
        command = option(command)
    return command


@click.command()
@click.argument("log", metavar="LOG", type=click.Path(path_type=Path))
@told_beside
@format_of(CURVE_FORMATS)
@click.option(
    "--picture", metavar="FILE", type=click.Path(path_type=Path),
    help="Also draw the curve; FILE ends in .svg or .png.",
)  # fmt: skip
def read(log: Path, format_: str, picture: Path | None, policy: str, **beside: object) -> int:
    """Say what the log of a reforming run tells.

    LOG is any logger's file, or one by hand: CSV, TSV or XLSX with a time, the current or the
    drop over a resistor, and the voltage of the supply or on the part.

    Exit status: 0 the current is below the limit, 1 it is not, or not yet, 2 no curve can be made
    of the log.
    """
    from captriage.jobs import reform_read as jobs

    if picture is not None and picture.suffix.lower() not in PICTURES:
        raise click.UsageError(f"--picture {picture}: end its name in {' or '.join(PICTURES)}.")
    if picture is not None and same_file(picture, log):
        raise CapTriageError(f"{picture}: is being read; choose another name for --picture")
    found = jobs.read(log, told(beside), policy=policy)
    with destination(None) as stream:
        CURVE_FORMATS[format_](found, stream)
    if picture is not None:
        from captriage.report.reform_picture import write_picture

        write_picture(found, picture)
        click.echo(f"Picture written to {picture}.", err=format_ != "text")
    return 0 if found.is_good else 1


@click.command()
@click.argument(
    "logs", metavar="LOG|FOLDER...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@click.option(
    "--ratings", metavar="SHEET", multiple=True, type=click.Path(path_type=Path),
    help="Sheet of the parts; a log is of the part it names, else of that its file is named for.",
)  # fmt: skip
@told_beside
@format_of(TRIAGE_FORMATS)
def triage(
    logs: tuple[Path, ...], ratings: tuple[Path, ...], format_: str, policy: str, **beside: object
) -> int:
    """Say in one table what the logs of many reforming runs tell.

    Exit status: 0 all are below their limit, 1 some are not, or could not be used, 2 there is no
    log at all.
    """
    from captriage.jobs import reform_read as jobs
    from captriage.report.read_curve import ReadCurve

    found = jobs.triage(logs, told(beside), ratings=ratings, policy=policy)
    with destination(None) as stream:
        TRIAGE_FORMATS[format_](found, stream)
    return 0 if all(isinstance(each, ReadCurve) and each.is_good for each in found) else 1
