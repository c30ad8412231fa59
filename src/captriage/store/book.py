"""The bench book, whole: what is entered, listed, struck out, judged, imported and checked."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from captriage.errors import BookError
from captriage.store import checks, listing, striking
from captriage.store.backups import copy_book
from captriage.store.entries import Entries
from captriage.store.rows import (
    EventRow,
    LookRow,
    ReadingRow,
    RunRow,
    StrikeRow,
    VerdictRow,
)

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd
    from numpy.typing import NDArray

    from captriage.columns import Sheets
    from captriage.store.importing import Imported, Source


class Book(Entries):
    """A bench book that is open; closed by :meth:`close` or at the end of a ``with``.

    Every method that writes has committed when it returns; what raises has kept nothing.
    Nothing is overwritten: what proves wrong is struck out, and stays.
    """

    # Lists

    def runs(self, job_id: int) -> list[RunRow]:
        """Runs of a job in the order they were begun."""
        with self._session.reading() as connection:
            return listing.run_rows(connection, job_id)

    def readings(self, job_id: int, *, part_id: int | None = None) -> list[ReadingRow]:
        """Readings of a job, or of one of its parts, struck ones too, in the order they came."""
        with self._session.reading() as connection:
            return listing.reading_rows(connection, job_id, part_id=part_id)

    def looks(self, job_id: int) -> list[LookRow]:
        """What was seen of the parts of a job, struck looks too."""
        with self._session.reading() as connection:
            return listing.look_rows(connection, job_id)

    def events(self, job_id: int) -> list[EventRow]:
        """Notes, gaps, faults and what else happened in a job."""
        with self._session.reading() as connection:
            return listing.event_rows(connection, job_id)

    def strikes(self, job_id: int) -> list[StrikeRow]:
        """What was struck out in a job, and why."""
        with self._session.reading() as connection:
            return listing.strike_rows(connection, job_id)

    def verdicts(self, job_id: int) -> list[VerdictRow]:
        """Verdicts on the parts of a job, as they were given."""
        with self._session.reading() as connection:
            return listing.verdict_rows(connection, job_id)

    def done_parts(self, job_id: int, *, answers: Mapping[int, int]) -> set[int]:
        """Parts with at least so many replies that count in one run.

        Parameters
        ----------
        job_id : int
            Job.
        answers : mapping of int to int
            Run, and how many replies make a part done in it. Those of two runs are not added
            up: each may have begun the part.
        """
        with self._session.reading() as connection:
            return listing.parts_done(connection, job_id, answers=answers)

    # Corrections

    def strike(self, what: str, row_id: int, reason: str) -> int:
        """Strike out a reading, look, run or part: it stays in the lists and is not judged.

        A run is struck with all it brought, a part with all its readings.

        Parameters
        ----------
        what : str
            "reading", "look", "run" or "part".
        row_id : int
            Its number.
        reason : str
            Why; shown beside it.

        Returns
        -------
        int
            Number of the strike.

        Raises
        ------
        BookError
            There is no such row, it is struck already, or no reason is given.
        """
        with self._session.writing() as connection:
            return striking.strike(
                connection, self.name, what, row_id, reason, utc=self._session.utc()
            )

    def strike_answer(
        self, run_id: int, answer: int, reason: str, *, quantity: str | None = None
    ) -> list[ReadingRow]:
        """Strike out all readings of one answer, or one quantity of it, as :meth:`strike` does.

        Parameters
        ----------
        run_id, answer : int
            The run, and the number of the answer within it.
        reason : str
            Why; shown beside each.
        quantity : str, optional
            Only this.

        Returns
        -------
        list of ReadingRow
            What was struck now.

        Raises
        ------
        BookError
            There is no such answer, it has no such quantity, it is struck already, or no reason
            is given.
        """
        with self._session.writing() as connection:
            return striking.strike_answer(
                connection,
                self.name,
                run_id,
                answer,
                reason,
                quantity=quantity,
                utc=self._session.utc(),
            )

    def correct_part(self, part_id: int, changes: Mapping[str, Any], reason: str) -> int:
        """Correct what is known of a part; readings stay with it. Number of the new row.

        Raises
        ------
        BookError
            There is no such part, no reason, or a column that no part has.
        """
        with self._session.writing() as connection:
            return striking.correct_part(
                connection, self.name, part_id, changes, reason, utc=self._session.utc()
            )

    # Sheets and verdicts

    def sheets(self, job_id: int, *, part_ids: Sequence[int] | None = None) -> Sheets:
        """Frames of a job as the readers of sheets make them, without what is struck out.

        Parameters
        ----------
        job_id : int
            Job.
        part_ids : sequence of int, optional
            Only these parts.
        """
        from captriage.store.frames import sheets_of  # loads pandas

        with self._session.reading() as connection:
            return sheets_of(connection, self._source(), job_id, part_ids=part_ids)

    def dated_sheets(self, job_id: int) -> tuple[Sheets, NDArray[np.datetime64]]:
        """Frames of a job, and when each of its readings was kept, in UTC."""
        from captriage.store.frames import readings_kept, sheets_of

        with self._session.reading() as connection:
            sheets = sheets_of(connection, self._source(), job_id)
            return sheets, readings_kept(connection, job_id)

    def import_sheets(
        self, job_id: int, sheets: Sheets, *, files: Sequence[Source], because: str = ""
    ) -> Imported:
        """Take in what was read from sheets, all of it or nothing.

        Parts that the job has already are gone on with; what a sheet adds to them is added.

        Parameters
        ----------
        job_id : int
            Job.
        sheets : Sheets
            As the readers give them.
        files : sequence of Source
            The files they came from.
        because : str
            Reason for correcting ratings that the book has otherwise; without one they are refused.

        Raises
        ------
        BookError
            A file of this content is in the job already, or the ratings of a part differ.
        """
        from captriage.store.importing import take_in  # loads pandas

        with self._session.writing() as connection:
            return take_in(
                connection,
                self.name,
                job_id,
                sheets,
                files=files,
                because=because,
                utc=self._session.utc(),
            )

    def give_verdicts(self, job_id: int, verdicts: pd.DataFrame, policy: str) -> int:
        """Keep verdicts as they were given, frame of :data:`captriage.columns.VERDICTS`.

        A verdict that says the same as the last one given on its part, by the same policy and
        program, is not kept once more. How many were kept comes back.

        Raises
        ------
        BookError
            A verdict is on a part that the job has not.
        """
        from captriage.store.verdict_rows import keep_verdicts  # loads pandas

        with self._session.writing() as connection:
            return keep_verdicts(
                connection, self.name, job_id, verdicts, policy, utc=self._session.utc()
            )

    # Care of the book

    def check(self) -> list[str]:
        """What is wrong with the book, in words; nothing, where it is sound."""
        with self._session.lock:
            damaged = checks.damage(self._session.opened.connection)
        if damaged:  # what is read of it means nothing
            return damaged
        with self._session.reading() as connection:
            return checks.problems(connection)

    def backup(self, copy: str | os.PathLike[str]) -> None:
        """Copy the book to a new file, whole as it stands at one moment, while others write.

        Raises
        ------
        BookError
            There is such a file already, it cannot be written, or the book is on a server.
        """
        path = self._session.opened.path
        if path is None:
            raise BookError(
                f"{self.name}: a book on a server is backed up by the server's own tools "
                "(pg_dump), or job by job with 'captriage book export'"
            )
        copy_book(path, Path(copy))

    def _source(self) -> str:
        """How the book is called as the source of what was taken at the bench."""
        opened = self._session.opened
        return opened.path.name if opened.path else str(opened.connection.engine.url.database)
