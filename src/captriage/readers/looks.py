"""What the eye found, from free text in six languages to the looks of the vocabulary.

A look that is denied ("not bulged", "pas de fuite") is not that look; one that is doubted
("bulged?", "maybe leaking") is, because doubt about a leak is no reason to energise a part.
"""

from __future__ import annotations

import re
from typing import Final

from captriage.columns import LOOKS
from captriage.readers.cell_words import NOT_MEASURED, word_flag
from captriage.units import normalise

_SLEEVE: Final = (
    r"(?:sleev\w*|jacket|wrapp?\w*|insulation|schrumpfschlauch|schlauch|hülle|isolierung|ummantelung"
    r"|gaine|manchon|enveloppe|funda|camisa|guaina|rivestimento|huls|krimpkous|kous|mantel)"
)
_SPOILT: Final = (
    r"(?:shr[iau]nk\w*|torn|split\w*|missing|crack\w*|loose|perished|gone|damaged|peeling|slipped|burst"
    r"|off|fehlt|geschrumpft|gerissen|zerrissen|beschädigt|lose|déchiré\w*|manquant\w*|rétréci\w*"
    r"|abîmé\w*|rot[oa]|encogid\w*|falta|rasgad\w*|dañad\w*|strappat\w*|ritirat\w*|ristrett\w*"
    r"|mancante|manca|danneggiat\w*|gekrompen|gescheurd|ontbreekt|beschadigd|los|no|kein\w*|sans"
    r"|sin|senza|geen|without)"
)
_LEAD: Final = (
    r"(?:leads?|legs?|terminals?|tags?|pins?|wires?|lugs?|bein\w*|anschlu\w+|draht|lötfahne\w*"
    r"|pattes?|bornes?|fils?|broches?|patas?|terminal\w*|patillas?|reofor\w+|piedin\w+|poot\w*"
    r"|aansluiting\w*|draad)"
)
_BROKEN: Final = (
    r"(?:broke\w*|snapped|missing|detached|off|abgebrochen\w*|gebrochen\w*|fehlt|cassé\w*|cassée\w*"
    r"|arraché\w*|rot[oa]s?|partid\w+|rott[oaie]|spezzat\w+|afgebroken|gebroken)"
)
_PUSHED: Final = (
    r"(?:pushed|out|proud|popped|lifted|blown|open\w*|split|herausgedrückt|raus|offen|geöffnet"
    r"|ausgelöst|sorti\w*|expulsé\w*|chassé\w*|ouvert\w*|salid\w+|expulsad\w+|abiert\w+|espuls\w+"
    r"|uscit\w+|apert\w+|uitgedrukt|eruit)"
)
_BUNG: Final = (
    r"(?:vents?|bungs?|plugs?|seals?|rubber|\w*stopfen|ventil|gummi\w*|bouchon|soupape|évent|tapón|válvula"
    r"|tappo|valvola|stop|ventiel)"
)
_SOFT: Final = (
    r"(?:soft\w*|spongy|squishy|mushy|perished|weich\w*|aufgeweicht\w*|mürbe?|mous?|molle?s?|ramolli\w*"
    r"|bland[oa]s?|reblandecid\w*|ablandad\w*|molli|morbid[oaie]|ammorbidit\w*|rammollit\w*|zacht\w*"
    r"|week|verweekt)"
)
_ELECTROLYTE: Final = (
    r"(?:electrolyte|elektrolyt(?:en|spuren|reste?n?|flecken|austritt)?|électrolyte|electrólito"
    r"|electrolito|elettrolit[ao]|elektroliet\w*)"
)
_DRIED: Final = (
    r"(?:dried|dry|old|hard|eingetrocknet\w*|getrocknet\w*|séché\w*|sec|sec[oa]|secc[oa]|ingedroogd\w*"
    r"|opgedroogd\w*|gedroogd\w*)"
)
_BEFORE_DRIED: Final = "".join(
    f"(?<!{word} )"
    for word in ("dried", "dry", "old", "hard", "trocknet", "trockneter", "trocknetes", "gedroogd")
)
_POLARITY: Final = r"(?:polarity|polarität|polarité|polaridad|polarità|polariteit)"


def _near(first: str, second: str) -> str:
    """Pattern of two words in either order with at most two others between."""
    gap = r"\W+(?:\w+\W+){0,2}?"
    return f"{first}{gap}{second}|{second}{gap}{first}"


