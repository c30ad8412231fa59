"""Replies of meters into the book, each with one statement that commits by itself."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import datetime
from itertools import chain
from typing import Any, Final, Protocol

from sqlalchemy import func, select

from captriage.columns import BENCH_QUANTITIES, QUANTITIES
from captriage.errors import BookError
from captriage.sheet_form import keepable
from captriage.store import schema
from captriage.store.session import Session, written
from captriage.store.wording import is_taken

_COLUMNS: Final = (
    "job_id", "run_id", "part_id", "answer", "quantity", "value", "at_least", "at_most",
    "uncertainty", "range_high", *schema.CONDITIONS, "flag", "raw", "utc", "monotonic_s",
)  # fmt: skip
_TRIES: Final = 50  # where another program takes the same number of a reply first
_ALLOWED: Final = {**QUANTITIES, **BENCH_QUANTITIES}


class KeptValue(Protocol):
    """One quantity of a reply; as :class:`captriage.bench.measured.Value`."""

    @property
    def quantity(self) -> str:
        """Key of QUANTITIES or BENCH_QUANTITIES of :mod:`captriage.columns`."""

    @property
    def value(self) -> float:
        """In SI; NaN where there is none."""

    @property
    def uncertainty(self) -> float:
        """Expanded, k = 2; NaN where it is not known."""

    @property
    def at_least(self) -> float:
        """Bound, or NaN."""

    @property
    def at_most(self) -> float:
        """Bound, or NaN."""

    @property
    def range_high(self) -> float:
        """End of the meter's range, or NaN."""

    @property
    def flag(self) -> str:
        """What is to be said of it, or ""."""


class Reply(Protocol):
    """What is kept of a meter's reply; as :class:`captriage.bench.measured.Answer`."""

    @property
    def values(self) -> Sequence[KeptValue]:
        """One for each quantity."""

    @property
    def raw(self) -> str:
        """The reply as it came."""

    @property
    def utc(self) -> datetime:
        """When it came; aware."""

    @property
    def monotonic_s(self) -> float:
        """The same by a clock that is never set back. [s]"""


class Keeper:
    """Numbers the replies of each run from 1 without holes, and keeps them."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._cursor = session.opened.connection.connection.cursor()
        self._job_of_run: dict[int, int] = {}
        self._last_answer: dict[int, int] = {}
        self._inserts: dict[int, str] = {}

    def begun(self, run_id: int, job_id: int) -> None:
        """Know a run that has no replies yet."""
        self._job_of_run[run_id], self._last_answer[run_id] = job_id, 0

    def job_of(self, run_id: int) -> int:
        """Job of a run.

        Raises
        ------
        BookError
            There is no such run.
        """
        known = self._job_of_run.get(run_id)
        if known is None:
            runs = schema.runs
            with self._session.reading() as connection:
                known = connection.scalar(select(runs.c.job_id).where(runs.c.id == run_id))
            if known is None:
                raise BookError(f"{self._session.name}: no run has the number {run_id}")
            self._job_of_run[run_id] = known
        return known

    def keep(
        self, run_id: int, part_id: int | None, answer: Reply, conditions: Mapping[str, float]
    ) -> list[int]:
        """Keep all values of one reply; on the disk when this returns.

        Raises
        ------
        BookError
            Nothing of the reply was kept.
        """
        head = (self.job_of(run_id), run_id, part_id)
        rows = _rows(answer, conditions)
        session = self._session
        with session.lock, session.in_words():
            session.named()
            for _ in range(_TRIES):
                number = self._next_answer(run_id)
                self._last_answer.pop(run_id, None)  # should this fail, the book knows the last
                try:
                    found = self._insert([(*head, number, *row) for row in rows])
                except session.driver_error as error:
                    if not is_taken(error):
                        raise
                else:
                    session.named()
                    self._last_answer[run_id] = number
                    return [row[0] for row in found]
        raise BookError(
            f"{session.name}: other programs write to run {run_id} all the time; "
            "begin a run for each meter"
        )

    def _insert(self, rows: Sequence[tuple[Any, ...]]) -> Sequence[Any]:
        """Add readings by one statement, all or none.

        It goes to the driver itself: SQLAlchemy would take as long as the statement.
        """
        self._cursor.execute(self._statement(len(rows)), tuple(chain.from_iterable(rows)))
        found: Sequence[Any] = self._cursor.fetchall()
        return found

    def _next_answer(self, run_id: int) -> int:
        known = self._last_answer.get(run_id)
        if known is None:
            kept = schema.readings
            last = select(func.max(kept.c.answer)).where(kept.c.run_id == run_id)
            known = self._session.opened.connection.scalar(last) or 0
        return known + 1

    def _statement(self, count: int) -> str:
        """Statement that adds so many readings at once, or none of them."""
        if count not in self._inserts:
            dialect = self._session.opened.connection.dialect
            sign = "?" if dialect.paramstyle == "qmark" else "%s"
            names = ", ".join(dialect.identifier_preparer.quote(name) for name in _COLUMNS)
            row = "(" + ", ".join([sign] * len(_COLUMNS)) + ")"
            rows = ", ".join([row] * count)
            self._inserts[count] = f"INSERT INTO readings ({names}) VALUES {rows} RETURNING id"  # noqa: S608
        return self._inserts[count]


def number_or_none(name: str, value: float | None) -> float | None:
    """The number as the book has it: NULL for NaN.

    Raises
    ------
    BookError
        It is infinite.
    """
    if value is None or value != value:
        return None
    if math.isinf(value):
        raise BookError(f"{name}: an infinite number is no reading; give none, and say why")
    return float(value)


def _rows(answer: Reply, conditions: Mapping[str, float]) -> list[tuple[Any, ...]]:
    """Values of each reading of a reply, from the quantity on."""
    unknown = sorted(conditions.keys() - set(schema.CONDITIONS))
    if unknown:
        allowed = ", ".join(schema.CONDITIONS)
        raise BookError(f"conditions: {', '.join(unknown)}; allowed are {allowed}")
    if not answer.values:
        raise BookError(f"reply {answer.raw!r}: it holds no value; keep an event instead")
    if not answer.raw:
        raise BookError("reply '': it is empty; keep an event instead")
    names = [value.quantity for value in answer.values]
    if len(set(names)) < len(names):
        twice = next(name for name in names if names.count(name) > 1)
        raise BookError(f"reply {answer.raw!r}: {twice} stands twice in it; keep two replies")
    if not math.isfinite(answer.monotonic_s):
        raise BookError(f"reply {answer.raw!r}: its monotonic time is no number; give seconds")
    at = [number_or_none(name, conditions.get(name)) for name in schema.CONDITIONS]
    tail = (keepable(answer.raw), written(answer.utc), float(answer.monotonic_s))
    return [(*_numbers(value), *at, keepable(value.flag), *tail) for value in answer.values]


def _numbers(value: KeptValue) -> tuple[Any, ...]:
    quantity = value.quantity
    if quantity not in _ALLOWED:
        raise BookError(f"quantity: {quantity}; allowed are {', '.join(_ALLOWED)}")
    return (
        quantity,
        number_or_none(quantity, value.value),
        number_or_none("at_least", value.at_least),
        number_or_none("at_most", value.at_most),
        number_or_none("uncertainty", value.uncertainty),
        number_or_none("range_high", value.range_high),
    )
