"""Words that turn a look in free remarks into something else, in six languages: patterns."""

from __future__ import annotations

from typing import Final

HARMLESS: Final = (
    # words of looks inside terms of the trade that have nothing to do with damage
    r"(?:noise|tone|colou?r|pulse|rausch\w*|ton)[- ]?bursts?|bursts? (?:of(?: noise)?|mode|signal"
    r"|generator)"
    r"|grid[- ]leaks?|leaky[- ]grid|leak(?:age)?[- ]?(?:free|proof|tight)|leckfrei\w*"
    r"|(?:high|low|rising|falling|excess\w*|small|good|acceptable|some dc|dc|electrical) leakage"
    r"|leakage (?:is |was |a bit |slightly |too )*(?:high|low|rising|falling|fine|ok|good|settl\w*"
    r"|drop\w*|falls?|fell|rose|rises|went|down|current|reading|test\w*)"
    r"|bruit de fond|ruido de fondo|rumore di fondo"
    r"|split[- ](?:suppl\w+|rails?|pins?|load|phase|bobbin|core|charge|screen|winding|stator)"
    r"|warm(?:ing)?[- ]?up|warm (?:white|sound\w*|tone)|hot[- ]?(?:air|swap|spare)"
    r"|hot[- ]?(?:melt|glue)(?: glue)?(?: (?:residues?|remains|blobs?))?"
    r"|hot (?:side|rail|lead|wire|line)|chauffage|riscaldamento|calefacci\w+"
    r"|heiß(?:kleb|luft|leit)\w*|wärmeleit\w*|burn(?:ed|t)?[- ]?in"
    r"|wet[- ](?:slug|tantalum|electrolytics?|aluminium|types?)|swell (?:pedals?|box|shoes?)"
    r"|russ(?:i|e|land|o)\w*|fender|explosion[- ]?(?:proof|safe)\w*|exploded (?:view|drawing)"
    r"|explosions(?:zeichnung|geschützt\w*)|vues? éclatées?|vented (?:types?|versions?|models?)"
    r"|stainless|powder[- ]?coat\w*|reversible|reversibel|réversible|reverse[- ]polarity protect\w*"
    r"|crystal (?:set|radio|filter|oscillator|mic\w*)|crystal clear|oxide (?:film|layer)"
    r"|aluminium oxide|oxidschicht|couche d'oxyde"
    r"|noise[- ](?:suppress\w*|filter\w*|reduc\w*|floor|figure|limiter)|low[- ]noise|rauscharm\w*"
    r"|(?:du|au|del|al|en el|dal|nel|in) (?:dépôt|depósito|deposito)"
    r"|sticky (?:label|tape)|popped (?:in(?:to)?|back|round|over|to|on)"
    r"|upside[- ]?down (?:under|below|beneath|on|in|from)|moisture[- ]?proof"
    r"|opened (?:for|to (?:test|measure|check))|expansion (?:chamber|valve|joint)"
    r"|heat[- ]?shrink\w*|crack(?:ed|ing)? (?:it|on|the)|reverse[d]? (?:side|engineer\w*|order)"
    r"|electrol?yte (?:has |is )?(?:dried|dry)\w*(?: out| up)?"
    r"|(?:elektrolyt|électrolyte|electrolito|elettrolita|elektroliet)"
    r" (?:ist |est |está |è |is )?(?:aus|ein|se|op|uit)?(?:ge)?(?:trocknet|ch\w*|c[oa]|droogd)"
    r"|(?:type|typ|tipo|dry|new|neue[rs]?|low|pâte|pasta|gel)[- ](?:type )?(?:"
    r"electrolyte|elektrolyt|électrolyte|electrolito|elettrolita|elektroliet)"
)
"""Blanked before anything else is read."""

THINGS: Final = (
    r"(?:resistors?|transformers?|fuses?|valves?|tubes?|rectifiers?|diodes?|transistors?"
    r"|heat ?sinks?|chokes?|coils?|pots?|potentiometers?|speakers?|switch(?:es)?|wiring|cables?"
    r"|connectors?|sockets?|lamps?|bulbs?|solder\w*|joints?|label|paint|lacquer|varnish"
    r"|(?:vor)?widerst(?:a|ä)nd\w*|(?:netz|ausgangs)?trafos?|transformator\w*|\w*sicherung\w*|röhren?"
    r"|gleichrichter\w*|dioden?|drosseln?|spulen?|lautsprecher\w*|schalter|kabel|stecker"
    r"|lötstellen?|etikett"
    r"|résistances?|transfos?|transformateurs?|fusibles?|lampes?|redresseurs?|selfs|bobines?"
    r"|haut-parleurs?|soudures?|étiquette|peinture"
    r"|resistencias?|transformador\w*|rectificador\w*|diodos?|bobinas?|altavo[zc]\w*|soldaduras?"
    r"|etiqueta|pintura"
    r"|resisten\w+|trasformator\w+|fusibil\w+|raddrizzator\w+|diodo|bobin[ae]|altoparlant\w+"
    r"|saldatur\w+|etichetta|vernice"
    r"|weerstand\w*|zekering\w*|buizen|buis|gelijkrichter\w*|spoel\w*|luidspreker\w*|soldeer\w*)"
)
"""Other things that a look may be about."""

