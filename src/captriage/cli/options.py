"""Options and arguments that several commands share."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final, TypeVar

import click

Decorated = TypeVar("Decorated", bound=Callable[..., int])

WORKSHEET: Final = click.option("--worksheet", metavar="NAME", help="Sheet of a workbook to read.")
POLICY: Final = click.option(
    "--policy",
    metavar="NAME|FILE",
    default="ordinary-service",
    show_default=True,
    help="House policy: a built-in one, or a TOML file of your own.",
)
OUT: Final = click.option(
    "--out",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Write to this file; its ending gives the format where none is named.",
)
BOOK: Final = click.option(
    "--book",
    metavar="FILE|URL",
    envvar="CAPTRIAGE_BOOK",
    show_envvar=True,
    default="bench.book",
    show_default=True,
    help="Bench book: a file, or postgresql+psycopg://NAME@HOST/DATABASE.",
)
JOB: Final = click.option("--job", metavar="JOB", required=True, help="Job in the book.")


def bounded(
    name: str, metavar: str, default: float, *, lowest: float, highest: float, says: str
) -> Callable[[Decorated], Decorated]:
    """Option that takes a finite number above ``lowest`` and not above ``highest``."""

    def checked(context: click.Context, option: click.Parameter, value: float) -> float:
        del context, option
        if not lowest < value <= highest:  # also where it is no number
            raise click.BadParameter(
                f"{value:g}; above {lowest:g} and up to {highest:g} is allowed"
            )
        return value

    return click.option(
        name,
        metavar=metavar,
        type=float,
        default=default,
        show_default=True,
        callback=checked,
        help=says,
    )


def sheets_named(metavar: str, *, required: bool = True) -> Callable[[Decorated], Decorated]:
    """Argument ``sheets``: one sheet to read, or several."""
    return click.argument(
        "sheets", metavar=metavar, nargs=-1, required=required, type=click.Path(path_type=Path)
    )


def format_of(formats: Iterable[str]) -> Callable[[Decorated], Decorated]:
    """Option ``--format`` of a command that only prints: the first is the default."""
    names = list(formats)
    return click.option(
        "--format", "format_", type=click.Choice(names), default=names[0], show_default=True
    )


def judged_into(
    formats: Iterable[str], *, metavar: str = "SHEET...", required: bool = True
) -> Callable[[Decorated], Decorated]:
    """All that a command takes which judges sheets and prints or writes an answer.

    ``required`` is false where there may be no sheet.

    Its parameters are ``sheets``, ``policy``, ``format_``, ``out`` and ``worksheet``.
    """
    names = list(formats)
    format_or_ending = click.option(
        "--format", "format_", type=click.Choice(names), help=f"[default: {names[0]}]"
    )

    def decorate(command: Decorated) -> Decorated:
        named = sheets_named(metavar, required=required)
        for option in (WORKSHEET, OUT, format_or_ending, POLICY, named):
            command = option(command)
        return command

    return decorate
