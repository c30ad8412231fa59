"""German umlauts and ß as they are typed where keys for them are missing: ae, oe, ue, ss.

It is our own words that are given both spellings, never the text that is widened: "oe" is no
umlaut in "shoe", and "ue" none in "residue".
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Final

_SPELT_OUT: Final = {"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"}
_TABLE: Final = str.maketrans(_SPELT_OUT)
_IN_PATTERN: Final = re.compile(r"\[[^\]]*\]|[äöüß]")


def either_spelling(pattern: str) -> str:
    """A pattern that matches its words with umlauts and spelt out.

    Within a class of characters ("[aä]") nothing changes: one character stands for no two.
    """
    return _IN_PATTERN.sub(
        lambda found: f"(?:{found[0]}|{_SPELT_OUT[found[0]]})" if len(found[0]) == 1 else found[0],
        pattern,
    )


def both_spellings(names: Iterable[str]) -> Iterator[str]:
    """Each word, and the same spelt out where it has an umlaut."""
    for name in names:
        yield name
        if name.translate(_TABLE) != name:
            yield name.translate(_TABLE)
