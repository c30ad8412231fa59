"""The common case at speed: columns of plain numbers, or of numbers all with a unit.

Everything here is a shortcut: it fills in what needs no second thought, exactly as the
cell by cell reading would, and leaves the rest alone.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from operator import not_
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.readers import cell_rules as rules
from captriage.readers.bare_numbers import resolve_unit
from captriage.unit_names import Unit
from captriage.units import parse_unit

SENTINEL: Final = 9e37
"""SCPI meters send numbers beyond this instead of a reading."""
_NUMBER_AND_UNIT: Final = re.compile(r" *([+-]?[0-9][0-9.,]*) *([^\W\d_][^\d ]*|%|°.|Ω) *")


@lru_cache(maxsize=512)
def heading_unit(quantity: str, unit: str) -> Unit | str | None:
    """Unit of the heading, None without one, or why it cannot be used."""
    if not unit.strip():
        return rules.PERCENT_UNIT if quantity in rules.ALWAYS_PERCENT else None
    if unit.strip() in ("1", "-", "–"):
        return Unit("1")
    dimension = rules.RULES[quantity].dimension
    found = parse_unit(unit, dimension)
    if found is None:
        return f"unit not understood: '{unit.strip()}'"
    if not rules.unit_fits(found, quantity) and found.dimension != "prefix":
        return f"'{unit.strip()}' is not a unit of {rules.spoken(quantity)}"
    return found


def _floats(texts: list[str], decimal: str | None) -> NDArray[np.float64]:
    """Each text as a float, NaN where it is not a plain number (or blank)."""
    everything = "".join(texts)
    if decimal == ",":
        if "." in everything:
            texts = ["" if "." in text else text.replace(",", ".") for text in texts]
        else:
            texts = [text.replace(",", ".") for text in texts]
    if "_" in everything:  # float("1_000") is Python's own habit
        texts = ["" if "_" in text else text for text in texts]
    try:
        return np.fromiter(map(float, texts), float, len(texts))
    except ValueError:  # a blank, or something that is no plain number
        return np.fromiter(map(_float, texts), float, len(texts))


def _float(text: str) -> float:
    if not text:
        return math.nan
    try:
        return float(text)
    except ValueError:
        return math.nan


def read_plain(
    value: NDArray[np.float64],
    flags: NDArray[np.object_],
    texts: list[str],
    quantity: str,
    unit: str,
    decimal: str | None,
    ratings: NDArray[np.float64],
) -> NDArray[np.bool_]:
    """Fill in blanks and plain numbers of which nothing is to be said; True where done.

    What is left goes cell by cell; this only has to be right where it says it is.
    """
    heading = heading_unit(quantity, unit)
    if isinstance(heading, str):
        return _blank(texts)
    resolved, flag = resolve_unit(heading, quantity), ""
    numbers = _floats(texts, decimal)
    usual = ~np.isnan(numbers)
    if resolved is None:
        resolved, flag, common = _bare_rule(quantity, texts, numbers, ratings)
        usual &= common
    found, plain = _plain_values(numbers, resolved, quantity, ratings)
    plain &= usual
    value[plain] = found[plain]
    if flag:
        flags[plain] = flag
    if plain.all():
        return plain
    done = plain | _blank(texts)
    if not done.all():
        done |= _read_same_units(value, texts, quantity, decimal, ratings, ~done)
    return done


def _blank(texts: list[str]) -> NDArray[np.bool_]:
    return np.fromiter(map(not_, texts), np.bool_, len(texts))


def _plain_values(
    numbers: NDArray[np.float64], unit: Unit | None, quantity: str, ratings: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Values of numbers of a known unit, and which of them need no second thought."""
    rule = rules.RULES[quantity]
    relative = unit is not None and unit.dimension == "%" and rule.dimension in ("F", "any")
    if unit is None or unit.doubt or unit.dimension == "prefix" or relative:
        return numbers, np.zeros(numbers.shape, np.bool_)
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        value = rules.to_value(numbers, unit, quantity)
        least = 0.0 if quantity == "leakage_current" else rule.low
        plain = (np.abs(numbers) < SENTINEL) & (value >= least) & (value <= rule.high)
        if quantity in rules.PERCENT:  # "1.234" may be 1234 where only that suits the rating
            suits = value * 1e3 / ratings
            low, high = rules.PLAUSIBLE_RATIO
            plain &= ~((suits >= low * 0.99) & (suits <= high * 1.01))
        value = np.where(plain, value, np.nan)
        if quantity == "q":
            value = 1.0 / value
        elif quantity == "power_factor":
            value = value / np.sqrt(1.0 - value * value)
    return value, plain


def _read_same_units(
    value: NDArray[np.float64],
    texts: list[str],
    quantity: str,
    decimal: str | None,
    ratings: NDArray[np.float64],
    open_: NDArray[np.bool_],
) -> NDArray[np.bool_]:
    """Fill in the cells that are a plain number and a unit, all of one unit at a time."""
    rows_of: dict[str, list[int]] = {}
    written: dict[int, str] = {}
    for row in np.flatnonzero(open_).tolist():
        match = _NUMBER_AND_UNIT.fullmatch(texts[row])
        if match is not None:
            written[row] = match.group(1)
            rows_of.setdefault(match.group(2), []).append(row)
    done = np.zeros(len(texts), np.bool_)
    for name, rows in rows_of.items():
        unit = resolve_unit(parse_unit(name, rules.RULES[quantity].dimension), quantity)
        if unit is None or not rules.unit_fits(unit, quantity):
            continue
        where = np.array(rows)
        numbers = _floats([written[row] for row in rows], decimal)
        found, plain = _plain_values(numbers, unit, quantity, ratings[where])
        value[where[plain]] = found[plain]
        done[where[plain]] = True
    return done


def _bare_rule(
    quantity: str, texts: list[str], numbers: NDArray[np.float64], ratings: NDArray[np.float64]
) -> tuple[Unit | None, str, NDArray[np.bool_]]:
    """Unit and flag of bare numbers, and which of them need no second thought."""
    rule = rules.RULES[quantity]
    every = np.ones(len(texts), np.bool_)
    if rule.bare is not None:
        usual = numbers <= rules.BARE_RATIO_MOST if quantity == "tan_delta" else every
        return rule.bare, "", usual
    if rule.dimension == "A":
        exponent = np.fromiter(("e" in t or "E" in t for t in texts), np.bool_, len(texts))
        return Unit("A"), rules.BARE_AMPERE, exponent
    if rule.dimension == "F" and quantity not in rules.ALWAYS_PERCENT:
        least, most = rules.BARE_RATED_RATIO
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            ratio = numbers / 1e6 / ratings
            usual = np.where(
                (ratings > 0) & (quantity in rules.PERCENT),
                (ratio >= least) & (ratio <= most),
                (numbers >= 1e-2 * 1.01) & (numbers <= rules.BARE_MICROFARAD_RANGE[1] * 0.99),
            )
        return rules.MICROFARAD, rules.BARE_MICROFARAD, usual
    return None, "", every
