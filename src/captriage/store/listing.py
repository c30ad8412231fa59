"""What is in the book, row by row, struck rows and all."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, Row, Select, func, select

from captriage.sheet_form import as_it_was, keepable
from captriage.store import schema
from captriage.store.part_rows import live_parts, struck_rows
from captriage.store.rows import (
    EventRow,
    JobRow,
    LookRow,
    ReadingRow,
    RunRow,
    StrikeRow,
    VerdictRow,
)


def job_rows(connection: Connection, *, name: str | None = None) -> list[JobRow]:
    """Jobs in the order they were begun, with how many parts and readings each has."""
    asked = select(schema.jobs).order_by(schema.jobs.c.id)
    if name is not None:
        asked = asked.where(schema.jobs.c.name == keepable(name))
    jobs = connection.execute(asked).all()
    readings = schema.readings
    counted = select(readings.c.job_id, func.count()).group_by(readings.c.job_id)
    counts = {row[0]: row[1] for row in connection.execute(counted)}
    return [
        JobRow(
            row.id,
            as_it_was(row.name),
            as_it_was(row.machine),
            as_it_was(row.note),
            row.utc,
            len(live_parts(connection, row.id)),
            counts.get(row.id, 0),
        )
        for row in jobs
    ]


def run_rows(connection: Connection, job_id: int) -> list[RunRow]:
    """Runs of a job."""
    struck = struck_rows(connection, job_id)["run"]
    return [
        RunRow(
            id=row.id,
            kind=row.kind,
            meter=as_it_was(row.meter),
            profile=as_it_was(row.profile),
            address=as_it_was(row.address),
            identity=as_it_was(row.identity),
            settings=json.loads(row.settings),
            program=row.program,
            utc=row.utc,
            struck=struck.get(row.id, ""),
        )
        for row in connection.execute(_of(job_id, "runs"))
    ]


def reading_rows(
    connection: Connection,
    job_id: int,
    *,
    part_id: int | None = None,
    answer: tuple[int, int] | None = None,
) -> list[ReadingRow]:
    """Readings of a job, of one part, or of one answer of a run."""
    struck = struck_rows(connection, job_id)
    names = part_names(connection, job_id)
    live = {part.id for part in live_parts(connection, job_id)}
    asked = _of(job_id, "readings")
    if part_id is not None:
        asked = asked.where(schema.readings.c.part_id == part_id)
    if answer is not None:
        asked = asked.where(schema.readings.c.run_id == answer[0])
        asked = asked.where(schema.readings.c.answer == answer[1])
    own = [name for name in ReadingRow.__dataclass_fields__ if name not in ("part", "struck")]
    found = []
    for row in connection.execute(asked):
        values = {name: _value(row, name) for name in own}
        why = struck["reading"].get(row.id, "") or struck["run"].get(row.run_id, "")
        if row.part_id is not None and row.part_id not in live:
            why = why or "its part is struck out"
        values["taken_at"] = row.taken_at or ""
        found.append(ReadingRow(part=names.get(row.part_id, ""), struck=why, **values))
    return found


def answer_rows(connection: Connection, run_id: int, answer: int) -> list[ReadingRow]:
    """Readings of one answer of a run; none where there is no such answer."""
    runs = schema.runs
    job_id = connection.scalar(select(runs.c.job_id).where(runs.c.id == run_id))
    return [] if job_id is None else reading_rows(connection, job_id, answer=(run_id, answer))


def look_rows(connection: Connection, job_id: int) -> list[LookRow]:
    """Looks of a job."""
    struck = struck_rows(connection, job_id)
    names = part_names(connection, job_id)
    return [
        LookRow(
            id=row.id,
            run_id=row.run_id,
            part_id=row.part_id,
            part=names[row.part_id],
            look=row.look,
            raw=as_it_was(row.raw),
            utc=row.utc,
            struck=struck["look"].get(row.id, "") or struck["run"].get(row.run_id, ""),
        )
        for row in connection.execute(_of(job_id, "looks"))
    ]


def event_rows(connection: Connection, job_id: int) -> list[EventRow]:
    """Events of a job."""
    names = part_names(connection, job_id)
    return [
        EventRow(
            id=row.id,
            run_id=row.run_id,
            part_id=row.part_id,
            part=names.get(row.part_id, ""),
            kind=row.kind,
            text=as_it_was(row.text),
            utc=row.utc,
        )
        for row in connection.execute(_of(job_id, "events"))
    ]


def strike_rows(connection: Connection, job_id: int) -> list[StrikeRow]:
    """Strikes of a job."""
    return [
        StrikeRow(row.id, row.what, row.row_id, as_it_was(row.reason), row.utc)
        for row in connection.execute(_of(job_id, "strikes"))
    ]


def verdict_rows(connection: Connection, job_id: int) -> list[VerdictRow]:
    """Verdicts of a job, as they were given."""
    names = part_names(connection, job_id)
    own = [name for name in VerdictRow.__dataclass_fields__ if name != "part"]
    return [
        VerdictRow(part=names[row.part_id], **{name: _value(row, name) for name in own})
        for row in connection.execute(_of(job_id, "verdicts"))
    ]


def parts_done(connection: Connection, job_id: int, *, answers: Mapping[int, int]) -> set[int]:
    """Parts with so many replies that count in one of these runs."""
    struck = struck_rows(connection, job_id)
    kept = schema.readings
    asked = select(kept.c.id, kept.c.run_id, kept.c.part_id, kept.c.answer).where(
        kept.c.job_id == job_id, kept.c.run_id.in_(list(answers)), kept.c.part_id.is_not(None)
    )
    replies: dict[tuple[int, int], set[int]] = {}
    for row_id, run_id, part_id, answer in connection.execute(asked):
        if row_id not in struck["reading"] and run_id not in struck["run"]:
            replies.setdefault((run_id, part_id), set()).add(answer)
    live = {part.id for part in live_parts(connection, job_id)}
    return {part for (run, part), kept_ in replies.items() if len(kept_) >= answers[run]} & live


def part_names(connection: Connection, job_id: int) -> dict[int | None, str]:
    """Name of each part by its number, of those struck out too."""
    table = schema.parts
    asked = select(table.c.id, table.c.revises, table.c.part).where(table.c.job_id == job_id)
    return {
        revises or row_id: as_it_was(name)
        for row_id, revises, name in connection.execute(asked.order_by(table.c.id))
    }


def _of(job_id: int, table: str) -> Select[Any]:
    chosen = schema.metadata.tables[table]
    return select(chosen).where(chosen.c.job_id == job_id).order_by(chosen.c.id)


def _value(row: Row[Any], name: str) -> Any:  # noqa: ANN401 - of any column
    value = row._mapping[name]
    if value is None:
        return None if name == "part_id" else math.nan
    return as_it_was(value) if isinstance(value, str) else value
