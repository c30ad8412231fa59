"""Quantities and units as meters send them, and how large a reading can be at all."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from captriage.columns import BEFORE, BENCH_QUANTITIES, QUANTITIES
from captriage.unit_names import MF_MODERN, Unit
from captriage.units import normalise, parse_unit

DIMENSIONS: Final = {
    name: unit
    for name, (unit, _) in (QUANTITIES | BENCH_QUANTITIES).items()
    if name not in BEFORE.values()
}
"""Quantity: its SI unit, "" for a plain number; no meter reads what was before."""
SETTING_UNITS: Final = {"hz": "Hz", "v": "V", "a": "A", "s": "s", "ohm": "Ω", "degc": "°C"}
"""How the name of a setting ends: its SI unit."""

MOST_SENT: Final = {
    "F": 1e6,  # a short: its reactance is all but nought
    "Ω": 1e18,
    "": 1e9,  # tan δ of open clips
    "A": 1e4,
    "V": 1e6,
    "°C": 1e4,
}
"""SI unit: the most, of either sign, that a meter at a bench means as a reading.

Far beyond what any part is, and well short of what makers send to say that there is no reading.
"""

_TRUSTED_DOUBTS: Final = (MF_MODERN, "MA taken as mA")  # what a meter, not a person, means


@lru_cache(maxsize=256)
def unit_of(text: str, dimension: str) -> Unit | None:
    """Unit that a meter means by ``text``; None where it is not of this dimension, or doubtful.

    "mF" is a millifarad here: only people write it for microfarads. "MF" may be either.
    """
    unit = parse_unit(normalise(text), dimension or "%")
    if unit is None or (unit.doubt and unit.doubt not in _TRUSTED_DOUBTS):
        return None
    fitting = {"": ("%",), "°C": ("°C", "°F", "K")}.get(dimension, (dimension, "prefix"))
    return unit if unit.dimension in fitting else None


def dimension_of_setting(name: str) -> str:
    """SI unit of a setting, from the end of its name: "Hz" of "frequency_hz"."""
    return SETTING_UNITS.get(name.rpartition("_")[2], "")