OTHERS: Final = (
    # another part of the kind, one that was there before, and what else has a liquid in it
    r"(?:neighbou?r\w*|adjacent \w+|the others?|its twin|other (?:one|part|can|cap\w*)s?|old ones?"
    r"|previous (?:one|part|can|cap\w*)|predecessor|former (?:one|part|cap\w*)|replaces"
    r"|replacement for|instead of|flux|rosin|kolophonium|flussmittel\w*|colofonia|wax|pitch|tar"
    r"|glue|batter(?:y|ies)"
    r"|(?:one|part|cap|capacitor|elko|can)s? (?:next to|beside|near|above|below|behind) (?:it|this)"
    r"|ersatz für|pour remplacer|repuesto de|ricambio per|vervanging van"
    r"|nachbar\w*|daneben|nebenan|de[rs] andere\w*|die anderen|vorgänger\w*|ersetzt"
    r"|der alte (?=war|ist)|anstelle|statt|\w*wachs|vergussmasse|kleber|batterien?|akkus?"
    r"|voisine?s?|d'à côté|l'autre|les autres|l'ancien\w*|le précédent|remplace|à la place|cire"
    r"|colle|piles?"
    r"|vecin[oa]s?|de al lado|el otro|los otros|el anterior|el viejo|sustituye|reemplaza"
    r"|en lugar de|cera|pegamento|pilas"
    r"|accanto|l'altr[oa]|gli altri|il precedente|il vecchio|sostituisce|al posto|colla|batterie"
    r"|buurman|ernaast|naburige?|de andere|(?:het|de) vorige|de oude|vervangt|in plaats van|lijm"
    r"|batterij\w*)"
)
"""Other parts that a look may be about, and where else a liquid may come from."""

ELECTROLYTE: Final = r"(?:\w*elektrolyt\w*|électrolyte|electrol[iy]to?e?|elettrolit[ao])"

BOARD: Final = (
    r"(?:(?:circuit |printed )?boards?|pcbs?|chassis|tagstrips?|platinen?|leiterplatten?|circuit"
    r" imprimé|placas?|chasis|basett[ae]|telaio|printplaat|print)"
)
"""Where electrolyte goes: a wet or crusty board speaks of the part, a burnt one need not."""

FOREIGN: Final = (
    # apparatus, rooms, packing
    r"(?:amp|amps|amplifiers?|preamp\w*|radios?|receivers?|sets?|gear|tuners?|hum|projectors?"
    r"|cellar|basement|attic|loft|garage|shed|rooms?|cupboard|storage|climate|weather|stores?|days?"
    r"|box(?:es)?|bags?|packets?|packag\w*|carton|envelope|tape"
    r"|\w*verstärker\w*|geräte?s?|empfänger|\w*keller|dachboden|lager|raum|schachtel|tüte"
    r"|ampli\w*|poste|cave|grenier|pièce|boîte|sachet|amplificador\w*|aparato|sótano|desván"
    r"|caja|bolsa|amplificator\w*|apparecchio|cantina|soffitta|scatola|versterker\w*|toestel"
    r"|kelder|zolder|kamer|doos|zakje)"
)
"""What else is warm, damp, noisy, opened or upside down."""

INSIDE: Final = (
    r"(?:in|inside|within|im|ins|aus|dans|en|nel\w*|dentro|from|out of|del|dal\w*|du|uit)"
)
"""Behind these, apparatus and rooms are where the part was."""

ROOMY: Final = r"(?:dry|old|dusty|humid|damp|moist|warm|wet|cold|dark|unheated)"
"""May stand between a weak word and a room: "a warm dry cupboard"."""

DENIED_BEFORE: Final = (
    r"(?:not|never|didn't|doesn't|don't|won't|nicht|nie|pas|jamais|non|niet|nooit)\W+"
    r"(?:get|gets|got|grow|grew|become|became|run|ran|feel|felt|smell|make|made|been)"
    r"(?:\W+(?:at all|any|a|too))?\W+"
)
"""A denial with a verb between: "did not get hot"."""

WARM_BEHIND: Final = r"chaud\w*|tiède|calient\w*|tibi[oa]|cald[oaie]|tiepid\w*"
"""Adjectives that stand behind their thing."""

SOUND: Final = (
    r"(?:channels?|volume|music|stations?|reception|background|kanal|lautstärke|musik|canal|voie"
    r"|música|canale|musica|kanaal|muziek)"
)
"""Of a noise in the loudspeaker."""

