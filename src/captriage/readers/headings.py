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

from captriage.readers import vocabulary as words
from captriage.unit_names import Unit
from captriage.units import parse_unit

READING_COLUMNS: Final = frozenset(
    (
        "capacitance",
        "esr",
        "tan_delta",
        "leakage_current",
        "resistance",
        "impedance",
        "capacitance_deviation",
        words.Q,
        words.POWER_FACTOR,
        words.CAPACITANCE_PERCENT,
    )
)
"""Columns whose cells become readings."""

CONDITION_COLUMNS: Final = frozenset(
    ("frequency_hz", "voltage_v", "temperature_degc", "soak_s", words.UNCERTAINTY, words.RANGE)
)
"""Columns whose cells tell how the readings beside them were taken."""

_DIMENSION: Final = {
    "capacitance": "F",
    "capacitance_rated": "F",
    "esr": "Ω",
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
_CONDITION_OF_UNIT: Final = {
    "Hz": "frequency_hz",
    "V": "voltage_v",
    "s": "soak_s",
    "°C": "temperature_degc",
}
_RATED_OF: Final = {
    "capacitance": "capacitance_rated",
    words.VOLTAGE: "voltage_rated",
    "voltage_v": "voltage_rated",
    words.VALUE: words.RATING,
    "tolerance": "tolerance",
}
_SINGLE_LETTER_UNITS: Final = frozenset("VAFΩsh%")
_WORDS_THAT_ARE_UNITS_TOO: Final = frozenset(("ohms", "volts", "volt", "ohm", "amps"))


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


_GREEK: Final = str.maketrans(
    {"δ": " delta ", "Δ": " delta ", "φ": " phi ", "ϕ": " phi ", "μ": "u", "µ": "u", "Ω": "ohm",
     "ω": "ohm", "ß": "ss", "ø": "o", "Ø": "o", "æ": "ae", "œ": "oe", "№": "no", "Å": "a"}
)  # fmt: skip
_NOT_WORD: Final = re.compile(r"[^a-z0-9]+")


@lru_cache(maxsize=20_000)
def plain(text: str) -> str:
    """Small letters without accents, words of letters and digits with one space between."""
    text = unicodedata.normalize("NFKC", text).translate(_GREEK).casefold()
    if not text.isascii():
        decomposed = unicodedata.normalize("NFD", text)
        text = "".join(c for c in decomposed if not unicodedata.combining(c))
    return _NOT_WORD.sub(" ", text).strip()


_NUMBER = r"(\d+(?:[.,]\d+)?)"
_CONDITION: Final = re.compile(
    rf"(?:(?<![A-Za-z0-9.])(?:@|at|bei|bij|à|a|after|nach|après|tras|dopo|na)\s*|@\s*|(?<![A-Za-z0-9.,]))"
    rf"{_NUMBER}\s*(?:[ _-])?\s*"
    r"(?P<unit>[kM]?Hz|kc/s|c/s|kV|V(?:DC)?|volts?|min(?:ute[sn]?|utos?|uti)?|m(?=\b)|s(?:ec(?:onds?|s)?|ek)?"
    r"|h(?:ours?|rs?)?|°\s?C|degC|℃)(?![A-Za-z0-9])",
    re.IGNORECASE,
)
_AT_KILO: Final = re.compile(
    rf"(?:@|\bat|\bbei|\bà|\bbij)\s*{_NUMBER}\s*(k)(?![A-Za-z])", re.IGNORECASE
)
_BRACKET: Final = re.compile(r"[(\[{]([^()\[\]{}]*)[)\]}]")
_TRAILING: Final = re.compile(r"^(.*?)(?:[\s_/,:;.-]+|(?<=[a-zδ])(?=[µμ]))([^\s_/,:;-]+)\.?$")
_LEADING_IN: Final = re.compile(r"[\s_](?:in|en|em|,)$", re.IGNORECASE)


def heading_unit(text: str) -> Unit | None:
    """Unit that a piece of a heading spells, or None; a lone letter only where it is usual."""
    text = text.strip()
    if len(text) == 1 and text not in _SINGLE_LETTER_UNITS:
        return None
    unit = parse_unit(text)
    return unit if unit is not None and unit.dimension != "prefix" else None


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
        whole = _lookup(spelling)
        if whole is not None:
            unit = _IMPLIED_UNITS.get(spelling, "")
            return Heading(text, whole[0], unit, measured=whole[1])
    rest, conditions = _take_conditions(bare)
    rest, unit = _take_unit(rest)
    return _meaning(text, rest, unit, conditions)


_ONLY_WORDS: Final = re.compile(r"[\w .'-]*")
_IMPLIED_UNITS: Final = {
    "minutes": "min", "mins": "min", "minuten": "min", "minutos": "min", "minuti": "min",
    "seconds": "s", "secs": "s", "age years": "years",
}  # fmt: skip


def _take_conditions(text: str) -> tuple[str, dict[str, float]]:
    conditions: dict[str, float] = {}

    def take(match: re.Match[str]) -> str:
        unit = parse_unit(match.group(2).strip(), "Hz" if match.group(2) in "kK" else "s")
        if match.group(2) in "kK":
            unit = Unit("Hz", 1e3)
        name = _CONDITION_OF_UNIT.get(unit.dimension, "") if unit else ""
        if not name or unit is None or name in conditions:
            return match.group()
        conditions[name] = unit.to_si(float(match.group(1).replace(",", ".")))
        return " "

    text = _CONDITION.sub(take, text)
    return _AT_KILO.sub(take, text).strip(), conditions


def _take_unit(text: str) -> tuple[str, str]:
    """Split the unit off: in brackets, behind "/" or "_", or as the last word."""
    for match in _BRACKET.finditer(text):
        inside = match.group(1).strip()
        rest = (text[: match.start()] + " " + text[match.end() :]).strip()
        if not inside:
            return _take_unit(rest)
        if heading_unit(inside) is not None or inside in ("C", "a", "d", "m", "K", "-", "1"):
            return rest, inside if inside not in ("-", "1") else ""
    if heading_unit(text) is not None:
        return "", text
    first, _, others = text.partition(" ")
    if heading_unit(first) is not None and all(
        word in words.RATED_WORDS | words.MEASURED_WORDS for word in plain(others).split()
    ):
        return others, first
    trailing = _TRAILING.match(text)
    if trailing is not None and (text.endswith("%") or _lookup(plain(text)) is None):
        head, last = trailing.groups()
        if heading_unit(last) is not None:
            return _LEADING_IN.sub("", head), last
        if last in ("C", "°") and plain(head) in ("temp", "temperature", "t"):
            return head, "°C"
    return text, ""


def _spelt(spelling: str) -> str | None:
    """Column with this spelling, its words together or apart."""
    return words.SPELLINGS.get(spelling) or words.TOGETHER.get(spelling.replace(" ", ""))


def _lookup(spelling: str) -> tuple[str, bool] | None:
    """Column of a plain spelling, and whether it says "measured"; None where not known."""
    column = _spelt(spelling)
    if column is not None:
        return column, spelling in words.MEASURED_WORDS
    tokens = spelling.split()
    measured = [w for w in tokens if w in words.MEASURED_WORDS]
    rated = [w for w in tokens if w in words.RATED_WORDS]
    kept = [w for w in tokens if w not in words.MEASURED_WORDS and w not in words.RATED_WORDS]
    if not kept or len(kept) == len(tokens) or (measured and rated):
        return None
    column = _spelt(" ".join(kept))
    if rated:
        column = _RATED_OF.get(column or "")
    elif column not in READING_COLUMNS and column not in CONDITION_COLUMNS | {
        words.VOLTAGE,
        words.VALUE,
    }:
        column = None
    return None if column is None else (column, bool(measured))


def _meaning(text: str, rest: str, unit: str, conditions: dict[str, float]) -> Heading:
    held = MappingProxyType(conditions)
    spelling = plain(rest)
    dimension = _dimension(unit)
    tokens = spelling.split()
    found = _lookup(spelling)
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
            base = _lookup(" ".join(quantity))
            if base is None or base[0] not in READING_COLUMNS:
                continue
            name = _condition_name(" ".join(condition), unit)
            if name:
                return Heading(text, name, unit, conditions, of=stored_as(base[0]))
    return Heading(text)


def _condition_name(spelling: str, unit: str) -> str:
    dimension = _dimension(unit)
    if spelling in ("test", "meas", "measured") and dimension in _CONDITION_OF_UNIT:
        return _CONDITION_OF_UNIT[dimension]
    found = _lookup(spelling)
    column = found[0] if found else ""
    column = {words.VOLTAGE: "voltage_v", words.TIME: "soak_s"}.get(column, column)
    return column if column in CONDITION_COLUMNS | {words.STATUS, words.METER} else ""


def stored_as(column: str) -> str:
    """Quantity under which the readings of a reading column are stored."""
    if column in (words.Q, words.POWER_FACTOR):
        return "tan_delta"
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
    elif column in READING_COLUMNS and dimension in _CONDITION_OF_UNIT:
        name = _CONDITION_OF_UNIT[dimension]
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
    """Known spelling most like an unknown heading, "" where none is near."""
    found = difflib.get_close_matches(plain(text), list(words.SPELLINGS), n=1, cutoff=0.75)
    return found[0] if found else ""
