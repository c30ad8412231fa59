"""Cells of a sheet into SI: one at a time, or a column at once.

Nothing is guessed: a cell that can be read in two ways, holds a unit of the wrong kind,
or holds text that was not understood gives no value but a problem and its remedy.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.readers import cell_rules as rules
from captriage.readers import cell_words as words
from captriage.readers.cell_text import BLANK, Cell, assemble, refused, separates_conditions
from captriage.readers.conditions import Parsed, parse_cell
from captriage.readers.plain_cells import SENTINEL, heading_unit, read_plain
from captriage.unit_names import Unit
from captriage.units import normalise, parse_number, parse_unit, unwrap

__all__ = ["BLANK", "Cell", "Column", "read_cell", "read_column"]

_NOT_A_NUMBER: Final = 9.91e37
_NO_SAMPLE: Final = 9.99e37
LONGEST: Final = 300
"""A cell longer than this is prose, not a reading."""


def read_cell(
    text: str,
    quantity: str,
    *,
    unit: str = "",
    decimal: str | None = None,
    rated: float = math.nan,
) -> Cell:
    """Read one cell.

    Parameters
    ----------
    text : str
        The cell as it stands.
    quantity : str
        Key of :data:`captriage.readers.cell_rules.RULES`: a numeric column of
        ``columns.PARTS`` or ``columns.READINGS``, or "q" and "power_factor" (come back
        as tan δ), "capacitance_percent" (of rated; a sign makes it a deviation) and
        "capacitance_deviation" (always a deviation).
    unit : str
        Unit of the heading or unit row; a unit in the cell beats it.
    decimal : str, optional
        "." or "," where the rest of the sheet decides.
    rated : float
        Rated capacitance beside the cell, for "capacitance…"; the value meant, for
        "uncertainty" in percent. [SI of the quantity]

    Returns
    -------
    Cell
        A blank cell has neither value nor flag nor problem. Never raises on any text.
    """
    stripped = unwrap(normalise(text))
    if not stripped:
        return BLANK
    if len(stripped) > LONGEST:
        return refused(f"{len(stripped)} characters", "write the value alone")
    flag = words.word_flag(stripped)
    if flag:
        return Cell(math.nan, flag)
    if quantity == "frequency_hz" and stripped.upper() == "DC":
        return Cell(0.0)
    heading = heading_unit(quantity, unit)
    if isinstance(heading, str):
        return refused(heading, "give the heading a unit of this quantity")
    return _read_text(stripped, quantity, heading, decimal, rated)


def _sentinel(number: float) -> str:
    """Flag of the huge numbers that SCPI meters send instead of a reading; "" for others."""
    if not abs(number) >= SENTINEL:
        return ""
    if math.isclose(number, _NOT_A_NUMBER, rel_tol=1e-6):
        return words.NOT_A_NUMBER
    if number < 0:
        return f"{words.OVER} negative"
    if _NO_SAMPLE <= number < 1e38:
        return f"{words.OVER} or no sample"
    return words.OVER


def _read_text(
    text: str, quantity: str, heading: Unit | None, decimal: str | None, rated: float
) -> Cell:
    plain = parse_number(text, decimal=decimal)
    if plain is not None and not math.isnan(plain.value):
        sentinel = _sentinel(plain.value)
        if sentinel:
            return Cell(math.nan, sentinel)
    word, rest = _word_with_terms(text)
    parsed = parse_cell(rest, quantity, decimal=decimal)
    if word and not parsed.terms:
        if parse_unit(rest.strip(" ()"), rules.RULES[quantity].dimension) is not None:
            return Cell(math.nan, word)
        return refused(f"not understood: '{text}'", "write the reading alone, the rest in a note")
    if set(parsed.leftover) == {"/"} and separates_conditions(parsed, quantity):
        parsed.leftover.clear()
    if parsed.leftover or not parsed.terms:
        return _not_understood(text, parsed)
    return assemble(text, parsed, quantity, heading, rated, word=word)


def _word_with_terms(text: str) -> tuple[str, str]:
    """Split "OL >2000 µF", "short @ 450 V" and "OL kΩ" into the flag and the rest.

    "over 20 mA" is a bound and stays whole.
    """
    ranged = words.OVER_A_RANGE.fullmatch(text)
    if ranged is not None and words.word_flag(ranged["word"]).startswith(words.OVER):
        return words.OVER, f">{ranged['end'] or ranged['end2']}"
    head, _, rest = text.partition(" ")
    if not rest or words.BOUNDS.match(text):
        return "", text
    flag = words.word_flag(head)
    return (flag, rest) if flag.startswith((words.OVER, "open", "short")) else ("", text)


def _not_understood(text: str, parsed: Parsed) -> Cell:
    if len(parsed.terms) > 1 and set(parsed.leftover) <= {"/", "+", "|", "&"}:
        return refused(f"several values: '{text}'", "give each section its own row")
    left = " ".join(parsed.leftover) or text
    return refused(f"not understood: '{left}'", "write the value alone, the rest in a note")


@dataclass(frozen=True, slots=True)
class Column:
    """A column of cells: arrays of one row a cell.

    Parameters
    ----------
    value, at_least, at_most : ndarray of float64
        As in :class:`Cell`.
    flag : ndarray of object
        Text of each cell's flag.
    cells : dict
        Row: Cell, for the cells that have conditions or a problem.
    """

    value: NDArray[np.float64]
    at_least: NDArray[np.float64]
    at_most: NDArray[np.float64]
    flag: NDArray[np.object_]
    cells: dict[int, Cell]


def read_column(
    texts: Sequence[str],
    quantity: str,
    *,
    unit: str = "",
    decimal: str | None = None,
    rated: NDArray[np.float64] | None = None,
) -> Column:
    """Read a column; gives for each row exactly what :func:`read_cell` gives.

    Parameters
    ----------
    texts : sequence of str
        The cells.
    quantity, unit, decimal
        As in :func:`read_cell`.
    rated : ndarray, optional
        One value a cell, NaN where there is none.
    """
    texts = list(texts)
    size = len(texts)
    ratings = np.full(size, np.nan) if rated is None else np.asarray(rated, np.float64)
    column = Column(
        np.full(size, np.nan),
        np.full(size, np.nan),
        np.full(size, np.nan),
        np.full(size, "", dtype=object),
        {},
    )
    done = read_plain(column.value, column.flag, texts, quantity, unit, decimal, ratings)
    seen: dict[tuple[str, float | None], Cell] = {}
    for row in np.flatnonzero(~done).tolist():
        text, rating = texts[row], float(ratings[row])
        key = (text, None if math.isnan(rating) else rating)
        cell = seen.get(key)
        if cell is None:
            cell = read_cell(text, quantity, unit=unit, decimal=decimal, rated=rating)
            seen[key] = cell
        column.value[row] = cell.value
        column.at_least[row] = cell.at_least
        column.at_most[row] = cell.at_most
        column.flag[row] = cell.flag
        if cell.problem or cell.conditions:
            column.cells[row] = cell
    return column