# Phrases that contain words of negation or of another look: found before these.
_PHRASES: Final[tuple[tuple[str, str], ...]] = (
    (
        "polarity unclear",
        _near(
            _POLARITY,
            r"(?:unclear|unknown|unmarked|missing|doubtful|illegible|contradict\w*|unsure"
            r"|not marked|no|marks?|unklar|unbekannt|nicht erkennbar|widersprüchlich|inconnue"
            r"|incertaine|illisible|desconocida|dudosa|no marcada|sconosciuta|incerta|non chiara"
            r"|onduidelijk|onbekend)",
        ),
    ),
    (
        "reversed",
        _near(_POLARITY, r"(?:revers\w+|wrong|swapped|inver\w+|falsch|cambiada|verkeerd)"),
    ),
    ("sleeve", _near(_SLEEVE, _SPOILT)),
    ("broken terminal", _near(_LEAD, _BROKEN)),
    ("vented", _near(_BUNG, _PUSHED)),
    (
        "sound",
        r"(?:no|nothing|not any|keine?|nichts|ohne|rien|aucun\w*|pas|sans|sin|ningún|nessun\w*"
        r"|niente|geen|niets)\W+(?:(?:visible|obvious|signs?|of|external|unusual|sichtbare\w*|visibles?|à"
        r"|de|zichtbare)\W+){0,3}(?:damage|defects?|faults?|marks|issues?|problems?|wrong|to see"
        r"|abnormal\w*|visible|unusual|schäden|mängel|befund|auffällig\w*|signaler|dommages?"
        r"|défauts?|daños?|defectos?|dann[io]|difett[io]|schade|gebreken|bijzonders)",
    ),
)
_SINGLE: Final[tuple[tuple[str, str], ...]] = (
    (
        "bulged",
        r"bulg\w*|dom(?:ed|ing)|swoll\w*|swell\w*|puff\w*|bloat\w*|convex|bowed|gewölbt\w*|wölbung"
        r"|aufgebläht\w*|gebläht\w*|aufgewölbt\w*|geschwollen\w*|ausgebeult\w*|bauchig"
        r"|gonfl\w*|bombée?s?|bombe|boursoufl\w*|hinchad\w*|abombad\w*|inflad\w*|abultad\w*"
        r"|gonfi\w*|rigonfi\w*|bombat\w*|bol|bolle|bolstaand|gezwollen|opgezwollen|opgebold",
    ),
    (
        "vented",
        _near(_BUNG, _SOFT)
        + r"|vented|venting|abgeblasen|ausgegast|dégazé\w*|venteado|desgasificado|sfiatat\w*"
        r"|afgeblazen|ontlucht",
    ),
    (
        "leaked",
        rf"{_BEFORE_DRIED}{_ELECTROLYTE}(?!\W+{_DRIED})|"
        r"leak(?!-?age)\w*|leakage|ooz\w*|weep\w*|wept|seep\w*|wet|goo|gooey|goop\w*|sticky|damp|moist\w*|smell\w*"
        r"|stinks?|fishy|dripp?\w*|ausgelaufen\w*|läuft aus|auslaufend|undicht\w*|feucht\w*|nass\w*"
        r"|ausgetreten\w*|tropf\w*|riecht|fuites?|fuit|fui|fuyard|coulé\w*|coule|coulure\w*|suint\w*"
        r"|humid\w*|fugas?|derram\w*|gote\w*|pérdida\w*|perdida\w*|húmed\w*|perdit\w*|perde\w*"
        r"|colat\w*|trasud\w*|fuoriuscit\w*|bagnat\w*|umid\w*|gelekt|lek|lekt|lekken\w*|lekkage\w*"
        r"|uitgelopen|nat|vochtig",
    ),
    (
        "residue",
        r"residues?|crust\w*|encrust\w*|deposits?|powder\w*|crystal\w*|bloom|stain\w*|gunk|fluff\w*"
        rf"|{_DRIED} {_ELECTROLYTE}|{_ELECTROLYTE} {_DRIED}"
        r"|rückst\w*|krust\w*|verkrust\w*|ablagerung\w*|kristall\w*|ausblühung\w*"
        r"|belag|résidus?|croût\w*|dépôts?|crist\w*|residuos?|costras?|depósitos?|incrust\w*"
        r"|crost\w*|incrost\w*|depositi?|deposito|residui?|korst\w*|aanslag|afzetting\w*|kristal\w*",
    ),
    (
        "scorched",
        r"scorch\w*|burn|burns|burnt|burned|charred|soot\w*|singed|melt\w*|overheat\w*|heat damage"
        r"|blackened|browned|verbrannt\w*|verkohlt\w*|angesengt|verschmort\w*|geschmolzen|ruß\w*"
        r"|russ\w*|brandspur\w*|überhitzt\w*|angebrannt\w*|brûl\w*|carbonis\w*|roussi\w*|noirci\w*"
        r"|fondu\w*|suie|quemad\w*|chamusc\w*|carboniz\w*|derretid\w*|hollín|bruci\w*|fuso|fusa"
        r"|fuliggine|annerit\w*|verbrand\w*|geschroeid\w*|schroei\w*|verkool\w*|gesmolten|roet",
    ),
    (
        "split",
        r"split\w*|crack(?!l)\w*|fissur\w*|ruptur\w*|pinholes?|gerissen\w*|riss|risse|rissig\w*|fendu\w*"
        r"|fend\w*|fêlé\w*|fêlure\w*|craqu\w*|rajad\w*|agriet\w*|grieta\w*|hendid\w*|spaccat\w*|crep[ae]"
        r"|crepat\w*|fessur\w*|incrinat\w*|gescheurd\w*|scheur\w*|gebarsten|barst\w*|gespleten",
    ),
    (
        "burst",
        r"burst\w*|explod\w*|explosion|blew|blown|shards?|detonat\w*|popped|geplatzt\w*|aufgeplatzt\w*"
        r"|zerplatzt|explodiert\w*|geborsten\w*|éclat\w*|explos\w*|revent\w*|explot\w*|estall\w*"
        r"|scoppi\w*|esplos\w*|ontploft\w*|geëxplodeerd|gesprongen|geklapt|opgeblazen",
    ),
    (
        "corroded",
        r"corro\w*|rust\w*|verdigris|oxidi[sz]ed|oxidation|pitted|pitting|korro\w*|rost\w*|verrostet\w*"
        r"|grünspan|oxidiert\w*|rouill\w*|oxyd\w*|vert-de-gris|óxido|oxid\w*|herrumbr\w*|cardenillo"
        r"|arrugginit\w*|ruggine|ossid\w*|verderame|gecorrodeerd|roest\w*|verroest|geoxideerd"
        r"|green (?:leads?|legs?|terminals?|crud|gunk)",
    ),
    (
        "dented",
        r"dent|dents|dented|dings?|crushed|squashed|dellen?|verbeult\w*|eingedrückt\w*|eingedellt\w*"
        r"|beulen?|caboss\w*|bossel\w*|enfonc\w*|abollad\w*|golpead\w*|ammaccat\w*|gedeukt\w*|deuk\w*"
        r"|ingedeukt",
    ),
    (
        "reversed",
        r"revers\w*|backwards?|back to front|wrong way(?: a?round)?|verpolt\w*|falsch herum"
        r"|falsch gepolt|verkehrt herum|vertauscht|inversé\w*|à l'envers|invertid\w*|al revés"
        r"|invertit\w*|al contrario|a rovescio|omgekeerd|verkeerd om|omgepoold|verkeerd gepoold",
    ),
    (
        "warm",
        r"warm\w*|hot(?!\W*(?:melt|glue))|heats(?: up)?|heiß\w*|erwärmt\w*|chaud\w*|chauff\w*|tiède"
        r"|calient\w*|tibi[oa]|cald[oaie]|scalda|tiepid\w*|heet",
    ),
    (
        "noisy",
        r"hiss\w*|crackl\w*|nois[ey]\w*|buzz\w*|sizzl\w*|fizz\w*|zisch\w*|knister\w*|prassel\w*|siffl\w*"
        r"|crépit\w*|bruit\w*|grésill\w*|siseo|silba\w*|crepit\w*|chisporrot\w*|ruid\w*|fischi\w*"
        r"|sibil\w*|sfrigol\w*|rumor\w*|sist?|sissen\w*|knetter\w*|kraak\w*",
    ),
    (
        "sound",
        r"ok|okay|o\.k\.?|good|fine|clean|perfect|sound|intact|nice|excellent|(?:like |as )?new"
        r"|normal|mint|pristine|undamaged|gute?r?s?|in ordnung|i\.?o\.?|einwandfrei|unauffällig"
        r"|sauber|wie neu|makellos|unbeschädigt|bon|bonne?|bons|bonnes|bien|intacte?s?|propre"
        r"|parfaite?|correcte?|neuf|sain|ras|buen[oa]?|perfect[oa]|limpi[oa]|intact[oa]|correct[oa]|sano"
        r"|buon[oa]|bene|perfett[oa]|pulit[oa]|intatt[oa]|integr[oa]|a posto|goede?|netjes|schoon"
        r"|prima|in orde",
    ),
)

