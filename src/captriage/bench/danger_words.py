"""Words of a part that fails, typed while a voltage stands: they switch off, whatever was asked.

Somebody who sees smoke types what comes to mind, wherever the cursor stands. One word too many here
costs a run that is begun again; one too few may cost an eye.
"""

from __future__ import annotations

import re
from typing import Final

from captriage.bench.stopping import Stopped

_STEMS: Final = """
hiss siz fizz crack pop bang spark arc explo burst spli vent bulg swel leak spray drip steam smok
fum smel stink burn fire flam glow scorch hot warm heat boil shock danger help stop abort emergency
off
zisch knister knall knack funk platz geplatz w(?:ö|oe)lb gew(?:ö|oe)lb (?:ge)?bl(?:ä|ae)h ausgelauf
l(?:ä|ae)uft tropf dampf rauch qualm riech brenn verbr brand feuer gl(?:ü|ue)h hei(?:ß|ss) handwarm
schlag gefahr hilfe aus halt
siffl cr[ée]pit [ée]clat [ée]tincel gonfl fuit coule vapeur odeur br[ûu]l feu chaud chauff arr[êe]t
coupe aide secours
silb chisp hinch fuga gote vapor humo huele quem fuego calient apag ayuda peligro
sibil fischi scintill scopp gonfi perde gocciol puzz bruci fuoco cald scald ferma spegn aiuto
pericolo
sis knett knal vonk gebarst bol lekt rook ruik vuur heet uit gevaar
"""
"""As they begin, in the languages that sheets are read in; ours."""

_DANGER: Final = re.compile(rf"(?<![^\W\d_])(?:{'|'.join(_STEMS.split())})", re.IGNORECASE)


def tells_danger(text: str) -> bool:
    """Whether what was typed holds a word of danger, be it denied: "it hisses", "hot", "off"."""
    return _DANGER.search(text) is not None


def stop_at_danger(typed: str) -> None:
    """Stop the run at once where what was typed holds a word of danger.

    Raises
    ------
    Stopped
        It does.
    """
    if tells_danger(typed):
        raise Stopped(f"the person typed {typed!r}")
