"""Question and answer in step: a late answer is never taken for the next question's.

Meters answer in order. So after anything went wrong the wire asks the meter who it is before
the next question: once the identity has come back, all that was owed before it has come too,
and is thrown away. Identities look all alike, so those owed are counted and all must come: with
one of an earlier attempt in flight, the next to come would prove nothing. And as no reading
looks like the identity, one that comes in place of a reading is thrown away as well.

On a network, old answers die with their connection; so no delay, however long, puts one under
the wrong question. On a serial port a meter may have lost a question for good. There, an
identity that is owed is given up when the line has been quiet for ``PATIENCE`` times
``timeout_s`` after another one came: to do harm, a meter would have to be later than that and
then leave one more question unanswered.

What a meter sends beyond that, a second answer or one to a command, is noticed when it has come
by the next question; if it comes later than that, only its shape helps.

A meter that cannot tell who it is gets a new connection, or on a serial port a line that has
been quiet for ``timeout_s``: against an answer still later, only its shape helps. A profile
should name an identity question wherever the meter has one.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Final

from captriage.errors import Garbled, Gone, Silent

if TYPE_CHECKING:
    from captriage.bench.lines import Lines
    from captriage.bench.profile import Transport

PATIENCE: Final = 4  # times timeout_s: what is owed and has not come by then is taken for lost


class Step:
    """What a meter owes, and who it is.

    Attributes
    ----------
    question, identity : str
        How it is asked who it is, and what it answers; "" as long as that is not known.
    owed : int
        Answers to the identity question that have not come.
    thrown_away : int
        Lines that came late or unasked, and were not believed.
    """

    def __init__(self, where: str, transport: Transport) -> None:
        self.question = ""
        self.identity = ""
        self.owed = 0
        self.thrown_away = 0
        self._last = ""  # of the lines thrown away
        self._where = where
        self._transport = transport

    def throw_away(self, line: str) -> None:
        """Count a line that is not believed."""
        self.thrown_away += 1
        self._last = line

    def until_identified(self, lines: Lines, *, heard: bool = False) -> None:
        """Throw lines away until every identity that is owed has come.

        Parameters
        ----------
        lines : Lines
            Where they come from.
        heard : bool
            Whether one has come already.

        Raises
        ------
        Gone
            None came.
        """
        limit = self._limit(2)
        quiet_s = (PATIENCE if heard else 1) * self._transport.timeout_s
        while self.owed and (line := self._next(lines, limit, quiet_s)) is not None:
            if self._sort(line):
                heard, quiet_s = True, PATIENCE * self._transport.timeout_s
        if heard:
            self.owed = 0
        else:
            last = f" (the last that came is {self._last!r})" if self._last else ""
            raise Gone(
                f"{self._where}: {self.identity!r} no longer answers {self.question!r}{last}; "
                "check that it is on, and that no other meter took its place"
            )

    def until_quiet(self, lines: Lines) -> None:
        """Throw lines away until none has come for ``timeout_s``.

        Raises
        ------
        Gone
            They do not stop coming.
        """
        limit = self._limit()
        while (line := self._next(lines, limit, self._transport.timeout_s)) is not None:
            self._sort(line)
        if time.monotonic() >= limit:
            raise Gone(
                f"{self._where}: sends without being asked ({self._last!r}); "
                "set asks = false in its profile if it is meant to"
            )

    def _limit(self, times: int = 1) -> float:
        return time.monotonic() + times * PATIENCE * self._transport.timeout_s

    def _next(self, lines: Lines, limit: float, quiet_s: float) -> str | None:
        """The next line, "" for something garbled, None where none comes for a time."""
        try:
            return lines.next(min(time.monotonic() + quiet_s, limit))
        except Silent:
            return None
        except Garbled:
            return ""

    def _sort(self, line: str) -> bool:
        """Count one line; whether it is the identity."""
        if line == self.identity and line:
            self.owed = max(self.owed - 1, 0)
            return True
        self.throw_away(line or "something garbled")
        return False
