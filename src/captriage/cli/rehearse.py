"""The command that runs a bench without hardware: rehearse."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from captriage.cli.at_the_bench import ENDING, handled, named
from captriage.cli.options import Number, bounded

DRAWERS = ("spares", "reforming")
DIALECTS = ("values_status", "status_values", "four_values")


@click.command()
@click.option(
    "--out",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    default=Path("rehearsal.toml"),
    help="Bench file to write, with the addresses; removed at the end. [rehearsal.toml]",
)
@bounded(
    "--pause", "S", 1.0, within=Number(0.01, 3600.0), says="How long the hand takes over a part."
)
@click.option(
    "--drawer",
    type=click.Choice(DRAWERS),
    default=DRAWERS[0],
    help="Spares to be measured, or parts to be reformed in the jig. [spares]",
)
@click.option("--seed", metavar="N", type=int, default=0, help="Of all chance. [0]")
@click.option(
    "--hand",
    type=click.Choice(["automatic", "by-command"]),
    default=None,
    help="Whether parts come and go by themselves, or as you type. [automatic with the spares]",
)
@click.option(
    "--dialect",
    type=click.Choice(DIALECTS),
    default=DIALECTS[0],
    help="Order of the bridge's reply. [values_status]",
)
@click.option(
    "--port",
    metavar="N",
    type=click.IntRange(0, 65535),
    default=0,
    help="TCP port of the bridge. [any that is free]",
)
@click.option("--hislip", is_flag=True, help="The bridge speaks HiSLIP, not lines on a socket.")
@click.option("--echo", is_flag=True, help="The serial meter sends each question back.")
@click.option("--until-done", is_flag=True, help="End when the drawer is done.")
def rehearse(
    out: Path,
    pause: float,
    drawer: str,
    seed: int,
    hand: str | None,
    dialect: str,
    port: int,
    hislip: bool,
    echo: bool,
    until_done: bool,
) -> int:
    """Run simulated meters and a drawer of invented parts.

    Nothing is energised: bridge, multimeters, supply and the hand that clips the parts are
    all this program, on loopback TCP and pseudo-terminals. Log from them in another
    terminal, as the first lines say. Type "help" here for what can be made to go wrong.

    It ends with "stop", or Ctrl-C.
    """
    from captriage.jobs import rehearsal as jobs
    from captriage.report.terminal import Terminal

    with told_to_stop() as stopped:
        jobs.rehearse(
            out,
            tell=click.echo,
            stopped=stopped,
            drawer=drawer,
            pause_s=pause,
            seed=seed,
            automatic=None if hand is None else hand == "automatic",
            dialect=dialect,
            port=port,
            hislip=hislip,
            echo=echo,
            until_done=until_done,
            width=Terminal(sys.stdout).width,
        )
    click.echo(f"The rehearsal has ended; {out} is removed.")
    return 0


@contextmanager
def told_to_stop() -> Iterator[threading.Event]:
    """Event that Ctrl-C sets, and whoever else asks this program to end."""
    stopped = threading.Event()
    with handled(dict.fromkeys(named(ENDING), lambda *_: stopped.set())):
        yield stopped
