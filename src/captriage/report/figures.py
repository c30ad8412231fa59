"""Numbers as the reports write them: ratings, shares, times and intervals."""

from __future__ import annotations

import math
import re
from typing import Final

from captriage.columns import QUANTITIES
from captriage.units import format_quantity

NAMES: Final = {
    "capacitance": "capacitance",
    "esr": "ESR",
    "tan_delta": "tan δ",
    "leakage_current": "leakage",
    "resistance": "resistance",
    "impedance": "impedance",
    "capacitance_before": "capacitance before",
    "esr_before": "ESR before",
    "tan_delta_before": "tan δ before",
}
NOT_GIVEN: Final = "–"
NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_BEFORE_UNIT: Final = re.compile(r"(?<=\d) (?=[%°µnmkMGpΩVAFHJWsh])")


def quantity_figure(value: float, quantity: str) -> str:
    """Value of one of the measured quantities, with its unit; "–" for NaN."""
    return format_quantity(value, QUANTITIES[quantity][0])


def rating(capacitance: float, voltage: float, *, digits: int = 4) -> str:
    """What is printed on the part: "32 µF 450 V"; what is not known is left out."""
    known = ((capacitance, "F"), (voltage, "V"))
    return " ".join(
        format_quantity(value, unit, digits=digits) for value, unit in known if value == value
    )


def percent(fraction: float) -> str:
    """Fraction as a whole percentage; nothing read is sure, so never "100 %". "–" for NaN."""
    if math.isnan(fraction):
        return NOT_GIVEN
    if fraction > 0.99:
        return ">99 %"
    return "<1 %" if fraction < 0.01 else f"{100 * fraction:.0f} %"


def duration(seconds: float) -> str:
    """Time as said at the bench: "30 s", "5 min", "2 h"; "–" for NaN."""
    for length, unit in ((3600.0, "h"), (60.0, "min")):
        if seconds >= length and (seconds % length == 0 or seconds >= 10 * length):
            return f"{format_quantity(seconds / length, '')} {unit}"
    return format_quantity(seconds, "s")


def span(low: float, high: float, quantity: str) -> str:
    """Interval in words: "36 to 60 µF", "at most 1.1 mA"; an end that is NaN is open."""
    if math.isnan(high):
        return NOT_GIVEN if math.isnan(low) else f"at least {quantity_figure(low, quantity)}"
    if math.isnan(low) or low == 0:
        return f"at most {quantity_figure(high, quantity)}"
    first, last = quantity_figure(low, quantity), quantity_figure(high, quantity)
    number, _, unit = first.partition(" ")
    return f"{number if last.endswith(f' {unit}') else first} to {last}"


def unbroken(text: str) -> str:
    """Text whose numbers are not parted from their units at the end of a line."""
    return _BEFORE_UNIT.sub(NO_BREAK, text)
