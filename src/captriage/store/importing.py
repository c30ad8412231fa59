"""Sheets that were read, into the book: all of them in one transaction, or nothing."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final

import numpy as np
import pandas as pd
from sqlalchemy import Connection, select

from captriage import __version__
from captriage.columns import LOOKS_COLUMNS, PARTS, READINGS, SET_ASIDE, Sheets
from captriage.errors import BookError
from captriage.sheet_form import keepable
from captriage.store import schema
from captriage.store.part_rows import job_locked, live_parts, part_values, struck_rows
from captriage.store.rows import PartRow
from captriage.store.session import added
from captriage.store.striking import revised, struck_because

_JOINED: Final = ("note", "flag")  # free text: what the sheet says is added
_PLACE: Final = ("source_file", "line")


@dataclass(frozen=True, slots=True)
class Source:
    """A file that is taken in: its name, and what tells its content from any other.

    ``text_sha256`` is that of its text alone, whatever its line ends and its encoding: a sheet
    that went through another program is the same sheet. It is "" for a workbook.
    """

    name: str
    sha256: str
    text_sha256: str = ""

    @property
    def marks(self) -> set[str]:
        """What a file of the same content has one of."""
        return {self.sha256, self.text_sha256} - {""}


@dataclass(frozen=True, slots=True)
class Imported:
    """What was taken in."""

    run_id: int
    new_parts: int
    known_parts: int
    changed_parts: int
    readings: int
    looks: int
    set_aside: int


def take_in(
    connection: Connection,
    book: str,
    job_id: int,
    sheets: Sheets,
    *,
    files: Sequence[Source],
    because: str,
    utc: str,
) -> Imported:
    """Take in sheets within a transaction.

    Raises
    ------
    BookError
        A file of this content is in the job already, or the ratings of a part differ.
    """
    job = job_locked(connection, book, job_id)
    _not_twice(connection, job_id, job, files)
    run = {
        **dict.fromkeys(("meter", "profile", "identity"), ""),
        "address": keepable(", ".join(file.name for file in files)),
        "settings": json.dumps({"files": [asdict(file) for file in files]}),
    }
    head = {"job_id": job_id, "kind": "import", "program": __version__, "utc": utc}
    run_id = added(connection, "runs", {**head, **run})
    known = {part.part: part for part in live_parts(connection, job_id)}
    rows: list[dict[str, Any]] = sheets.parts.to_dict("records")  # type: ignore[assignment]
    new = [row for row in rows if row["part"] not in known]
    old = [(known[row["part"]], row) for row in rows if row["part"] in known]
    changed = _gone_on(connection, job_id, run_id, old, because=because, utc=utc)
    part_ids = {name: part.id for name, part in known.items()}
    part_ids |= _new_parts(connection, job_id, run_id, new, utc)
    ids = np.array([part_ids[row["part"]] for row in rows], np.int64)
    common = {"job_id": job_id, "run_id": run_id, "utc": utc}
    _add_rows(connection, "readings", _reading_columns(sheets.readings, ids), common)
    _add_rows(connection, "looks", _columns(sheets.looks, LOOKS_COLUMNS, ids), common)
    aside = _columns(sheets.set_aside, SET_ASIDE, None)
    _add_rows(connection, "set_aside", aside, {"job_id": job_id, "run_id": run_id})
    return Imported(
        run_id,
        new_parts=len(new),
        known_parts=len(old),
        changed_parts=changed,
        readings=len(sheets.readings),
        looks=len(sheets.looks),
        set_aside=len(sheets.set_aside),
    )


def _not_twice(connection: Connection, job_id: int, job: str, files: Sequence[Source]) -> None:
    """Refuse a file that the job holds already: its readings would count twice."""
    struck = struck_rows(connection, job_id)["run"]
    runs = schema.runs
    asked = select(runs.c.id, runs.c.settings).where(
        runs.c.job_id == job_id, runs.c.kind == "import"
    )
    here: dict[str, Source] = {}
    for file in files:
        for mark in file.marks:
            same = here.setdefault(mark, file)
            if same is not file:
                raise BookError(
                    f"{file.name}: has the same content as {same.name}; take in one of them"
                )
    for run_id, settings in connection.execute(asked):
        if run_id in struck:
            continue
        for told in json.loads(settings)["files"]:
            there = Source(told["name"], told["sha256"], told.get("text_sha256", ""))
            found = next((here[mark] for mark in there.marks if mark in here), None)
            if found is not None:
                other = (
                    ""
                    if there.sha256 == found.sha256
                    else ", saved with other line ends or encoding"
                )
                called = "" if there.name == found.name else f" as {there.name}"
                raise BookError(
                    f"{found.name}: job {job} holds this sheet already{called}{other}, from import "
                    f"{run_id}; to take it in anew, first strike that out: captriage book strike "
                    f"{run_id} --what run --because REASON"
                )


def _gone_on(
    connection: Connection,
    job_id: int,
    run_id: int,
    pairs: Sequence[tuple[PartRow, dict[str, Any]]],
    *,
    because: str,
    utc: str,
) -> int:
    """Add to parts that are there what a sheet says beyond it; how many were changed."""
    changes: list[tuple[PartRow, dict[str, Any], dict[str, Any]]] = [
        (old, *differences(old, row)) for old, row in pairs
    ]
    contradicted = [
        f"{old.part}: {name} is {_shown(getattr(old, name))}, the sheet has {_shown(value)}"
        for old, _, against in changes
        for name, value in against.items()
    ]
    if contradicted and not because.strip():
        others = f" and {len(contradicted) - 5} more" if len(contradicted) > 5 else ""
        raise BookError(
            f"{'; '.join(contradicted[:5])}{others}; correct the sheet, or say with --because why "
            "it is right"
        )
    count = 0
    for old, more, against in changes:
        if against:  # of no run: it stays corrected should the import be struck out
            revised(connection, job_id, old, {**more, **against}, utc=utc)
            struck_because(connection, job_id, old, because, utc=utc)
        elif more:
            revised(connection, job_id, old, more, utc=utc, run_id=run_id)
        count += bool(more or against)
    return count


def differences(part: PartRow, row: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """What a sheet knows beyond the book, and what it has otherwise."""
    more: dict[str, Any] = {}
    against: dict[str, Any] = {}
    for name in PARTS:
        there, here = getattr(part, name), row[name]
        if name in _PLACE or _blank(here) or there == here:
            continue
        if _blank(there):
            more[name] = here
        elif name not in _JOINED:
            against[name] = here
        elif here not in there.split("; "):
            more[name] = f"{there}; {here}"
    return more, against


def _blank(value: str | float) -> bool:
    return value == "" or value != value


def _shown(value: str | float) -> str:
    return value if isinstance(value, str) else f"{value:g}"


def _new_parts(
    connection: Connection, job_id: int, run_id: int, rows: Sequence[dict[str, Any]], utc: str
) -> dict[str, int]:
    """Add parts; the number of each by its name."""
    if not rows:
        return {}
    values = [part_values(row) for row in rows]
    columns = {name: [row[name] for row in values] for name in PARTS}
    _add_rows(connection, "parts", columns, {"job_id": job_id, "run_id": run_id, "utc": utc})
    table = schema.parts
    entered = select(table.c.id).where(table.c.run_id == run_id, table.c.revises.is_(None))
    ids = connection.scalars(entered.order_by(table.c.id))  # in the order they were added
    return {row["part"]: part_id for row, part_id in zip(rows, ids, strict=True)}


def _reading_columns(
    readings: pd.DataFrame, part_ids: np.ndarray[Any, Any]
) -> dict[str, list[Any]]:
    columns = _columns(readings, READINGS, part_ids)
    columns["answer"] = list(range(1, len(readings) + 1))
    return columns


def _columns(
    frame: pd.DataFrame, kinds: dict[str, str], part_ids: np.ndarray[Any, Any] | None
) -> dict[str, list[Any]]:
    """Columns of a frame as the book has them."""
    out: dict[str, list[Any]] = {}
    for name, kind in kinds.items():
        if name == "part_row" and part_ids is not None:
            out["part_id"] = part_ids[frame[name].to_numpy()].tolist()
        elif kind.startswith("datetime"):
            out[name] = _written(frame[name])
        elif kind == "float64":
            out[name] = _numbers(name, frame[name])
        elif kind == "int64":
            out[name] = frame[name].tolist()
        else:
            texts = frame[name].astype("str")
            kept = {text: keepable(text) for text in texts.unique().tolist()}
            out[name] = [kept[text] for text in texts.tolist()]
    return out


def _numbers(name: str, column: pd.Series) -> list[float | None]:
    values = column.to_numpy(float)
    if np.isinf(values).any():
        raise BookError(f"{name}: an infinite number is no reading; leave it blank, and say why")
    return [None if value != value else value for value in values.tolist()]


def _written(column: pd.Series) -> list[str | None]:
    instants = column.to_numpy("datetime64[us]")
    texts = np.datetime_as_string(instants, unit="us").tolist()
    return [None if text == "NaT" else text for text in texts]


def _add_rows(
    connection: Connection, table: str, columns: dict[str, list[Any]], common: dict[str, Any]
) -> None:
    """Add all rows with one statement, run once a row."""
    count = len(next(iter(columns.values())))
    if not count:
        return
    names = [*common, *columns]
    fixed = [[value] * count for value in common.values()]
    rows = zip(*fixed, *columns.values(), strict=True)
    dialect = connection.dialect
    sign = "?" if dialect.paramstyle == "qmark" else "%s"
    quoted = ", ".join(dialect.identifier_preparer.quote(name) for name in names)
    signs = ", ".join([sign] * len(names))
    connection.exec_driver_sql(
        f"INSERT INTO {table} ({quoted}) VALUES ({signs})",  # noqa: S608 - names of our tables
        list(rows),
    )
