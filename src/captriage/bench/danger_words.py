"""Words of a part that fails, typed while a voltage stands: they switch off, whatever was asked.

Somebody who sees smoke types what comes to mind, wherever the cursor stands. One word too many here
costs a run that is begun again; one too few may cost an eye.
"""

from __future__ import annotations

import re
from typing import Final

from captriage.bench.stopping import Stopped

_STEMS: Final = (
    # in English, as they begin; ours
    *("hiss", "siz", "fizz", "crack", "pop", "bang", "spark", "arc", "explo", "burst", "spli"),
    *("vent", "bulg", "swel", "leak", "spray", "drip", "steam", "smok", "fum", "smel", "stink"),
    *("burn", "fire", "flam", "glow", "scorch", "hot", "warm", "heat", "boil"),
    *("shock", "danger", "help", "stop", "abort", "emergency", "off"),
)
_DANGER: Final = re.compile(rf"(?<![a-z])(?:{'|'.join(_STEMS)})", re.IGNORECASE)


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
