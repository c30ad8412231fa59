"""Text for a terminal: width, colour where it is wanted, and nothing that could steer it."""

from __future__ import annotations

import os
import shutil
import textwrap
from collections.abc import Iterable
from typing import Final, TextIO
from unicodedata import east_asian_width

from captriage.report.figures import NO_BREAK, unbroken

WIDTH: Final = 80
WIDEST: Final = 100  # longer lines are hard to read
STYLES: Final = {
    "keep": "32",
    "reform": "1;33",
    "replace": "1;31",
    "not judged": "1;35",
    "heading": "1",
    "quiet": "2",
}


class Terminal:
    """A text stream with the width and the colours of whatever reads it.

    Parameters
    ----------
    out : TextIO
        Where the lines go. Colour is used on a terminal only, and not where the environment
        has ``NO_COLOR`` or a dumb terminal.
    """

    def __init__(self, out: TextIO) -> None:
        self.out = out
        tty = out.isatty()
        self.colour = tty and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
        columns = shutil.get_terminal_size((WIDTH, 24)).columns if tty else WIDTH
        self.width = max(40, min(columns, WIDEST))

    def line(self, text: str = "") -> None:
        """One line as it stands."""
        self.out.write(text.rstrip() + "\n")

    def styled(self, text: str, style: str) -> str:
        """Text in a style of :data:`STYLES`, or unchanged where there is no colour."""
        return f"\x1b[{STYLES[style]}m{text}\x1b[0m" if self.colour else text

    def heading(self, text: str) -> None:
        """Empty line, then a heading."""
        self.line()
        self.line(self.styled(text, "heading"))

    def paragraph(self, text: str, *, first: str = "", rest: str | None = None) -> None:
        """Text wrapped to the width, its first line after ``first``, the others after ``rest``."""
        indent = " " * len(first) if rest is None else rest
        for line in textwrap.wrap(
            unbroken(safe(text)),
            self.width,
            initial_indent=first,
            subsequent_indent=indent,
            break_on_hyphens=False,
        ):
            self.line(line.replace(NO_BREAK, " "))

    def items(self, texts: Iterable[str], *, mark: str = "  - ") -> None:
        """List, one wrapped paragraph each."""
        for text in texts:
            self.paragraph(text, first=mark)


def safe(text: str) -> str:
    """Text without control characters: a sheet must not be able to steer the terminal."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else " " for sign in text)


def padded(text: str, width: int) -> str:
    """Text cut or filled to so many columns of a terminal; wide signs count two."""
    text = safe(text)
    if not text.isascii():
        while text_width(text) > width:
            text = text[:-2] + "…"
        return text + " " * (width - text_width(text))
    return f"{text if len(text) <= width else text[: width - 1] + '…':<{width}}"


def text_width(text: str) -> int:
    """Columns that the text takes in a terminal."""
    return sum(2 if east_asian_width(sign) in "WF" else 1 for sign in text)