FROM: Final = (
    r"(?:from|of|in|on|at|by|when|aus|von|vo[mn]|beim?|des?|du|del?|dal\w*|da|van|uit|bij)"
)
"""Behind these stands what makes a noise."""

ARCS: Final = r"spark\w*|arc\w*|flash\w*.*|funken|étincell\w*|chisp\w*|scintill\w*|vonk\w*"

LOOSE_LEAD: Final = (
    r".*(?<!\w)(?:wires?|fils?|draht|draad|off|detached|missing|fehlt|cut|trimmed)(?!\w).*"
)
"""Taken off by somebody, or broken off."""

DESIGNATOR: Final = r"(?:ic|tr|[clqrvtdfks])\d{1,4}[a-z]?"

AWAY: Final = (
    r"(?:next to|beside|near|close to|by|under|above|behind|below|from|like|onto|on|over|into"
    r"|neben|bei|unter|über|hinter|nahe|wie|auf"
    r"|près d[eu]|sous|sur|derrière|comme|junto a|cerca de|sobre|bajo|detrás de|como"
    r"|vicino a\w*|sotto|sopra|dietro|come|su\w*|naast|bij|onder|boven|achter|zoals|op)"
)
"""What stands behind these words is a place or a likeness, not what the look is about."""

ARTICLE: Final = (
    r"(?:the|an?|its?|this|one|de[rmns]|die|das|ein\w*|le|la|les?|un[aeo]?|des?|du|d'|l'|el|los"
    r"|las|il|lo|gli|i|het|een|of|von|van|di|que|che)"
)

WEAK: Final = (
    # leaked
    r"wet|damp|moist\w*|smell\w*|stinks?|fishy|goo|gooey|goop\w*|sticky|spill\w*|spilt|liquid"
    r"|feucht\w*|nass\w*|riecht|flüssigkeit|liquide|humid\w*|líquido|liquido|húmed\w*|bagnat\w*"
    r"|umid\w*|nat|vochtig|vloeistof"
    # bulged
    r"|expan\w+|inflated|bowed|crowned|ausgedehnt|hochgekommen|soulevée?s?|dilat\w+|levantad[oa]s?"
    r"|sollevat[oaie]|espans\w+|uitgezet|opgezet|bolling|boll?e?|puff\w*"
    r"|not (?:quite )?level|nicht (?:ganz )?eben|(?:pas|plus|no|non) plan[eoa]?"
    # vented, split, burst
    r"|opened(?: up)?|s'est ouvert\w*|se ha abierto|se abrió|si è apert[oa]|aufgegangen|opengegaan"
    r"|split\w*|craqu\w*|riss|popped|gesprongen|geklapt"
    # scorched, residue
    r"|smok\w+|rauch\w*|qualm\w*|fum\w+|humo|rook|rookte?|burns?|melt\w*|overheat\w*|soot\w*|browned|überhitzt\w*|fus[oa]|fondu\w*|noirci\w*"
    r"|residues?|crust\w*|deposits?|powder\w*|crystal\w*|bloom|stain\w*|gunk|fluff\w*|rückst\w*"
    r"|krust\w*|verkrust\w*|ablagerung\w*|kristall?\w*|ausblühung\w*|belag|résidus?|croût\w*"
    r"|dépôts?|crist\w*|residuos?|costras?|depósitos?|incrust\w*|crost\w*|incrost\w*|deposit[oi]"
    r"|residui?|korst\w*|aanslag|afzetting\w*"
    # reversed
    r"|revers\w*|backwards?|upside down|(?:the )?other way(?: a?round)?|andersherum|vertauscht"
    r"|inversé\w*|invertid\w*|invertit\w*|al contrario|andersom|omgekeerd|back to front"
)
"""Words of looks that say as much of rooms, sound and handling: taken only where nothing else
stands in their clause, else to be looked at. So are all words for "warm" and "noisy"."""

LEAKS: Final = (
    r"leak|leaks|leaky|leakage|leaking|leckt|fuites?|fuit|fuya\w+|perdiendo|fugas?|pérdidas?|perdidas?"
    r"|perdit[ae]|perde|lek|lekt|lekken\w*|lekkage\w*"
)
"""Electrolyte, or current: the words are the same."""

NOISE: Final = r"nois\w*|bruit\w*|ruid\w*|rumor\w*"
"""Of the part under voltage, or in the loudspeaker."""

ELECTRICAL: Final = (
    r"\d\s*(?:[mµu]a|v|%|ohm|[mk]?Ω)|[mµu]a|current\w*|strom\w*|courant\w*|corriente\w*|corrente"
    r"|stroom|esr|dc|electrical\w*|elektrisch\w*|électrique\w*|eléctric\w*|elettric\w*|tested|test"
    r"|meter|measured?|gemessen|mesurée?s?|medid[ao]s?|misurat[ao]|gemeten|capac\w*|kapazität\w*"
    r"|megger|insulation|reform\w*|formier\w*|reading|reads"
)

