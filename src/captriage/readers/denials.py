"""How far a word of denial reaches in free text, in six languages.

A denial holds for the finding it is directly joined to, and for those listed behind that
with "or". Behind any other word a finding counts: "no markings bulged top" is bulged,
because a fault overlooked is worse than one looked at twice.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final, NamedTuple


class Finding(NamedTuple):
    """Words of a clause that name a look; ``sound`` where they say that nothing is wrong."""

    start: int
    end: int
    sound: bool


DOUBT: Final = re.compile(
    r"(?<!\w)(?:not sure|unsure|not certain|can't tell|cannot tell|not only|no longer|nicht sicher"
    r"|nicht nur|pas sûr|pas certain|no seguro|no sé|non sicuro|non solo|niet zeker|niet alleen"
    r"|(?:no|without(?: a| any)?|beyond(?: any)?) (?:doubt|question)|no mistake|not to mention"
    r"|ohne (?:jeden )?zweifel|kein zweifel|sans (?:aucun )?doute|aucun doute|sin (?:ninguna )?duda"
    r"|senza (?:alcun )?dubbio|nessun dubbio|zonder (?:enige )?twijfel|geen twijfel)(?!\w)"
)
"""Words that would deny, but leave the finding behind them standing."""
OR: Final = re.compile(r"(?<!\w)(?:or|nor|oder|ou|o|of|noch|ni|né)(?!\w)")
_NOT: Final = re.compile(
    r"(?<!\w)(?:no|not|never|without|free of|free from|none|nothing|neither|isn't|aren't|wasn't"
    r"|hasn't|doesn't|nicht|nichts|kein\w*|weder|ohne|nie|pas|aucun\w*|sans|non|jamais|sin"
    r"|ningun\w*"
    r"|ningún|nunca|nessun\w*|senza|mai|niet|geen|zonder|nooit|0|nor|né|noch|ni|ne(?=\W.*\Wpas)"
    r"|n'(?=.*\Wpas))(?!\w)"
)
_NOT_AFTER: Final = re.compile(
    r"\W*[:=-]?\s*(?:none|no|nein|non|nee|keine?|aucune?|free|nicht|niet|pas)\s*$"
)
_JOINED: Final = (
    r"(?:[\s\"'-]|(?<!\w)(?:any|all|at|of|the|an?|signs?|evidence|traces?|hints?|visible|visibly"
    r"|obvious|obviously|apparent|apparently|noticeabl[ey]|external|physical|unusual|really|yet"
    r"|so far|is|are|was|were|been|has|have|being|look\w*|seem\w*|appear\w*|to be|electrolyte|"
    r"electrolytics?|elkos?|caps?|capacitors?|parts?|them|kondensator\w*|anzeichen|zeichen"
    r"|spur(?:en)?|von|"
    r"sichtbar\w*|erkennbar\w*|ist|sind|der|die|das|des?|du|d|l|les?|la|une?|est|sont|trace|signe"
    r"|il y a|ha[ny]?"
    r"|señal(?:es)?|rastros?|visibles?|visivel|es|está\w*|tiene|el|los|las|di|segn[oi]"
    r"|tracc[ei]a?|ci"
    r"|sono|c'è|è|visibil[ei]|sporen|teken\w*|van|zichtba\w+|een|enige?)(?!\w))*"
)
_DIRECTLY: Final = re.compile(_JOINED)
_LISTED: Final = re.compile(rf"{_JOINED}{OR.pattern}{_JOINED}")
_LIST_GOES_ON: Final = re.compile(rf"(?:{OR.pattern})?{_JOINED}")
_LIST_ENDS: Final = re.compile(rf"{_JOINED}(?:anywhere|seen|present|found|visible)?[\s.!]*")
_QUALITY: Final = re.compile(
    r"wet|sticky|damp|moist|gooey|burnt|leaky|rusty|crusty|powdery|feucht\w*|nasse\w*|humide?"
)


def denied(clause: str, findings: Sequence[Finding], *, listed: bool) -> tuple[list[bool], bool]:
    """Which findings of a clause are denied, and whether its denial goes on behind a comma.

    Parameters
    ----------
    clause : str
        Lower-case text without stops.
    findings : sequence of Finding
        In the order of their places.
    listed : bool
        The clause continues a list that was denied.

    Returns
    -------
    flags : list of bool
        One a finding.
    goes_on : bool
        A denied finding stands last, so that a list may go on.
    """
    denials = list(_NOT.finditer(clause))
    flags, reach, linked = [], 0 if listed else -1, _LIST_GOES_ON
    for finding in findings:
        direct = any(
            finding.start <= no.start() < finding.end  # "bung not soft"
            or (no.end() <= finding.start and _DIRECTLY.fullmatch(clause, no.end(), finding.start))
            for no in denials
        )
        joined = reach > finding.start or (
            reach >= 0 and linked.fullmatch(clause, reach, finding.start) is not None
        )
        after = _NOT_AFTER.match(clause, finding.end) is not None
        flags.append(direct or joined or after)
        reach = max(reach, finding.end) if (direct or joined) and not finding.sound else -1
        quality = _QUALITY.fullmatch(clause, finding.start, finding.end) is not None
        linked = _LIST_GOES_ON if quality else _LISTED
    goes_on = bool(flags) and reach >= 0 and _LIST_ENDS.fullmatch(clause, reach) is not None
    return flags, goes_on
