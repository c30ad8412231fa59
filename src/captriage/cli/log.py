"""The commands that log at the bench: log (part by part), log soak, log stream."""

from __future__ import annotations

from math import inf, nan
from pathlib import Path
from typing import Final

import click

from captriage.cli.at_the_bench import (
    AS,
    BACKEND,
    BENCH,
    OHMS,
    PARTS,
    PartsUnlessSaid,
    as_typed,
    at_the_bench,
    bench_of,
    time_given,
)
from captriage.cli.options import BOOK, FREQUENCY, JOB, POLICY, TEMPERATURE, VOLTS, WORKSHEET

NO_VOLTMETER: Final = "none"
VOLTMETER: Final = "voltmeter"


@click.group(cls=PartsUnlessSaid)
def log() -> None:
    """Log readings from the bench into the book.

    Without a further word: part by part. "captriage log --job JOB --hands-free" notices each
    part that is clipped on, takes its readings when they have settled, and rings. "log soak"
    follows the leakage current of one part, "log stream" keeps whatever a meter sends.

    A line that begins with "taken" is shown only when the reading is on the disk.
    """


@log.command(PARTS)
@BOOK
@JOB
@BENCH
@click.option(
    "--meter",
    metavar="NAME|ADDRESS|keyboard",
    default="bridge",
    show_default=True,
    help="What reads the parts: a name in the bench file, an address, or you.",
)
@AS
@BACKEND
@click.option(
    "--parts",
    "sheets",
    metavar="SHEET",
    multiple=True,
    type=click.Path(path_type=Path),
    help="Sheet with the parts, to begin a job that is not in the book.",
)
@WORKSHEET
@click.option(
    "--hands-free", is_flag=True, help="Take each part as it is clipped on, without a key."
)
@click.option(
    "--readings",
    metavar="N",
    type=click.IntRange(1, 1000),
    default=5,
    show_default=True,
    help="Readings of each part.",
)
@FREQUENCY
@click.option("--level", metavar="V", type=VOLTS, help="Measuring level. [the profile's own]")
@click.option(
    "--function",
    type=click.Choice(["impedance", "impedance_tan_delta"]),
    default="impedance",
    show_default=True,
    help="Capacitance with ESR, or with tan δ.",
)
@click.option(
    "--voltmeter",
    metavar="NAME|none",
    help="Voltmeter across the clips, read before each question. [voltmeter of the bench file]",
)
@click.option(
    "--patience",
    metavar="TIME",
    callback=time_given,
    help="Hands-free: ask after a time in which no part was noticed.",
)
@TEMPERATURE
@click.option("--resume", is_flag=True, help="Pass over the parts that are done.")
@POLICY
def parts(
    book: str,
    job: str,
    bench: Path | None,
    meter: str,
    profile: str | None,
    backend: str,
    sheets: tuple[Path, ...],
    worksheet: str | None,
    hands_free: bool,
    readings: int,
    frequency: float,
    level: float | None,
    function: str,
    voltmeter: str | None,
    patience: float | None,
    temperature: float | None,
    resume: bool,
    policy: str,
) -> int:
    """Walk the parts of a job: capacitance with ESR or tan δ of each.

    Keys while it runs: Enter take (or file an open part as it reads), r redo, s skip, b back,
    n note, l looks, q or Ctrl-C end; with --meter keyboard, type them in place of a value.
    A part that holds a charge is not measured.

    Exit status: 0 every part was walked, 1 ended early, 2 it could not be begun, or
    the book took no more.
    """
    from captriage.bench.manner import Manner
    from captriage.jobs import part_by_part as jobs
    from captriage.jobs.bench_meters import meter_meant

    on_bench = bench_of(bench)
    across = voltmeter or (VOLTMETER if VOLTMETER in on_bench else NO_VOLTMETER)
    with at_the_bench() as (keys, screen):
        summary = jobs.log_parts(
            book,
            job,
            keys=keys,
            show=screen,
            bridge=meter_meant(meter, on_bench, profile=profile, backend=backend),
            voltmeter=None
            if across == NO_VOLTMETER
            else meter_meant(across, on_bench, backend=backend),
            parts=sheets,
            worksheet=worksheet,
            function=function,
            frequency_hz=frequency,
            level_v=nan if level is None else level,
            manner=Manner(
                readings=readings,
                hands_free=hands_free,
                patience_s=inf if patience is None else patience,
            ),
            resume=resume,
            policy=policy,
            temperature_degc=nan if temperature is None else temperature,
            again=as_typed(),
        )
    return 1 if summary.ended else 0


