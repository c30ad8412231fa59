"""What the commands that log share: options, keys, screen, and a safe end."""

from __future__ import annotations

import gc
import os
import re
import signal
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from math import nan
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Final

import click

from captriage.units import parse_quantity

if TYPE_CHECKING:
    from captriage.bench.benches import BenchMeter
    from captriage.cli.keys import Keys
    from captriage.report.live import Screen

Handlers = Mapping[signal.Signals, Callable[[int, FrameType | None], None]]

DEFAULT_BENCH: Final = Path("bench.toml")
ENDING: Final = ("SIGINT", "SIGQUIT", "SIGTERM", "SIGHUP")
"""Signals that end a program; not every system has all."""

TYPED: Final = {"SIGINT": "Ctrl-C", "SIGQUIT": "Ctrl-\\"}


PARTS: Final = "parts"


class PartsUnlessSaid(click.Group):
    """A group whose command "parts" is meant where none is named."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put "parts" before arguments that begin with no command."""
        asks_help = bool(args) and args[0] in ctx.help_option_names
        if not asks_help and (not args or args[0] not in self.commands):
            args = [PARTS, *args]
        return super().parse_args(ctx, args)


def as_typed() -> list[str]:
    """Words of the command that is being run, as they were typed."""
    return ["captriage", *click.get_current_context().find_root().obj]


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


_TIME: Final = re.compile(r"([0-9]+(?:[.,][0-9]+)?|[.,][0-9]+) *(s|min|h)?")
LONGEST_S: Final = 1e9
LARGEST_OHM: Final = 1e9
_SECONDS: Final = {"s": 1.0, "min": 60.0, "h": 3600.0}


def time_given(context: click.Context, option: click.Parameter, value: str | None) -> float | None:
    """Seconds of "90s", "2min", "1.5 h" or "300"."""
    del context, option
    if value is None:
        return None
    found = _TIME.fullmatch(value.strip())
    seconds = float(found[1].replace(",", ".")) * _SECONDS[found[2] or "s"] if found else 0.0
    if not 0.0 < seconds <= LONGEST_S:
        raise click.BadParameter(f'{value!r}; write a time above nought, such as "90s" or "5min"')
    return seconds


def ohms_given(context: click.Context, option: click.Parameter, value: str | None) -> float:
    """Ohms of "10k", "4k7", "220 Ω" or "0"; NaN where none are given."""
    del context, option
    if value is None:
        return nan
    ohms = parse_quantity(value, "Ω")
    if not 0.0 <= ohms <= LARGEST_OHM:
        raise click.BadParameter(f'{value!r}; write a resistance, such as "10k", or 0 for none')
    return ohms


OHMS: Final = click.option(
    "--series-resistor",
    "resistor",
    metavar="OHM",
    callback=ohms_given,
    help='Between supply and part, such as "10k", or 0: what it takes of the voltage you give, or '
    "of the supply's, is reckoned off.",
)


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
    """A first signal ends the work safely; a second one ends it where it stands.

    Suspended (Ctrl-Z), the terminal is the shell's, as it was.
    """

    def handle(number: int, frame: FrameType | None) -> None:
        del frame
        keys.stop(f"stopped by {TYPED.get(signal.Signals(number).name, 'a signal')}")
        for each in named(ENDING):
            signal.signal(each, interrupt)

    def suspend(number: int, frame: FrameType | None) -> None:
        del frame
        keys.pause()
        signal.signal(number, signal.SIG_DFL)
        os.kill(os.getpid(), number)  # it stands still here
        signal.signal(number, suspend)
        keys.resume()

    def go_on(number: int, frame: FrameType | None) -> None:
        del number, frame
        keys.resume()

    ways = {ENDING: handle, ("SIGTSTP",): suspend, ("SIGCONT",): go_on}
    with handled({number: way for names, way in ways.items() for number in named(names)}):
        yield


@contextmanager
def interrupted_by_signals() -> Iterator[None]:
    """Any signal that ends a program does so as Ctrl-C does: meters are made safe on the way."""
    with handled(dict.fromkeys(named(ENDING), interrupt)):
        yield


def interrupt(number: int, frame: FrameType | None) -> None:
    """Handler of a signal: end it where it stands."""
    del number, frame
    raise KeyboardInterrupt


def named(names: Iterable[str]) -> list[signal.Signals]:
    """Those of these signals that the system has."""
    return [getattr(signal, name) for name in names if hasattr(signal, name)]


@contextmanager
def handled(handlers: Handlers) -> Iterator[None]:
    """Handle these signals so, and afterwards as before."""
    before = {number: signal.signal(number, handler) for number, handler in handlers.items()}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
