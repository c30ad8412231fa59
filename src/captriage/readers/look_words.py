"""Words and phrases that name a look, in six languages: patterns, one line a look."""

from __future__ import annotations

from typing import Final

_SLEEVE: Final = (
    r"(?:sleev\w*|jacket|wrapp?\w*|insulation|schrumpfschlauch|schlauch|hülle|isolierung"
    r"|ummantelung"
    r"|gaine|manchon|enveloppe|funda|camisa|guaina|rivestimento|huls|krimpkous|kous|mantel)"
)
_SPOILT: Final = (
    r"(?:shr[iau]nk\w*|torn|split\w*|missing|crack\w*|loose|perished|gone|damaged|peeling|slipped"
    r"|burst"
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
    r"(?:vents?|bungs?|plugs?|seals?|rubber|\w*stopfen|ventil|gummi\w*|bouchon|soupape|évent"
    r"|tapón|válvula"
    r"|tappo|valvola|stop|ventiel)"
)
_SOFT: Final = (
    r"(?:soft\w*|spongy|squishy|mushy|perished|weich\w*|aufgeweicht\w*|mürbe?|mous?|molle?s?"
    r"|ramolli\w*"
    r"|bland[oa]s?|reblandecid\w*|ablandad\w*|molli|morbid[oaie]|ammorbidit\w*|rammollit\w*"
    r"|zacht\w*"
    r"|week|verweekt)"
)
_ELECTROLYTE: Final = (
    r"(?:electrolyte|elektrolyt(?:en|spuren|reste?n?|flecken|austritt)?|électrolyte|electrólito"
    r"|electrolito|elettrolit[ao]|elektroliet\w*)"
)
_DRIED: Final = (
    r"(?:dried|dry|old|hard|eingetrocknet\w*|getrocknet\w*|séché\w*|sec|sec[oa]|secc[oa]"
    r"|ingedroogd\w*"
    r"|opgedroogd\w*|gedroogd\w*)"
)
_BEFORE_DRIED: Final = "".join(
    f"(?<!{word} )"
    for word in ("dried", "dry", "old", "hard", "trocknet", "trockneter", "trocknetes", "gedroogd")
)
_HOLE: Final = (
    r"(?<!vent )(?<!mounting )(?<!fixing )(?<!screw )"
    r"(?:holes?|loch|löcher|trous?|agujeros?|buc(?:o|hi)|for[oi]|gat|gaten)\W+(?:\w+\W+){1,2}?"
    r"(?:can|case|casing|body|lid|top|seal|bung|becher|gehäuse|deckel|stopfen|boîtier|couvercle"
    r"|bouchon|carcasa|tapa|tapón|custodia|coperchio|tappo|behuizing|deksel)"
)
_POLARITY: Final = r"(?:polarity|polarität|polarité|polaridad|polarità|polariteit)"


def _near(first: str, second: str) -> str:
    """Pattern of two words in either order with at most two others between."""
    gap = r"\W+(?:\w+\W+){0,2}?"
    return f"{first}{gap}{second}|{second}{gap}{first}"


