"""The commands about meters: list, scan, try, prove."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from captriage.cli.at_the_bench import BACKEND, interrupted_by_signals
from captriage.cli.options import format_of
from captriage.cli.output import destination
from captriage.report import METER_FORMATS, late

write_sent = late("meter_list", "write_sent")
write_found = late("meter_list", "write_found")
write_trial = late("meter_list", "write_trial")
write_proof = late("meter_list", "write_proof")


@click.group(invoke_without_command=True)
@format_of(METER_FORMATS)
@click.option("--scan", is_flag=True, help="Look for instruments; says first what it sends.")
@click.option("--ask", is_flag=True, help="With --scan: ask each that is found who it is.")
@BACKEND
@click.pass_context
def meters(context: click.Context, format_: str, scan: bool, ask: bool, backend: str) -> int:
    """List the kinds of meter that can be used, and try yours.

    Without a command, the profiles are listed.

    Exit status: 0 all is well, 1 a meter or a profile needs attention, 2 there is none to be had.
    """
    if context.invoked_subcommand is not None:
        return 0
    if ask and not scan:
        raise click.UsageError("--ask goes with --scan.")
    from captriage.jobs import meters as jobs

    with destination(None) as stream:
        if not scan:
            rows = jobs.list_meters()
            METER_FORMATS[format_](rows, stream)
            return int(any(row.problem for row in rows))
        write_sent(jobs.sent_by_scan(ask=ask), stream)
        found = 0
        for row in jobs.scan(backend=backend, ask=ask):
            write_found(row, stream)
            found += bool(row.address)
        if not found:
            click.echo("Nothing was found. A meter on the network may have to be named by address.")
        return int(not found)


@meters.command("try")
@click.argument("address")
@click.option("--as", "profile", metavar="PROFILE", required=True, help="Name of it, or a file.")
@click.option("--function", metavar="NAME", help="What to read; the profile's first unless said.")
@click.option(
    "--readings",
    metavar="N",
    type=click.IntRange(1, 1000),
    default=3,
    show_default=True,
    help="How many to take.",
)
@BACKEND
def try_(address: str, profile: str, function: str | None, readings: int, backend: str) -> int:
    """Read a meter a few times: the reply as it came, and what was understood.

    Where that fails, the cause is looked for: line ends, baud rates, echo, another meter, another
    reply. Nothing is opened but ADDRESS, such as TCPIP::192.168.1.20::5025::SOCKET or
    ASRL/dev/ttyUSB0::INSTR.

    Exit status: 0 all readings were understood, 1 not all, 2 it cannot be connected to.
    """
    from captriage.jobs import meters as jobs

    with interrupted_by_signals():
        trial = jobs.try_meter(
            address,
            profile,
            function=function,
            readings=readings,
            backend=backend,
            tell=lambda line: click.echo(line, err=True),
            prompt=typed,
        )
    with destination(None) as stream:
        write_trial(trial, stream)
    return int(bool(trial.problem))


def typed(question: str) -> str:
    """What the person types; EOFError at the end of the input."""
    click.echo(question, err=True, nl=False)
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line


@meters.command()
@click.argument("file", type=click.Path(path_type=Path))
def prove(file: Path) -> int:
    """Play the transcripts of a profile through the code that talks to meters.

    Exit status: 0 all of it holds, 1 something does not, 2 it cannot be read.
    """
    from captriage.jobs import meters as jobs

    proof = jobs.prove(file)
    with destination(None) as stream:
        write_proof(proof, stream)
    return int(bool(proof.problems))
