"""Parts as rows of the book: what may be written, and which rows count."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import fields
from typing import Any, Final

from sqlalchemy import Connection, select

from captriage.columns import PARTS
from captriage.errors import BookError
from captriage.sheet_form import as_it_was, keepable
from captriage.store import schema
from captriage.store.rows import PartRow

_BLANK: Final[dict[str, str | float | None]] = {"str": "", "float64": None, "int64": 0}
_OWN: Final = tuple(field.name for field in fields(PartRow) if field.name in PARTS)


def part_values(row: Mapping[str, Any]) -> dict[str, Any]:
    """Values of a row of ``parts``, from what is known of a part.

    Raises
    ------
    BookError
        It has no name, a column that no part has, or a number that is none.
    """
    name = str(row.get("part", ""))
    unknown = [str(key) for key in row if key not in PARTS]
    if unknown:
        raise BookError(f"part {name}: {', '.join(unknown)}; a part has {', '.join(PARTS)}")
    if not name.strip():
        raise BookError("part: it has no name; give each the name on the list, such as C12")
    return {column: _value(name, column, row.get(column)) for column in PARTS}


def _value(part: str, column: str, value: str | float | None) -> str | float | None:
    kind = PARTS[column]
    if value is None:
        return _BLANK[kind]
    if kind == "str":
        return keepable(str(value))
    number = float(value)
    if math.isnan(number):
        return _BLANK[kind]
    if math.isinf(number):
        raise BookError(f"part {part}: {column} is infinite; give a number, or none")
    return int(number) if kind == "int64" else number


def live_parts(connection: Connection, job_id: int) -> list[PartRow]:
    """Parts of a job as they stand now, in the order they were entered; struck ones left out."""
    struck = struck_rows(connection, job_id)
    table = schema.parts
    found = connection.execute(
        select(table.c.id, table.c.revises, table.c.run_id, *(table.c[name] for name in _OWN))
        .where(table.c.job_id == job_id)
        .order_by(table.c.id)
    )
    newest: dict[int, PartRow] = {}
    for row_id, revises, run_id, *values in found:
        if row_id in struck["part"] or run_id in struck["run"]:
            continue
        known: dict[str, Any] = {
            name: _read(value) for name, value in zip(_OWN, values, strict=True)
        }
        part_id = revises or row_id
        newest[part_id] = PartRow(id=part_id, row_id=row_id, **known)
    return [newest[part_id] for part_id in sorted(newest)]


def _read(value: str | float | None) -> str | float:
    if value is None:
        return math.nan
    return as_it_was(value) if isinstance(value, str) else value


def struck_rows(connection: Connection, job_id: int) -> dict[str, dict[int, str]]:
    """Reason for each row of a job that is struck out, by what it is and its number."""
    table = schema.strikes
    found = connection.execute(
        select(table.c.what, table.c.row_id, table.c.reason).where(table.c.job_id == job_id)
    )
    struck: dict[str, dict[int, str]] = {what: {} for what in schema.STRUCK}
    for what, row_id, reason in found:
        struck[what][row_id] = as_it_was(reason)
    return struck


def named_once(names: Iterable[str], known: Iterable[str], job: str) -> None:
    """Refuse a part whose name the job has already.

    Raises
    ------
    BookError
        Two parts have one name.
    """
    seen = set(known)
    for name in names:
        if name in seen:
            raise BookError(
                f"job {job}: there is a part {name} already; "
                "give each part a name of its own, or correct the one that is there"
            )
        seen.add(name)


def job_locked(connection: Connection, book: str, job_id: int) -> str:
    """Name of a job, to which no other program adds parts until the transaction ends.

    Raises
    ------
    BookError
        There is no such job.
    """
    asked = select(schema.jobs.c.name).where(schema.jobs.c.id == job_id).with_for_update()
    name = connection.scalar(asked)
    if name is None:
        raise BookError(f"{book}: no job has the number {job_id}")
    return as_it_was(name)