_SPOTS: Final = tuple((look, re.compile(rf"(?<!\w)(?:{p})(?!\w)")) for look, p in _PHRASES)
_WORDS: Final = tuple((look, re.compile(rf"(?<!\w)(?:{p})(?!\w)")) for look, p in _SINGLE)
_NOT: Final = re.compile(
    r"(?<!\w)(?:no|not|never|without|free of|none|nothing|isn't|aren't|wasn't|hasn't|doesn't|nicht"
    r"|nichts|kein\w*|ohne|nie|pas|aucun\w*|sans|non|jamais|sin|ningun\w*|ningún|nunca|nessun\w*"
    r"|senza|mai|niet|geen|zonder|nooit|0|nor|né|noch|ni|ne(?=\W.*\Wpas)|n'(?=.*\Wpas))(?!\w)"
)
_NOT_AFTER: Final = re.compile(r"\W*[:=-]?\s*(?:none|no|nein|non|nee|keine?|aucune?|free)\s*$")
_DOUBT: Final = re.compile(
    r"(?<!\w)(?:not sure|unsure|not certain|can't tell|cannot tell|not only|no longer|nicht sicher"
    r"|nicht nur|pas sûr|pas certain|no seguro|no sé|non sicuro|non solo|niet zeker|niet alleen)"
)
_STOPS: Final = re.compile(
    r"[;/\n|&]+|\.(?=\s|$)|\s-+\s|(?<!\w)(?:but|and|though|however|except|aber|und|mais|et|pero|y|ma|e"
    r"|maar|en|plus|with|mit|avec|con|met)(?!\w)"
)
_OR: Final = re.compile(r"(?<!\w)(?:or|nor|oder|ou|o|of|noch|ni|né)(?!\w)")
_FILLER: Final = re.compile(
    r"(?:\W|(?<!\w)(?:all|looks?|body|case|can|the|a|an|bit|very|slight\w*|several|parts?|some|little"
    r"|strong|old|end|off|visually|appearance|optisch|aspect|aspecto|aspetto|uiterlijk|seem\w*|is|are"
    r"|was|still|only|just|many|other|others|at|on|in|of|to|it|has|been|maybe|possibly|perhaps|voltage|power|applied"
    r"|spannung|tension|tensión|tensione|spanning)(?!\w))*"
)