# Phrases that contain words of negation or of another look: found before these.
PHRASES: Final[tuple[tuple[str, str], ...]] = (
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
    (
        "bulged",
        r"(?:not|no longer|isn't|aren't|nicht(?: mehr)?|pas|plus|no(?: está)?|non(?: più)?"
        r"|niet(?: meer)?)"
        r"\W+(?:(?:quite|completely|entirely|ganz|tout à fait|del todo|è|helemaal)\W+)?"
        r"(?:flat|level|flach|plan|eben|plate?s?|plan[oa]|piatt[oa]|vlak|plat)",
    ),
    ("sleeve", _near(_SLEEVE, _SPOILT)),
    ("broken terminal", _near(_LEAD, _BROKEN)),
    ("vented", _near(_BUNG, _PUSHED)),
    (
        "sound",
        r"(?:no|nothing|not any|keine?|nichts|ohne|rien|aucun\w*|pas|sans|sin|ningún|nessun\w*"
        r"|niente|geen|niets)\W+(?:(?:visible|obvious|signs?|of|external|unusual|sichtbare\w*"
        r"|visibles?|à"
        r"|de|zichtbare)\W+){0,3}(?:damage|defects?|faults?|marks|issues?|problems?|wrong|to see"
        r"|(?:abnormal\w*|visible|unusual|auffällig\w*)(?=\W*$)|schäden|mängel|befund|signaler"
        r"|dommages?"
        r"|défauts?|daños?|defectos?|dann[io]|difett[io]|schade|gebreken|bijzonders)",
    ),
)
SINGLE: Final[tuple[tuple[str, str], ...]] = (
    (
        "bulged",
        r"bulg\w*|expand(?:ed|ing)|expansion|inflated|balloon\w*|distended|crowned"
        r"|(?:tops?|lids?|ends?|cap|cover)\W+(?:(?:is|are|has|slightly|a bit)\W+)*(?:raised|risen"
        r"|lifted|up)"
        r"|(?:raised|lifted|risen) (?:top|lid|end|cap|cover)s?|beulen?\W+(?:\w+\W+)?oben"
        r"|aufgeblasen\w*"
        r"|dicke\w* backen|(?:deckel|boden)\W+(?:\w+\W+)?(?:hoch|angehoben|gehoben)|hochgekommen"
        r"|(?:deckel|boden)\W+(?:\w+\W+){1,2}gedrückt"
        r"|aufgedunsen\w*"
        r"|ausgedehnt|enflée?s?|soulevée?s?|dilatée?s?|ventrue?s?|levantad[oa]s?|dilatad[oa]s?"
        r"|sollevat[oaie]|dilatat[oaie]|espans[oaie]|panciut[oaie]|uitgezet|opgezet"
        r"|omhoog ?gekomen|bolling"
        r"|dikke wangen|dom(?:e[ds]?|ing)|swoll\w*|swell\w*|puff\w*|bloat\w*|convex|bowed"
        r"|gewölbt\w*|wölbung"
        r"|aufgebläht\w*|gebläht\w*|ausgebaucht\w*|aufgewölbt\w*|geschwollen\w*|ausgebeult\w*|bauchig"
        r"|gonfl\w*|bombée?s?|bombe|bombement|boursoufl\w*|hinchad\w*|abombad\w*|inflad\w*|abultad\w*"
        r"|gonfi\w*|rigonfi\w*|bombat\w*|bombead\w*|spanciat\w*|bol|bolle|bolstaand|gezwollen|opgezwollen|opgebold",
    ),
    (
        "vented",
        _near(_BUNG, _SOFT)
        + r"|vented|venting|opened(?: up)?|s'est ouvert\w*|se ha abierto|se abrió|si è apert[oa]"
        r"|aufgegangen|opengegaan"
        r"|abgeblasen|ausgegast|dégazé\w*|venteado|desgasificado|sfiatat\w*"
        r"|afgeblazen|ontlucht",
    ),
    (
        "leaked",
        rf"{_BEFORE_DRIED}{_ELECTROLYTE}(?!\W+{_DRIED})|"
        r"puddles?|spill?(?:ed|t)|pfützen?|flaques?|charcos?|pozz[ae]|plasje|(?:brown|clear"
        r"|oily) (?:liquid|fluid)"
        r"|flüssigkeit|liquide|líquido|liquido|vloeistof|leak(?!-?age)\w*|leakage|ooz\w*|weep\w*"
        r"|wept|seep\w*|wet|goo|gooey|goop\w*|sticky|damp|moist\w*|smell\w*"
        r"|stinks?|fishy|dripp?\w*|ausgelaufen\w*|leckt|geleckt|sifft|gesifft|läuft aus|auslaufend"
        r"|undicht\w*|feucht\w*|nass\w*"
        r"|ausgetreten\w*|tropf\w*|riecht|fuites?|fuit|fui|fuya\w+|perdiendo|coulé\w*|coule|coulure\w*"
        r"|suint\w*"
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
        r"|crost\w*|incrost\w*|depositi?|deposito|residui?|korst\w*|aanslag|afzetting\w*"
        r"|kristal\w*",
    ),
    (
        "scorched",
        r"scorch\w*|smok(?:e[ds]?|ing)|(?:ge)?raucht\w*|qualmt\w*"
        r"|fum(?:e|ée|ait|a|o|ava)|humo|rook|rookte?|burn|burns|burnt|burned|charred|soot\w*"
        r"|singed|melt\w*|overheat\w*|heat damage|blackened|browned|verbrannt\w*|verkohlt\w*"
        r"|angesengt|verschmort\w*|geschmolzen|ruß\w*"
        r"|russ\w*|brandspur\w*|überhitzt\w*|angebrannt\w*|brûl\w*|carbonis\w*|roussi\w*|noirci\w*"
        r"|fondu\w*|suie|quemad\w*|chamusc\w*|carboniz\w*|derretid\w*|hollín|bruci\w*|fuso|fusa"
        r"|fuliggine|annerit\w*|verbrand\w*|geschroeid\w*|schroei\w*|verkool\w*|gesmolten|roet",
    ),
    (
        "split",
        rf"{_HOLE}|split\w*|crack(?!l)\w*|fissur\w*|ruptur\w*|pinholes?|gerissen\w*|riss|risse|rissig\w*"
        r"|fendu\w*"
        r"|fend\w*|fêlé\w*|fêlure\w*|craqu\w*|rajad\w*|agriet\w*|grieta\w*|hendid\w*|spaccat\w*"
        r"|crep[ae]"
        r"|crepat\w*|fessur\w*|incrinat\w*|gescheurd\w*|scheur\w*|gebarsten|barst\w*|gespleten",
    ),
    (
        "burst",
        r"(?:went|goes) (?:bang|pop)|geknallt|pété\w*"
        r"|burst\w*|explod\w*|explosion|blew|blown|shards?|detonat\w*|popped|geplatzt\w*"
        r"|aufgeplatzt\w*"
        r"|zerplatzt|explodiert\w*|geborsten\w*|éclat\w*|explos\w*|revent\w*|explot\w*|estall\w*"
        r"|scoppi\w*|esplos\w*|ontploft\w*|geëxplodeerd|gesprongen|geklapt|opgeblazen",
    ),
    (
        "corroded",
        r"corro\w*|rust\w*|verdigris|oxidi[sz]ed|oxidation|pitted|pitting|korro\w*|rost\w*"
        r"|verrostet\w*"
        r"|grünspan|oxidiert\w*|rouill\w*|oxyd\w*|vert-de-gris|óxido|oxid\w*|herrumbr\w*|cardenillo"
        r"|arrugginit\w*|ruggine|ossid\w*|verderame|gecorrodeerd|roest\w*|verroest|geoxideerd"
        r"|green (?:leads?|legs?|tags?|pins?|lugs?|terminals?|crud|gunk)",
    ),
    (
        "dented",
        r"dent|dents|dented|dings?|crushed|squashed|dellen?|verbeult\w*|eingedrückt\w*"
        r"|eingedellt\w*"
        r"|beulen?(?!\W+(?:\w+\W+)?oben)|caboss\w*|bossel\w*|enfonc\w*|abollad\w*|golpead\w*"
        r"|ammaccat\w*|gedeukt\w*|deuk\w*"
        r"|ingedeukt",
    ),
    (
        "reversed",
        r"revers\w*|backwards?|upside down|(?:the )?(?:other|wrong) way(?: a?round)?|falschrum"
        r"|andersherum"
        r"|montée? à l'envers|achterstevoren|andersom|back to front|wrong way(?: a?round)?"
        r"|verpolt\w*|falsch herum"
        r"|falsch gepolt|verkehrt herum|vertauscht|inversé\w*|à l'envers|invertid\w*|al revés"
        r"|invertit\w*|al contrario|a rovescio|omgekeerd|verkeerd om|omgepoold|verkeerd gepoold",
    ),
    (
        "warm",
        r"warm\w*|hot(?:ter|test)?(?!\W*(?:melt|glue))|heat(?:s|ed|ing)(?: up)?|lukewarm"
        r"|(?:hand|finger)(?:warm|heiß|heet)\w*|lauwarm\w*|heiß\w*|erwärm\w*|wärmer|erhitzt\w*|chaud\w*"
        r"|(?:sur|ré|é)?chauff\w*|tièdes?|calient\w*|(?:re)?calent\w*|templad[oa]|tibi[oa]|cald[oaie]"
        r"|(?:ri|surri)?scald[ao]\w*|tiepid\w*|bollente|heet|verhit\w*|opgewarmd",
    ),
    (
        "noisy",
        r"hiss\w*|crackl\w*|nois[ey]\w*|buzz\w*|sizzl\w*|fizz\w*|zisch\w*|knister\w*|prassel\w*"
        r"|sparks?|spark(?:ed|ing)|arc(?:s|ed|ing)|flash(?:es|ed|ing)? ?over|funken"
        r"|étincell\w*|chisp\w*|scintill\w*|vonk\w*|siffl\w*"
        r"|crépit\w*|bruit\w*|grésill\w*|siseo|silba\w*|crepit\w*|chisporrot\w*|ruid\w*|fischi\w*"
        r"|sibil\w*|sfrigol\w*|rumor\w*|sist?|sissen\w*|knetter\w*|kraak\w*",
    ),
    (
        "sound",
        r"ok|okay|o\.k\.?|good|fine|clean|perfect|sound|intact|nice|excellent|(?:like |as )?new"
        r"|normal|mint|pristine|undamaged|gute?r?s?|in ordnung|i\.?o\.?|einwandfrei|unauffällig"
        r"|sauber|wie neu|makellos|unbeschädigt|bon|bonne?|bons|bonnes|bien|intacte?s?|propre"
        r"|parfaite?|correcte?|neuf|sain|ras|buen[oa]?|perfect[oa]|limpi[oa]|intact[oa]"
        r"|correct[oa]|sano"
        r"|buon[oa]|bene|perfett[oa]|pulit[oa]|intatt[oa]|integr[oa]|a posto|goede?|netjes|schoon"
        r"|prima|in orde",
    ),
)
