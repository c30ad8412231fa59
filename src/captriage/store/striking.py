"""Corrections: nothing is changed, a row is added that says what no longer counts and why."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, or_, select

from captriage.columns import PARTS
from captriage.errors import BookError
from captriage.sheet_form import as_it_was, keepable
from captriage.store import schema
from captriage.store.listing import answer_rows
from captriage.store.part_rows import (
    job_locked,
    live_parts,
    named_once,
    part_values,
    struck_rows,
)
from captriage.store.rows import PartRow, ReadingRow
from captriage.store.session import added


def strike(
    connection: Connection, book: str, what: str, row_id: int, reason: str, *, utc: str
) -> int:
    """Strike out one row, within a transaction; number of the strike.

    Raises
    ------
    BookError
        There is no such row, it is struck already, or no reason is given.
    """
    if what not in schema.STRUCK:
        raise BookError(f"strike: {what}; allowed are {', '.join(schema.STRUCK)}")
    if not reason.strip():
        raise BookError(f"{what} {row_id}: no reason is given; say why it is struck out")
    table = schema.metadata.tables[schema.STRUCK[what]]
    job_id = connection.scalar(select(table.c.job_id).where(table.c.id == row_id))
    if job_id is None:
        raise BookError(f"{book}: there is no {what} {row_id}; see 'captriage book list --job JOB'")
    job_locked(connection, book, job_id)
    if what == "run":
        _not_orphaned(connection, row_id)
    rows = _rows_of_part(connection, row_id) if what == "part" else [row_id]
    struck = struck_rows(connection, job_id)[what]
    left = [row for row in rows if row not in struck]
    if not left:
        raise BookError(f"{what} {row_id}: it is struck out already, because: {struck[rows[-1]]}")
    return [_strike(connection, job_id, what, row, reason, utc) for row in left][-1]


def strike_answer(
    connection: Connection,
    book: str,
    run_id: int,
    answer: int,
    reason: str,
    *,
    quantity: str | None = None,
    utc: str,
) -> list[ReadingRow]:
    """Strike out what one answer of a run gave, or one quantity of it; the readings struck now.

    Raises
    ------
    BookError
        There is no such answer, it has no such quantity, it is struck already, or no reason is
        given.
    """
    number = f"answer {run_id}.{answer}"
    if not reason.strip():
        raise BookError(f"{number}: no reason is given; say why it is struck out")
    rows = answer_rows(connection, run_id, answer)
    if not rows:
        raise BookError(f"{book}: there is no {number}; see 'captriage book list --job JOB'")
    meant = [row for row in rows if quantity in (None, row.quantity)]
    if not meant:
        has = ", ".join(row.quantity for row in rows)
        raise BookError(f"{number}: it has no {quantity}; it has {has}")
    left = [row for row in meant if not row.struck]
    if not left:
        raise BookError(f"{number}: it is struck out already, because: {meant[-1].struck}")
    for row in left:
        strike(connection, book, "reading", row.id, reason, utc=utc)
    return left


def correct_part(
    connection: Connection,
    book: str,
    part_id: int,
    changes: Mapping[str, Any],
    reason: str,
    *,
    utc: str,
) -> int:
    """Correct a part by a row that takes the place of its last, which is struck out.

    Raises
    ------
    BookError
        There is no such part, no reason, or a column that no part has.
    """
    if not reason.strip():
        raise BookError(f"part {part_id}: no reason is given; say why it is corrected")
    table = schema.parts
    job_id = connection.scalar(select(table.c.job_id).where(table.c.id == part_id))
    if job_id is None:
        raise BookError(f"{book}: there is no part {part_id}; see 'captriage book list --job JOB'")
    job = job_locked(connection, book, job_id)
    live = {part.id: part for part in live_parts(connection, job_id)}
    if part_id not in live:
        raise BookError(f"part {part_id}: it is struck out, or corrects another; name a part")
    others = (part.part for part in live.values() if part.id != part_id)
    named_once([str(changes.get("part", live[part_id].part))], others, job)
    old = live[part_id]
    new_row = revised(connection, job_id, old, changes, utc=utc)
    _strike(connection, job_id, "part", old.row_id, reason, utc)
    return new_row


def revised(
    connection: Connection,
    job_id: int,
    part: PartRow,
    changes: Mapping[str, Any],
    *,
    utc: str,
    run_id: int | None = None,
) -> int:
    """Add a row that takes the place of the last one of a part; its number."""
    values = part_values({**{name: getattr(part, name) for name in PARTS}, **changes})
    head = {"job_id": job_id, "revises": part.id, "run_id": run_id, "utc": utc}
    return added(connection, "parts", {**head, **values})


def struck_because(
    connection: Connection, job_id: int, part: PartRow, reason: str, *, utc: str
) -> int:
    """Strike the row of a part that another has taken the place of."""
    return _strike(connection, job_id, "part", part.row_id, reason, utc)


def _strike(
    connection: Connection, job_id: int, what: str, row_id: int, reason: str, utc: str
) -> int:
    values = {"job_id": job_id, "what": what, "row_id": row_id, "reason": keepable(reason)}
    return added(connection, "strikes", {**values, "utc": utc})


def _rows_of_part(connection: Connection, part_id: int) -> list[int]:
    """The row of a part and those that correct it."""
    table = schema.parts
    asked = select(table.c.id).where(or_(table.c.id == part_id, table.c.revises == part_id))
    rows = list(connection.scalars(asked.order_by(table.c.id)))
    first = connection.scalar(select(table.c.revises).where(table.c.id == part_id))
    if first is not None:
        raise BookError(f"part {part_id}: a correction of part {first}; strike that out instead")
    return rows


def _not_orphaned(connection: Connection, run_id: int) -> None:
    """Refuse to strike the import of parts that were read since: their readings would not count."""
    parts, readings, strikes = schema.parts, schema.readings, schema.strikes
    struck_runs = select(strikes.c.row_id).where(strikes.c.what == "run")
    asked = (
        select(parts.c.part)
        .join(readings, readings.c.part_id == parts.c.id)
        .where(parts.c.run_id == run_id, parts.c.revises.is_(None))
        .where(readings.c.run_id != run_id, readings.c.run_id.not_in(struck_runs))
        .limit(1)
    )
    name = connection.scalar(asked)
    if name is not None:
        raise BookError(
            f"run {run_id}: part {as_it_was(name)} came with it and was read since; correct the "
            "parts (captriage book import --because) instead of striking out what they came with"
        )
