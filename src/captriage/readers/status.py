"""Words beside a reading: a status that voids it, a note that stands in its place."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from captriage.readers.cell_words import word_flag
from captriage.readers.cells import read_cell
from captriage.readers.spelling import plain

_GOOD_WORDS: Final = """
    ok good normal pass passed valid none ready 0 0x0 stable settled in range go done true y
    yes gut gultig bon bonne valide bueno valido buono goed geldig i o io fine complete
"""
_GOOD: Final = frozenset(_GOOD_WORDS.split())


@lru_cache(maxsize=1024)
def bad_status(text: str) -> str:
    """Flag of a status that voids the value beside it; "" for a good one.

    Over-range words give "over range"; a numeric code other than 0, and a word that is
    not known to be good, void the value too: a value is used only where the meter stood by it.
    """
    spelling = plain(text)
    if spelling in _GOOD or not spelling or all(word in _GOOD for word in spelling.split()):
        return ""
    word = read_cell(text, "esr").flag
    if word.startswith(("over range", "no reading", "not a number", "open", "short")):
        return f"{word} (status {text.strip()})"
    if re.search(r"\bover|\bovl|\bol\b|\bofl", spelling):
        return f"over range (status {text.strip()})"
    return f"no reading (status {text.strip()})"


_CLAUSE: Final = re.compile(r"[;,.:!()\n–—]|\s-\s")
_STATES: Final = re.compile(
    r"(?:(?:it|cap|part|reads?|tests?|tested|measures?|measured|is|found|shows?|gone|dead|completely"
    r"|misst|gemessen|zeigt|ist|hat|einen?|voller|satter|lit|mesuré|est|totalement|mide|está|lee"
    r"|da|misura|risulta|è|legge|meet|toont|volledige?)\s+)+"
)
_WHERE: Final = re.compile(r"\s+(?:on|at|both|across|between|in|auf|bei|sur|en|op|su)\s.*")
_ALONE_OF_LENGTH: Final = frozenset(("short", "shorts", "corto", "schluss", "schluß", "sluiting"))


def stated_fault(note: str) -> str:
    """Flag of a note that begins with the plain statement that the part is open or shorted.

    "open", "short", or "" for any other note.

    A word of doubt, or a word that may tell the size or make, states nothing: "open?",
    "short leads", "open frame".
    """
    clause = _CLAUSE.split(" ".join(note.lower().split()), maxsplit=1)[0].strip()
    verb = _STATES.match(clause)
    said = clause[verb.end() :] if verb is not None else clause
    at = _WHERE.search(said)
    if at is not None and (verb is not None or re.search(r"\w[ /-]\w", said[: at.start()])):
        said = said[: at.start()]
    if verb is None and said in _ALONE_OF_LENGTH:
        return ""
    flag = word_flag(said)
    if flag in ("open", "short"):
        return flag
    whole = word_flag(clause)  # "dead short"
    return whole if whole in ("open", "short") and clause not in _ALONE_OF_LENGTH else ""
