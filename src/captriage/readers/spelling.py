"""Pieces of a heading: words without accents, units, conditions, and known spellings."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from captriage.columns import BEFORE
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
        *BEFORE.values(),
    )
)
"""Columns whose cells become readings."""

READ_AS: Final = {before: quantity for quantity, before in BEFORE.items()}
"""Quantity whose cells those of a column of before a reform are like."""

CONDITION_COLUMNS: Final = frozenset(
    ("frequency_hz", "voltage_v", "temperature_degc", "soak_s", words.UNCERTAINTY, words.RANGE)
)
"""Columns whose cells tell how the readings beside them were taken."""

CONDITION_OF_UNIT: Final = {
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
_GREEK: Final = str.maketrans(
    {"δ": " delta ", "Δ": " delta ", "φ": " phi ", "ϕ": " phi ", "μ": "u", "µ": "u", "Ω": "ohm",
     "ω": "ohm", "ß": "ss", "ø": "o", "Ø": "o", "æ": "ae", "œ": "oe", "№": "no", "Å": "a"}
)  # fmt: skip
_NOT_WORD: Final = re.compile(r"[^a-z0-9]+")
_SPELT_OUT: Final = re.compile(r"([aou])e")


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


def take_conditions(text: str) -> tuple[str, dict[str, float]]:
    """Split off the conditions: the rest of the heading, and their values in SI."""
    conditions: dict[str, float] = {}

    def take(match: re.Match[str]) -> str:
        unit = parse_unit(match.group(2).strip(), "Hz" if match.group(2) in "kK" else "s")
        if match.group(2) in "kK":
            unit = Unit("Hz", 1e3)
        name = CONDITION_OF_UNIT.get(unit.dimension, "") if unit else ""
        if not name or unit is None or name in conditions:
            return match.group()
        conditions[name] = unit.to_si(float(match.group(1).replace(",", ".")))
        return " "

    text = _CONDITION.sub(take, text)
    return _AT_KILO.sub(take, text).strip(), conditions


def take_unit(text: str) -> tuple[str, str]:
    """Split the unit off: in brackets, behind "/" or "_", or as the last word."""
    for match in _BRACKET.finditer(text):
        inside = match.group(1).strip()
        rest = (text[: match.start()] + " " + text[match.end() :]).strip()
        if not inside:
            return take_unit(rest)
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
    if trailing is not None and (text.endswith("%") or look_up(plain(text)) is None):
        head, last = trailing.groups()
        if heading_unit(last) is not None:
            return _LEADING_IN.sub("", head), last
        if last in ("C", "°") and plain(head) in ("temp", "temperature", "t"):
            return head, "°C"
    return text, ""


def _spelt(spelling: str) -> str | None:
    """Column with this spelling, its words together or apart, its umlauts as one letter or two."""
    together = spelling.replace(" ", "")
    return (
        words.SPELLINGS.get(spelling)
        or words.TOGETHER.get(together)
        or words.TOGETHER.get(_SPELT_OUT.sub(r"\1", together))
    )


def look_up(spelling: str) -> tuple[str, bool] | None:
    """Column of a plain spelling, and whether it says "measured"; None where not known."""
    column = _spelt(spelling)
    if column is not None:
        return column, spelling in words.MEASURED_WORDS
    reform = _of_a_reform(spelling)
    if reform is not None:
        return reform
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


def _of_a_reform(spelling: str) -> tuple[str, bool] | None:
    """Column of "c before reforming" or of "esr after": of then, or of today."""
    for said, found in ((words.BEFORE_WORDS, BEFORE), (words.AFTER_WORDS, _TODAY)):
        rest = without(spelling, said)
        base = look_up(rest) if rest else None
        if base is not None and base[0] in found:
            return found[base[0]], found is _TODAY
    return None


def without(spelling: str, phrases: Iterable[str]) -> str:
    """A spelling without the phrase that it begins or ends with; "" where it does not."""
    for phrase in phrases:
        if spelling.startswith(phrase + " "):
            return spelling[len(phrase) + 1 :]
        if spelling.endswith(" " + phrase):
            return spelling[: -len(phrase) - 1]
    return ""


_TODAY: Final = {quantity: quantity for quantity in BEFORE}
