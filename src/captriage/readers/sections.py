"""Several sections in one cell: "40+40+10/450V" with "40.6/38.2/10.5" becomes three rows."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from captriage.errors import MarkingError
from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.layout import Table
from captriage.readers.markings import Rating, parse_rating, split_values
from captriage.readers.roles import Plan
from captriage.readers.spelling import CONDITION_COLUMNS, READING_COLUMNS

_MANY: Final = re.compile(r"\d.*[+&/x×*|,;\n-].*\d|\d\s+\d", re.DOTALL)


@dataclass
class Apart:
    """A table whose rows are single sections.

    ``sections`` is None where every row was one; ``ratings`` gives row to the rating of that
    section; ``raw`` gives (column, row) to the cell as it stood, where it was divided.
    """

    table: Table
    sections: list[str] | None = None
    ratings: dict[int, Rating] = field(default_factory=dict)
    raw: dict[tuple[int, int], str] = field(default_factory=dict)


def take_apart(table: Table, plan: Plan, aside: Aside) -> Apart:
    """Divide the rows whose rating names several sections.

    Cells of readings and ratings are divided with it where they hold one value for each
    section; a reading that holds fewer is set aside, since it is not said whose it is. Every
    other cell is of the can, and is repeated.
    """
    rated = [j for c in (words.RATING, "capacitance_rated") for j in plan.where(c)]
    several: dict[int, Rating] = {}
    for j in rated:
        unit = plan.headings[j].unit
        for text in filter(_MANY.search, set(table.cells[j])):
            rating = _several(text, unit, table.decimal)
            if rating is not None:
                several.update({i: rating for i, cell in enumerate(table.cells[j]) if cell == text})
    if not several:
        return Apart(table)
    return _divided(table, plan, several, set(rated), aside)


def _several(text: str, unit: str, decimal: str | None) -> Rating | None:
    """Rating of several sections, None where the cell is anything else."""
    for written in (text, f"{text} {unit}") if unit else (text,):
        try:
            rating = parse_rating(written, decimal=decimal)
        except MarkingError:
            continue
        if len(rating.capacitances) > 1:
            return rating
    return None


def _divided(
    table: Table, plan: Plan, several: dict[int, Rating], rated: set[int], aside: Aside
) -> Apart:
    origin: list[int] = []
    sections: list[str] = []
    for i in range(len(table.lines)):
        count = len(several[i].capacitances) if i in several else 1
        origin += [i] * count
        sections += [str(k) for k in range(1, count + 1)] if count > 1 else [""]
    cells = [[column[i] for i in origin] for column in table.cells]
    apart = Apart(
        replace(table, cells=list(cells), lines=table.lines[np.array(origin, np.int64)]), sections
    )
    divisible = READING_COLUMNS | CONDITION_COLUMNS | {"voltage_rated", "voltage_working"}
    row = 0
    while row < len(origin):
        i = origin[row]
        rating = several.get(i)
        if rating is None:
            row += 1
            continue
        count = len(rating.capacitances)
        for k in range(count):
            apart.ratings[row + k] = replace(
                rating, capacitances=(rating.capacitances[k],), voltages=(rating.voltages[k],)
            )
        for j, heading in enumerate(plan.headings):
            if heading.column in divisible and j not in rated:
                _divide_cell(apart, cells, (j, row, count), heading.column, aside)
        row += count
    return apart


def _divide_cell(
    apart: Apart,
    cells: Sequence[list[str]],
    place: tuple[int, int, int],
    column: str,
    aside: Aside,
) -> None:
    j, row, count = place
    text = cells[j][row]
    if not text.strip():
        return
    pieces = split_values(text)
    if len(pieces) == count:
        for k, piece in enumerate(pieces):
            cells[j][row + k] = piece
            apart.raw[j, row + k] = text
    elif len(pieces) > 1 or column in READING_COLUMNS:
        for k in range(count):
            cells[j][row + k] = ""
        table = apart.table
        aside.add(
            table.file,
            int(table.lines[row]),
            column=j + 1,
            heading=table.headings[j].text,
            found=text,
            reason=f"{len(pieces)} values for {count} sections",
            remedy="write one value for each section, such as 40.6/38.2/10.5",
        )
