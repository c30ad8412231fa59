"""Verdicts into the book, as they were given."""

from __future__ import annotations

from typing import Any, Final

import pandas as pd
from sqlalchemy import Connection, insert, select

from captriage import __version__
from captriage.columns import VERDICTS
from captriage.errors import BookError
from captriage.sheet_form import keepable
from captriage.store import schema
from captriage.store.part_rows import job_locked, live_parts

_SAME: Final = ("policy", "program", *schema.VERDICT_COLUMNS)


def keep_verdicts(
    connection: Connection,
    book: str,
    job_id: int,
    verdicts: pd.DataFrame,
    policy: str,
    *,
    utc: str,
) -> int:
    """Keep, within a transaction, the verdicts that say something new; how many those are.

    Raises
    ------
    BookError
        A verdict is on a part that the job has not.
    """
    job = job_locked(connection, book, job_id)
    ids = {part.part: part.id for part in live_parts(connection, job_id)}
    last = _last(connection, job_id)
    rows = []
    for verdict in verdicts[list(VERDICTS)].to_dict("records"):
        part_id = ids.get(str(verdict["part"]))
        if part_id is None:
            raise BookError(
                f"job {job}: there is no part {verdict['part']}; judge the job as it is now"
            )
        values = {"policy": policy, "program": __version__}
        values |= {name: _kept(verdict[name]) for name in schema.VERDICT_COLUMNS}
        if last.get(part_id) != tuple(values[name] for name in _SAME):
            rows.append({"job_id": job_id, "part_id": part_id, "utc": utc, **values})
    if rows:
        connection.execute(insert(schema.verdicts), rows)
    return len(rows)


def _last(connection: Connection, job_id: int) -> dict[int, tuple[Any, ...]]:
    """What the last verdict on each part says."""
    table = schema.verdicts
    asked = select(table.c.part_id, *(table.c[name] for name in _SAME))
    asked = asked.where(table.c.job_id == job_id).order_by(table.c.id)
    return {part_id: tuple(said) for part_id, *said in connection.execute(asked)}


def _kept(value: Any) -> Any:  # noqa: ANN401 - of any column
    if isinstance(value, str):
        return keepable(value)
    return None if value != value else value
