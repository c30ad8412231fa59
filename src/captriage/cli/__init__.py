"""Command line: parse, call one job, print, exit status; no arithmetic.

The command modules import click alone; each command loads its job when it is run, so that
``captriage --help`` never waits for pandas.
"""

from __future__ import annotations

import gc
import os
import sys
from typing import Final

import click

from captriage import __version__
from captriage.cli import book, cards, log, meters, reference, reform, rehearse, sheets
from captriage.cli.output import speak_plainly
from captriage.errors import CapTriageError

UNUSABLE: Final = 2
BROKEN_PIPE: Final = 141  # 128 + SIGPIPE, as a shell reports it
INTERRUPTED: Final = 130  # 128 + SIGINT


class InOrder(click.Group):
    """Commands listed in the order a newcomer meets them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names as they were added."""
        del ctx
        return list(self.commands)


@click.group(
    cls=InOrder, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96}
)
@click.version_option(__version__, prog_name="captriage")
def app() -> None:
    """Keep, reform or replace: a verdict on every electrolytic capacitor in an old machine.

    Start with "captriage demo". Then put your own readings in a sheet, see with
    "captriage check SHEET" what is understood, and ask "captriage judge SHEET".
    """


COMMANDS: Final = (
    sheets.demo,
    sheets.check,
    sheets.judge,
    cards.expect,
    cards.sheet,
    reference.rules,
    reference.policy,
    book.book,
    meters.meters,
    log.log,
    reform.reform,
    rehearse.rehearse,
)
for command in COMMANDS:
    app.add_command(command)


def run(arguments: list[str]) -> int:
    """Exit status of ``captriage`` with these arguments; whatever a user can cause is one line.

    Parameters
    ----------
    arguments : list of str
        What follows ``captriage`` on the command line; none asks for the help.

    Returns
    -------
    int
        0 all is well, 1 something needs attention, 2 unusable input or usage;
        130 interrupted, 141 the reader of the output has gone.
    """
    words = tuple(arguments)
    try:
        with app.make_context("captriage", arguments or ["--help"], obj=words) as context:
            status = app.invoke(context)
        sys.stdout.flush()
    except click.exceptions.Exit as left:
        return left.exit_code
    except click.UsageError as error:
        asked = error.ctx.command_path if error.ctx else "captriage"
        return refused(f"{error.format_message()} See '{asked} --help'.")
    except (click.ClickException, CapTriageError) as error:
        return refused(str(error))
    except BrokenPipeError:
        # What is still buffered would raise again when the interpreter shuts down.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return BROKEN_PIPE
    except (KeyboardInterrupt, click.Abort):
        refused("stopped")
        return INTERRUPTED
    except OSError as error:
        return refused(f"{error.filename or 'output'}: {error.strerror or error}")
    return int(status or 0)


def refused(message: str) -> int:
    """Say why on one line of stderr; the exit status that goes with it."""
    click.echo(f"captriage: {' '.join(message.split())}", err=True)
    return UNUSABLE


def main() -> None:
    """Entry point of the ``captriage`` command."""
    if sys.stdout is None or sys.stderr is None:  # closed by the shell: >&-
        sys.exit(BROKEN_PIPE)
    gc.disable()  # one run and the process ends: looking for cycles costs a tenth of a large one
    speak_plainly(sys.stdout, sys.stderr)
    sys.exit(run(sys.argv[1:]))
