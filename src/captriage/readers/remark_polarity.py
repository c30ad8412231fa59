"""Remarks that name a part's polarity: "+ an Masse", "wired + to minus", "polarity checked".

What is understood as sound stays a note; anything else that names polarity is to be looked at,
because a part the wrong way round passes every reading and bursts under voltage.
"""

from __future__ import annotations

import re
from typing import Final

from captriage.readers.remark_words import ARTICLE, DESIGNATOR, OTHERS, THINGS
from captriage.readers.umlauts import either_spelling

_MINUS_WORDS: Final = r"minus|negative?|neg|négati(?:f|ve)|negativ[oea]?|negatie(?:f|ve)"
_SIDE: Final = rf"(?:plus|positive?|pos|positif|positiv[oea]?|positie(?:f|ve)|{_MINUS_WORDS})"
"""Words for either side that are no adverbs; "min" and "moins" are, and need more beside them."""
_EITHER: Final = rf"(?:{_SIDE}|moins|m[áa]s|menos|pi[ùu]|meno|min|\+|-)"
_END: Final = (
    r"(?:leads?|legs?|ends?|tags?|pins?|terminals?|wires?|sides?|poles?|tabs?|lugs?|straps?|pol"
    r"|anschl(?:u|ü)ß\w*|bein\w*|drahts?|draht|kabels?|leitung\w*|seite|bornes?|fils?|pattes?|côté|patillas?|patas?"
    r"|terminal\w*|lado|cables?|fil[oi]|piedin\w+|lato|aansluiting\w*|draad|kant|zijde)"
)
_TO: Final = (
    r"(?:to|at|on|onto|into|goes|went|is|was|an|am|auf|liegt|ist|war|nach|à|au|sur|vers|est|al|alla"
    r"|es|está|va|è|aan|op|naar|connected|wired|soldered|verbunden|gelegt|angeschlossen|relié\w*"
    r"|branché\w*|conectado|collegato|aangesloten)"
)
_SWAP: Final = (
    r"(?:swapp?\w*|exchang\w*|interchang\w*|transpos\w*|cross(?:ed)?|confus\w*|mixed up"
    r"|vertausch\w*|verwechsel\w*|getauscht|verdreht|umgekehrt|invers\w+|interverti\w*|échang\w*|crois\w+"
    r"|invert\w+|intercambi\w+|cambiad\w+|cruzad\w+|confundid\w+|scambia\w+|incrocia\w+"
    r"|verwisseld\w*|omgewisseld\w*|omgekeerd\w*|omgedraaid\w*)"
)
_POLARITY: Final = (
    r"(?:polarit(?:y|ies|ät\w*|és?|a|à|eit\w*)|polaridad\w*|(?:ver|um|falsch)?polung\w*|(?:um)?gepolt"
    r"|gepoold|(?:plus|min(?:us)?)poo?le?n?s?|pôles?|polos?|[+-]\s?ve)"
)


def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(either_spelling(pattern))


def _whole(pattern: str) -> re.Pattern[str]:
    return _compiled(rf"(?<!\w)(?:{pattern})(?!\w)")


