"""A job as the frames that the readers of sheets make, so that it is judged the same way."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from typing import Any, Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from sqlalchemy import Connection, select

from captriage.columns import (
    BY_PRACTICE,
    LOOKS_COLUMNS,
    PARTS,
    PRACTICE,
    QUANTITIES,
    READINGS,
    SET_ASIDE,
    Sheets,
)
from captriage.sheet_form import as_it_was
from captriage.store import schema
from captriage.store.part_rows import live_parts, struck_rows
from captriage.store.rows import PartRow

_STORED: Final = tuple(name for name in READINGS if name != "part_row")
_BESIDE: Final = ("id", "run_id", "part_id", "utc")

_FEW: Final = 100

Columns = dict[str, NDArray[Any]]


def sheets_of(
    connection: Connection, book: str, job_id: int, *, part_ids: Sequence[int] | None = None
) -> Sheets:
    """Frames of a job, within a transaction; ``book`` is the source of what has none."""
    struck = struck_rows(connection, job_id)
    parts = live_parts(connection, job_id)
    if part_ids is not None:
        wanted = set(part_ids)
        parts = [part for part in parts if part.id in wanted]
    row_of = {part.id: row for row, part in enumerate(parts)}
    return Sheets(
        parts=_parts(parts, book),
        readings=_readings(connection, job_id, row_of, struck, book),
        looks=_looks(connection, job_id, row_of, struck, book),
        set_aside=_set_aside(connection, job_id, struck),
    )


def readings_kept(connection: Connection, job_id: int) -> NDArray[np.datetime64]:
    """When each reading of :func:`sheets_of` was kept, in its order, in UTC.

    Of an import when that was done: whenever a reading was taken, it had been by then.
    """
    row_of = {part.id: row for row, part in enumerate(live_parts(connection, job_id))}
    found = _counted(connection, job_id, row_of, struck_rows(connection, job_id))
    return _instants(found["utc"])


def _parts(parts: Sequence[PartRow], book: str) -> pd.DataFrame:
    rows = {name: [getattr(part, name) for part in parts] for name in PARTS}
    bare = [not source for source in rows["source_file"]]
    rows["source_file"] = [
        book if none else text for none, text in zip(bare, rows["source_file"], strict=True)
    ]
    rows["line"] = [part.id if none else part.line for none, part in zip(bare, parts, strict=True)]
    return pd.DataFrame({name: pd.Series(rows[name], dtype=kind) for name, kind in PARTS.items()})


def _counted(
    connection: Connection, job_id: int, row_of: dict[int, int], struck: dict[str, dict[int, str]]
) -> Columns:
    """Readings that count, those of a part together, in the order they were taken."""
    found = _columns(connection, job_id, "readings", [*_BESIDE, *_STORED], of=row_of)
    of_part = _rows_of(found["part_id"], row_of)
    wanted = (
        (of_part >= 0)
        & np.isin(found["quantity"], list(QUANTITIES))
        & ~_among(found["id"], struck["reading"])
        & ~_among(found["run_id"], struck["run"])
    )
    order = np.flatnonzero(wanted)
    order = order[np.argsort(of_part[order], kind="stable")]
    found = {name: values[order] for name, values in found.items()}
    return found | {"part_row": of_part[order]}


def _readings(
    connection: Connection,
    job_id: int,
    row_of: dict[int, int],
    struck: dict[str, dict[int, str]],
    book: str,
) -> pd.DataFrame:
    found = _counted(connection, job_id, row_of, struck)
    runs = schema.runs
    meters, imports = {}, set()
    for run_id, kind, meter, settings in connection.execute(
        select(runs.c.id, runs.c.kind, runs.c.meter, runs.c.settings).where(runs.c.job_id == job_id)
    ):
        practice = json.loads(settings).get("accuracy_from") == PRACTICE
        meters[run_id] = as_it_was(meter) + BY_PRACTICE * practice
        if kind == "import":
            imports.add(run_id)
    bench = ~_among(found["run_id"], imports)
    found["taken_at"] = _instants(np.where(bench, found["utc"], found["taken_at"]))
    from_run = np.array([meters[run] for run in found["run_id"].tolist()], object)
    found["meter"] = np.where(bench, from_run, found["meter"])
    _name_source(found, bench, book)
    return _frame(found, READINGS, categories={"quantity": list(QUANTITIES)})


def _looks(
    connection: Connection,
    job_id: int,
    row_of: dict[int, int],
    struck: dict[str, dict[int, str]],
    book: str,
) -> pd.DataFrame:
    names = [name for name in LOOKS_COLUMNS if name != "part_row"]
    found = _columns(connection, job_id, "looks", ["id", "run_id", "part_id", *names], of=row_of)
    of_part = _rows_of(found["part_id"], row_of)
    wanted = (
        (of_part >= 0)
        & ~_among(found["id"], struck["look"])
        & ~_among(found["run_id"], struck["run"])
    )
    found = {name: values[wanted] for name, values in found.items()}
    found["part_row"] = of_part[wanted]
    _name_source(found, found["source_file"] == "", book)
    return _frame(found, LOOKS_COLUMNS)


def _set_aside(
    connection: Connection, job_id: int, struck: dict[str, dict[int, str]]
) -> pd.DataFrame:
    found = _columns(connection, job_id, "set_aside", ["run_id", *SET_ASIDE])
    wanted = ~_among(found["run_id"], struck["run"])
    return _frame({name: values[wanted] for name, values in found.items()}, SET_ASIDE)


def _columns(
    connection: Connection,
    job_id: int,
    table: str,
    names: Sequence[str],
    *,
    of: Collection[int] = (),
) -> Columns:
    """Columns of a job's rows in the order they were kept; text as it was, NULL as None.

    Rows of few parts are asked for by their numbers, which is quicker in a large job.
    """
    chosen = schema.metadata.tables[table]
    asked = select(*(chosen.c[name] for name in names)).where(chosen.c.job_id == job_id)
    if 0 < len(of) <= _FEW:
        asked = asked.where(chosen.c.part_id.in_(list(of)))
    rows = connection.execute(asked.order_by(chosen.c.id)).all()
    columns = zip(*rows, strict=True) if rows else ((),) * len(names)
    return {name: _restored(values) for name, values in zip(names, columns, strict=True)}


def _restored(values: Sequence[Any]) -> NDArray[np.object_]:
    out = np.empty(len(values), object)
    out[:] = values
    texts = {value for value in set(values) if isinstance(value, str)}
    restored = {text: as_it_was(text) for text in texts}
    if any(text != kept for kept, text in restored.items()):
        out[:] = [restored.get(value, value) for value in values]
    return out


def _rows_of(part_ids: NDArray[Any], row_of: dict[int, int]) -> NDArray[np.int64]:
    return np.array([row_of.get(part_id, -1) for part_id in part_ids.tolist()], np.int64)


def _among(values: NDArray[Any], chosen: dict[int, str] | set[int]) -> NDArray[np.bool_]:
    if not chosen:
        return np.zeros(len(values), bool)
    return np.array([value in chosen for value in values.tolist()], bool)


def _instants(texts: NDArray[Any]) -> NDArray[np.datetime64]:
    """Instants of ISO texts, in UTC where they name a zone; None is not known."""
    plain = [text[:-6] if text and text.endswith("+00:00") else text for text in texts.tolist()]
    return np.array([text or "NaT" for text in plain], "datetime64[us]")


def _name_source(found: Columns, here: NDArray[np.bool_], book: str) -> None:
    """What was taken at the bench stands in the book, under its number."""
    found["source_file"] = np.where(here, book, found["source_file"])
    found["line"] = np.where(here, found["id"], found["line"])


def _frame(
    found: Columns, columns: dict[str, str], *, categories: dict[str, list[str]] | None = None
) -> pd.DataFrame:
    made: dict[str, Any] = {}
    for name, kind in columns.items():
        values = found[name]
        if kind == "category":
            known = (categories or {}).get(name) or list(dict.fromkeys(values.tolist()))
            made[name] = pd.Categorical(values, categories=pd.Index(known, dtype="str"))
        elif kind == "float64":
            made[name] = np.array(values, float)  # None is NaN
        elif kind == "str":
            made[name] = pd.array(values, dtype="str")
        else:
            made[name] = values.astype(kind)
    return pd.DataFrame(made)
