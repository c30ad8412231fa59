"""Words for capacitors that are no aluminium electrolytics: no limit here is for those."""

from __future__ import annotations

import re
from typing import Final

from captriage.readers.umlauts import either_spelling
from captriage.units import normalise

_KINDS: Final = {
    "tantalum": r"tantal\w*|tántalo",
    "film": r"film|folie|folien(?:kondensator\w*)?|poly(?:ester|prop\w*|styr\w*|carb\w*)|mylar"
    r"|mk[cpst]|styroflex|película|pellicola",
    "paper": r"paper|papier(?:kondensator\w*)?|papel|carta|pio|paper in oil|ölpapier|papier huilé",
    "mica": r"mica|silver mica|glimmer",
    "ceramic": r"ceramic|keramik(?:kondensator\w*)?|keramisch|céramique|cerámic[ao]|ceramic[ao]",
    "double-layer": r"supercap\w*|ultracap\w*|goldcap\w*|edlc|double[- ]layer",
    "polymer": r"polymer|polymère|polímero|polimero|solid polymer",
}
_BESIDE: Final = (
    r"(?:\W|(?<!\w)(?:caps?|capacitors?|condens\w+|kondensator\w*|type|typ|solid|wet|dry|bead|foil|elko"
    r"|metalli[sz]ed|metallisiert\w*)(?!\w))*"
)
"""What may stand beside the word where it is the whole of a cell."""

_ALONE: Final = {
    kind: re.compile(rf"{_BESIDE}(?:{either_spelling(words)}){_BESIDE}")
    for kind, words in _KINDS.items()
}
_WITHIN: Final = {
    kind: re.compile(rf"(?<!\w)(?:{either_spelling(words)})(?!\w)")
    for kind, words in _KINDS.items()
}

WHY: Final = "no aluminium electrolytic, and all that is known here is of those"
REMEDY: Final = "leave it out, and judge it by its own data sheet"


def other_kind(text: str, *, alone: bool = True) -> str:
    """Kind of capacitor that a text names, "" where it names none but aluminium electrolytics.

    Parameters
    ----------
    text : str
        Of a cell or a sleeve, in six languages.
    alone : bool
        The word is the whole of the text: a waxed-paper sleeve makes no paper capacitor.
    """
    plain = " ".join(normalise(text).lower().split())
    for kind, pattern in (_ALONE if alone else _WITHIN).items():
        if pattern.fullmatch(plain) if alone else pattern.search(plain):
            return kind
    return ""
