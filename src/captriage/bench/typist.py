"""The person who types what a meter shows, and words that ask for something in place of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from captriage.bench.sitting import QUIT, Ended, Keys, Show

REDO: Final = "r"
SKIP: Final = "s"
BACK: Final = "b"
NOTE: Final = "n"
LOOKS: Final = "l"
HELP: Final = "?"

WORDS: Final[Mapping[str, str]] = {
    # None of them can be meant as a value.
    **dict.fromkeys(("r", "redo"), REDO),
    **dict.fromkeys(("s", "skip"), SKIP),
    **dict.fromkeys(("b", "back"), BACK),
    **dict.fromkeys(("n", "note"), NOTE),
    **dict.fromkeys(("l", "look", "looks"), LOOKS),
    **dict.fromkeys(("q", "quit", "end"), QUIT),
    **dict.fromkeys(("?", "h", "help"), HELP),
}

INSTEAD: Final = (
    "type each value with its unit, or in place of one: r redo the part, s skip it, b back, "
    "n TEXT note, l CODE look (l alone lists them), q quit, ? these words; Enter alone: no reading"
)


class WentBack(Exception):
    """The person goes back to the part before."""


class BegunAnew(Exception):
    """The person begins this part anew."""


class Typist:
    """Asks the person at the keyboard for values, and obeys words that are typed instead.

    Parameters
    ----------
    keys, show : Keys, Show
        Where the person types, and sees what is asked.

    Attributes
    ----------
    obey : callable
        Given a key with what follows it, such as "n hums": does it, or raises what ends the
        question. As long as nobody else is to obey, only the end is.
    heed : callable
        Given all that is typed for a value, before it is taken for one; it may raise what ends
        the question. As long as nobody heeds it, nothing is done.
    """

    def __init__(self, keys: Keys, show: Show) -> None:
        self._keys, self._show = keys, show
        self.obey: Callable[[str], None] = self._only_end
        self.heed: Callable[[str], None] = _nothing

    def __call__(self, question: str) -> str:
        """What the person types for a value; lines of the question before its last are told.

        Raises
        ------
        Ended
            The input has ended, or the person ends it; others, as :attr:`obey` does.
        """
        *said, prompt = question.split("\n")
        for line in said:
            self._show.tell("", line)
        while True:
            typed = self._keys.line(prompt)
            if typed is None:
                raise Ended("the input has ended")
            key = key_of(typed)
            if key is None:
                self.heed(typed)
                return typed
            self.obey(key)

    def _only_end(self, key: str) -> None:
        if key == QUIT:
            raise Ended("ended by the person")
        self._show.tell("keys", "a value is asked for; q ends")


def _nothing(typed: str) -> None:
    """Nobody heeds it."""


def key_of(typed: str) -> str | None:
    """Key of a word that is typed in place of a value, with what follows it; None for a value."""
    word, _, rest = typed.strip().partition(" ")
    key = WORDS.get(word.rstrip(":").lower())
    if key is None or (rest and key not in (NOTE, LOOKS)):
        return None
    return f"{key} {rest.strip()}".strip()
