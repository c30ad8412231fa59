"""Several values in one cell, as for the sections of a can."""

from __future__ import annotations

import re
from typing import Final

from captriage.readers.cell_words import word_flag
from captriage.units import normalise, parse_unit, unwrap

_SPLIT: Final = re.compile(r"\s*(?:[/|;&\n]|(?<![eE])\+|,(?=\s)|(?<=\s)-(?=\s)|\band\b|\bund\b)\s*")
_KEPT: Final = re.compile(
    r"n/[amt]\b|o/c\b|s/c\b|[km]?c/s\b|\+\s*/\s*-|-\s*/\s*\+|[+-]\s*\d+\s*/\s*[+-]\s*\d+", re.I
)
_TAIL: Final = re.compile(r"(?<=\d)\s*([^\W\d].*)$")


def split_values(text: str) -> tuple[str, ...]:
    """Cells of the sections of a can written in one: "40.6/38.2/10.5" → three texts.

    A unit behind the last one holds for all. A text that is one cell comes back alone.
    """
    plain = unwrap(normalise(text.replace("\n", ";")))
    if word_flag(plain):
        return (text,)
    kept: list[str] = []

    def keep(found: re.Match[str]) -> str:
        kept.append(found.group())
        return f"\x00{len(kept) - 1}\x00"

    pieces = _SPLIT.split(_KEPT.sub(keep, plain))
    pieces = [re.sub("\x00(\\d+)\x00", lambda m: kept[int(m.group(1))], p) for p in pieces]
    if len(pieces) < 2 or not all(pieces):
        return (text,)
    tail = _TAIL.search(pieces[-1])
    unit = parse_unit(tail.group(1)) if tail is not None else None
    if tail is not None and unit is not None:
        pieces = [p if re.search(r"[^\W\d]", p) else f"{p} {tail.group(1)}" for p in pieces]
    return tuple(pieces)
