"""The form of sheets that are read back exactly: what a book writes and the readers take as is.

CSV in UTF-8 with the very columns of :mod:`captriage.columns`, numbers in full and in SI. A sheet
with other headings, or with a cell that cannot stand in this form, is read as any sheet is.
"""

from __future__ import annotations

import re
from typing import Final

from captriage.columns import LOOKS_COLUMNS, PARTS, QUANTITIES, READINGS, SET_ASIDE, UNITS

UNIT: Final = "unit"
"""Column beside the value: for people, and so that no value in another unit is taken for SI."""

_READING: Final = ("part_row", "quantity", "value")

FORMS: Final[dict[str, dict[str, str]]] = {
    # file: its columns and their kinds; the part is named in the place of its row
    "parts.csv": PARTS,
    "readings.csv": {
        "part": "str",
        "quantity": "category",
        "value": "float64",
        UNIT: "str",
        **{name: kind for name, kind in READINGS.items() if name not in _READING},
    },
    "looks.csv": {
        "part": "str",
        **{name: kind for name, kind in LOOKS_COLUMNS.items() if name != "part_row"},
    },
    "set_aside.csv": SET_ASIDE,
}

# A spreadsheet runs a cell that begins like a formula; an apostrophe makes it text.
_FORMULA_STARTS: Final = frozenset("=+-@\t\r\n＝＋－＠'")

# PostgreSQL takes no NUL in a text, and UTF-8 no half of a surrogate pair, as a reply that is no
# text may hold. They are kept as the sign for "escape", their code, and a semicolon.
_ESCAPE: Final = "\u241b"
_UNKEEPABLE: Final = re.compile(f"[\x00\ud800-\udfff{_ESCAPE}]")
_KEPT: Final = re.compile(f"{_ESCAPE}([0-9a-f]+);")


def heading(column: str) -> str:
    """Heading of a column: its name, with the unit where the name does not end in it."""
    unit = UNITS.get(column, "")
    return f"{column} ({unit})" if unit else column


def unit_of(quantity: str) -> str:
    """Unit that stands beside the value of a quantity."""
    return QUANTITIES[quantity][0]


def keepable(text: str) -> str:
    """The text as any file and database takes it; :func:`as_it_was` gives it back."""
    if text.isascii() and "\x00" not in text:
        return text
    return _UNKEEPABLE.sub(lambda sign: f"{_ESCAPE}{ord(sign[0]):x};", text)


def as_it_was(text: str) -> str:
    """The text as it was before :func:`keepable`."""
    return _KEPT.sub(lambda sign: chr(int(sign[1], 16)), text) if _ESCAPE in text else text


def cell(text: str) -> str:
    """The text as it stands in a cell; :func:`text_of` gives it back."""
    kept = keepable(text)
    return f"'{kept}" if kept[:1] in _FORMULA_STARTS and kept else kept


def text_of(cell: str) -> str:
    """The text of a cell."""
    return as_it_was(cell.removeprefix("'"))
