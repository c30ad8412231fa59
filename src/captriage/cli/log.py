"""The commands that log at the bench: log (part by part), log soak, log stream."""

from __future__ import annotations

import gc
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from math import inf, nan
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Final

import click

from captriage.cli.options import BOOK, JOB, POLICY, WORKSHEET, bounded

if TYPE_CHECKING:
    from collections.abc import Mapping

    from captriage.bench.benches import BenchMeter
    from captriage.cli.keys import Keys
    from captriage.report.live import Screen

DEFAULT_BENCH: Final = Path("bench.toml")
NO_VOLTMETER: Final = "none"
VOLTMETER: Final = "voltmeter"
PARTS: Final = "parts"


class PartsUnlessSaid(click.Group):
    """A group whose command "parts" is meant where none is named."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put "parts" before arguments that begin with no command."""
        asks_help = bool(args) and args[0] in ctx.help_option_names
        if not asks_help and (not args or args[0] not in self.commands):
            args = [PARTS, *args]
        return super().parse_args(ctx, args)


BENCH: Final = click.option(
    "--bench",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Bench file with the addresses of the meters. [bench.toml, where there is one]",
)
AS: Final = click.option(
    "--as", "profile", metavar="PROFILE", help="Profile of a meter that is given by its address."
)


BACKEND: Final = click.option(
    "--backend",
    metavar="NAME",
    default="@py",
    show_default=True,
    help="PyVISA backend: @py, or @ivi for the VISA library of a vendor.",
)


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
@bounded("--frequency", "HZ", 120.0, lowest=0.0, highest=1e9)
@click.option("--level", metavar="V", type=float, help="Measuring level. [the profile's own]")
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
    metavar="S",
    type=click.FloatRange(min=0, min_open=True),
    help="Hands-free: ask after so many seconds in which no part was noticed.",
)
@click.option("--temperature", metavar="DEGC", type=float, help="Temperature of the parts.")
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
    n note, l looks, q or Ctrl-C end. A part that holds a charge is not measured.

    Exit status: 0 every part was walked, 1 ended early, 2 nothing could be begun.
    """
    from captriage.bench.manner import Manner
    from captriage.jobs import logging as jobs
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
        )
    return 1 if summary.ended else 0


def bench_of(path: Path | None) -> Mapping[str, BenchMeter]:
    """Meters of the bench file, of "bench.toml" where none is named; none without either."""
    from captriage.bench.benches import load_bench

    if path is None and not DEFAULT_BENCH.exists():
        return {}
    return load_bench(path or DEFAULT_BENCH)


@contextmanager
def at_the_bench() -> Iterator[tuple[Keys, Screen]]:
    """The person's keys and screen; Ctrl-C and the like end the work at the next safe moment."""
    from captriage.cli.keys import open_keys
    from captriage.report.live import Screen

    gc.enable()  # this may run for days
    screen = Screen(sys.stdout)
    with open_keys(screen.write) as keys, stopped_by_signals(keys):
        yield keys, screen


@contextmanager
def stopped_by_signals(keys: Keys) -> Iterator[None]:
    """A first signal ends the work safely; a second one ends it where it stands."""
    names = ("SIGINT", "SIGTERM", "SIGHUP")
    caught = [getattr(signal, name) for name in names if hasattr(signal, name)]

    def handle(number: int, frame: FrameType | None) -> None:
        del frame
        keys.stop(f"stopped by {'Ctrl-C' if number == signal.SIGINT else 'a signal'}")
        for each in caught:
            signal.signal(each, interrupt)

    def interrupt(number: int, frame: FrameType | None) -> None:
        del number, frame
        raise KeyboardInterrupt

    before = {number: signal.signal(number, handle) for number in caught}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
