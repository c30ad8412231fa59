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
    n = len(table.lines)
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
    if not plan.has("section"):
        return _divided(table, plan, several, set(rated), aside)
    table = replace(table, cells=[list(column) for column in table.cells])
    allotted = _allotted(table, plan, several, rated, aside)
    several = {i: rating for i, rating in several.items() if i not in allotted.settled}
    apart = _divided(table, plan, several, set(rated), aside)
    place = np.cumsum([len(several[i].capacitances) if i in several else 1 for i in range(n)]) - 1
    apart.ratings.update({int(place[i]): rating for i, rating in allotted.ratings.items()})
    for i, section in allotted.sections.items():
        if apart.sections is not None:
            apart.sections[int(place[i])] = section
    return apart


@dataclass
class _Allotted:
    """Ratings of cans whose sections have rows of their own: of each row of the table.

    ``settled`` are the rows whose rating is dealt with; ``sections`` names those that have none.
    """

    ratings: dict[int, Rating] = field(default_factory=dict)
    sections: dict[int, str] = field(default_factory=dict)
    settled: set[int] = field(default_factory=set)


def _allotted(
    table: Table, plan: Plan, several: dict[int, Rating], rated: Sequence[int], aside: Aside
) -> _Allotted:
    """Share out a rating that stands for the whole can on the first of its rows.

    Where the can has not as many rows as the rating has values, it is set aside: which value is
    whose is not said.
    """
    out = _Allotted()
    section = [" ".join(cell.split()) for cell in table.cells[plan.where("section")[0]]]
    cans = _rows_of_cans(table, plan)
    for first, rating in several.items():
        rows = cans[first]
        told = {i for i in rows if any(table.cells[j][i].strip() for j in rated)}
        if first in out.settled or (len(rows) == 1 and _is_one_row(table, plan, first, section)):
            continue
        members = list(dict.fromkeys(section[i] for i in rows if section[i]))
        count = len(rating.capacitances)
        if not section[first] and len(members) == count - 1:
            members = [_BEFORE.get(members[0], "1"), *members]
        alike = told <= {i for i, other in several.items() if other == rating}
        out.settled |= told & several.keys()
        if len(members) != count or not alike:
            _set_rating_aside(table, told & several.keys(), rated, (count, len(rows)), aside)
            continue
        for i in rows:
            if not section[i]:
                out.sections[i] = members[0]
            k = members.index(section[i] or members[0])
            out.ratings[i] = _section_of(rating, k)
        _carry_down(table, plan, rows, first, count)
    return out


_BEFORE: Final = {"b": "a", "B": "A", "2": "1", "II": "I", "ii": "i"}


def _rows_of_cans(table: Table, plan: Plan) -> list[list[int]]:
    """For each row the rows of its can in order: one without a name belongs to the one above."""
    named = plan.where("can") or plan.where(words.PART)
    names = table.cells[named[0]] if named else [""] * len(table.lines)
    groups: dict[str, list[int]] = {}
    mine = []
    last = ""
    for i, name in enumerate(names):
        last = "".join(name.split()).casefold() or last
        mine.append(groups.setdefault(last, []))
        mine[-1].append(i)
    return mine


def _is_one_row(table: Table, plan: Plan, i: int, section: Sequence[str]) -> bool:
    """Whether the only row of a can stands for all its sections, and not for the one it names."""
    cells = [table.cells[j][i] for j in range(len(plan.headings)) if _divisible(plan, j)]
    return not section[i] or any(len(split_values(c)) > 1 for c in (section[i], *cells))


def _set_rating_aside(
    table: Table, rows: set[int], rated: Sequence[int], counts: tuple[int, int], aside: Aside
) -> None:
    for j in rated:
        column = table.cells[j]
        for i in sorted(rows):
            if column[i].strip():
                aside.add(
                    table.file, int(table.lines[i]), column=j + 1,
                    heading=table.headings[j].text, found=column[i],
                    reason=f"a rating of {counts[0]} sections; rows of this can: {counts[1]}",
                    remedy="put each section's own rating in its row",
                )  # fmt: skip
        table.cells[j] = ["" if i in rows else cell for i, cell in enumerate(column)]


def _carry_down(table: Table, plan: Plan, rows: Sequence[int], first: int, count: int) -> None:
    """Give what completes the rating of the can to the rows below that leave it blank."""
    for j in (j for c in ("voltage_rated", "tolerance", "polarity") for j in plan.where(c)):
        column = list(table.cells[j])
        if not column[first].strip() or any(column[i].strip() for i in rows if i != first):
            continue
        pieces = split_values(column[first])
        for k, i in enumerate(rows):
            column[i] = pieces[k] if len(pieces) == count == len(rows) else column[first]
        table.cells[j] = column


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
    row = 0
    while row < len(origin):
        i = origin[row]
        rating = several.get(i)
        if rating is None:
            row += 1
            continue
        count = len(rating.capacitances)
        for k in range(count):
            apart.ratings[row + k] = _section_of(rating, k)
        for j, heading in enumerate(plan.headings):
            if _divisible(plan, j) and j not in rated:
                _divide_cell(apart, cells, (j, row, count), heading.column, aside)
        row += count
    return apart


def _section_of(rating: Rating, k: int) -> Rating:
    return replace(rating, capacitances=(rating.capacitances[k],), voltages=(rating.voltages[k],))


def _divisible(plan: Plan, j: int) -> bool:
    """Whether a cell of column j may hold one value for each section."""
    return plan.headings[j].column in READING_COLUMNS | CONDITION_COLUMNS | {
        "voltage_rated",
        "voltage_working",
    }


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