_NO_LOOK: Final = re.compile(
    "nothing|nichts|rien|nada|niente|niets|kein[ers]?s?|keine[rs]?|aucune?|ningun[oa]|nessun[oa]|geen"
    r"|no|nein|non|nee|[-_./–— ]*"
)


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
    found: set[str] = set()
    leftover: list[str] = []
    for clause, denied in _clauses(plain):
        looks, understood = _read_clause(clause, listed=denied)
        found |= looks
        if not understood:
            leftover.append(clause)
    if found - {"sound"}:
        found.discard("sound")
    elif not leftover:
        found = {"sound"}
    return tuple(look for look in LOOKS if look in found), "; ".join(leftover)


def _clauses(plain: str) -> list[tuple[str, bool]]:
    """Clauses of the text, each with whether it goes on with a list that was denied.

    "no leaks, bulges or residue" denies all three: a denial holds over commas up to the
    clause with "or".
    """
    clauses: list[tuple[str, bool]] = []
    for sentence in _STOPS.split(plain):
        parts = [part for part in sentence.split(",") if _FILLER.fullmatch(part) is None]
        last_or = max((i for i, part in enumerate(parts) if _OR.search(part)), default=-1)
        denied = False
        for i, part in enumerate(parts):
            clauses.append((part.strip(), denied and i <= last_or))
            denied = _NOT.search(_DOUBT.sub(" ", part)) is not None or (denied and i < last_or)
    return clauses


def _read_clause(clause: str, *, listed: bool) -> tuple[set[str], bool]:
    """Looks of one clause, and whether anything in it was understood."""
    if clause in LOOKS and not listed:
        return {clause}, True
    found: set[str] = set()
    rest = _DOUBT.sub(" ", clause)
    for look, pattern in _SPOTS:
        while (match := pattern.search(rest)) is not None:
            found.add(look)
            rest = rest[: match.start()] + " " + rest[match.end() :]
    understood = bool(found)
    denial = _NOT.search(rest)
    for look, pattern in _WORDS:
        for match in pattern.finditer(rest):
            before = denial is not None and denial.start() < match.end()
            if not (before or listed or _NOT_AFTER.match(rest, match.end())):
                found.add(look)
                understood = True
            elif look != "sound":  # "not good" says that something is wrong, not what
                understood = True
    return found, understood
