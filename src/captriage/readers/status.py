"""Words and codes of a status column: which of them void the value beside."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

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
