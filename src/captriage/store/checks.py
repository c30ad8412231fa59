"""Whether a book can be believed: the database's own check, and what must be so of its rows."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Final

from sqlalchemy import Connection, func, or_, select
from sqlalchemy.exc import DBAPIError

from captriage.columns import BENCH_QUANTITIES, LOOKS, QUANTITIES, VERDICT_WORDS
from captriage.store import schema


def problems(connection: Connection) -> list[str]:
    """All that is wrong with the rows of a book that is not damaged, within a transaction."""
    return [found for check in CHECKS for found in check(connection)]


def damage(connection: Connection) -> list[str]:
    """What the database itself finds wrong with its file; a server checks its own pages."""
    if connection.dialect.name != "sqlite":
        return []
    try:
        found = [row[0] for row in connection.exec_driver_sql("PRAGMA integrity_check(20)")]
    except DBAPIError as error:
        found = [str(error.orig)]
    return [f"the file is damaged: {fault}" for fault in found if fault != "ok"]


def orphans(connection: Connection) -> Iterator[str]:
    """Rows that belong to rows which are not there."""
    if connection.dialect.name != "sqlite":
        return  # a server never leaves off looking
    for table, row_id, parent, _ in connection.exec_driver_sql("PRAGMA foreign_key_check"):
        yield f"{table} {row_id}: it belongs to a row of {parent} that is not there"


def strangers(connection: Connection) -> Iterator[str]:
    """Rows whose run or part is of another job."""
    for name in ("readings", "looks", "events"):
        table = schema.metadata.tables[name]
        for other, column in ((schema.runs, "run_id"), (schema.parts, "part_id")):
            asked = (
                select(table.c.id)
                .join(other, other.c.id == table.c[column])
                .where(other.c.job_id != table.c.job_id)
            )
            for row_id in connection.scalars(asked):
                yield f"{name} {row_id}: its {column[:-3]} is of another job"


def holes(connection: Connection) -> Iterator[str]:
    """Runs whose replies are not numbered 1, 2, 3 ..."""
    kept = schema.readings
    count = func.count(kept.c.answer.distinct())
    numbers = (func.min(kept.c.answer), func.max(kept.c.answer), count)
    asked = select(kept.c.run_id, *numbers).group_by(kept.c.run_id)
    for run_id, first, last, replies in connection.execute(asked):
        if first != 1 or last != replies:
            yield f"run {run_id}: {replies} replies are numbered {first} to {last}"


def silent(connection: Connection) -> Iterator[str]:
    """Readings of meters without the reply they came from."""
    kept, runs = schema.readings, schema.runs
    asked = (
        select(kept.c.id)
        .join(runs, runs.c.id == kept.c.run_id)
        .where(runs.c.kind != "import", or_(kept.c.raw == "", kept.c.monotonic_s.is_(None)))
    )
    for row_id in connection.scalars(asked):
        yield f"reading {row_id}: the reply it came from, or its time, is missing"


def torn(connection: Connection) -> Iterator[str]:
    """Replies whose values do not agree on what they came from."""
    kept = schema.readings
    asked = (
        select(kept.c.run_id, kept.c.answer)
        .group_by(kept.c.run_id, kept.c.answer)
        .having(
            or_(
                func.min(kept.c.raw) != func.max(kept.c.raw),
                func.min(kept.c.utc) != func.max(kept.c.utc),
                func.min(kept.c.monotonic_s) != func.max(kept.c.monotonic_s),
                func.min(kept.c.part_id) != func.max(kept.c.part_id),
                func.count(kept.c.part_id).not_in((0, func.count())),
            )
        )
    )
    for run_id, answer in connection.execute(asked):
        yield f"run {run_id}, reply {answer}: its values differ in their reply, time or part"


def times(connection: Connection) -> Iterator[str]:
    """Times that are none, and a monotonic clock that went back."""
    for table in schema.metadata.sorted_tables:
        moments = select(table.c.utc).distinct() if "utc" in table.c else None
        for text in connection.scalars(moments) if moments is not None else ():
            if not _is_utc(text):
                yield f"{table.name}: {text!r} is no time"
    kept = schema.readings
    asked = (
        select(kept.c.run_id, kept.c.answer, kept.c.monotonic_s)
        .where(kept.c.monotonic_s.is_not(None))
        .order_by(kept.c.run_id, kept.c.answer)
    )
    before: tuple[int, float] = (0, 0.0)
    for run_id, answer, monotonic_s in connection.execute(asked):
        if before[0] == run_id and monotonic_s < before[1]:
            yield f"run {run_id}, reply {answer}: its monotonic time lies before that of the last"
        before = (run_id, monotonic_s)


def words(connection: Connection) -> Iterator[str]:
    """Words that are not of the vocabulary."""
    allowed = (
        (schema.readings.c.quantity, {*QUANTITIES, *BENCH_QUANTITIES}),
        (schema.looks.c.look, set(LOOKS)),
        (schema.events.c.kind, set(schema.EVENTS)),
        (schema.runs.c.kind, set(schema.KINDS)),
        (schema.verdicts.c.verdict, set(VERDICT_WORDS)),
        (schema.strikes.c.what, set(schema.STRUCK)),
    )
    for column, known in allowed:
        for word in connection.scalars(select(column).distinct()):
            if word not in known:
                yield f"{column.table.name}: {word!r} is no {column.name} that is known"
    for run_id, text in connection.execute(select(schema.runs.c.id, schema.runs.c.settings)):
        try:
            json.loads(text)
        except ValueError:
            yield f"run {run_id}: its settings cannot be read"


def lost(connection: Connection) -> Iterator[str]:
    """Strikes of nothing, and corrections of what is itself a correction."""
    for what, name in schema.STRUCK.items():
        table, strikes = schema.metadata.tables[name], schema.strikes
        asked = (
            select(strikes.c.id, strikes.c.row_id)
            .outerjoin(table, table.c.id == strikes.c.row_id)
            .where(strikes.c.what == what)
            .where(or_(table.c.id.is_(None), table.c.job_id != strikes.c.job_id))
        )
        for row_id, struck in connection.execute(asked):
            yield f"strike {row_id}: there is no {what} {struck} in its job"
    first = schema.parts.alias()
    asked = (
        select(schema.parts.c.id)
        .join(first, first.c.id == schema.parts.c.revises)
        .where(first.c.revises.is_not(None))
    )
    for row_id in connection.scalars(asked):
        yield f"part row {row_id}: it corrects a row that is no part"


def _is_utc(text: str) -> bool:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return False
    return moment.utcoffset() is not None and not moment.utcoffset()


CHECKS: Final[tuple[Callable[[Connection], Iterator[str]], ...]] = (
    orphans,
    strangers,
    holes,
    silent,
    torn,
    times,
    words,
    lost,
)
