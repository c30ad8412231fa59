"""A number and its unit to a value: bare numbers, doubtful units, digits read in two ways.

Where two readings are possible the rated capacitance beside the cell may decide, or the
range a quantity can have; otherwise the cell is refused with both readings named.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from captriage.readers import cell_rules as rules
from captriage.unit_names import EXACT, PREFIXES, Unit
from captriage.units import Number, Scanned, format_quantity

_FARADS_BY_EXPONENT: Final = 1e-9  # least bare E-notation number taken as farads
_SMALL_BARE: Final = 1e-2
_SMALL_PERCENT: Final = 40.0
_PREFIXES_OF: Final = {"F": "pnuµm", "Ω": "nuµmkKMG", "A": "pnuµm", "V": "uµmkK", "Hz": "kKM"}


@dataclass(frozen=True, slots=True)
class Reading:
    """A value in the unit its column stores, what must be said of it, the unit it was in."""

    value: float
    flags: tuple[str, ...]
    unit: Unit


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a number gives no value, and what to do."""

    problem: str
    remedy: str
    flag: str = ""


@dataclass(frozen=True, slots=True)
class _Sense:
    """One possible reading of a number with a unit."""

    value: float
    number: float
    unit: Unit


def read_term(
    scanned: Scanned,
    quantity: str,
    heading: Unit | None,
    rated: float,
    *,
    borrowed: Unit | None = None,
) -> Reading | Refusal:
    """Value of one number in a column of ``quantity``.

    Parameters
    ----------
    scanned : Scanned
        The number, and its own unit if it has one.
    quantity : str
        Key of :data:`captriage.readers.cell_rules.RULES`.
    heading : Unit or None
        Unit of the heading; used where the cell has none.
    rated : float
        Rated capacitance, or the value an uncertainty in percent belongs to.
    borrowed : Unit, optional
        Unit written behind the uncertainty instead ("47 ± 0.5 µF").
    """
    unit = scanned.unit
    if unit is None and borrowed is not None and rules.unit_fits(borrowed, quantity):
        of_value = borrowed.dimension != "%" or rules.RULES[quantity].dimension == "1"
        unit = borrowed if of_value else None
    unit = resolve_unit(unit or heading, quantity)
    if unit is None:
        return _bare(scanned.number, quantity, rated)
    if unit.dimension == "prefix":
        return Refusal("a prefix without a unit", "write the unit in full")
    if not rules.unit_fits(unit, quantity):
        return Refusal(
            f"a unit of {unit.dimension}, not of {rules.spoken(quantity)}",
            "correct the unit, or move the value to its column",
        )
    if unit.dimension == "%" and rules.RULES[quantity].dimension in ("F", "any"):
        return _percent(scanned.number, quantity, rated)
    return _decide(scanned.number, unit, quantity, rated)


def resolve_unit(unit: Unit | None, quantity: str) -> Unit | None:
    """Unit in this column: a bare prefix completed, a plain "1" where a unit is due dropped.

    Stays of dimension "prefix" where that prefix cannot be meant.
    """
    if unit is None or (unit.dimension == "1" and rules.RULES[quantity].dimension != "1"):
        return None
    if unit.dimension == "prefix":
        return _expanded(unit, quantity) or unit
    return unit


def _expanded(prefix: Unit, quantity: str) -> Unit | None:
    """Unit of a bare prefix in this column; None where that prefix cannot be meant."""
    dimension = rules.RULES[quantity].dimension
    allowed = _PREFIXES_OF.get(dimension, "")
    letters = [k for k, scale in PREFIXES.items() if scale == (prefix.multiply, prefix.divide)]
    if not any(letter in allowed for letter in letters):
        return None
    if dimension == "F" and "m" in letters:
        return EXACT["F"]["mF"]
    return Unit(dimension, prefix.multiply, prefix.divide)


def _decide(number: Number, unit: Unit, quantity: str, rated: float) -> Reading | Refusal:
    """Value of a number whose unit is known, or known to be one of two."""
    numbers = number.candidates if math.isnan(number.value) else (number.value,)
    units = [unit, Unit("F", 1.0, unit.other_divide)] if unit.other_divide else [unit]
    senses = [_Sense(rules.to_value(n, u, quantity), n, u) for u in units for n in numbers]
    if len(senses) == 1:
        doubted = _group_suits_rating(number, unit, quantity, rated)
        return doubted or Reading(senses[0].value, _said(unit), unit)
    suiting = [s for s in senses if _suits(s.value, quantity, rated)]
    if len(suiting) == 1:
        return Reading(
            suiting[0].value, _said_by_rating(suiting[0], numbers, unit), suiting[0].unit
        )
    rule = rules.RULES[quantity]
    possible = [s for s in senses if rule.low <= s.value <= rule.high]
    if len(possible) == 1:
        flag = f"{possible[0].number:.12g} taken: the other reading is not possible"
        return Reading(possible[0].value, (flag, *_said(possible[0].unit)), possible[0].unit)
    if len(numbers) == 1 and (math.isnan(rated) or numbers[0] == 0):
        return Reading(senses[0].value, _said(unit), unit)
    if len(numbers) > 1:
        return _ambiguous_digits(numbers)
    shown = " or ".join(format_quantity(s.value, "F") for s in senses)
    return Refusal(
        f"ambiguous: {shown}", "write µF; the rating does not decide", f"ambiguous: {shown}"
    )


def _said(unit: Unit) -> tuple[str, ...]:
    return (unit.doubt,) if unit.doubt else ()


