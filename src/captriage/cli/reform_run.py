"""The command that carries a reforming run out: reform run."""

from __future__ import annotations

from math import isnan
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from captriage.cli.at_the_bench import (
    BACKEND,
    BENCH,
    as_typed,
    at_the_bench,
    bench_of,
    time_given,
)
from captriage.cli.options import BOOK, JOB, POLICY

if TYPE_CHECKING:
    from captriage.jobs.bench_meters import MeterAt

KEYBOARD: Final = "keyboard"


@click.command()
@click.argument("part")
@BOOK
@JOB
@BENCH
@click.option("--by-hand", is_flag=True, help="You turn the supply; this program only reads.")
@click.option(
    "--supply", metavar="NAME", default="supply", show_default=True, help="Supply under control."
)
@click.option(
    "--meter",
    metavar="NAME|keyboard",
    default="ammeter",
    show_default=True,
    help="Ammeter in series with the part, or you who type what one shows (by hand only).",
)
@click.option(
    "--voltmeter",
    metavar="NAME|keyboard",
    default=KEYBOARD,
    show_default=True,
    help="Voltmeter across the part; with 'keyboard' you measure and type.",
)
@click.option("--thermometer", metavar="NAME", help="Thermometer on the case of the part.")
@BACKEND
@click.option(
    "--plan",
    "plan_file",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Plan that 'reform plan --format json' wrote. [made for the part in the book]",
)
@click.option("--section", metavar="N", default="", help="Section of a can, in a plan file.")
@click.option("--procedure", metavar="NAME", default="", help="See 'captriage reform procedures'.")
@click.option(
    "--equipment",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="What is at hand, for a plan that is made. [the supply's profile]",
)
@click.option("--resume", is_flag=True, help="Go on after the last step that was done.")
@click.option("--retest", is_flag=True, help="After the rest: prove that the part has healed.")
@click.option(
    "--every",
    metavar="TIME",
    callback=time_given,
    help="From one reading to the next. [1s; typed ones 60s]",
)
@POLICY
def run(
    part: str,
    book: str,
    job: str,
    bench: Path | None,
    by_hand: bool,
    supply: str,
    meter: str,
    voltmeter: str,
    thermometer: str | None,
    backend: str,
    plan_file: Path | None,
    section: str,
    procedure: str,
    equipment: Path | None,
    resume: bool,
    retest: bool,
    every: float | None,
    policy: str,
) -> int:
    """Carry the plan out on PART: raise, hold, watch, stop, switch off, see it discharged.

    THIS CAN KILL. Cautions are shown first, and above 60 V they are acknowledged by typing.
    The stops of this program are no safety device. Never alone; local rules and licensed
    practice come first. Keys: Enter alone you are there, n TEXT is a note, q lowers the voltage
    and ends; a word of danger, such as smoke, hot or off, switches off at once.

    Exit status: 0 every step settled and the part reads discharged, 1 ended early or not seen
    discharged, 2 it could not be begun, or its end could not be kept.
    """
    from captriage.jobs import reform_run as jobs
    from captriage.jobs.bench_meters import meter_meant
    from captriage.jobs.planned_run import Asked, read_plan
    from captriage.jobs.reform_wanted import RunMeters, Wanted

    on_bench = bench_of(bench)

    def meant(name: str) -> MeterAt:
        return meter_meant(name, on_bench, backend=backend)

    seconds = every or (60.0 if meter == KEYBOARD else 1.0)
    with at_the_bench() as (keys, screen):
        summary = jobs.run_reforming(
            book,
            job,
            part,
            keys=keys,
            show=screen,
            meters=RunMeters(
                ammeter=meant(meter),
                supply=None if by_hand else meant(supply),
                voltmeter=meant(voltmeter),
                thermometer=meant(thermometer) if thermometer else None,
            ),
            wanted=Wanted(
                plan=read_plan(plan_file, section=section) if plan_file else None,
                asked=Asked(procedure, equipment),
                resume=resume,
                retest=retest,
                every_s=seconds,
            ),
            policy=policy,
            again=as_typed(),
        )
    return 1 if summary.ended or summary.off_fault or isnan(summary.discharged_v) else 0