_OF_ANOTHER: Final = _whole(
    rf"(?:{THINGS}|{OTHERS}|mains|plug|heaters?)\W+{_POLARITY}"
    rf"|{_POLARITY}\W+(?:(?:{ARTICLE})\W+)+(?:{THINGS}|{OTHERS}|mains|plug|heaters?)"
)
_FIGURES: Final = _compiled(
    # tolerances, temperatures, sums and sections: "-20/+50 %", "8 + 8", "C1+C2"
    r"[\d%]\s*\+(?=\s*\d)|(?<!\w)[+-]\s*(?:/\s*)?[+-]?\s*[.,]?\d[\d.,]*\s*%?"
    rf"|(?<!\w){DESIGNATOR}\s*\+\s*{DESIGNATOR}(?!\w)"
    r"|(?<!\w)(?:plus|más|pi[ùu])\W*(?:or|oder|ou|o|of)?\W*(?:minus|moins|menos|meno|min)\W+\d"
    r"|(?<!\w)(?:plus|minus|moins|min)\W+\d|(?<!\w)(?:plus ou moins|más o menos|più o meno)(?!\w)"
    r"|(?<!\w)min of meer(?!\w)"
)
_SUPPLY: Final = _compiled(
    # a rail, a battery, and the kind of number that a word is
    r"(?<!\w)(?:u?b|ht|hv|h\.t\.|vcc|v|a)\s?[+-](?!\w)|(?<!\w)[+-]\s?(?:b|ht|hv|vcc)(?!\w)"
    r"|(?<!\w)(?:positive|negative) (?:supply|supplies|rail|bias|feedback|result|half|peak)(?!\w)"
)
_CAN: Final = (
    r"(?:chassis|earth|ground|gnd|can|case|common|gemeinsam\w*|masse|gehäuse|becher|boîtier|châssis"
    r"|masa|carcasa|chasis|massa|telaio|custodia|behuizing)"
)
_IS: Final = r"(?:is|are|was|ist|sind|est|es|è|=)"
_POLES: Final = rf"(?:{_END}|poles?n?|poli|connections?|anschlüsse)"
_NORMAL: Final = _compiled(
    # as most sets are wired; the other way round is to be looked at
    rf"(?<!\w)(?:{_MINUS_WORDS}|-|moins|menos|meno|min)(?:\s+{_END})?(?:\s+(?:{_TO}|{ARTICLE}|a|=))*"
    rf"\s+{_CAN}(?!\w)"
    rf"|(?<!\w){_CAN} (?:{_IS} )?(?:{_MINUS_WORDS})(?!\w)"
    rf"|(?<!\w|-)(?:\+|plus|positive)(?:\s+{_END})?(?:\s+(?:{_TO}|{ARTICLE}))*"
    r"\s+(?:u?b\s?\+|ht\b\+?|hv\b\+?|h\.t\.|cathode|kathode|katode)(?!\w)"
)
_SIGN: Final = _compiled(rf"(?<![\w+])\+(?!\w)|(?<![\w+])\+{_END}(?!\w)|(?<!\w){_END}\+")
_BETWEEN_WORDS: Final = re.compile(r"(\w+)\s+\+\s+(\w+)")
_BESIDE_SIGN: Final = _compiled(
    rf"{_TO}|{_END}|{ARTICLE}|{_SWAP}|{_SIDE}|and|und|et|y|e|en|polarity"
)
_GAP: Final = r"\W{1,4}"
_MAYBE: Final = r"\W{0,4}"
_NAMES: Final = tuple(
    _whole(pattern)
    for pattern in (
        _POLARITY,
        rf"{_SIDE}{_GAP}{_END}",
        rf"{_SIDE}{_GAP}{_TO}|(?:posi|nega)tiv[oa]{_GAP}a",
        rf"(?:to|an|auf|am|zum|onto|with|mit|gegen|statt|à|au|sur|al|alla|aan|op|naar){_GAP}"
        rf"(?:{ARTICLE}{_GAP})*{_SIDE}",
        rf"{_EITHER}{_MAYBE}(?:and|und|et|y|e|en|mit|with|/|for|to){_MAYBE}{_EITHER}",
        rf"{_EITHER}{_GAP}(?:\w+{_GAP}){{0,3}}?{_SWAP}",
        rf"{_POLES}{_GAP}(?:\w+{_GAP}){{0,2}}?{_SWAP}|{_SWAP}{_GAP}(?:\w+{_GAP}){{0,2}}?{_POLES}",
        rf"(?:{_CAN}|{_END}|\w*\d){_GAP}{_IS}{_GAP}{_SIDE}|{_CAN}{_GAP}(?:posi|nega)ti\w+",
        rf"positiv\w*{_GAP}{_CAN}|{_CAN}{_GAP}plus{_MAYBE}$",
        rf"(?:le|du|au){_GAP}(?:plus|moins){_GAP}(?:à|au|sur|vers|est|côté)",
        rf"(?:el|al|del|il){_GAP}(?:m[áa]s|menos|pi[ùu]|meno){_GAP}(?:al?|alla|en|está|su|è|con)",
        rf"(?:de{_GAP})?min{_GAP}(?:aan|op|naar)|(?:aan|op|naar){_GAP}(?:de{_GAP})?min",
        rf"(?:plus|moins|menos|meno){_GAP}(?:à|a){_GAP}(?:la{_GAP})?mass?[ea]",
        rf"(?:marked|markiert|marqué\w*|marcado|gemarkeerd){_GAP}{_SIDE}",
        rf"{_SIDE}{_GAP}(?:marked|markiert)",
    )
)
_RIGHT: Final = _whole(
    r"ok|okay|o\.k\.?|good|fine|right|observed|correct\w*|checked|verified|confirmed|marked|clear|clearly"
    r"|sound|proper|properly|in ordnung|i\.o\.|richtig\w*|korrekt\w*|stimmt|geprüft"
    r"|markiert|eindeutig|gut|bonne?|vérifiée?|exacte?|marquée?|respectée?|buen[oa]|comprobad[oa]|verificad[oa]"
    r"|marcad[oa]|giust[oa]|corrett[oa]|verificat[oa]|controllat[oa]|segnat[oa]|goed|juist"
    r"|gecontroleerd|klopt|gemarkeerd"
    r"|(?:not|never|no|nicht|keine?|ohne) (?:revers\w+ polarity|verpolung|umgepolt)"
)
_BESIDE: Final = _compiled(
    rf"(?:[^\w?]|(?<!\w)(?:{_POLARITY}|{_EITHER}|{_END}|the|is|are|was|at|on|can|sleeve|case|still|all|and"
    r"|und|et|y|e|en|der|die|das|ist|war|am|auf|becher|la|le|les|est|sur|sont|el|es|está|è|il|su|de"
    r"|het|op|visible|very|all|both|beide|twice|as|per|by|against"
    r"|with|from|mit|nach|wie|selon|según|secondo|volgens|schematics?|circuit|diagram|drawing|plan"
    r"|schaltplan|schaltbild|sch[ée]ma|esquema|printed|aufgedruckt|aufdruck)(?!\w))*"
)
_STOPS: Final = re.compile(
    r"[;\n|]|\.(?=\s|$)|(?<!\w)(?:but|though|however|except|aber|jedoch|mais|pero|ma|maar)(?!\w)"
)
_SWAPPED: Final = _whole(_SWAP)
_BEFORE_COMMA: Final = _compiled(rf"(?<!\w)({_POLARITY})\s*,")
_PLUS: Final = r"(?:\+|plus|positi\w+)"
_ODD: Final = _whole(
    # said of small words alone: "good, + on case"
    rf"{_PLUS}(?:\s+{_END})?(?:\s+(?:{_TO}|{ARTICLE}|=))+\s+{_CAN}|{_CAN}(?:\s+{_IS})?\s+{_PLUS}"
    rf"|{_EITHER}(?:\s+(?:{_TO}|{ARTICLE}|=))+\s+{_EITHER}"
)