CASE: Final = (
    r"(?:cans?|case|casing|body|lids?|tops?|bottom|base|ends?|seals?|bungs?|rubber|vents?|plugs?"
    r"|terminals?|tags?|leads?|pins?|liquid|fluid|goo|board|"
    r"becher|gehäuse|deckel|boden|dichtung|stopfen|ventil|gummi|anschl\w+|unten|oben|"
    r"boîtier|couvercle|fond|joint|bouchon|borne|bas|haut|"
    r"carcasa|tapa|base|goma|junta|tapón|borne|abajo|"
    r"custodia|coperchio|fondo|guarnizione|gomma|tappo|sotto|"
    r"behuizing|deksel|bodem|afdichting|rubber|stop|onderkant|bovenkant)"
)
"""Places on a part."""

CHECK: Final = (
    r"(?:check|inspect|examine|watch|look(?:ing)? (?:for|out)|beware|in case|if|whether|unless"
    r"|might|may|could|risk of|likely|prüfen|kontrollieren|ob|falls|wenn|könnte|vérifier|contrôler"
    r"|pourrait|risque|comprobar|revisar|vigilar|podría|riesgo|controllare|verificare"
    r"|potrebbe|rischio|controleren?|nakijken|als|zou)"
)
"""It was not seen; somebody is to look."""

BESIDE: Final = (
    rf"{CASE}|{ARTICLE}|caps?|capacitors?|elkos?|condens\w+|kondensator\w*|condensador|cond\."
    r"|around|near|under\w*|at|on|in|from|of|to|out|inside|outside|one|side|both|feels?|felt|gets?|getting"
    r"|got|grew|becomes?|became|runs?|ran|running|too|hand|hold|geworden|mucho|noticeably|very|quite|rather|badly"
    r"|slight\w*|little|bit|already|again"
    r"|somewhat|visibly|clearly|still|is|are|was|has|have|been|it|with|voltage|power|applied|after"
    r"|some|all|over|a few|two|three|four|five|ten|fifteen|twenty|thirty|half an|quarter of an"
    r"|minutes?|mins?|hours?|h|s|v|volts?|old|white|brown|strong\w*|maybe"
    r"|possibly|perhaps|probably|fitted|installed|mounted|built|put|wurde|wird|ist|sind|war|etwas"
    r"|stark|leicht|sehr|zu|schon|wieder|am|an|bei|unter|mit|nach|spannung|minuten|um|eingebaut|fühlt"
    r"|sich|est|était|devient|un peu|très|au|aux|sous|tension|après|à|dans|se|pone|está|muy|algo"
    r"|once|while|when|during|measuring|powered|im|ins|beim|messen"
    r"|along|seams?|lengthwise|halfway|circuit|fish|ammonia|naht|schaltung|ammoniak"
    r"|en|con|por|bajo|tensión|montado|montato|montée?|è|era|diventa|molto|un po'|po|sul|sulla|nel"
    r"|al|alla|sotto|tensione|si|wordt|werd|zeer|erg|beetje|aan|onder|spanning|na|minuten|gemonteerd"
    r"|last (?:week|month|year|time|night)|yesterday|today|ago|years?|weeks?|days?|in \d{4}"
    r"|(?:by|from) (?:the |a )?(?:last|previous|former|earlier) (?:man|owner|chap|guy|repair\w*)"
    r"|(?:by )?some(?:one|body)|wired|soldered|connected|round|bit|hard|dry|dried|green|blue|grey"
    r"|yellow|touch\w*|handled|loud\w*|bang|had|there|this|that|wires?|charged|makes|made"
    r"|letzte woche|gestern|vor|jahren|vom vorbesitzer|angeschlossen|verdrahtet|alte[rs]?"
    r"|harte?[rs]?"
    r"|weiße?[rs]?|grüne?[rs]?|ein bisschen|wurden?|beim anfassen|semaine dernière|hier|branchée?"
    r"|a|été|vieux|dure?s?|blanche?s?|verte?s?|autour|de|semana pasada|ayer|conectado|fue"
    r"|viej[oa]s?"
    r"|dur[oa]s?|blanc[oa]s?|verdes?|alrededor|settimana scorsa|ieri|collegato|stato|vecchi[oa]"
    r"|bianc[oahe]+|intorno|vorige week|gisteren|aangesloten|oude?|harde?|witte?|groene?|rond"
    r"|ingebouwd|chauffe|\d+(?:[.,]\d+)?(?:v|mins?|h|s|mm)?|mm"
)
"""Words that may stand beside a weak word."""
