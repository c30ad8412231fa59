"""Columns of a table as series of cells of one meaning, whether the table is wide or long."""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.headings import Heading, nearest, parse_heading
from captriage.readers.layout import Table
from captriage.readers.roles import Plan, settle_columns
from captriage.readers.spelling import heading_unit


@dataclass
class Series:
    """Cells of one meaning: ``texts[k]`` stands in row ``rows[k]`` of the table.

    ``number`` is the column in the sheet, from 1; ``position`` its index in the table;
    ``assumed`` what was assumed of the heading.
    """

    heading: Heading
    texts: Sequence[str]
    rows: NDArray[np.int64]
    number: int
    position: int
    assumed: str = ""

    @property
    def column(self) -> str:
        """Canonical name of what the cells hold."""
        return self.heading.column


def series_of(table: Table, plan: Plan, aside: Aside) -> list[Series]:
    """All series of a table; cells under headings that are not known are set aside."""
    everything = np.arange(len(table.lines))
    found = []
    for j, heading in enumerate(plan.headings):
        if plan.is_long and heading.column in (words.QUANTITY, words.VALUE, words.UNIT):
            continue
        texts = table.cells[j]
        if not heading.column:
            _not_known(table, heading, j, texts, aside)
            continue
        if heading.column in (words.PART, "can", "section"):
            continue
        found.append(
            Series(
                heading, texts, everything, table.number(j), j, plan.assumed.get(j, table.assumed)
            )
        )
    if plan.is_long:
        return found + _long(table, plan, aside)
    return _with_row_units(table, found, aside)


def _not_known(table: Table, heading: Heading, j: int, texts: Sequence[str], aside: Aside) -> None:
    rows = [i for i, text in enumerate(texts) if text.strip()]
    if not rows and not heading.text:
        return
    like = nearest(heading.text) if heading.text else ""
    reason = heading.problem or ("heading not known" if heading.text else "no heading")
    remedy = f"call it '{like}' if that is meant" if like else "give it a heading that is known"
    if heading.text:
        aside.add(
            table.file,
            table.line,
            column=j + 1,
            heading=heading.text,
            found=heading.text,
            reason=f"{reason}; cells below it that are not used: {len(rows)}",
            remedy=remedy,
        )
    cells = [texts[i] for i in rows]
    aside.add_cells(
        table.file, table.lines[rows], cells, reason, remedy, column=j + 1, heading=heading.text
    )


def _with_row_units(table: Table, found: list[Series], aside: Aside) -> list[Series]:
    """Put the unit of a column "unit" behind the cells of the column it follows."""
    out: list[Series] = []
    for series in found:
        if series.column != words.UNIT:
            out.append(series)
            continue
        before = out[-1] if out else replace(series, texts=[""] * len(series.texts))
        alone = [
            i
            for i, (text, unit) in enumerate(zip(before.texts, series.texts, strict=True))
            if unit.strip() and not (text.strip() and heading_unit(unit))
        ]
        aside.add_cells(
            table.file,
            table.lines[alone],
            [series.texts[i] for i in alone],
            "not a unit, or none of a value beside it",
            "write a unit such as µF, Ω or mA behind the value it belongs to",
            column=series.number,
            heading=series.heading.text,
        )
        if out:
            texts = [
                f"{text} {unit.strip()}" if text.strip() and unit.strip() else text
                for text, unit in zip(before.texts, series.texts, strict=True)
            ]
            out[-1] = replace(before, texts=texts)
    return out


def _long(table: Table, plan: Plan, aside: Aside) -> list[Series]:
    """Series of a table with a row a reading, one for each quantity and unit named."""
    what, where = plan.where(words.QUANTITY)[0], plan.where(words.VALUE)[0]
    units = plan.where(words.UNIT)
    names = table.cells[what]
    in_unit: Sequence[str] = table.cells[units[0]] if units else [""] * len(names)
    groups: dict[tuple[str, str], list[int]] = {}
    for i, key in enumerate(zip(names, in_unit, strict=True)):
        groups.setdefault(key, []).append(i)
    found = []
    values = table.cells[where]
    for (name, unit), rows in groups.items():
        texts = [values[i] for i in rows]
        heading = _quantity(name, unit or plan.headings[where].unit)
        filled = [k for k, text in enumerate(texts) if text.strip()]
        if heading.column:
            found.append(Series(heading, texts, np.array(rows), where + 1, where))
            used = set(filled)
        else:
            reason = heading.problem or ("quantity not known" if name.strip() else "no quantity")
            like = nearest(name) if name.strip() else ""
            remedy = f"call it '{like}' if that is meant" if like else "name it, such as C, ESR, D"
            held = [rows[k] for k in filled]
            _aside_rows(table, plan, aside, where, held, reason=reason, remedy=remedy)
            used = set()
        for j in (what, *units):
            unused = [i for k, i in enumerate(rows) if k not in used and table.cells[j][i].strip()]
            reason = "a quantity that is not known, or that has no value"
            _aside_rows(table, plan, aside, j, unused, reason=reason, remedy="add the value")
    return found


def _aside_rows(
    table: Table,
    plan: Plan,
    aside: Aside,
    j: int,
    rows: list[int],
    *,
    reason: str,
    remedy: str,
) -> None:
    """Set aside the cells of column j on these rows."""
    aside.add_cells(
        table.file,
        table.lines[rows],
        [table.cells[j][i] for i in rows],
        reason,
        remedy,
        column=j + 1,
        heading=plan.headings[j].text,
    )


def _quantity(name: str, unit: str) -> Heading:
    """Meaning of a quantity named in a cell; the row's unit beats one in the name."""
    heading = parse_heading(name.strip())
    if unit.strip() and heading.column:
        joined = parse_heading(f"{name.strip()} ({unit.strip()})")
        heading = joined if joined.column or joined.problem else replace(heading, unit=unit.strip())
    single = Table("", "", [heading], 0, [()], np.empty(0, np.int64))
    return settle_columns(single).headings[0] if heading.column == words.WORKING else heading


def without(one: Series, rows: Container[int]) -> Series:
    """The series without the cells on these rows of the table."""
    if not rows:
        return one
    texts = [
        "" if int(row) in rows else text for row, text in zip(one.rows, one.texts, strict=True)
    ]
    return Series(one.heading, texts, one.rows, one.number, one.position, one.assumed)