@log.command()
@click.argument("part")
@BOOK
@JOB
@click.option(
    "--voltage", metavar="V", type=VOLTS, required=True, help="Measuring voltage you apply."
)
@click.option(
    "--until",
    metavar="TIME",
    default="5min",
    show_default=True,
    callback=time_given,
    help='Soak time: "90s", "2min", "1h", or seconds.',
)
@click.option(
    "--every",
    metavar="TIME",
    default="1s",
    show_default=True,
    callback=time_given,
    help="Time from one reading to the next.",
)
@BENCH
@click.option(
    "--meter",
    metavar="NAME|ADDRESS",
    default="ammeter",
    show_default=True,
    help="Ammeter in series with the part.",
)
@AS
@BACKEND
@click.option(
    "--voltmeter",
    metavar="NAME",
    help="Voltmeter across the part, or the supply; without it your voltage is believed.",
)
@OHMS
@TEMPERATURE
@POLICY
def soak(
    part: str,
    book: str,
    job: str,
    voltage: float,
    until: float,
    every: float,
    bench: Path | None,
    meter: str,
    profile: str | None,
    backend: str,
    voltmeter: str | None,
    resistor: float,
    temperature: float | None,
    policy: str,
) -> int:
    """Follow the leakage current of PART against soak time.

    You apply the voltage, through a resistor; this program only reads. The soak clock starts
    when current or voltage jump, or when you press Enter. A voltage above the rated one is
    refused. Keys: n note, l looks, q or Ctrl-C end.

    Exit status: 0 soaked to the end, 1 ended early or no current was seen, 2 it could not be
    begun, or the book took no more.
    """
    from captriage.bench.soak_plan import Plan
    from captriage.jobs import logging as jobs
    from captriage.jobs.bench_meters import meter_meant

    on_bench = bench_of(bench)
    with at_the_bench() as (keys, screen):
        summary = jobs.log_soak(
            book,
            job,
            part,
            keys=keys,
            show=screen,
            ammeter=meter_meant(meter, on_bench, profile=profile, backend=backend),
            voltmeter=meter_meant(voltmeter, on_bench, backend=backend) if voltmeter else None,
            plan=Plan(
                voltage_v=voltage,
                until_s=until,
                every_s=every,
                temperature_degc=nan if temperature is None else temperature,
                series_ohm=resistor,
            ),
            policy=policy,
            again=as_typed(),
        )
    return 1 if summary.ended else 0


@log.command()
@BOOK
@JOB
@click.option(
    "--meter",
    metavar="NAME|ADDRESS",
    default="stream",
    show_default=True,
    help="The meter: a name in the bench file, or an address.",
)
@AS
@BACKEND
@BENCH
@click.option(
    "--function",
    metavar="NAME",
    default="dc_current",
    show_default=True,
    help="Function of its profile; 'captriage meters' lists them.",
)
@click.option("--part", metavar="PART", help="File it under this part. [under none]")
@click.option(
    "--until", metavar="TIME", callback=time_given, help='How long: "24h". [until Ctrl-C]'
)
@click.option(
    "--every",
    metavar="TIME",
    callback=time_given,
    help="Least time between two questions. [as fast as it answers]",
)
def stream(
    book: str,
    job: str,
    meter: str,
    profile: str | None,
    backend: str,
    bench: Path | None,
    function: str,
    part: str | None,
    until: float | None,
    every: float | None,
) -> int:
    """Keep whatever a meter sends.

    Keys: q or Ctrl-C end; n note and l looks where a part is named.

    Exit status: 0 its time was up or you ended one without a time, 1 ended early, 2 it could
    not be begun, or the book took no more.
    """
    from captriage.jobs import logging as jobs
    from captriage.jobs.bench_meters import meter_meant

    on_bench = bench_of(bench)
    with at_the_bench() as (keys, screen):
        summary = jobs.log_stream(
            book,
            job,
            keys=keys,
            show=screen,
            meter=meter_meant(meter, on_bench, profile=profile, backend=backend),
            function=function,
            part=part,
            until_s=inf if until is None else until,
            every_s=every or 0.0,
            again=as_typed(),
        )
    return 1 if summary.ended and until is not None else 0
