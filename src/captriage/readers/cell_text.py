"""The terms of one cell become its value, its bounds, its conditions and its flags."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from captriage.readers import cell_rules as rules
from captriage.readers import cell_words as words
from captriage.readers.bare_numbers import Reading, Refusal, read_term
from captriage.readers.conditions import Parsed, Term
from captriage.unit_names import Unit
from captriage.units import format_quantity

_NO_CONDITIONS: Final[Mapping[str, float]] = MappingProxyType({})
NEGATIVE_CURRENT: Final = "negative current: leads or polarity reversed?"


@dataclass(frozen=True, slots=True)
class Cell:
    """What one cell says.

    Parameters
    ----------
    value : float
        SI value of the quantity (percent as a fraction, ages in years, service in hours,
        temperatures in °C); NaN where the cell gives none.
    flag : str
        What has to be said of a cell that was used, "; " between; starts with a key of
        :data:`captriage.columns.FLAGS` where there is no value.
    at_least, at_most : float
        Bounds in SI, where the cell states them instead of a value; NaN otherwise.
    conditions : mapping
        "voltage_v", "frequency_hz", "soak_s", "temperature_degc" written beside the
        value; "uncertainty" as written behind ±; "tolerance_low", "tolerance_high" of a
        rating.
    problem, remedy : str
        Why the cell could not be used, and what to do; "" where it could.
    """

    value: float
    flag: str = ""
    at_least: float = math.nan
    at_most: float = math.nan
    conditions: Mapping[str, float] = field(default_factory=lambda: _NO_CONDITIONS)
    problem: str = ""
    remedy: str = ""


BLANK: Final = Cell(math.nan)


def refused(problem: str, remedy: str) -> Cell:
    """A cell that gives no value: why, and what to do."""
    return Cell(math.nan, problem=problem, remedy=remedy)


def assemble(
    text: str, parsed: Parsed, quantity: str, heading: Unit | None, rated: float, *, word: str = ""
) -> Cell:
    """The terms of a cell become its value and its conditions.

    ``word`` is the flag of a word that stands before them: "short @ 450 V".
    """
    values: list[Term] = []
    conditions: dict[str, float] = {}
    flags: list[str] = []
    for term in parsed.terms:
        name = _condition_name(term, quantity, has_value=bool(values))
        if name == "":
            values.append(term)
            continue
        read = rules.read_condition(term.scanned, name)
        if name in conditions or math.isnan(read):
            return refused(f"not understood: '{term.text}'", "write it in a column of its own")
        conditions[name] = read
        if term.scanned.unit is not None and term.scanned.unit.dimension == "prefix":
            flags.append(f"{term.text} taken as {format_quantity(read, 'Hz')}")
    if word and not values:
        return Cell(math.nan, word, conditions=MappingProxyType(conditions))
    if word and not (word.startswith(words.OVER) and parsed.bound == "least"):
        return refused(f"a word and a value: '{text}'", "write the one that holds")
    if not values:
        return _no_value(text, parsed, quantity)
    if len(values) > 1 and not _is_compound_time(values, quantity):
        return refused(f"several values: '{text}'", "give each value its own row or column")
    context = (quantity, heading, rated)
    borrowed = parsed.plus_minus.scanned.unit if parsed.plus_minus else None
    reading = read_term(values[0].scanned, *context, borrowed=borrowed)
    if isinstance(reading, Refusal):
        return Cell(math.nan, reading.flag, problem=reading.problem, remedy=reading.remedy)
    for more in values[1:]:
        extra = read_term(more.scanned, *context)
        if isinstance(extra, Refusal):
            return refused(extra.problem, extra.remedy)
        reading = Reading(reading.value + extra.value, reading.flags + extra.flags, reading.unit)
    refusal = rules.out_of_range(reading.value, quantity, text)
    if refusal is not None:
        return refused(*refusal)
    if quantity == "leakage_current" and reading.value < 0:
        flags.append(NEGATIVE_CURRENT)
    cell = Cell(reading.value, "; ".join(dict.fromkeys([*reading.flags, *flags])))
    return _with_marks(cell, parsed, quantity, reading, context, conditions)


def separates_conditions(parsed: Parsed, quantity: str) -> bool:
    """Whether all terms but one are conditions: "1.2 mA @ 400 V / 5 min"."""
    values = [term for term in parsed.terms if not _condition_name(term, quantity, has_value=True)]
    return len(values) == 1 < len(parsed.terms)


def _is_compound_time(values: list[Term], quantity: str) -> bool:
    """Whether several values are one time: "1 h 30 min", each unit smaller than the last."""
    units = [term.scanned.unit for term in values]
    if rules.RULES[quantity].dimension not in ("s", "a"):
        return False
    scales = [unit.multiply / unit.divide for unit in units if unit is not None]
    falling = all(a > b for a, b in pairwise(scales))
    return len(scales) == len(values) and falling


def _no_value(text: str, parsed: Parsed, quantity: str) -> Cell:
    unit = parsed.terms[0].scanned.unit
    wrong = f"'{text}' has a unit of {unit.dimension}" if unit else f"no value in '{text}'"
    return refused(
        f"{wrong}, not of {rules.spoken(quantity)}", "correct the unit, or move it to its column"
    )


def _condition_name(term: Term, quantity: str, *, has_value: bool) -> str:
    """Which condition a term states; "" where it is (a candidate for) the value."""
    unit = term.scanned.unit
    if unit is None:
        return ""
    if unit.dimension == "prefix":
        frequency = term.at and has_value and unit.multiply > 1
        return "frequency_hz" if frequency else ""
    if rules.unit_fits(unit, quantity):
        return ""
    return rules.CONDITION_OF.get(unit.dimension, "")


def _with_marks(
    cell: Cell,
    parsed: Parsed,
    quantity: str,
    reading: Reading,
    context: tuple[str, Unit | None, float],
    conditions: dict[str, float],
) -> Cell:
    """Add bounds, ±, "about", trends and the conversion to what is stored."""
    flags = [cell.flag] if cell.flag else []
    low = math.nan
    if parsed.range_low is not None:
        scanned = replace(parsed.range_low, unit=parsed.range_low.unit or reading.unit)
        read = read_term(scanned, *context)
        if isinstance(read, Refusal) or not read.value <= cell.value or parsed.bound:
            return refused("a range that does not rise", "write the lower end first")
        low = read.value
    if parsed.plus_minus is not None:
        refusal = _add_uncertainty(parsed.plus_minus, quantity, reading, context, conditions, flags)
        if refusal is not None:
            return refusal
    if parsed.tolerance is not None:
        conditions["tolerance_low"], conditions["tolerance_high"] = parsed.tolerance
    if parsed.approximate:
        flags.insert(0, words.APPROXIMATE)
    flags += parsed.trends
    return _stored(
        Cell(cell.value, "; ".join(flags), at_least=low, conditions=conditions), parsed, quantity
    )


def _stored(cell: Cell, parsed: Parsed, quantity: str) -> Cell:
    """The cell in the quantity it is stored under, its bound told in words."""
    value = rules.transformed(cell.value, quantity)
    conditions = MappingProxyType(dict(cell.conditions)) if cell.conditions else _NO_CONDITIONS
    if not math.isnan(cell.at_least):
        ends = sorted((value, rules.transformed(cell.at_least, quantity)))
        said = f"between {rules.shown(ends[0], quantity)} and {rules.shown(ends[1], quantity)}"
        flag = "; ".join(filter(None, (f"a range: {said}", cell.flag)))
        return Cell(math.nan, flag, ends[0], ends[1], conditions)
    if not parsed.bound:
        return Cell(value, cell.flag, conditions=conditions)
    least = (parsed.bound == "least") != (quantity == "q")
    said = rules.shown(value, quantity)
    if least:
        flag = "; ".join(filter(None, (f"{words.OVER}, at least {said}", cell.flag)))
        return Cell(math.nan, flag, at_least=value, conditions=conditions)
    flag = "; ".join(filter(None, (f"below range: at most {said}", cell.flag)))
    return Cell(math.nan, flag, at_most=value, conditions=conditions)


def _add_uncertainty(
    term: Term,
    quantity: str,
    reading: Reading,
    context: tuple[str, Unit | None, float],
    conditions: dict[str, float],
    flags: list[str],
) -> Cell | None:
    """What stands behind ±: absolute it is an uncertainty, in percent a tolerance or either."""
    scanned = term.scanned
    percent = scanned.unit is not None and scanned.unit.dimension == "%"
    if percent and rules.RULES[quantity].dimension != "1":
        share = abs(scanned.number.value) / 100
        if math.isnan(share):
            return refused(f"ambiguous: '{term.text}'", "write it with a decimal point")
        if quantity == "capacitance_rated":
            conditions["tolerance_low"], conditions["tolerance_high"] = -share, share
        else:
            flags.append(f"{term.text} kept as a note: tolerance or uncertainty is not said")
        return None
    if quantity in ("q", "power_factor"):
        flags.append(f"{term.text} kept as a note")
        return None
    read = read_term(replace(scanned, unit=scanned.unit or reading.unit), *context)
    if isinstance(read, Refusal):
        return refused(f"not understood: '{term.text}'", "write the uncertainty in its own column")
    conditions["uncertainty"] = abs(read.value)
    return None
