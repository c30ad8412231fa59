"""Tables of the bench book, for SQLite (STRICT) and PostgreSQL alike.

Nothing in them is ever overwritten or deleted; triggers refuse it. What proves wrong gets a row in
``strikes`` and stays. Names of quantities and of part columns are those of
:mod:`captriage.columns`.
"""

from __future__ import annotations

from typing import Any, Final

from sqlalchemy import (
    REAL,
    BigInteger,
    Column,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    text,
)
from sqlalchemy.types import TypeEngine

from captriage.columns import PARTS, SET_ASIDE, VERDICTS

VERSION: Final = 1
"""Version of the tables below; :mod:`captriage.store.migrations` leads an older book here."""

APPLICATION_ID: Final = 0x43617054  # "CapT": by this SQLite tells a bench book from other files

STRUCK: Final = {"part": "parts", "run": "runs", "reading": "readings", "look": "looks"}
"""What can be struck out, and the table it stands in."""

EVENTS: Final = ("note", "gap", "fault", "skipped", "discharged", "started", "stopped")
"""Kinds of events."""

KINDS: Final = ("part by part", "against time", "stream", "typed", "import", "reforming")
"""Kinds of runs."""

CONDITIONS: Final = ("frequency_hz", "voltage_v", "temperature_degc", "soak_s")
"""What a reading was taken at."""

VERDICT_COLUMNS: Final = tuple(name for name in VERDICTS if name not in ("part", "can", "section"))

metadata: Final = MetaData()

_NUMBER: Final[TypeEngine[Any]] = Double().with_variant(REAL(), "sqlite")
_WHOLE: Final[TypeEngine[Any]] = BigInteger().with_variant(Integer(), "sqlite")
_OF_KIND: Final[dict[str, TypeEngine[Any]]] = {
    "str": Text(),
    "category": Text(),
    "float64": _NUMBER,
    "int64": _WHOLE,
}


def _id() -> Column[int]:
    return Column("id", _WHOLE, primary_key=True)


def _text(name: str, *, given: str | None = None) -> Column[str]:
    return Column(name, Text, nullable=False, server_default=text(given) if given else None)


def _number(name: str) -> Column[float]:
    return Column(name, _NUMBER)  # NULL is not known: NaN on the way out


def _whole(name: str, *, given: str | None = None) -> Column[int]:
    return Column(name, _WHOLE, nullable=False, server_default=text(given) if given else None)


def _place() -> list[Column[Any]]:
    """Where it stood in a sheet; blank for what was taken at the bench."""
    return [
        _text("source_file", given="''"),
        _whole("line", given="0"),
        _whole("column", given="0"),
    ]


def _job() -> Column[int]:
    return Column("job_id", _WHOLE, ForeignKey("jobs.id"), nullable=False)


def _of_same_job(name: str, table: str) -> ForeignKeyConstraint:
    """The row of that table belongs to the job of this row."""
    return ForeignKeyConstraint([name, "job_id"], [f"{table}.id", f"{table}.job_id"])


def _vocabulary(columns: dict[str, str]) -> list[Column[Any]]:
    """Columns of a frame: numbers may be unknown, text is "" where there is none."""
    return [
        Column(name, _OF_KIND[kind], nullable=kind == "float64") for name, kind in columns.items()
    ]


def _table(name: str, *rest: Column[Any] | ForeignKeyConstraint | UniqueConstraint) -> Table:
    return Table(name, metadata, *rest, sqlite_strict=True)


meta: Final = _table(  # one row for the making of the book and one for each migration
    "meta",
    Column("version", _WHOLE, primary_key=True, autoincrement=False),
    _text("program"),
    _text("utc"),
)

jobs: Final = _table("jobs", _id(), _text("name"), _text("machine"), _text("note"), _text("utc"))
Index("jobs_by_name", jobs.c.name, unique=True)

runs: Final = _table(
    "runs",
    _id(),
    _job(),
    _text("kind"),
    _text("meter"),
    _text("profile"),
    _text("address"),
    _text("identity"),
    _text("settings"),  # JSON
    _text("program"),
    _text("utc"),
    UniqueConstraint("id", "job_id"),
)

