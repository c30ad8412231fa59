"""What is in the book, row by row, struck rows and all."""

from __future__ import annotations

from sqlalchemy import Connection, func, select

from captriage.store import schema
from captriage.store.rows import JobRow
from captriage.store.wording import as_it_was


def job_rows(connection: Connection) -> list[JobRow]:
    """All jobs in the order they were begun, with how many parts and readings each has."""
    counts = {}
    for table in (schema.parts, schema.readings):
        counted = select(table.c.job_id, func.count()).group_by(table.c.job_id)
        counts[table.name] = {row[0]: row[1] for row in connection.execute(counted)}
    return [
        JobRow(
            row.id,
            as_it_was(row.name),
            as_it_was(row.machine),
            as_it_was(row.note),
            row.utc,
            counts["parts"].get(row.id, 0),
            counts["readings"].get(row.id, 0),
        )
        for row in connection.execute(select(schema.jobs).order_by(schema.jobs.c.id))
    ]