_MAY_NAME: Final = re.compile(
    r"[+-]|pol|pôl|plus|min|moins|pos|neg|nég|m[áa]s|menos|pi[ùu]|meno|swap|chang|transp|cross|conf"
    r"|mix|tausch|wechs|dreh|kehr|inver|inter|crois|cambi|cruz|incro|wissel|keerd|draai"
)
"""In every remark that names polarity, and in few others: most are read no further."""


def polarity_unclear(plain: str) -> bool:
    """Whether a remark names polarity and is not understood as sound.

    Parameters
    ----------
    plain : str
        Lower-case text in English, German, French, Spanish, Italian or Dutch.
    """
    if _MAY_NAME.search(plain) is None:
        return False
    plain = re.sub(r"[(\['\"]\s*([+-])\s*[)\]'\"]", r" \1 ", plain)
    plain = re.sub(r"(?<!\w)(pos|neg)\.", r"\1", plain)
    for sentence in _STOPS.split(re.sub(r"[()\[\]]", ";", plain)):
        if not _names(sentence):
            continue
        together = _BEFORE_COMMA.sub(r"\1 ", sentence)
        clauses = [clause for clause in together.split(",") if _names(clause)]
        if _SWAPPED.search(sentence) or not clauses or not all(map(_is_right, clauses)):
            return True
    return False


def _names(text: str) -> bool:
    """Whether polarity is named, apart from figures, rails and that of other things."""
    text = _SUPPLY.sub(" rail ", _FIGURES.sub(" 0 ", _OF_ANOTHER.sub(" other ", text)))
    return any(pattern.search(text) for pattern in _NAMES) or _has_sign(text)


def _has_sign(text: str) -> bool:
    """Whether a "+" is a pole: in "cleaned + tested" it is a word for "and"."""
    for joined in _BETWEEN_WORDS.finditer(text):
        if not any(map(_BESIDE_SIGN.fullmatch, joined.groups())):
            text = text[: joined.start()] + joined[0].replace("+", "&") + text[joined.end() :]
    return _SIGN.search(text) is not None


def _is_right(text: str) -> bool:
    """Whether nothing but polarity, and that it is right, is said."""
    usual = _NORMAL.sub(" ok ", text)
    if _ODD.search(usual):
        return False
    rest = _RIGHT.sub(" ", usual)
    return rest != usual and _BESIDE.fullmatch(rest) is not None
