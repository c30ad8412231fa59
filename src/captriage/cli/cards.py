"""The commands that tell what to expect of a part: expect, sheet."""

from __future__ import annotations

from pathlib import Path

import click

from captriage.cli.options import (
    DEGC,
    FREQUENCY,
    POLICY,
    SECONDS,
    bounded,
    format_of,
    judged_into,
)
from captriage.cli.output import chosen_format, destination
from captriage.report import BENCH_FORMATS, CARD_FORMATS


@click.command()
@click.argument("rating")
@click.option("--made", metavar="YEAR|CODE", default="", help="Year of making, or a date code.")
@FREQUENCY
@bounded("--temperature", "DEGC", 20.0, within=DEGC, says="Of the part.")
@bounded("--soak", "S", 300.0, within=SECONDS, says="Time since the rated voltage was applied.")
@click.option("--grade", default="", help="general purpose, long life or low impedance.")
@click.option("--tolerance", default="", help='As printed: "-10/+50 %", "±20 %", "K".')
@click.option("--role", default="", help="What it does in the circuit, such as reservoir.")
@POLICY
@format_of(CARD_FORMATS)
def expect(
    rating: str,
    made: str,
    frequency: float,
    temperature: float,
    soak: float,
    grade: str,
    tolerance: str,
    role: str,
    policy: str,
    format_: str,
) -> int:
    """Print what a part should read.

    New, sound at its age, and at the end of its life.

    RATING is what is printed on it, such as "32 µF 450 V" or "16+16 µF 350 V". Readings are
    expected at --frequency (120 Hz), --temperature (20 °C), and leakage --soak seconds (300 s)
    after the voltage is applied.
    """
    from captriage.jobs import sheets as jobs

    expected = jobs.expect(
        rating,
        made=made,
        frequency_hz=frequency,
        temperature_degc=temperature,
        soak_s=soak,
        grade=grade,
        tolerance=tolerance,
        role=role,
        policy=policy,
    )
    with destination(None) as stream:
        CARD_FORMATS[format_](expected, stream)
    return 0


@click.command()
@judged_into(BENCH_FORMATS, metavar="PARTS...")
def sheet(
    sheets: tuple[Path, ...],
    policy: str,
    format_: str | None,
    out: Path | None,
    worksheet: str | None,
) -> int:
    """Make a bench sheet to fill in.

    Each part of PARTS... has the readings to take beside the limits they must keep.

    The CSV is filled in with a spreadsheet and judged with "captriage judge"; the HTML is
    printed and filled in by hand.
    """
    from captriage.jobs import sheets as jobs

    write = BENCH_FORMATS[chosen_format(format_, out, list(BENCH_FORMATS))]
    with destination(out, inputs=[*sheets, Path(policy)]) as stream:
        write(jobs.bench_sheet(sheets, policy=policy, worksheet=worksheet), stream)
    if out:
        click.echo(f"Bench sheet written to {out}.")
    return 0
