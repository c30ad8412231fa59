"""Numbers as people write them: SI values with the trade's prefixes."""

from __future__ import annotations

import math
from typing import Final

from captriage.columns import QUANTITIES

SCALES: Final = {
    # unit: prefixed units, largest first; capacitance is never written in mF or F by the trade
    "F": ((1e-6, "µF"), (1e-9, "nF"), (1e-12, "pF")),
    "Ω": ((1e6, "MΩ"), (1e3, "kΩ"), (1.0, "Ω"), (1e-3, "mΩ")),
    "A": ((1.0, "A"), (1e-3, "mA"), (1e-6, "µA"), (1e-9, "nA")),
    "Hz": ((1e6, "MHz"), (1e3, "kHz"), (1.0, "Hz")),
    "V": ((1.0, "V"),),
    "J": ((1.0, "J"), (1e-3, "mJ")),
    "": ((1.0, ""),),
}
MICROFARADS_FROM: Final = 9.5e-8  # 0.1 µF is written so; 47 nF is
NAMES: Final = {
    "capacitance": "capacitance",
    "esr": "ESR",
    "tan_delta": "tan δ",
    "leakage_current": "leakage",
    "resistance": "resistance",
    "impedance": "impedance",
}
NOT_GIVEN: Final = "–"


def figure(value: float, unit: str, *, digits: int = 3) -> str:
    """Value with its unit, prefixed and rounded: ``figure(4.7e-5, "F")`` is "47 µF".

    Parameters
    ----------
    value : float
        In the SI unit ``unit``; NaN where it is not known.
    unit : str
        Key of :data:`SCALES`.
    digits : int
        Significant digits kept.

    Returns
    -------
    str
        "–" for NaN, "∞" for infinity.
    """
    if math.isnan(value):
        return NOT_GIVEN
    if math.isinf(value):
        return "∞" if value > 0 else "-∞"
    scales = SCALES[unit]
    size = abs(value) * (1 + 0.5 * 10.0**-digits)
    if unit == "F" and size >= MICROFARADS_FROM:
        scales = scales[:1]
    factor, sign = next((pair for pair in scales if size >= pair[0]), scales[-1])
    if value == 0:
        factor, sign = 1.0, unit
    return f"{plain_number(value / factor, digits=digits)} {sign}".rstrip()


def plain_number(value: float, *, digits: int = 3) -> str:
    """Rounded to significant digits, never in powers of ten: "22000", "0.31", "1.5"."""
    rounded = float(f"{value:.{digits}g}")
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(rounded)))) if rounded else 0
    text = f"{rounded:.{min(decimals, 15)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def quantity_figure(value: float, quantity: str, *, digits: int = 3) -> str:
    """Value of one of the measured quantities, with its unit."""
    return figure(value, QUANTITIES[quantity][0], digits=digits)


def rating(capacitance: float, voltage: float) -> str:
    """What is printed on the part: "32 µF 450 V"; what is not known is left out."""
    known = ((capacitance, "F"), (voltage, "V"))
    return " ".join(figure(value, unit, digits=4) for value, unit in known if value == value)


def percent(fraction: float) -> str:
    """Fraction as a whole percentage; "–" for NaN."""
    return NOT_GIVEN if math.isnan(fraction) else f"{100 * fraction:.0f} %"


def duration(seconds: float) -> str:
    """Time as said at the bench: "30 s", "5 min", "2 h"."""
    for length, unit in ((3600.0, "h"), (60.0, "min")):
        if seconds >= length and (seconds % length == 0 or seconds >= 10 * length):
            return f"{plain_number(seconds / length)} {unit}"
    return NOT_GIVEN if math.isnan(seconds) else f"{plain_number(seconds)} s"


def span(low: float, high: float, quantity: str) -> str:
    """Interval in words, open where an end is NaN: "36 to 60 µF", "at most 1.1 mA"."""
    if math.isnan(low) and math.isnan(high):
        return NOT_GIVEN
    if math.isnan(low):
        return f"at most {quantity_figure(high, quantity)}"
    if math.isnan(high):
        return f"at least {quantity_figure(low, quantity)}"
    first, last = quantity_figure(low, quantity), quantity_figure(high, quantity)
    number, _, unit = first.partition(" ")
    return f"{number if last.endswith(f' {unit}') else first} to {last}"
