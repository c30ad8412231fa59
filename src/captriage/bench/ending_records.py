"""Records of a run whose end is carried through whatever becomes of the book.

A disk that is full must not keep the person from being told to switch off and to discharge.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from captriage.bench.sitting import Kept
from captriage.errors import BookError

if TYPE_CHECKING:
    from captriage.bench.measured import Answer
    from captriage.bench.sitting import Part, Records, Show

NOT_KEPT = Kept("", ())


class EndingRecords:
    """See :class:`captriage.bench.sitting.Records`.

    Parameters
    ----------
    records : Records
        Where it is all kept.
    show : Show
        Where it is said, from :meth:`end_begins` on, that something could not be.

    Attributes
    ----------
    failed : str
        Why something was not kept since then; "" where all was.
    """

    def __init__(self, records: Records, show: Show) -> None:
        self._records, self._show = records, show
        self._ending = False
        self.failed = ""

    def end_begins(self) -> None:
        """From now on what cannot be kept is told, once, and not raised."""
        self._ending = True

    def _not_kept(self, error: BookError) -> None:
        if not self._ending:
            raise error
        if not self.failed:
            self._show.tell("book", f"{error}; the end of this run is not in the book")
        self.failed = self.failed or str(error)

    def keep(self, part: Part | None, answer: Answer, conditions: Mapping[str, float]) -> Kept:
        """Keep an answer under a part, or under none.

        Raises
        ------
        BookError
            It could not be kept, before the end.
        """
        try:
            return self._records.keep(part, answer, conditions)
        except BookError as error:
            self._not_kept(error)
            return NOT_KEPT

    def event(self, kind: str, text: str, part: Part | None = None) -> None:
        """Keep what happened beside the readings.

        Raises
        ------
        BookError
            It could not be kept, before the end.
        """
        try:
            self._records.event(kind, text, part)
        except BookError as error:
            self._not_kept(error)

    def look(self, part: Part, look: str, raw: str) -> None:
        """Keep what was seen of a part."""
        self._records.look(part, look, raw)

    def strike(self, answers: Sequence[Kept], reason: str) -> None:
        """Strike the readings of answers out; they stay visible."""
        self._records.strike(answers, reason)

    def kept_of(self, part: Part) -> list[Kept]:
        """Answers on a part, by this run and those that measured the same, not struck out."""
        return self._records.kept_of(part)
