"""A long text at a terminal, a screenful at a time: Enter reads on, so that nothing is missed."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING, Final

from captriage.bench.key_lines import BY_THE_PERSON, KeyLines
from captriage.bench.sitting import ENTER, QUIT, Ended

if TYPE_CHECKING:
    from captriage.bench.sitting import Keys, Show

LABEL: Final = 7
"""Columns of the word before a sentence, as the screen writes it."""

KEPT_ROWS: Final = 2
"""Rows of a screenful for what asks to read on."""


class Pages:
    """What the person sees, in the place of the screen, as long as much is said at once.

    Parameters
    ----------
    show, keys : Show, Keys
        Where it is shown; where Enter comes from.
    rows : int
        Of the terminal; 0 where nothing is paged.
    """

    def __init__(self, show: Show, keys: Keys, *, rows: int) -> None:
        self._show, self._keys, self._rows = show, keys, rows
        self._shown = 0

    def line(self, text: str = "") -> None:
        """As of :class:`captriage.bench.sitting.Show`; may raise Ended, as all that shows here."""
        self._room_for(text)
        self._show.line(text)

    def tell(self, label: str, text: str) -> None:
        """A sentence that stays."""
        self._room_for(f"{label:<{LABEL}}{text}")
        self._show.tell(label, text)

    def command(self, words: Sequence[str]) -> None:
        """A command that stays."""
        self._room_for(" ".join(words))
        self._show.command(words)

    def taken(self, text: Callable[[], str]) -> None:
        """One of very many lines."""
        self._show.taken(text)

    def status(self, text: str) -> None:
        """What is going on now."""
        self._show.status(text)

    def bell(self) -> None:
        """A sound."""
        self._show.bell()

    def turn(self) -> None:
        """Wait until what is shown has been read; at once where nothing is, or nothing is paged.

        Raises
        ------
        Ended
            The person ends, or nobody is there.
        """
        if not self._rows or not self._shown:
            return
        self._shown = 0
        self._show.tell("more", "press Enter to read on (q ends)")
        lines = KeyLines(self._show)
        while (line := lines.take(key := self._keys.next())) != ENTER:
            if key is None:
                raise Ended("nobody is there to read the cautions")
            if line == QUIT:
                raise Ended(BY_THE_PERSON)

    def _room_for(self, text: str) -> None:
        columns = shutil.get_terminal_size().columns
        takes = max(len(wrap(text, columns - 1, subsequent_indent=" " * LABEL)), 1)
        if self._shown + takes > self._rows - KEPT_ROWS:
            self.turn()
        self._shown += takes
