"""Words of a parts list in six languages: polarity, role, grade, yes or no, reforming; tolerance.

Each function returns a key of the vocabulary in :mod:`captriage.columns`, or raises.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from captriage.errors import MarkingError
from captriage.readers.umlauts import both_spellings
from captriage.units import normalise, parse_number

_POLARITY: Final = {
    "bipolar": "np|n.p.|bp|b.p.|bip|bi-polar|bipolar|bipolarised|bipolarized|non polar|non-polar"
    "|nonpolar|non polarised|non-polarised|non-polarized|unpolarised|unpolarized|reversible"
    "|ungepolt|bipolarer|unipolar nein|non polarisé|non-polarisé|bipolaire|no polarizado"
    "|no polar|apolar|non polarizzato|non polare|apolare|bipolare|ongepolariseerd|niet-polair"
    "|bipolair|ac|reversed pair|back to back",
    "polar": "polar|polarised|polarized|p|+|+-|gepolt|polarisé|polarizado|polarizzato"
    "|gepolariseerd|polair|polare|ordinary|normal|yes",
}
_ROLE: Final = {
    "reservoir": "reservoir|reservoir capacitor|first filter|input filter|input|main filter|mains"
    "|mains reservoir|rectifier output|bulk|main|filter input|c input|reservoir/bulk"
    "|ladekondensator|ladeelko|lade-elko|netzteil ladeelko|lade|condensateur de tête|tête"
    "|réservoir|entrée filtre|depósito|reserva|primer filtro|entrada filtro|serbatoio"
    "|primo filtro|ingresso filtro|livellamento ingresso|reservoircondensator|laadcondensator"
    "|afvlakking ingang|eerste filter",
    "smoothing": "smoothing|filter|filtering|psu|power supply|supply|hv|ht|ht smoothing|hum filter"
    "|second filter|b+|b+ filter|ripple filter|siebung|siebelko|sieb-elko|siebkondensator|sieb"
    "|glättung|netzteil|output stage supply|plate supply|anode supply"
    "|filtrage|filtre|alimentation|filtrado|filtro|alimentación|fuente"
    "|livellamento|filtraggio|alimentazione|afvlakking|afvlak|voeding|filtercondensator",
    "cathode bypass": "cathode bypass|cathode|cathode decoupling|ck|cathode cap|emitter bypass"
    "|bypass|kathode|katode|kathodenelko|kathoden-elko|kathodenkondensator|cathode découplage"
    "|découplage cathode|découplage de cathode|cátodo|catodo|desacoplo de cátodo|bypass catodo"
    "|catodico|kathodecondensator|kathode ontkoppeling|emitter|emitterkondensator"
    "|katodenelko|katoden-elko|katodenkondensator|kathodenüberbrückung|katodenüberbrückung"
    "|condensateur de cathode|condensador de cátodo|desacoplo de catodo|condensatore di catodo"
    "|kathode elco|kathode-elco|kathode-elko|kathodeelco|cathode electrolytic",
    "coupling": "coupling|coupler|ac coupling|dc blocking|output coupling|signal|audio|signal path"
    "|koppel|kopplung|koppelkondensator|koppelelko|auskoppel|liaison|couplage|condensateur de "
    "liaison|acoplo|acoplamiento|paso|accoppiamento|koppeling|koppelcondensator",
    "decoupling": "decoupling|decouple|screen|screen bypass|screen decoupling|local bypass|g2"
    "|supply bypass|rail decoupling|entkopplung|abblock|abblockung|schirmgitter|stützelko"
    "|découplage|écran|desacoplo|desacoplamiento|pantalla|disaccoppiamento|schermo|ontkoppeling"
    "|schermrooster|anode decoupling|anode feed"
    "|screen supply|screen grid supply|screen feed|preamp supply|preamplifier supply|pre-amp supply"
    "|phase splitter supply|phase inverter supply|driver supply|schirmgitterversorgung"
    "|schirmgitterspannung|schirmgitterelko|vorstufenversorgung|versorgung vorstufe|vorstufe"
    "|phasenumkehr|versorgung phasenumkehr|alimentation écran|alimentation d'écran|grille écran"
    "|alimentation préampli|alimentation préamplificateur|alimentation déphaseur"
    "|alimentación pantalla|alimentación de pantalla|alimentación previo|alimentación del previo"
    "|alimentación inversor de fase|alimentazione schermo|alimentazione griglia schermo"
    "|alimentazione preamplificatore|alimentazione sfasatore|alimentazione invertitore di fase"
    "|schermroostervoeding|voorversterkervoeding|voeding voorversterker|voeding fasedraaier"
    "|fasedraaiervoeding",
    "bias supply": "bias supply|bias|bias filter|grid bias|negative bias|fixed bias|neg. bias"
    "|gittervorspannung|vorspannung|negative gittervorspannung|polarisation|polarización"
    "|polarisation de grille|polarizzazione|negativo di griglia|negatieve roosterspanning"
    "|roosterspanning|bias voeding"
    "|gitterspannung|gitterspannungssiebung|gittervorspannungssiebung|gittervorspannungselko"
    "|tension de grille|polarisation grille|tensión de rejilla|polarización de rejilla"
    "|tensione di griglia|polarizzazione di griglia|roostervoorspanning"
    "|negatieve roostervoorspanning|grid supply|grid voltage|grid bias supply",
    "timing": "timing|timer|time constant|oscillator|delay|zeitglied|zeitkonstante|temporisation"
    "|minuterie|temporización|temporizador|temporizzazione|temporizzatore|tijdschakeling"
    "|tijdconstante|vertical|vertical oscillator",
    "motor": "motor|motor run|motor start|starting|start capacitor|run capacitor|anlauf"
    "|motorkondensator|anlaufkondensator|betriebskondensator|moteur|démarrage|arranque|motore"
    "|avviamento|aanloop"
    "|aanloopcondensator|motorcondensator",
    "crossover": "crossover|cross-over|speaker|loudspeaker|frequency divider|frequenzweiche|weiche"
    "|lautsprecher|filtre enceinte|filtre haut-parleur|haut-parleur|filtro altavoz|altavoz|cruce"
    "|crossover altoparlante|altoparlante|scheidingsfilter|luidspreker",
}
_GRADE: Final = {
    "general purpose": "general purpose|general-purpose|general|gp|standard|std|ordinary|normal"
    "|standard grade|85c|usage général|uso general|uso generale|algemeen|allgemein|typ ii|type 2",
    "long life": "long life|long-life|longlife|ll|computer grade|computer-grade|professional"
    "|high reliability|erhöhte anforderungen|lange lebensdauer|langlebig|longue durée"
    "|longue vie|larga vida|larga duración|lunga durata|lunga vita|lange levensduur|lange leven"
    "|typ i|type 1|105c|instrument grade|telecom",
    "low impedance": "low impedance|low-impedance|low z|low esr|low-esr|lowesr|switching|smps"
    "|high ripple|niederohmig|geringer esr|basse impédance|faible esr|baja impedancia|bajo esr"
    "|bassa impedenza|basso esr|lage impedantie|lage esr",
}
_YES_NO: Final = {
    "yes": "yes|y|true|t|1|x|in|in circuit|in-circuit|in situ|on board|ja|j|oui|o|sí|si|s|sì|vero"
    "|wahr|waar|vrai|verdadero|eingebaut|en circuit|en circuito|in circuito|in schakeling|✓|✔",
    "no": "no|n|false|f|0|out|out of circuit|out-of-circuit|lifted|one leg lifted|removed|isolated"
    "|disconnected|nein|non|nee|falso|falsch|faux|onwaar|ausgebaut|hors circuit|fuera de circuito"
    "|fuori circuito|uit schakeling|abgelötet|✗|✘",
}
_REFORM: Final = {
    "not reformed": "not reformed|no|none|not done|never|n|not yet|never reformed|nicht formiert"
    "|nicht reformiert|nein|nicht|unformiert|non reformé|non|pas reformé|no reformado|non riformato"
    "|niet gereformeerd|nee|niet",
    "settled below limit": "settled below limit|settled below the limit|settled under limit"
    "|below limit|below the limit|under the limit|came down below limit|fell below limit"
    "|within limit"
    "|within limits|unter grenzwert|unter dem grenzwert|unterhalb des grenzwerts"
    "|sous la limite|au-dessous de la limite|por debajo del límite|sotto il limite|onder limiet"
    "|onder de limiet",
    "under way": "under way|underway|ongoing|in progress|still reforming|reforming|not finished"
    "|unfinished|läuft|läuft noch|im gange|en cours|en curso|en marcha|in corso|bezig|loopt nog",
    "healed": "healed|healed after rest|re-test passed|retest passed|passed re-test|passed retest"
    "|stays below limit|stayed below limit|geheilt|nachtest bestanden|guéri|contre-essai réussi"
    "|curado|sanado|guarito|genezen|hersteld|hertest geslaagd",
    "rebounded": "rebounded|rebound|came back|came back after rest|re-test failed|retest failed"
    "|failed re-test|failed retest|not healed|did not heal|nicht geheilt|nachtest nicht bestanden"
    "|non guéri|contre-essai raté|no curado|no sanado|non guarito|niet genezen|niet hersteld"
    "|hertest mislukt",
    "settled above limit": "settled above limit|settled above the limit|settled over limit"
    "|above limit|above the limit|still above limit|over limit|over the limit|still leaky"
    "|stayed above limit|did not come down|über grenzwert|über dem grenzwert"
    "|oberhalb des grenzwerts|au-dessus de la limite|por encima del límite|sopra il limite"
    "|boven limiet|boven de limiet",
    "rising": "rising|current rising|current rose|climbing|runaway|increasing|thermal runaway"
    "|current kept rising|steigend|strom stieg"
    "|strom steigt|courant monte|en hausse|subiendo|corriente sube|in salita|corrente sale"
    "|stijgend|stroom stijgt",
    "broken down": "broken down|breakdown|broke down|arced|arcing|flashed over|sparked|shorted"
    "|short|blew|blew up|exploded|smoked|durchschlag|durchgeschlagen|überschlag|claqué|claquage"
    "|perforado|ruptura"
    "|perforato|scarica|doorgeslagen|doorslag|popped",
}


_REFORM_TRIED: Final = {
    # Says that it was tried, and not what the current did.
    "tried": "yes|y|x|ja|j|oui|o|sí|si|sì|ok|okay|o.k|i.o|in ordnung|good|fine|gut|bon|bien|bueno"
    "|buono|goed"
    "|done|reformed|reformed ok|reform done|settled|passed|pass|success|successful|took a charge"
    "|came good|came down|formiert|reformiert|nachformiert|erledigt|erfolgreich|reformé|fait|réussi"
    "|reformado|hecho|correcto|riformato|fatto|riuscito|gereformeerd|gedaan|gelukt|true|1|✓|✔"
    "|failed|fail|unsuccessful|no improvement|erfolglos|fehlgeschlagen|échoué|échec|fallido|fallito"
    "|mislukt|stuck|leaky|high leakage|too high|zu hoch|stopped|aborted|abgebrochen",
}
_SMOKED: Final = re.compile(
    r"^(?!.*(?:\b(?:no|not|never|without|kein\w*|nicht|ohne|sans|pas|sin|senza|geen|niet"
    r"|zonder)\b|\?))"
    r".*\b(?:smoked|smoking|exploded|blew up|burst|arced|flashed over|shorted|broke down"
    r"|went short)\b"
)


def _spellings(table: Mapping[str, str]) -> dict[str, str]:
    return {
        name: key
        for key, names in table.items()
        for name in (key, *both_spellings(names.split("|")))
    }


_POLARITY_OF: Final = _spellings(_POLARITY)
_ROLE_OF: Final = _spellings(_ROLE)
_GRADE_OF: Final = _spellings(_GRADE)
_YES_NO_OF: Final = _spellings(_YES_NO)
_REFORM_OF: Final = _spellings(_REFORM)
_TRIED: Final = _spellings(_REFORM_TRIED)


def _key(text: str, spellings: Mapping[str, str], where: str, allowed: Mapping[str, str]) -> str:
    folded = " ".join(normalise(text).lower().split()).strip(" .!")
    for spelling in (folded, folded.replace("_", " "), folded.replace("-", " ")):
        if spelling in spellings:
            return spellings[spelling]
    raise MarkingError(f"{where}: '{text.strip()}' not understood; write {', '.join(allowed)}")


def parse_polarity(text: str) -> str:
    """Key of ``columns.POLARITIES``: "polar" or "bipolar"."""
    return _key(text, _POLARITY_OF, "polarity", {"polar": "", "bipolar": ""})


def parse_role(text: str) -> str:
    """Key of ``columns.ROLES``."""
    return _key(text, _ROLE_OF, "role", _ROLE)


def parse_grade(text: str) -> str:
    """Key of ``columns.GRADES``."""
    return _key(text, _GRADE_OF, "grade", _GRADE)


def parse_yes_no(text: str) -> str:
    """Tell "yes" from "no": whether a part was read in circuit."""
    return _key(text, _YES_NO_OF, "yes or no", _YES_NO)


def parse_reform_outcome(text: str) -> str:
    """Key of ``columns.REFORM_OUTCOMES``.

    Raises
    ------
    MarkingError
        Where the text is no outcome, or says that the part was reformed and not with what
        outcome: "yes", "done" and "ok" do not tell that the current fell below its limit.
    """
    folded = " ".join(normalise(text).lower().split()).strip(" .!")
    if folded in _TRIED:
        raise MarkingError(
            f"reforming: '{text.strip()}' says that it was reformed, but its outcome is not told; "
            f"write {', '.join(key for key in _REFORM if key != 'not reformed')}"
        )
    if _SMOKED.search(folded):
        return "broken down"
    return _key(text, _REFORM_OF, "reforming", _REFORM)


TOLERANCE_LETTERS: Final[dict[str, tuple[float, float]]] = {
    # IEC 60062. J, Q and S from memory; K and M as reported by an encyclopaedia; T (with
    # JIS characteristic W), Z, N and P from printed data sheets and a service manual.
    "J": (-0.05, 0.05),
    "K": (-0.10, 0.10),
    "M": (-0.20, 0.20),
    "N": (-0.30, 0.30),
    "Q": (-0.10, 0.30),
    "T": (-0.10, 0.50),
    "S": (-0.20, 0.50),
    "Z": (-0.20, 0.80),
    "P": (0.0, 1.00),
}
_DIGITS: Final = r"\d+(?:[.,]\d+)?"
_SYMMETRIC: Final = re.compile(rf"(?:±|\+\s*/?\s*-|-\s*/\s*\+)?\s*({_DIGITS})\s*%?")
_TWO_SIDED: Final = re.compile(
    rf"([+-])\s*({_DIGITS})\s*%?\s*(?:/|,|\.\.+|…|to|bis|à|a|tot|;)?\s*([+-])\s*({_DIGITS})\s*%?",
    re.I,
)
_ZERO_SIDED: Final = re.compile(rf"0\s*%?\s*/?\s*\+\s*({_DIGITS})\s*%?")


def parse_tolerance(text: str) -> tuple[float, float]:
    """Tolerance (low, high) as fractions of the rated capacitance.

    Parameters
    ----------
    text : str
        "±20 %", "20", "-10/+50 %", "-10+100", "0/+100 %" or a letter of IEC 60062.

    Returns
    -------
    tuple of float
        (-0.1, 0.5) for "-10/+50 %".

    Raises
    ------
    MarkingError
        Where the text is none of these, or gives less than nothing.
    """
    plain = normalise(text).strip()
    if plain.upper() in TOLERANCE_LETTERS:
        return TOLERANCE_LETTERS[plain.upper()]
    low = high = None
    if match := _TWO_SIDED.fullmatch(plain):
        ends = [_percent(sign + digits) for sign, digits in (match.group(1, 2), match.group(3, 4))]
        low, high = min(ends), max(ends)
        low = low if match.group(1) != match.group(3) else None
    elif match := _ZERO_SIDED.fullmatch(plain):
        low, high = 0.0, _percent(match.group(1))
    elif match := _SYMMETRIC.fullmatch(plain):
        high = _percent(match.group(1))
        low = -high
        if 0.0 < high < 0.01 and "%" not in plain and not plain.startswith(("±", "+", "-")):
            raise MarkingError(
                f"tolerance: '{text.strip()}' is ambiguous: {100 * high:g} % or "
                f"{10_000 * high:g} %; write it with the % sign"
            )
    if low is None or high is None or not -1.0 < low <= 0.0 <= high <= 5.0:
        letters = ", ".join(TOLERANCE_LETTERS)
        raise MarkingError(
            f"tolerance: '{text.strip()}' not understood; write ±20 %, -10/+50 % or a letter of "
            f"IEC 60062 ({letters})"
        )
    return low, high


def _percent(digits: str) -> float:
    number = parse_number(digits)
    return number.candidates[0] / 100 if number is not None else 0.0
