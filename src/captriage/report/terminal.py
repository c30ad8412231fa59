"""Text for a terminal: width, colour where it is wanted, and nothing that could steer it."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import textwrap
from collections.abc import Iterable, Sequence
from typing import Final, TextIO
from unicodedata import east_asian_width

from captriage.report.figures import NO_BREAK, unbroken

WIDTH: Final = 80
WIDEST: Final = 100  # longer lines are hard to read
FILLER: Final = "\x00"
"""No text that is :func:`safe` has it."""
TYPED: Final = re.compile(r'(?<!\S)"[^"]{1,40}"')
ADDRESS: Final = re.compile(r"https?://\S+")
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
        """Text wrapped to the width, its first line after ``first``, the others after ``rest``.

        What stands in double quotes is to be typed as it is, and is not parted; nor is an address,
        however long.
        """
        indent = " " * text_width(first) if rest is None else rest
        wide = spaced(unbroken(TYPED.sub(lambda it: it[0].replace(" ", NO_BREAK), safe(text))))
        for line in textwrap.wrap(
            wide,
            self.width - (FILLER in wide),  # a wide sign may be parted from its filler
            initial_indent=spaced(first),
            subsequent_indent=indent,
            break_on_hyphens=False,
            break_long_words=not any(len(word) > self.width - 8 for word in ADDRESS.findall(wide)),
        ):
            self.line(line.replace(NO_BREAK, " ").replace(FILLER, ""))

    def command(self, words: Sequence[str], *, first: str = "  ") -> None:
        """A command to be copied as it stands: quoted, a backslash where the next line goes on.

        An option stays with its value, and a word that is wider than a line is not parted.
        """
        together: list[str] = []
        for word in map(shlex.quote, map(safe, words)):
            if together and together[-1].startswith("-") and not word.startswith("-"):
                together[-1] += f" {word}"
            else:
                together.append(word)
        line, begun = first, False
        for piece in together:
            if begun and text_width(line) + text_width(piece) > self.width - len(" \\"):
                self.line(f"{line}\\")
                line = " " * (text_width(first) + 2)
            line, begun = f"{line}{piece} ", True
        self.line(line)

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


def spaced(text: str) -> str:
    """Text with :data:`FILLER` after each wide sign, so that its length is its width."""
    if text.isascii() or text_width(text) == len(text):
        return text
    return "".join(sign + FILLER * (text_width(sign) - 1) for sign in text)


def text_width(text: str) -> int:
    """Columns that the text takes in a terminal."""
    return sum(2 if east_asian_width(sign) in "WF" else 1 for sign in text)
