"""Which part each row is about: names, cans and sections, merged cells, several sections a cell."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.layout import Table
from captriage.readers.roles import Plan
from captriage.units import unwrap


@dataclass
class Names:
    """Part, can and section of each row; ``below[i]`` where the name stands on a row above."""

    part: list[str]
    can: list[str]
    section: list[str]
    below: NDArray[np.bool_]

    def kept(self, rows: NDArray[np.bool_]) -> Names:
        """Names of only these rows."""
        index = np.flatnonzero(rows).tolist()
        return Names(
            [self.part[i] for i in index],
            [self.can[i] for i in index],
            [self.section[i] for i in index],
            self.below[rows],
        )


def clean(text: str) -> str:
    """A name without the wrapping of spreadsheets and double spaces."""
    if text.lstrip().startswith("=") and not text.lstrip()[1:].lstrip().startswith('"'):
        return " ".join(text.split())  # a formula kept as text: only ="C1" is a wrapping
    return " ".join(unwrap(text).split())


_NEEDS_CLEANING: Final = re.compile(r"[^\x20-\x7e\n]|  |^[ '=\"]| $", re.MULTILINE)


def cleaned(texts: Sequence[str]) -> list[str]:
    """Each of these names cleaned."""
    if _NEEDS_CLEANING.search("\n".join(texts)) is None:
        return list(texts)
    return [clean(text) for text in texts]


def _column(table: Table, plan: Plan, column: str) -> Sequence[str] | None:
    found = plan.where(column)
    return table.cells[found[0]] if found else None


def name_rows(
    table: Table, plan: Plan, sections: Sequence[str] | None, aside: Aside
) -> tuple[Names, NDArray[np.bool_]]:
    """Names of the rows of a table, and which rows have one (the others are set aside).

    Parameters
    ----------
    table, plan
        The table and what its columns are.
    sections : sequence of str or None
        Section of each row that came of a cell with several values, "" for other rows.
    aside : Aside
        Where rows without a name go.
    """
    n = len(table.lines)
    stated, cans, own = (_column(table, plan, c) for c in (words.PART, "can", "section"))
    named = stated if stated is not None else cans
    if named is None:
        said = table.said.get(words.PART)
        name = clean(said.text) if said else table.stem
        return Names([name] * n, [""] * n, [""] * n, np.zeros(n, bool)), np.ones(n, bool)
    above = cleaned(named)
    below = np.zeros(n, bool)
    if "" in above:
        below = np.array([not name for name in above])
        above = _filled_down(above)
    section = cleaned(own) if own is not None else [""] * n
    if sections is not None:
        section = [given or mine for given, mine in zip(sections, section, strict=True)]
    elif own is None and below.any() and plan.has(words.RATING, "capacitance_rated"):
        section = _numbered(above, below, table, plan)
    can, part = [""] * n, above
    if cans is not None and stated is not None:
        given = cleaned(cans)
        can = [
            c or (last if b else "")
            for c, last, b in zip(given, _filled_down(given), below.tolist(), strict=True)
        ]
    elif any(section):
        can = [name if s else "" for name, s in zip(above, section, strict=True)]
        part = [f"{p} {s}" if s else p for p, s in zip(above, section, strict=True)]
    known = np.fromiter(map(bool, above), bool, n)
    if not known.all():
        _nameless(table, ~known, aside)
    return Names(part, can, section, below), known


def _filled_down(names: list[str]) -> list[str]:
    out, last = [], ""
    for name in names:
        last = name or last
        out.append(last)
    return out


def _numbered(above: list[str], below: NDArray[np.bool_], table: Table, plan: Plan) -> list[str]:
    """Sections 1, 2, 3 of a can whose rows below the first have a rating but no name."""
    rated = [j for c in (words.RATING, "capacitance_rated") for j in plan.where(c)]
    has_rating = np.array(
        [any(table.cells[j][i].strip() for j in rated) for i in range(len(above))], bool
    )
    section = [""] * len(above)
    starts = np.flatnonzero(~below).tolist()
    for start, end in zip(starts, [*starts, len(above)][1:], strict=True):
        inside = [i for i in range(start, end) if has_rating[i]]
        if len(inside) > 1 and start in inside:
            for number, i in enumerate(inside, 1):
                section[i] = str(number)
            for i in range(start, end):  # readings below a section belong to it
                section[i] = section[i] or section[i - 1]
    return section


def _nameless(table: Table, rows: NDArray[np.bool_], aside: Aside) -> None:
    for i in np.flatnonzero(rows).tolist():
        cells = [column[i] for column in table.cells]
        if any(cell.strip() for cell in cells):
            aside.add(
                table.file,
                int(table.lines[i]),
                found=" | ".join(cell for cell in cells if cell.strip()),
                reason="no part is named on this row or above it",
                remedy="write the part's name into the row",
            )


def kept(table: Table, rows: NDArray[np.bool_]) -> Table:
    """The table with only these rows."""
    if rows.all():
        return table
    index = np.flatnonzero(rows).tolist()
    cells: list[Sequence[str]] = [[column[i] for i in index] for column in table.cells]
    return replace(table, cells=cells, lines=table.lines[rows])
