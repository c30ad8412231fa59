"""Words that stand in a cell instead of a number, in six languages, and what they mean."""

from __future__ import annotations

import re
from typing import Final

from captriage.readers.umlauts import both_spellings, either_spelling

OVER: Final = "over range"
BELOW: Final = "below range"
NO_READING: Final = "no reading"
NOT_A_NUMBER: Final = "not a number"
NOT_MEASURED: Final = "not measured"
APPROXIMATE: Final = "approximate"

_OVER_WORDS: Final = (
    "ovld|ovl|ovrld|ovr|over|ofl|ovf|oflow|overload|over load|overrange|over range|over-range"
    "|out of range|off scale|offscale|overflow|full scale|beyond range|beyond the meter|too high"
    "|überlauf|überlast|bereichsüberschreitung|außer bereich|überbereich"
    "|außerhalb des bereichs|messbereich überschritten|übersteuert"
    "|hors gamme|hors-gamme|hors échelle|hors plage|dépassement|surcharge|débordement"
    "|fuera de rango|fuera de escala|sobrecarga|desbordamiento|sobrerango"
    "|fuori scala|fuori portata|fuori campo|sovraccarico|fondo scala|fuori gamma"
    "|buiten bereik|overbelasting|overbereik|buiten schaal|te hoog|inf|infinity|infinite|infinito"
    "|unendlich|infini|oneindig|∞|ül|ü.l.|ü.l|üb|übl|ue.l.|uel"
)
_WORDS: Final = {
    "open": (
        "open|o/c|oc|open circuit|open-circuit|opencircuit|open cct|reads open|offen|unterbrochen"
        "|unterbrechung|ouvert|ouverte|circuit ouvert|coupé|coupée|coupe|abierto|abierta"
        "|circuito abierto|cortado|aperto|aperta|circuito aperto|interrotto|interrotta"
        "|onderbroken|open kring|onderbreking"
    ),
    "short": (
        "short|s/c|sc|shorted|short circuit|short-circuit|short circuited|dead short|shorts"
        "|kurzschluss|kurzschluß|schluss|schluß|kurzgeschlossen|court-circuit|court circuit"
        "|en court-circuit|en court|c/c|corto|cortocircuito|en corto|in corto|in cortocircuito"
        "|corto circuito|corto-circuito|cruzado|kortsluiting|kortgesloten|sluiting"
    ),
    BELOW: (
        "under|underrange|under range|under-range|ul|-ul|udr|below range|too low|lo|unterlauf"
        "|unter bereich|sous gamme|bajo rango|sotto scala|onder bereik"
    ),
    NO_READING: (
        "no reading|no display|blank|keine anzeige|keine messung möglich|pas de lecture"
        "|aucune lecture|sin lectura|nessuna lettura|geen aflezing|err|error|fehler|erreur|fout"
        "|errore|fail|no read|will not read|unstable|unsteady|instabil|instable|inestable"
        "|instabile|instabiel"
    ),
    NOT_A_NUMBER: "nan|not a number|#n/a|#nv|#value!|#wert!|#valeur!|#div/0!|#num!|#ref!|#name?",
    NOT_MEASURED: (
        "n/a|na|n.a.|n.a|n/m|nm|n.m.|n/t|nt|not measured|not tested|not taken|untested|not done"
        "|not available|none|null|nil|tbd|tba|to do|todo|pending|unknown|not known|?|??|???|x|/|-"
        "|unmeasured|not applicable|skip|skipped|unk|nicht gemessen|nicht geprüft|ungeprüft|k.a."
        "|k. a.|keine angabe|unbekannt|entfällt|fehlt|non mesuré|non mesurée|pas mesuré|non testé"
        "|inconnu|inconnue|s.o.|no medido|no medida|sin medir|no probado|desconocido|s/d|n/d|n.d."
        "|nd|non misurato|non misurata|non provato|sconosciuto|ignoto|niet gemeten|niet getest"
        "|onbekend|n.v.t.|nvt|n.b.|missing|not fitted|no voltage|."
    ),
}
MEANING: Final[dict[str, str]] = {
    **dict.fromkeys(both_spellings(_OVER_WORDS.split("|")), OVER),
    **{
        word: meaning
        for meaning, words in _WORDS.items()
        for word in both_spellings(words.split("|"))
    },
}

_OVERLOAD: Final = re.compile(r"([+-]?)\s*(?:[o0]\s*[.,]?\s*l\.?|[.,]\s*[o0]\s*l\.?|o\.l\.)", re.I)
_DASHES: Final = re.compile(r"(?:[-_.]\s*){2,}|_+|(?:-\s*[.,]\s*)+-?")
_DOUBT: Final = re.compile(r"[\s(]*\?+\)?\s*$")

