"""Damage that is named in free remarks: "Deckel gewölbt", "bung pushed out, wet".

Most remarks have nothing to do with looks, so a word counts only where it is surely about
this part; one that cannot be told stops the part until somebody has looked. That a part is
sound is never taken from a remark.
"""

from __future__ import annotations

import re
from typing import Final

from captriage.columns import LOOKS
from captriage.readers import remark_words as words
from captriage.readers.looks import STOPS, Named, clauses_of, named_in
from captriage.units import normalise

UNCLEAR: Final = "unclear"
TAKEN: Final = frozenset(
    {"bulged", "vented", "leaked", "residue", "scorched", "split", "burst"}
    | {"reversed", "polarity unclear", "warm", "noisy"}
)
"""Looks for which a part must not be energised unseen; others stay in the note."""


def _whole(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w)(?:{pattern})(?!\w)")


_HARMLESS: Final = _whole(words.HARMLESS)
_OTHER: Final = _whole(words.OTHER)
_OTHER_OR_BOARD: Final = _whole(f"{words.OTHER}|{words.BOARD}")
_DESIGNATOR: Final = _whole(words.DESIGNATOR)
_AWAY: Final = re.compile(
    rf"(?<!\w){words.AWAY}\W+(?:{words.ARTICLE}\W+)*"
    rf"(?:\w+\W+)?(?:{words.OTHER}|{words.BOARD}|{words.DESIGNATOR})(?!\w)"
)
_RIGHT_AFTER: Final = re.compile(
    rf"\W+(?:(?:{words.ARTICLE}|up|out|off)\W+)*(?:{words.OTHER}|{words.BOARD})(?!\w)"
)
_WEAK: Final = re.compile(words.WEAK)
_LEAKS: Final = re.compile(words.LEAKS)
_NOISE: Final = re.compile(words.NOISE)
_ELECTRICAL: Final = _whole(words.ELECTRICAL)
_CASE: Final = _whole(words.CASE)
_CHECK: Final = _whole(words.CHECK)
_BESIDE: Final = re.compile(rf"(?:\W|(?<!\w)(?:{words.BESIDE})(?!\w))*")


def looks_in_remark(text: str, *, own_name: str = "") -> tuple[str, ...]:
    """Looks that a remark surely names, "unclear" for one that cannot be told.

    Parameters
    ----------
    text : str
        Free text in English, German, French, Spanish, Italian or Dutch.
    own_name : str
        The part's name, which in the text is no other part.

    Returns
    -------
    tuple of str
        Keys of ``columns.LOOKS`` in its order, each once: those of :data:`TAKEN`, and
        "unclear" where a word of damage may be about another part, about current, or about
        what is yet to be looked for.
    """
    plain = " ".join(normalise(text).lower().replace("_", " ").split())
    plain = _HARMLESS.sub(lambda match: "x" * len(match[0]), plain)  # still a word that stands by
    plain = re.sub(r"[()\[\]]", ";", plain)
    electrical = _ELECTRICAL.search(plain) is not None
    found: set[str] = set()
    for sentence in STOPS.split(plain):
        listed = False
        for clause, in_list in clauses_of(sentence):
            named, listed = named_in(clause, listed=listed and in_list)
            standing = [each for each in named if not each.is_denied and each.look in TAKEN]
            for each in standing:
                found.add(_told(each, clause, named, own_name.lower(), electrical=electrical))
    if found - {UNCLEAR, ""}:
        found.discard(UNCLEAR)
    return tuple(look for look in LOOKS if look in found)


def _told(each: Named, clause: str, named: list[Named], own_name: str, *, electrical: bool) -> str:
    """The look itself, "unclear", or "" where it is about something else."""
    word = clause[each.start : each.end]
    if _is_of_other(each, clause):
        return ""
    doubtful = _LEAKS.fullmatch(word) is not None and _CASE.search(clause) is None
    if doubtful and electrical:
        return ""
    if (each.look in ("warm", "noisy") or _WEAK.fullmatch(word)) and not _is_alone(clause, named):
        return ""
    parts = _DESIGNATOR.findall(_blanked(_AWAY, clause))
    doubtful |= any(part not in own_name.split() for part in parts)
    doubtful |= _NOISE.fullmatch(word) is not None
    if doubtful or _CHECK.search(clause[: each.start]) is not None:
        return UNCLEAR
    return each.look


def _is_of_other(each: Named, clause: str) -> bool:
    """Whether the clause says it of another thing: "scorched resistor", "the neighbour leaked"."""
    if _RIGHT_AFTER.match(clause, each.end):
        return True
    before = _blanked(_AWAY, clause[: each.start])
    # A board that is wet or crusty was made so by the part.
    other = _OTHER if each.look in ("leaked", "residue") else _OTHER_OR_BOARD
    return other.search(before) is not None


def _is_alone(clause: str, named: list[Named]) -> bool:
    """Whether nothing but looks, places on a part and small words stands in the clause."""
    rest = clause
    for each in named:
        rest = f"{rest[: each.start]}{' ' * (each.end - each.start)}{rest[each.end :]}"
    return _BESIDE.fullmatch(rest) is not None


def _blanked(pattern: re.Pattern[str], text: str) -> str:
    return pattern.sub(lambda match: " " * len(match[0]), text)
