"""Keys of a run put together to lines: what was typed before Enter is no answer, but a line.

At a terminal each letter comes alone, and Enter after them; elsewhere a whole line does. Enter
alone says "it is done", and lets voltage rise: so no note, and no word, may be taken for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from captriage.bench.sitting import ENTER, QUIT, Ended

if TYPE_CHECKING:
    from captriage.bench.sitting import Show, Sitting

NOTE: Final = "n"
RUBOUTS: Final = ("\x7f", "\b")
BY_THE_PERSON: Final = "ended by the person"


class KeyLines:
    """Puts keys together.

    Parameters
    ----------
    show : Show
        Where a note is seen while it is typed, for the terminal does not show it.
    """

    def __init__(self, show: Show) -> None:
        self._show = show
        self._typed = ""

    def take(self, key: str | None) -> str | None:
        """What a key completes; None as long as that is not known.

        Parameters
        ----------
        key : str or None
            As :meth:`captriage.bench.sitting.Keys.poll` gives it.

        Returns
        -------
        str or None
            :data:`ENTER` alone, :data:`QUIT` at once but inside a note, or a whole line.
        """
        if key is None:
            return None
        if len(key) > 1:
            self._typed = ""
            return key.strip()
        if key == ENTER:
            line, self._typed = self._typed.strip(), ""
            return line
        return self._letter(key)

    def _letter(self, key: str) -> str | None:
        if key == QUIT and not self._typed.startswith(NOTE):
            self._typed = ""
            return QUIT
        self._typed = self._typed[:-1] if key in RUBOUTS else self._typed + key
        if self._typed == NOTE and key == NOTE:
            self._show.tell("note", "type it, then Enter; q is a letter of it, Ctrl-C ends the run")
        elif self._typed:
            self._show.status(self._typed)
        return None


def note_of(line: str) -> str:
    """Text of the note that a line is; "" where it is none."""
    word, _, text = line.partition(" ")
    return text.strip() if word.lower() == NOTE else ""


def forget_typed(sitting: Sitting) -> None:
    """Throw away what was typed before the question: it is no answer to it.

    Raises
    ------
    Ended
        It says that the person ends.
    """
    while (key := sitting.keys.poll()) is not None:
        if key == QUIT:
            raise Ended(BY_THE_PERSON)


def await_enter(sitting: Sitting, *, nobody: str) -> None:
    """Wait for Enter alone; ``nobody`` says what it means that none will come.

    Raises
    ------
    Ended
        The person ends, or nobody is there.
    """
    lines = KeyLines(sitting.show)
    while True:
        key = sitting.keys.next()
        if key is None:
            raise Ended(nobody)
        line = lines.take(key)
        if line == ENTER:
            return
        if line == QUIT:
            raise Ended(BY_THE_PERSON)
        if line is not None:
            sitting.show.tell("keys", f"{line!r} is no answer; press Enter alone, or q to end")
