"""What a person means by what is typed for one quantity: a number, a bound, or a word."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import isnan, nan
from typing import Final, NoReturn

from captriage.bench.accuracy import uncertainty
from captriage.bench.measured import Value
from captriage.bench.profile import Accuracy
from captriage.bench.sent_units import DIMENSIONS
from captriage.errors import Garbled
from captriage.unit_names import Unit
from captriage.units import Scanned, format_quantity, normalise, scan_quantity

PLAUSIBLE: Final[Mapping[str, tuple[float, float]]] = {
    # What a reading of a capacitor in mains-powered electronics can be; anything else is a
    # slip of unit or decimals. Common practice.
    "capacitance": (0.0, 10.0),
    "esr": (0.0, 1e7),
    "tan_delta": (0.0, 10.0),
    "leakage_current": (-10.0, 10.0),
    "resistance": (0.0, 1e13),
    "impedance": (0.0, 1e9),
    "current": (-10.0, 10.0),
    "voltage": (-5000.0, 5000.0),
    "temperature": (-80.0, 200.0),
    "output": (0.0, 1.0),
    "tripped": (0.0, 1.0),
}
BARE: Final = ("Ω", "V", "°C", "")
"""Units that need not be typed; a bare capacitance or current may be in µ, m or n."""
BARE_RATIO_MOST: Final = 1.5
"""A bare tan δ above this may as well be percent."""
EXAMPLES: Final[Mapping[str, str]] = {
    "F": "34.6 µF",
    "A": "1.2 mA",
    "Ω": "0.31 Ω",
    "V": "390 V",
    "°C": "23 °C",
    "": "0.032 or 3.2 %",
}

_OVERLOADS: Final = ("ol", "o.l", "o.l.", "0l", "0.l", "ovl", "ovld", "overload", "inf", "∞")
_OVER: Final = frozenset((*_OVERLOADS, "over", "over range", "overrange", "over-range"))
_WORDS: Final = {
    **dict.fromkeys(("open", "o/c", "oc", "open circuit"), "open"),
    **dict.fromkeys(("short", "shorted", "s/c", "sc", "short circuit", "dead short"), "short"),
    **dict.fromkeys(("", "-", "--", "no reading", "blank", "none", "n/a", "skip"), "no reading"),
}
_DASHES: Final = re.compile(r"(?:[-_.] ?){2,}")
_MARK: Final = re.compile(
    r"(?P<least>> ?=?|≥|over|above|more than|at least)"
    r"|(?P<most>< ?=?|≤|under|below|less than|at most)"
    r"|(?P<about>~|≈|about|approx\.?|circa|ca\.)",
    re.IGNORECASE,
)
_RANGE: Final = re.compile(r"(\S+) *\(?(?:on |range )*([^()]*?\d[^()]*?)(?: range)?\)?", re.I)
_PLUS_MINUS: Final = re.compile(r"±|\+/-|\+-")


def understand_typed(text: str, quantity: str, steps: Sequence[Accuracy] = ()) -> Value:
    """What was typed for one quantity.

    Parameters
    ----------
    text : str
        "34.6 µF", "4u7", "0R31", "3,2 %", "<10 µA", "~47 µF", "34.6 ± 0.2 µF", "OL", "OL 20
        mA" (the range it was on), "open", "short"; nothing, or dashes, where the instrument
        shows no reading.
    quantity : str
        What was asked for.
    steps : sequence of Accuracy
        Of the instrument, where it is known.

    Returns
    -------
    Value
        As :func:`captriage.bench.replies.understand` gives one for a meter on a wire; flags
        as a sheet with these words would have.

    Raises
    ------
    Garbled
        Why it cannot be used, in words to show before asking again.
    """
    folded = " ".join(normalise(text).split())
    word = folded.lower().strip("\"'!")
    if word in _WORDS or _DASHES.fullmatch(word):
        return Value(quantity, nan, flag=_WORDS.get(word, "no reading"))
    over = _over_range(word, folded, quantity)
    if over is not None:
        return over
    left, *right = _PLUS_MINUS.split(folded)
    mark = _MARK.match(left)
    number = left[mark.end() :] if mark is not None else left
    if mark is not None and mark["about"] is None:
        if right:
            _refuse(quantity, text, "a bound with ±", "type one of the two")
        return _bound(_read(number.strip(), quantity, text), quantity, least=bool(mark["least"]))
    beside = _scan(right[0], quantity, text) if right else None
    value = _read(number.strip(), quantity, text, beside=beside)
    stated = nan if beside is None else _stated(beside, quantity, text)
    return Value(
        quantity,
        value,
        uncertainty(value, steps) if isnan(stated) else stated,
        flag="approximate" if mark is not None else "",
    )


def _refuse(quantity: str, text: str, found: str, remedy: str) -> NoReturn:
    spoken = quantity.replace("_", " ")
    raise Garbled(f"{spoken}: '{text.strip()}': {found}; {remedy}")


def _over_range(word: str, folded: str, quantity: str) -> Value | None:
    """Value of an over-range word, with the range it was on if that is typed too."""
    sign = word[:1] if word[:1] in ("+", "-") else ""
    bare = word.removeprefix(sign).strip()
    end = nan
    if bare not in _OVER:
        of_range = _RANGE.fullmatch(folded.removeprefix(sign).strip())
        if of_range is None or of_range[1].lower() not in _OVERLOADS:
            return None  # "over 20 mA" is a bound, not what a meter shows
        end = _read(of_range[2].strip(), quantity, folded)
    if sign == "-":
        return Value(quantity, nan, at_most=-end, flag="over range negative")
    return Value(quantity, nan, range_high=end, flag="over range")


def _bound(value: float, quantity: str, *, least: bool) -> Value:
    said = format_quantity(value, DIMENSIONS[quantity], digits=4)
    if least:
        return Value(quantity, nan, at_least=value, flag=f"over range, at least {said}")
    return Value(quantity, nan, at_most=value, flag=f"below range: at most {said}")


def _scan(number: str, quantity: str, text: str) -> Scanned:
    """The number with its unit, and nothing behind it."""
    scanned = scan_quantity(number.strip(), dimension=DIMENSIONS[quantity])
    if scanned is None or scanned.end != len(number.strip()):
        example = EXAMPLES[DIMENSIONS[quantity]]
        _refuse(quantity, text, "not understood", f"type it like {example}, or OL, open, -")
    if isnan(scanned.number.value):
        readings = " or ".join(f"{each:g}" for each in scanned.number.candidates)
        _refuse(quantity, text, f"may be {readings}", "type a point, and nothing between thousands")
    return scanned


def _read(number: str, quantity: str, text: str, *, beside: Scanned | None = None) -> float:
    """SI value of a number with its unit; ``beside`` may lend the unit that stands behind ±."""
    scanned = _scan(number, quantity, text)
    if scanned.unit is None and beside is not None and beside.unit is not None:
        scanned = replace(scanned, unit=beside.unit)
    value = _to_si(scanned, quantity, text)
    low, high = PLAUSIBLE[quantity]
    if not low <= value <= high:
        unit = DIMENSIONS[quantity]
        span = f"{format_quantity(low, unit)} to {format_quantity(high, unit)}"
        _refuse(quantity, text, "no reading of a capacitor", f"{span}; check unit and decimals")
    return value


def _stated(beside: Scanned, quantity: str, text: str) -> float:
    """Uncertainty typed behind ±, SI."""
    unit = beside.unit
    if unit is not None and unit.dimension == "%" and DIMENSIONS[quantity]:
        example = EXAMPLES[DIMENSIONS[quantity]]
        _refuse(quantity, text, "± in percent may be a tolerance", f"type both like {example}")
    if unit is not None and unit.dimension in ("°F", "K"):
        return beside.number.value / (1.8 if unit.dimension == "°F" else 1.0)
    return abs(_to_si(beside, quantity, text))


def _to_si(scanned: Scanned, quantity: str, text: str) -> float:
    dimension = DIMENSIONS[quantity]
    number, unit = scanned.number.value, scanned.unit
    if unit is None:
        if dimension not in BARE:
            _refuse(quantity, text, "no unit", f"type it like {EXAMPLES[dimension]}")
        if quantity == "tan_delta" and abs(number) > BARE_RATIO_MOST:
            _refuse(quantity, text, "may be a ratio or percent", f"type {number:g} % or the ratio")
        return number
    fitting = {"": ("%",), "°C": ("°C", "°F", "K")}.get(dimension, (dimension, "prefix"))
    if unit.dimension not in fitting:
        _refuse(
            quantity, text, f"a unit of {unit.dimension}", f"type it like {EXAMPLES[dimension]}"
        )
    if unit.doubt or (dimension == "F" and _is_bare_milli(unit)):
        why = unit.doubt or "m may be milli or, in old text, micro"
        _refuse(quantity, text, why, "type µF, or mF in µF: 1 mF = 1000 µF")
    if unit.dimension == "°F":
        return (number - 32.0) / 1.8
    return number - 273.15 if unit.dimension == "K" else unit.to_si(number)


def _is_bare_milli(unit: Unit) -> bool:
    return unit.dimension == "prefix" and unit.divide == 1e3
