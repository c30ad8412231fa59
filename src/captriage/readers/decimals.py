"""The decimal sign of a sheet, decided once from all of its numbers, never row by row."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from captriage.readers import vocabulary as words
from captriage.readers.attributes import NUMERIC
from captriage.readers.layout import Table
from captriage.readers.roles import Plan
from captriage.readers.spelling import CONDITION_COLUMNS, READING_COLUMNS

_COLUMNS: Final = (
    READING_COLUMNS
    | CONDITION_COLUMNS
    | set(NUMERIC)
    | {
        "capacitance_rated",
        "idle_years",
        "tolerance",
        words.RATING,
        words.VALUE,
    }
)


def _certain(sign: str, other: str) -> re.Pattern[str]:
    """Numbers in which ``sign`` can only be the decimal sign."""
    s, o = re.escape(sign), re.escape(other)
    digits = rf"\d+{s}(?:\d{{1,2}}|\d{{4,}})|0+{s}\d+|\d{{1,3}}(?:{o}\d{{3}})+{s}\d*|\d{{4,}}{s}\d+"
    return re.compile(rf"(?<![\d.,])(?:{digits})(?![\d.,]*\d)")


_COMMA: Final = _certain(",", ".")
_POINT: Final = _certain(".", ",")


def settled_decimal(tables: Sequence[Table], plans: Sequence[Plan]) -> str | None:
    """Decimal sign of all tables of a file: "," or "." where its numbers decide, else None.

    A comma file without a comma inside any cell was written with points.
    """
    columns = [
        table.cells[j]
        for table, plan in zip(tables, plans, strict=True)
        for j, heading in enumerate(plan.headings)
        if heading.column in _COLUMNS
    ]
    return decimal_sign(columns, delimiter=tables[0].delimiter)


def decimal_sign(columns: Sequence[Sequence[str]], *, delimiter: str) -> str | None:
    """The decimal sign that columns of cells prove, None where they prove none or both."""
    with_comma = "\n".join(
        cell for column in columns if "," in "".join(column) for cell in column if "," in cell
    )
    if not with_comma and delimiter == ",":
        return "."
    comma = _COMMA.search(with_comma) is not None
    point = any(_POINT.search("\n".join(column)) for column in columns)
    if comma == point:
        return None
    return "," if comma else "."


def number_text(value: float, decimal: str, *, percent: bool = False) -> str:
    """A number of a typed cell as text, with every digit, that can be read in one way only."""
    text = repr(round(value * 100, 10) if percent else value).removesuffix(".0")
    if _LIKE_A_THOUSAND.fullmatch(text):
        text += "0"
    return text.replace(".", decimal) + (" %" if percent else "")


_LIKE_A_THOUSAND: Final = re.compile(r"-?\d{1,3}\.\d{3}")