BOUNDS: Final = re.compile(
    either_spelling(
        r"(?P<least>>\s*=?|≥|⩾|»|more than|greater than|over|above|at least|mehr als|über"
        r"|mindestens|min\.|plus de|supérieur à|au moins|más de|mas de|mayor de|più di|oltre"
        r"|meer dan|boven)|(?P<most><\s*=?|≤|⩽|less than|under|below|at most|weniger als|unter"
        r"|höchstens|max\.?|moins de|inférieur à|menos de|menor de|meno di|sotto|minder dan"
        r"|onder|up to|bis zu)"
    ),
    re.IGNORECASE,
)
APPROX: Final = re.compile(
    either_spelling(
        r"~|≈|≃|∼|≅|approximately|approx\.?|about|around|roughly|circa|ca\.?(?![a-z])|c\.(?=\s*\d)"
        r"|etwa|ungefähr|rund|environ|env\.?(?![a-z])|aprox\.?|aproximadamente|cerca(?: de)?"
        r"|ongeveer|plm\.?|nearly|almost|gut(?=\s*\d)|knapp"
    ),
    re.IGNORECASE,
)
LINK: Final = re.compile(
    either_spelling(
        r"(?P<at>@|at\b|bei\b|à\b|bij\b|op\b|en?\b(?=\s*\d))|(?:[,;:()\[\]]|after|for|nach|après|apres"
        r"|tras|después de|despues de|dopo|na|over|auf|con|mit|with|and|und|et|y|e|pendant|durante"
        r"|during|während|test|soak|a|in|on|freq)(?![^\W\d])"
    ),
    re.IGNORECASE,
)
_OF_RANGE: Final = (
    r"(?:range|scale|bereich|messbereich|gamme|calibre|rango|escala|portata|scala|bereik)"
)
OVER_A_RANGE: Final = re.compile(
    rf"(?P<word>\S+)[\s,;:]*\(?(?:(?:on|im|in|of|sur|en|su|op|the|dem|la|le|il|het)\s+)*"
    rf"(?:{_OF_RANGE}\s*:?\s*(?P<end>\d[^()]*?)|(?P<end2>\d[^()]*?)[\s-]*{_OF_RANGE})\s*\)?",
    re.IGNORECASE,
)
"""Over-range with the range it was on: "OL (2000 µF range)"."""
TREND: Final = {
    "rising": "rising|climbing|creeping up|going up|increasing|steigend|steigt|monte|en hausse"
    "|subiendo|sube|sale|in salita|in aumento|stijgend|stijgt",
    "falling": "falling|dropping|still falling|still dropping|decreasing|fallend|sinkt|fällt"
    "|sinkend|baisse|en baisse|descend|bajando|baja|scende|in calo|dalend|daalt",
    "steady": "steady|stable|settled|constant|stabil|konstant|eingependelt|estable|stabile|stabiel"
    "|constante",
    "series equivalent": "series|seriell|série|serie|seriemodell|cs",
    "parallel equivalent": "parallel|parallèle|paralelo|parallelo|cp",
    "sheet says good": "ok|good|fine|gut|bon|bien|buono|goed|i.o.|pass|passed",
    "sheet says bad": "bad|fail|failed|high|low|schlecht|mauvais|malo|cattivo|slecht|hoch|niedrig",
}
TREND_OF: Final = {
    word: flag for flag, words in TREND.items() for word in both_spellings(words.split("|"))
}
TRENDS: Final = re.compile(
    rf"(?:{'|'.join(map(re.escape, sorted(TREND_OF, key=len, reverse=True)))})(?!\w)", re.IGNORECASE
)


def word_flag(text: str) -> str:
    """Flag of a cell that is a word and no number; "" where it is no known word.

    A word with a question mark behind it keeps its meaning and says so: a part doubted
    to be shorted is to be looked at, not forgotten.
    """
    folded = " ".join(text.lower().split()).strip("\"'")
    direct = _lookup(folded) or _lookup(folded.strip("!"))
    if direct:
        return direct
    bare = _DOUBT.sub("", folded).strip(" .()[]")
    meaning = _lookup(bare) if bare else ""
    if meaning and bare != folded and "?" in folded:
        return f"{meaning}, doubted in the sheet"
    return meaning


def _lookup(folded: str) -> str:
    if folded in MEANING:
        return MEANING[folded]
    if folded[:1] in "+-" and folded[1:] in MEANING and MEANING[folded[1:]] == OVER:
        return OVER + (" negative" if folded[0] == "-" else "")
    overload = _OVERLOAD.fullmatch(folded)
    if overload is not None:
        return OVER + (" negative" if overload.group(1) == "-" else "")
    return NO_READING if _DASHES.fullmatch(folded) else ""
