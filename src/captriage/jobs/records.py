"""A run of the bench, kept in the book."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from captriage.bench.measured import Answer
from captriage.bench.sitting import Kept, Part

if TYPE_CHECKING:
    from captriage.store.book import Book


class BookRecords:
    """What :class:`captriage.bench.sitting.Records` asks for, in one run of a job.

    Parameters
    ----------
    book : Book
        Open.
    job_id, run_id : int
        The job, and the run that has been begun.
    alike : iterable of int
        Earlier runs that measured the same: their readings of a part may be taken anew.
    """

    def __init__(self, book: Book, job_id: int, run_id: int, *, alike: Iterable[int] = ()) -> None:
        self._book, self._job_id, self._run_id = book, job_id, run_id
        self._alike = {run_id, *alike}
        self._answers = 0

    def keep(self, part: Part | None, answer: Answer, conditions: Mapping[str, float]) -> Kept:
        """Keep an answer; on the disk when this returns."""
        rows = self._book.keep(
            self._run_id, None if part is None else part.id, answer, conditions=conditions
        )
        self._answers += 1
        return Kept(f"{self._run_id}.{self._answers}", tuple(rows))

    def event(self, kind: str, text: str, part: Part | None = None) -> None:
        """Keep what happened beside the readings."""
        self._book.event(self._run_id, kind, text, part_id=None if part is None else part.id)

    def look(self, part: Part, look: str, raw: str) -> None:
        """Keep what was seen of a part."""
        self._book.look(part.id, look, raw, self._run_id)

    def strike(self, answers: Sequence[Kept], reason: str) -> None:
        """Strike the readings of answers out; they stay visible."""
        for row in (row for answer in answers for row in answer.readings):
            self._book.strike("reading", row, reason)

    def kept_of(self, part: Part) -> list[Kept]:
        """Answers on a part that this run and those alike have kept and nobody struck out."""
        found: dict[str, list[int]] = {}
        for row in self._book.readings(self._job_id, part_id=part.id):
            if row.run_id in self._alike and not row.struck:
                found.setdefault(f"{row.run_id}.{row.answer}", []).append(row.id)
        return [Kept(number, tuple(rows)) for number, rows in found.items()]
