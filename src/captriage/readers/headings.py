"""What one heading means: a canonical column, its unit, and conditions written into it.

"ESR at 100 kHz (Ω)", "C_uF", "I_L @ 5 min mA", "leakage_test_V" are taken apart; what is left must
be a known spelling exactly (accents, case and punctuation do not count). Nothing is guessed from
likeness; likeness is used only to suggest a heading in the remedy.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from captriage.columns import BEFORE
from captriage.readers import vocabulary as words
from captriage.readers.spelling import (
    CONDITION_COLUMNS,
    CONDITION_OF_UNIT,
    READING_COLUMNS,
    heading_unit,
    look_up,
    plain,
    take_conditions,
    take_unit,
    without,
)

_DIMENSION: Final = {
    "capacitance": "F",
    "capacitance_before": "F",
    "capacitance_rated": "F",
    "esr": "Ω",
    "esr_before": "Ω",
    "resistance": "Ω",
    "impedance": "Ω",
    "leakage_current": "A",
    "voltage_rated": "V",
    "voltage_working": "V",
    "voltage_v": "V",
    words.VOLTAGE: "V",
    words.WORKING: "V",
    "frequency_hz": "Hz",
    "soak_s": "s",
    words.TIME: "s",
    "service_hours": "s",
    "temperature_degc": "°C",
    "service_temperature_degc": "°C",
    "age_years": "a",
    "idle_years": "a",
    "tan_delta": "%",
    "tan_delta_before": "%",
    words.POWER_FACTOR: "%",
    "tolerance": "%",
}
_OF_UNIT: Final = {
    "F": "capacitance",
    "A": "leakage_current",
    "V": words.VOLTAGE,
    "Hz": "frequency_hz",
    "°C": "temperature_degc",
}


@dataclass(frozen=True, slots=True)
class Heading:
    """Meaning of one heading.

    Parameters
    ----------
    text : str
        As it stands in the sheet.
    column : str
        Canonical name (a key of :mod:`captriage.readers.vocabulary` or a column of the frames);
        "" where the heading is not known.
    unit : str
        As written, "" where there is none.
    conditions : mapping
        Conditions of all its readings, in the units of the readings frame.
    of : str
        For a condition, status or uncertainty: the quantity it belongs to, "" for all.
    measured : bool
        The heading says that the value was measured.
    problem : str
        Why a heading of known words cannot be used.
    """

    text: str
    column: str = ""
    unit: str = ""
    conditions: MappingProxyType[str, float] = field(default_factory=lambda: MappingProxyType({}))
    of: str = ""
    measured: bool = False
    problem: str = ""


@lru_cache(maxsize=4096)
def parse_heading(text: str) -> Heading:
    """Take a heading apart.

    Parameters
    ----------
    text : str
        One cell of the row of headings.

    Returns
    -------
    Heading
        With ``column`` "" and, where its words are known but do not fit together, ``problem``.
    """
    bare = unicodedata.normalize("NFKC", text).strip().strip("'\"*:?").strip()
    if bare.lower() in ("#", "n°", "nº", "no.", "№", "nr."):
        return Heading(text, words.WEAK_PART)
    bare = bare.lstrip("# ")
    if _ONLY_WORDS.fullmatch(bare) and bare not in ("pF", "PF", "pf"):
        spelling = plain(bare)
        whole = look_up(spelling)
        if whole is not None:
            unit = _IMPLIED_UNITS.get(spelling, "")
            return Heading(text, whole[0], unit, measured=whole[1])
    rest, conditions = take_conditions(bare)
    rest, unit = take_unit(rest)
    return _meaning(text, rest, unit, conditions)


_ONLY_WORDS: Final = re.compile(r"[\w .'-]*")
_IMPLIED_UNITS: Final = {
    "minutes": "min", "mins": "min", "minuten": "min", "minutos": "min", "minuti": "min",
    "seconds": "s", "secs": "s", "age years": "years",
}  # fmt: skip


_AT: Final = ("at", "bei", "à", "bij")
_AT_UNIT: Final = {
    "V": "voltage_v", "Hz": "frequency_hz", "s": "soak_s", "°C": "temperature_degc",
}  # fmt: skip
"""What "at (V)" or "at V" says of the reading that stands before it."""


def _meaning(text: str, rest: str, unit: str, conditions: dict[str, float]) -> Heading:
    held = MappingProxyType(conditions)
    spelling = plain(rest)
    dimension = _dimension(unit)
    tokens = spelling.split()
    found = look_up(spelling)
    if rest.strip().lower() in _AT and dimension in _AT_UNIT:
        return Heading(text, _AT_UNIT[dimension], unit, held)
    if found is not None:
        return _fitted(Heading(text, found[0], unit, held, measured=found[1]))
    if not tokens:
        return _bare_unit(text, unit, dimension, held)
    if all(w in words.RATED_WORDS for w in tokens) and dimension in ("F", "V"):
        return Heading(
            text, "capacitance_rated" if dimension == "F" else "voltage_rated", unit, held
        )
    if all(w in words.MEASURED_WORDS for w in tokens) and dimension in _OF_UNIT:
        return Heading(text, _OF_UNIT[dimension], unit, held, measured=True)
    return _condition_of_quantity(text, tokens, unit, held)


def _dimension(unit: str) -> str:
    found = heading_unit(unit) if unit else None
    if found is None:
        return {"C": "°C", "a": "a", "d": "s", "m": "s", "K": "°C"}.get(unit, "")
    return "°C" if found.dimension in ("°F", "K") else found.dimension


def _bare_unit(
    text: str, unit: str, dimension: str, conditions: MappingProxyType[str, float]
) -> Heading:
    if unit == "pf":
        return Heading(text, problem="pf: picofarad or power factor is not said")
    if dimension in _OF_UNIT and unit != "PF":
        return Heading(text, _OF_UNIT[dimension], unit, conditions)
    if unit == "PF":
        return Heading(text, words.POWER_FACTOR, "", conditions)
    if dimension == "s":
        return Heading(text, words.TIME, unit, conditions)
    if dimension == "Ω":
        return Heading(text, problem="ohms of what is not said: ESR or DC resistance")
    return Heading(text)


def _condition_of_quantity(
    text: str, tokens: Sequence[str], unit: str, conditions: MappingProxyType[str, float]
) -> Heading:
    """A condition of one quantity: "esr freq", "leakage test voltage", "frequency of C"."""
    kept = [w for w in tokens if w not in ("of", "for", "de", "der", "di", "van", "the")]
    for cut in range(1, len(kept)):
        for quantity, condition in (
            (kept[:cut], kept[cut:]),
            (kept[cut:], kept[:cut]),
        ):
            base = look_up(" ".join(quantity))
            if base is None or base[0] not in READING_COLUMNS:
                continue
            name = _condition_name(" ".join(condition), unit)
            if name:
                return Heading(text, name, unit, conditions, of=stored_as(base[0]))
    if without(" ".join(tokens), words.BEFORE_WORDS):
        return Heading(text, problem=NOT_COMPARED)
    return Heading(text)


NOT_COMPARED: Final = (
    "heading not known: of before a reform only C, ESR and tan δ are held against what is read "
    "since"
)


def _condition_name(spelling: str, unit: str) -> str:
    dimension = _dimension(unit)
    if spelling in ("test", "meas", "measured") and dimension in CONDITION_OF_UNIT:
        return CONDITION_OF_UNIT[dimension]
    found = look_up(spelling)
    column = found[0] if found else ""
    column = {words.VOLTAGE: "voltage_v", words.TIME: "soak_s"}.get(column, column)
    return column if column in CONDITION_COLUMNS | {words.STATUS, words.METER} else ""


def stored_as(column: str) -> str:
    """Quantity under which the readings of a reading column are stored."""
    if column in (words.Q, words.POWER_FACTOR):
        return "tan_delta"
    if column in BEFORE.values():
        return column
    return "capacitance" if column.startswith("capacitance") else column


def _fitted(heading: Heading) -> Heading:
    """Check the unit against the column; a unit of a condition makes it that condition."""
    dimension = _dimension(heading.unit)
    column = heading.column
    if not dimension:
        return heading
    if column == words.TIME and dimension == "°C":
        return replace(heading, column="temperature_degc")
    if column == words.RATING:
        named = {"F": "capacitance_rated", "V": "voltage_rated"}.get(dimension, "")
    elif column == "capacitance" and dimension == "%":
        named = words.CAPACITANCE_PERCENT
    elif column == "capacitance" and heading.measured and dimension != "F":
        named = _OF_UNIT.get(dimension, "") if plain(heading.text) != "c" else ""
    elif _unit_fits(column, dimension):
        named = column
    elif column in READING_COLUMNS and dimension in CONDITION_OF_UNIT:
        name = CONDITION_OF_UNIT[dimension]
        return replace(heading, column=name, of=stored_as(column))
    else:
        named = ""
    if named:
        return replace(heading, column=named)
    return replace(heading, column="", problem=f"the unit {heading.unit} does not fit")


def _unit_fits(column: str, dimension: str) -> bool:
    wanted = _DIMENSION.get(column)
    return wanted is None or wanted == dimension or {wanted, dimension} == {"a", "s"}


def known_headings(row: Sequence[str]) -> int:
    """How many cells of a row are known headings."""
    return sum(1 for cell in row if cell and len(cell) <= 60 and parse_heading(cell.strip()).column)


def nearest(text: str) -> str:
    """Known spelling most like an unknown heading, "" where none is near.

    None is for what was read before a reform: the like of it is what is read today.
    """
    if without(plain(text), words.BEFORE_WORDS):
        return ""
    found = difflib.get_close_matches(plain(text), list(words.SPELLINGS), n=1, cutoff=0.75)
    return found[0] if found else ""
