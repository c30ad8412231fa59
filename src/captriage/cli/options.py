"""Options and arguments that several commands share."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar

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


if TYPE_CHECKING:
    Converted = click.ParamType[float]
    Numbers = click.ParamType[tuple[int, ...]]
else:  # older versions of click do not say what a type converts to
    Converted = Numbers = click.ParamType


class Number(Converted):
    """A finite number above ``lowest`` and not above ``highest``; "nan" and "inf" are none."""

    name = "number"

    def __init__(self, lowest: float, highest: float) -> None:
        self._lowest = lowest
        self._highest = highest

    def convert(
        self, value: str | float, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The number that was written."""
        try:
            number = float(value)
        except ValueError:
            self.fail(f"{value!r} is not a number.", param, ctx)
        if not self._lowest < number <= self._highest:  # also where it is nan
            self.fail(
                f"{number:g}; above {self._lowest:g} and up to {self._highest:g} is allowed",
                param,
                ctx,
            )
        return number


DEGC: Final = Number(-273.15, 1000.0)
SECONDS: Final = Number(0.0, 1e9)


class Volts(Number):
    """A number of volts; its unit may stand behind it: 345, "345V", "345 V"."""

    name = "volts"

    def convert(
        self, value: str | float, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The number that was written."""
        if isinstance(value, str):
            value = value.strip().removesuffix("V").removesuffix("v")
        return super().convert(value, param, ctx)


VOLTS: Final = Volts(0.0, 100e3)
"""Beyond any part that is read at a bench; its rated voltage, or the meter, allows far less."""


class RowNumber(Numbers):
    """Number of a row in the book, such as 7, or of an answer, run and answer, such as 2.7."""

    name = "number"

    def convert(
        self,
        value: str | tuple[int, ...],
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> tuple[int, ...]:
        """The number, or both."""
        if isinstance(value, tuple):
            return value
        found = _ROW_NUMBER.fullmatch(value.strip())
        if found is None:
            self.fail(f"{value!r} is not a number of the log or the list, such as 2.7", param, ctx)
        numbers = tuple(int(each) for each in found.groups() if each)
        if not all(1 <= each <= _LAST_ROW for each in numbers):
            self.fail(f"{value} is not in the range of the numbers in a book", param, ctx)
        return numbers


_ROW_NUMBER: Final = re.compile(r"(-?[0-9]+)(?:\.([0-9]+))?")
_LAST_ROW: Final = 2**63 - 1


def bounded(
    name: str, metavar: str, default: float, *, within: Number, says: str
) -> Callable[[Decorated], Decorated]:
    """Option that takes a number within bounds, and shows its default."""
    return click.option(
        name, metavar=metavar, type=within, default=default, show_default=True, help=says
    )


FREQUENCY: Final = bounded(
    "--frequency", "HZ", 120.0, within=Number(0.0, 1e9), says="Measuring frequency."
)
TEMPERATURE: Final = click.option(
    "--temperature", metavar="DEGC", type=DEGC, help="Temperature of the part, or the parts."
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