parts: Final = _table(
    # A part is known by the id of its first row. Rows that correct it name that one in `revises`;
    # readings, looks and verdicts always point at the first.
    "parts",
    _id(),
    _job(),
    Column("revises", _WHOLE),
    Column("run_id", _WHOLE),  # the import that brought it
    _text("utc"),
    *_vocabulary(PARTS),
    UniqueConstraint("id", "job_id"),
    _of_same_job("revises", "parts"),
    _of_same_job("run_id", "runs"),
)
Index("parts_by_job", parts.c.job_id)

readings: Final = _table(
    "readings",
    _id(),
    _job(),
    _whole("run_id"),
    Column("part_id", _WHOLE),  # NULL: of no part yet, as in a stream
    _whole("answer"),  # number of the reply within its run, from 1, without holes
    _text("quantity"),
    _number("value"),
    _number("at_least"),
    _number("at_most"),
    _number("uncertainty"),
    _number("range_high"),
    *(_number(name) for name in CONDITIONS),
    _text("flag"),
    _text("raw"),
    _text("utc"),  # ISO 8601 with microseconds; of an import, when that was done
    _number("monotonic_s"),
    # What follows is of imports: where the sheet says when and with what it was taken.
    Column("taken_at", Text),
    _text("meter", given="''"),
    *_place(),
    UniqueConstraint("run_id", "answer", "quantity"),
    _of_same_job("run_id", "runs"),
    _of_same_job("part_id", "parts"),
)
Index("readings_by_part", readings.c.part_id)

looks: Final = _table(
    "looks",
    _id(),
    _job(),
    _whole("run_id"),
    _whole("part_id"),
    _text("look"),
    _text("raw"),
    _text("utc"),
    *_place(),
    _of_same_job("run_id", "runs"),
    _of_same_job("part_id", "parts"),
)
Index("looks_by_part", looks.c.part_id)

events: Final = _table(
    "events",
    _id(),
    _job(),
    _whole("run_id"),
    Column("part_id", _WHOLE),
    _text("kind"),
    _text("text"),
    _text("utc"),
    _of_same_job("run_id", "runs"),
    _of_same_job("part_id", "parts"),
)
Index("events_by_run", events.c.run_id)

set_aside: Final = _table(
    "set_aside",
    _id(),
    _job(),
    _whole("run_id"),
    *_vocabulary(SET_ASIDE),
    _of_same_job("run_id", "runs"),
)
Index("set_aside_by_run", set_aside.c.run_id)

verdicts: Final = _table(
    "verdicts",
    _id(),
    _job(),
    _whole("part_id"),
    _text("policy"),
    _text("program"),
    _text("utc"),
    *_vocabulary({name: VERDICTS[name] for name in VERDICT_COLUMNS}),
    _of_same_job("part_id", "parts"),
)
Index("verdicts_by_part", verdicts.c.part_id)

strikes: Final = _table(
    "strikes",
    _id(),
    _job(),
    _text("what"),  # key of STRUCK
    _whole("row_id"),
    _text("reason"),
    _text("utc"),
    UniqueConstraint("what", "row_id"),
)

_REFUSAL: Final = "nothing in a bench book is changed or deleted: strike it out"


def protection(dialect: str) -> list[str]:
    """Statements that make the tables of a new book refuse to be changed or emptied."""
    names = [table.name for table in metadata.sorted_tables]
    if dialect == "sqlite":
        return [
            f"CREATE TRIGGER {name}_no_{act.lower()} BEFORE {act} ON {name} "
            f"BEGIN SELECT RAISE(ABORT, '{_REFUSAL}'); END"
            for name in names
            for act in ("UPDATE", "DELETE")
        ]
    refusing = (
        "CREATE FUNCTION captriage_refuses() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{_REFUSAL}'; END $$"
    )
    return [
        refusing,
        *(
            f"CREATE TRIGGER {name}_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON {name} "
            "FOR EACH STATEMENT EXECUTE FUNCTION captriage_refuses()"
            for name in names
        ),
    ]
