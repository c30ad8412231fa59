"""What the eye found, from free text in six languages to the looks of the vocabulary.

A look that is denied ("not bulged", "pas de fuite") is not that look; one that is doubted
("bulged?", "maybe leaking") is, because doubt about a leak is no reason to energise a part.
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from captriage.columns import LOOKS
from captriage.readers.cell_words import NOT_MEASURED, word_flag
from captriage.readers.denials import DOUBT, OR, Finding, denied
from captriage.readers.look_words import PHRASES, SINGLE
from captriage.readers.remark_polarity import polarity_unclear
from captriage.readers.umlauts import either_spelling
from captriage.units import normalise


def _whole(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w)(?:{either_spelling(pattern)})(?!\w)")


_SPOTS: Final = tuple((look, _whole(pattern)) for look, pattern in PHRASES)
_WORDS: Final = tuple((look, _whole(pattern)) for look, pattern in SINGLE)
_SIGNS_SWAPPED: Final = re.compile(
    r"(?<!\w)(?:\+|plus|pos(?:itive)?|positif|positivo|più|más)\W*(?:and|und|et|y|e|en)?\W*"
    r"(?:-|minus|neg(?:ative)?|négatif|negativo|moins|menos|meno|min)\W*(?:(?:is|are|were"
    r"|have been|sind"
    r"|wurden|sont|están|sono|zijn)\W+)?(?:swapped|exchanged|interchanged|transposed|crossed"
    r"|reversed"
    r"|vertauscht|verwechselt|inversés?|invertid[oa]s?|cambiad[oa]s?|intercambiad[oa]s?"
    r"|scambiat[oaie]"
    r"|invertit[oaie]|verwisseld|omgewisseld|omgekeerd)(?!\w)"
)
STOPS: Final = re.compile(
    r"[;/\n|&]+|\.(?=\s|$)|\s-+\s|(?<!\w)(?:but|and|though|however|except|aber|und|mais|et|pero|y"
    r"|ma|e"
    r"|maar|en|plus|with|mit|avec|con|met|apart from|besides|save|außer|ausser|bis auf|sauf|hormis"
    r"|excepto|salvo|tranne|eccetto|behalve|yet|jedoch|allerdings|sondern|mas|sino|bensì"
    r"|echter)(?!\w)"
)
_FILLER: Final = re.compile(
    r"(?:\W|(?<!\w)(?:all|looks?|body|case|can|the|a|an|bit|very|slight\w*|several|parts?|some"
    r"|little"
    r"|strong|old|end|off|visually|appearance|optisch|aspect|aspecto|aspetto|uiterlijk|seem\w*|is"
    r"|are"
    r"|was|still|only|just|many|other|others|at|on|in|of|to|it|has|been|maybe|possibly|perhaps"
    r"|voltage|power|applied"
    r"|spannung|tension|tensión|tensione|spanning)(?!\w))*"
)


_NO_LOOK: Final = re.compile(
    "nothing|nichts|rien|nada|niente|niets|kein[ers]?s?|keine[rs]?|aucune?|ningun[oa]|nessun[oa]|geen"
    r"|no|nein|non|nee|[-_./–— ]*"
)


_DENIABLE: Final = {"vented", "broken terminal"}
"""Phrases that a denial turns round: "vent not open", "no lead broken"."""


class Named(NamedTuple):
    """A look that words of a clause name, and where they stand in it."""

    look: str
    start: int
    end: int
    is_denied: bool


def parse_looks(text: str) -> tuple[tuple[str, ...], str]:
    """Looks named in free text, and what was not understood.

    Parameters
    ----------
    text : str
        "bulged, crusty; sleeve shrunk" in English, German, French, Spanish, Italian
        or Dutch.

    Returns
    -------
    looks : tuple of str
        Keys of ``columns.LOOKS`` in its order, each once. "sound" only where nothing
        else was found, also where faults were only denied ("no leaks, not bulged"); empty
        where nothing was said.
    leftover : str
        The clauses nothing was understood of, "; " between.
    """
    plain = " ".join(normalise(text).lower().replace("_", " ").split())
    if _NO_LOOK.fullmatch(plain) or word_flag(plain).startswith(NOT_MEASURED):
        return (), ""
    plain = _SIGNS_SWAPPED.sub(" reversed ", plain)
    found: set[str] = set()
    leftover: list[str] = []
    for sentence in STOPS.split(plain):
        listed = False
        for clause, in_list in clauses_of(sentence):
            looks, understood, listed = _read_clause(clause, listed=listed and in_list)
            found |= looks
            if not understood:
                leftover.append(clause)
    if polarity_unclear(plain) and not found & {"reversed", "polarity unclear"}:
        found.add("unclear")
    if found - {"sound"}:
        found.discard("sound")
    elif not leftover:
        found = {"sound"}
    return tuple(look for look in LOOKS if look in found), "; ".join(leftover)


def clauses_of(sentence: str) -> list[tuple[str, bool]]:
    """Clauses of a sentence, each with whether a list with "or" may reach over it.

    "no leaks, bulges or residue" denies all three: a denial holds over commas up to the
    clause with "or".
    """
    parts = [part.strip() for part in sentence.split(",")]
    last_or = max((i for i, part in enumerate(parts) if OR.search(part)), default=-1)
    clauses: list[tuple[str, bool]] = []
    in_list = True
    for i, part in enumerate(parts):
        if _FILLER.fullmatch(part) is None:
            clauses.append((part, in_list and i <= last_or))
            in_list = OR.search(part) is None
        elif part:
            in_list = False
    return clauses


def named_in(clause: str, *, listed: bool) -> tuple[list[Named], bool]:
    """Looks that words of a clause name, in the order of their places, denied ones too.

    Parameters
    ----------
    clause : str
        Lower-case text without stops.
    listed : bool
        The clause continues a list that was denied.

    Returns
    -------
    named : list of Named
        Their places are those in ``clause``.
    goes_on : bool
        A denied look stands last, so that a list may go on.
    """
    rest = clause
    plain = DOUBT.sub(lambda match: " " * len(match[0]), clause)
    found: list[Named] = []
    for look, pattern in _SPOTS:
        while (match := pattern.search(rest)) is not None:
            start, end = match.span()
            flags, _ = denied(plain, [Finding(start, end, sound=False)], listed=False)
            found.append(Named(look, start, end, is_denied=flags[0] and look in _DENIABLE))
            rest = f"{rest[:start]}{'|':^{end - start}}{rest[end:]}"
    rest = DOUBT.sub(lambda match: " " * len(match[0]), rest)
    named = sorted(
        (Finding(*match.span(), look == "sound"), look)
        for look, pattern in _WORDS
        for match in pattern.finditer(rest)
    )
    flags, goes_on = denied(rest, [finding for finding, _ in named], listed=listed)
    found += [
        Named(look, finding.start, finding.end, is_denied)
        for (finding, look), is_denied in zip(named, flags, strict=True)
    ]
    return sorted(found, key=lambda each: each.start), goes_on


def _read_clause(clause: str, *, listed: bool) -> tuple[set[str], bool, bool]:
    """Looks of a clause, whether anything was understood, and whether its denial goes on."""
    if clause in LOOKS and not listed:
        return {clause}, True, False
    named, goes_on = named_in(clause, listed=listed)
    # "not good" says not what is wrong
    understood = any(not each.is_denied or each.look != "sound" for each in named)
    return {each.look for each in named if not each.is_denied}, understood, goes_on