def _said_by_rating(sense: _Sense, numbers: tuple[float, ...], unit: Unit) -> tuple[str, ...]:
    """What to say of a reading the rating has decided."""
    flags = []
    if len(numbers) > 1:
        both = " or ".join(f"{n:.12g}" for n in numbers)
        flags.append(f"{both}: the rating decided for {sense.number:.12g}")
    if sense.unit != unit:
        name = "microfarad" if sense.unit.divide == 1e6 else "millifarad"
        flags.append(
            f"{'mF' if name == 'microfarad' else 'MF'} taken as {name}: the rating decided"
        )
    elif unit.doubt and unit.divide == 1e6:
        flags.append(unit.doubt)
    return tuple(flags)


def _suits(value: float, quantity: str, rated: float) -> bool:
    low, high = rules.PLAUSIBLE_RATIO
    return quantity in rules.PERCENT and rated > 0 and low <= value / rated <= high


def _ambiguous_digits(numbers: tuple[float, ...]) -> Refusal:
    both = " or ".join(f"{n:.12g}" for n in numbers)
    remedy = "write the number with a decimal point and without digit groups"
    return Refusal(f"ambiguous: {both}", remedy, f"ambiguous: {both}")


def _group_suits_rating(number: Number, unit: Unit, quantity: str, rated: float) -> Refusal | None:
    """Refuse "1.234" that suits the rating only if its point marks thousands."""
    if len(number.candidates) < 2 or math.isnan(number.value):
        return None
    as_point, as_group = (rules.to_value(n, unit, quantity) for n in number.candidates)
    if _suits(as_group, quantity, rated) and not _suits(as_point, quantity, rated):
        return _ambiguous_digits(number.candidates)
    return None


def _percent(number: Number, quantity: str, rated: float) -> Reading | Refusal:
    """Capacitance from percent of rated ("83 %") or deviation ("-17 %"); uncertainty too."""
    if math.isnan(number.value):
        return _ambiguous_digits(number.candidates)
    share = number.value / 100.0
    if math.isnan(rated):
        if quantity in rules.PERCENT:
            return Refusal("percent of a rating that is not given", "add the rated capacitance")
        return Refusal("percent of a value that is not given", "write it in the unit of the value")
    if quantity in rules.PERCENT:
        deviation = number.signed or quantity == "capacitance_deviation"
        if not deviation and 0 < number.value < _SMALL_PERCENT:
            shown = f"{number.value:g} % of rated or {number.value:g} % above it"
            return Refusal(
                f"ambiguous: {shown}", "write the capacitance in µF", f"ambiguous: {shown}"
            )
        share += 1.0 if deviation else 0.0
    return Reading(share * rated, (), rules.PERCENT_UNIT)


def _bare(number: Number, quantity: str, rated: float) -> Reading | Refusal:
    """Value of a number without any unit."""
    rule = rules.RULES[quantity]
    if rule.dimension == "F":
        return _bare_capacitance(number, quantity, rated)
    if rule.bare is not None:
        reading = _decide(number, rule.bare, quantity, rated)
        if (
            quantity == "tan_delta"
            and isinstance(reading, Reading)
            and reading.value > rules.BARE_RATIO_MOST
        ):
            shown = f"tan δ {reading.value:g} or {reading.value:g} %"
            return Refusal(
                f"ambiguous: {shown}", "put % into the heading or the cell", f"ambiguous: {shown}"
            )
        return reading
    if rule.dimension == "A" and (number.exponent or number.value == 0):
        return Reading(number.value, (rules.BARE_AMPERE,), Unit("A"))
    if rule.dimension == "any" and number.value == 0:
        return Reading(0.0, (), Unit("1"))
    if rule.dimension == "A":
        return Refusal("no unit: µA or mA is not said", "put the unit into the heading: I (µA)", "")
    return Refusal("no unit", "put the unit into the heading or the cell")


def _bare_capacitance(number: Number, quantity: str, rated: float) -> Reading | Refusal:
    """A bare capacitance is in µF where the rating or common usage says so.

    Farads only in E-notation, as instruments write them: a plain 0.0001 is a small value in µF.
    """
    reading = _decide(number, rules.MICROFARAD, quantity, rated)
    if isinstance(reading, Refusal):
        return reading
    written = reading.value * 1e6
    as_micro = Reading(reading.value, (rules.BARE_MICROFARAD, *reading.flags), reading.unit)
    as_farad = Reading(number.value, (rules.BARE_FARAD,), Unit("F"))
    high = rules.BARE_MICROFARAD_RANGE[1]
    if rated > 0 and quantity in rules.PERCENT:
        least, most = rules.BARE_RATED_RATIO
        if least <= reading.value / rated <= most or number.value == 0:
            return as_micro
        if least <= number.value / rated <= most:
            if number.exponent:
                return as_farad
            flag = f"ambiguous: {number.value:.12g} µF or F"
            return Refusal(flag, "put the unit into the heading: C (µF)", flag)
        suiting = [
            name
            for name, scale in (("nF", 1e9), ("pF", 1e12))
            if _suits(number.value / scale, quantity, rated)
        ]
        if suiting:
            flag = f"ambiguous: {number.value:g} µF or {suiting[0]}"
            return Refusal(flag, "put the unit into the heading: C (µF)", flag)
    if number.exponent and _FARADS_BY_EXPONENT <= number.value < _SMALL_BARE:
        return as_farad
    if written <= high:
        return as_micro
    flag = f"ambiguous: {number.value:g} µF or another unit"
    return Refusal(flag, "put the unit into the heading: C (µF)", flag)
