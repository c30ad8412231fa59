"""What each numeric column holds: its dimension, what is possible, and bare numbers.

One row a quantity. The allowed range is not a limit for a good part; it is where a
number stops being a reading of a capacitor in mains-powered electronics and has to be
a slip of unit or decimals. These ranges are ours (common practice).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from captriage.unit_names import Unit
from captriage.units import Scanned, format_quantity

Amount = TypeVar("Amount", float, NDArray[np.float64])


@dataclass(frozen=True, slots=True)
class Rule:
    """How one quantity is written.

    Parameters
    ----------
    dimension : str
        Key of the unit tables; "1" for a plain ratio, "any" where the unit of the
        cell or heading decides.
    low, high : float
        Allowed SI values, ends included.
    bare : Unit or None
        What a number without any unit means; None where that has to be asked.
    names : tuple of str
        Labels that may stand before the value in the cell ("ESR = 0.31").
    """

    dimension: str
    low: float
    high: float
    bare: Unit | None
    names: tuple[str, ...] = ()


_OHM: Final = Unit("Ω")
_RATIO: Final = Unit("1")
_VOLT: Final = Unit("V")
_YEAR: Final = Unit("a")

RULES: Final[dict[str, Rule]] = {
    "capacitance": Rule("F", 0.0, 10.0, None, ("c", "cs", "cp", "cap")),
    "capacitance_rated": Rule("F", 1e-12, 10.0, None, ("c", "cr", "cap")),
    "capacitance_percent": Rule("F", 0.0, 10.0, None, ("c",)),
    "capacitance_deviation": Rule("F", 0.0, 10.0, None, ("c", "dc")),
    "esr": Rule("Ω", 0.0, 1e7, _OHM, ("esr", "rs", "r")),
    "resistance": Rule("Ω", 0.0, 1e13, _OHM, ("r",)),
    "impedance": Rule("Ω", 0.0, 1e9, _OHM, ("z", "|z|")),
    "tan_delta": Rule("1", 0.0, 10.0, _RATIO, ("d", "df", "tan d", "tan δ", "tanδ", "tgδ")),
    "q": Rule("1", 0.1, 1e6, _RATIO, ("q",)),
    "power_factor": Rule("1", 0.0, 0.995, _RATIO, ("pf", "cos φ")),
    "leakage_current": Rule("A", -10.0, 10.0, None, ("i", "il", "leakage", "leak")),
    "voltage_rated": Rule("V", 0.5, 2000.0, _VOLT, ("v", "u", "ur", "vr")),
    "voltage_working": Rule("V", 0.0, 5000.0, _VOLT, ("v", "u")),
    "voltage_v": Rule("V", 0.0, 5000.0, _VOLT, ("v", "u")),
    "frequency_hz": Rule("Hz", 0.0, 1e8, Unit("Hz"), ("f",)),
    "soak_s": Rule("s", 0.0, 3.2e7, Unit("s"), ("t",)),
    "temperature_degc": Rule("°C", -80.0, 200.0, Unit("°C"), ("t",)),
    "service_temperature_degc": Rule("°C", -80.0, 200.0, Unit("°C"), ("t",)),
    "idle_years": Rule("a", 0.0, 120.0, _YEAR),
    "age_years": Rule("a", 0.0, 120.0, _YEAR),
    "service_hours": Rule("s", 0.0, 1e6, Unit("s", 3600.0), ()),
    "uncertainty": Rule("any", 0.0, math.inf, None),
    "range_high": Rule("any", 0.0, math.inf, None),
}

CONDITION_OF: Final = {
    "V": "voltage_v",
    "Hz": "frequency_hz",
    "s": "soak_s",
    "°C": "temperature_degc",
    "°F": "temperature_degc",
}
"""Which condition a second quantity in the cell states."""

ALWAYS_PERCENT: Final = ("capacitance_percent", "capacitance_deviation")
PERCENT: Final = ("capacitance", *ALWAYS_PERCENT)
PERCENT_UNIT: Final = Unit("%", 1.0, 100.0)
MICROFARAD: Final = Unit("F", 1.0, 1e6)

BARE_MICROFARAD: Final = "no unit: taken as µF"
BARE_FARAD: Final = "no unit: taken as F"
BARE_AMPERE: Final = "no unit: taken as A"
BARE_RATIO_MOST: Final = 1.5
"""A bare tan δ above this may as well be percent."""
BARE_MICROFARAD_RANGE: Final = (0.0, 5e5)
"""A bare capacitance in here is in µF by common usage, where no rating decides."""
BARE_RATED_RATIO: Final = (0.01, 3.0)
"""A bare capacitance this many times the rating, taken in µF, is in µF."""
PLAUSIBLE_RATIO: Final = (0.2, 3.0)
"""Of two readings of a cell, one in here and one outside: the rating decides."""


_SHOWN_AS: Final = {
    "service_hours": "h",
    "idle_years": "years",
    "age_years": "years",
    "temperature_degc": "°C",
    "service_temperature_degc": "°C",
    "uncertainty": "",
    "range_high": "",
}
_FITTING: Final = {
    "1": ("1", "%"),
    "any": ("F", "Ω", "A", "V", "1", "%"),
    "°C": ("°C", "°F", "K"),
}


def spoken(quantity: str) -> str:
    """The quantity as a sentence calls it."""
    return re.sub("_(?:degc|hz|s|v|years)$", "", quantity).replace("_", " ")


def shown(value: float, quantity: str) -> str:
    """A value of the quantity (as it is stored) for people."""
    if quantity in ("q", "power_factor"):
        return format_quantity(value, "")
    dimension = RULES[quantity].dimension
    unit = _SHOWN_AS.get(quantity, "" if dimension == "1" else dimension)
    return format_quantity(value, unit, digits=4)


def unit_fits(unit: Unit, quantity: str) -> bool:
    """Whether a unit of this dimension can stand in a column of ``quantity``."""
    dimension = RULES[quantity].dimension
    if unit.dimension == "%":
        return quantity in PERCENT or (dimension in ("1", "any") and quantity != "q")
    return unit.dimension in _FITTING.get(dimension, (dimension,))


def to_value(number: Amount, unit: Unit, quantity: str) -> Amount:
    """Number of ``unit`` as the column stores it: SI, or °C, years and hours."""
    if RULES[quantity].dimension == "°C":
        if unit.dimension == "°F":
            return (number - 32.0) / 1.8
        return number - 273.15 if unit.dimension == "K" else number
    value = number * unit.multiply / unit.divide
    return value / 3600.0 if quantity == "service_hours" else value


def read_condition(scanned: Scanned, name: str) -> float:
    """Value of a condition beside a reading; NaN where it is ambiguous or impossible."""
    unit = scanned.unit or Unit("1")
    if unit.dimension == "°F":
        value = (scanned.number.value - 32.0) / 1.8
    else:
        value = unit.to_si(scanned.number.value)
    rule = RULES[name]
    return value if rule.low <= value <= rule.high else math.nan


def out_of_range(value: float, quantity: str, text: str) -> tuple[str, str] | None:
    """Problem and remedy of a value that no reading can have; None for a possible one."""
    rule = RULES[quantity]
    if rule.low <= value <= rule.high:
        return None
    if value < 0.0 <= rule.low:
        return f"negative {spoken(quantity)}: '{text}'", "check the sign; it cannot be negative"
    unit = _SHOWN_AS.get(quantity, "" if rule.dimension == "1" else rule.dimension)
    low, high = format_quantity(rule.low, unit), format_quantity(rule.high, unit)
    return (
        f"{spoken(quantity)} out of range: '{text}'",
        f"allowed is {low} to {high}; check the unit and the decimals",
    )


def transformed(value: float, quantity: str) -> float:
    """The value as the quantity it is stored under: tan δ from Q or power factor.

    tan δ = 1/Q and tan δ = PF / √(1 − PF²), both from the geometry of the impedance
    triangle; service hours from seconds. NaN stays NaN.
    """
    if quantity == "q":
        return 1.0 / value if value > 0 else math.nan
    if quantity == "power_factor":
        return value / math.sqrt(1.0 - value * value) if abs(value) < 1 else math.nan
    return value
