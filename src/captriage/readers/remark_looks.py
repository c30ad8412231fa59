"""Damage that is named in free remarks: "Deckel gewölbt", "bung pushed out, wet".

A word is left a note only where it is denied or surely about something else; one that cannot
be told stops the part until somebody has looked. That a part is sound is never taken from a
remark.
"""

from __future__ import annotations

import re
from typing import Final

from captriage.columns import LOOKS
from captriage.readers import remark_words as words
from captriage.readers.looks import STOPS, Named, clauses_of, named_in
from captriage.readers.remark_polarity import polarity_unclear
from captriage.readers.umlauts import either_spelling
from captriage.units import normalise

UNCLEAR: Final = "unclear"
TAKEN: Final = frozenset(LOOKS) - {"sound", UNCLEAR}
"""Looks that a remark can name."""

NEAR: Final = 4
FAR: Final = 1000
"""Words from another thing to a look that is surely about it, and about which it is not."""


def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(either_spelling(pattern))


def _whole(pattern: str) -> re.Pattern[str]:
    return _compiled(rf"(?<!\w)(?:{pattern})(?!\w)")


_HARMLESS: Final = _whole(words.HARMLESS)
_OTHERS: Final = _whole(words.OTHERS)
_OTHERS_OR_THINGS: Final = _whole(f"{words.OTHERS}|{words.THINGS}")
_ANYTHING: Final = _whole(f"{words.OTHERS}|{words.THINGS}|{words.BOARD}")
_DESIGNATOR: Final = _whole(words.DESIGNATOR)
_AWAY: Final = _compiled(
    rf"(?<!\w){words.AWAY}\W+(?:{words.ARTICLE}\W+)*"
    rf"(?:\w+\W+)?(?:{words.OTHERS}|{words.THINGS}|{words.BOARD}|{words.DESIGNATOR})(?!\w)"
)
_RIGHT_AFTER: Final = _compiled(
    rf"\W+(?:(?:{words.ARTICLE}|up|out|off)\W+)*(?:{words.OTHERS}|{words.THINGS}|{words.BOARD})(?!\w)"
)
_FOREIGN: Final = _whole(words.FOREIGN)
_FOREIGN_AFTER: Final = _compiled(
    rf"\W+(?:(?:{words.ARTICLE}|{words.ROOMY}|up|out|off)\W+)*{words.FOREIGN}(?!\w)"
)
_INSIDE: Final = _compiled(
    rf"(?<!\w){words.INSIDE}\W+(?:{words.ARTICLE}\W+)*(?:\w+\W+)?{words.FOREIGN}(?!\w)"
)
_DENIED_BEFORE: Final = _compiled(rf"(?<!\w){words.DENIED_BEFORE}$")
_WARM_BEHIND: Final = _compiled(words.WARM_BEHIND)
_SOUND: Final = _whole(words.SOUND)
_MAKES_NOISE: Final = _compiled(
    rf"\W+{words.FROM}\W+(?:{words.ARTICLE}\W+)*(?:{words.OTHERS}|{words.THINGS})(?!\w)"
)
_ARCS: Final = _compiled(words.ARCS)
_LOOSE_LEAD: Final = _compiled(words.LOOSE_LEAD)
_WEAK: Final = _compiled(words.WEAK)
_LEAKS: Final = _compiled(words.LEAKS)
_NOISE: Final = _compiled(words.NOISE)
_ELECTRICAL: Final = _whole(words.ELECTRICAL)
_CASE: Final = _whole(words.CASE)
_ELECTROLYTE: Final = _compiled(words.ELECTROLYTE)
_CHECK: Final = _whole(words.CHECK)
_BESIDE: Final = _compiled(rf"(?:\W|(?<!\w)(?:{words.BESIDE})(?!\w))*")


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
        what is yet to be looked for, and where polarity is named that is not said to be right.
    """
    plain = " ".join(normalise(text).lower().replace("_", " ").split())
    plain = _HARMLESS.sub(lambda match: "x" * len(match[0]), plain)  # still a word that stands by
    found: set[str] = {UNCLEAR} if polarity_unclear(plain) else set()
    plain = re.sub(r"[()\[\]]", ";", plain)
    electrical = _ELECTRICAL.search(plain) is not None
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
    distance = _distance_to_other(each, clause)
    if distance <= NEAR:
        return ""
    doubtful = _LEAKS.fullmatch(word) is not None and _CASE.search(clause) is None
    if doubtful and electrical:
        return ""
    if each.look in ("warm", "noisy") or _WEAK.fullmatch(word):
        if _is_foreign(each, clause):
            return ""
        doubtful |= not _is_alone(clause, named)
    if each.look == "noisy":
        doubtful |= _NOISE.fullmatch(word) is not None
        doubtful |= _INSIDE.search(clause) is not None and _ARCS.fullmatch(word) is None
    if each.look == "broken terminal":
        doubtful |= _LOOSE_LEAD.fullmatch(word) is not None
    parts = _DESIGNATOR.findall(_blanked(_AWAY, clause))
    doubtful |= distance < FAR or any(part not in own_name.split() for part in parts)
    if doubtful or _CHECK.search(clause[: each.start]) is not None:
        return UNCLEAR
    return each.look


def _is_foreign(each: Named, clause: str) -> bool:
    """Whether a weak word is denied, or said of apparatus, a room or the sound."""
    before = clause[: each.start]
    if _DENIED_BEFORE.search(before) or _FOREIGN_AFTER.match(clause, each.end):
        return True
    if _WARM_BEHIND.match(clause, each.start) and _blanked(_AWAY, before)[-2:].isspace():
        return True  # "près du tube chaud"
    if each.look == "noisy" and (_SOUND.search(clause) or _MAKES_NOISE.match(clause, each.end)):
        return True
    before = _blanked(_INSIDE, before)
    ends = [match.end() for match in _FOREIGN.finditer(before)]
    return bool(ends) and len(before[ends[-1] :].split()) <= NEAR


def _distance_to_other(each: Named, clause: str) -> int:
    """Words between another thing and what is said of it; a great many where there is none.

    "scorched resistor", "the neighbour leaked".
    """
    if _RIGHT_AFTER.match(clause, each.end):
        return 0
    if _ELECTROLYTE.search(clause, each.start, each.end):
        other = _OTHERS  # wherever it is found, it came out of a capacitor
    elif each.look in ("leaked", "residue"):
        other = _OTHERS_OR_THINGS  # a board that is wet or crusty was made so by the part
    else:
        other = _ANYTHING
    before = _blanked(_AWAY, clause[: each.start])
    ends = [match.end() for match in other.finditer(before)]
    return len(before[ends[-1] :].split()) if ends else FAR


def _is_alone(clause: str, named: list[Named]) -> bool:
    """Whether nothing but looks, places on a part and small words stands in the clause."""
    rest = _blanked(_INSIDE, clause)
    for each in named:
        rest = f"{rest[: each.start]}{' ' * (each.end - each.start)}{rest[each.end :]}"
    return _BESIDE.fullmatch(rest) is not None


def _blanked(pattern: re.Pattern[str], text: str) -> str:
    return pattern.sub(lambda match: " " * len(match[0]), text)
