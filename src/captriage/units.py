"""Numbers and units as people and meters write them, to SI and back.

Text comes in with point or comma decimals, digit groups, old and new unit spellings
and letter codes of IEC 60062; it goes out with µ (U+00B5) and Ω (U+03A9). What cannot
be read gives None (or NaN), what can be read in two ways says so: nothing is guessed.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from captriage.unit_names import EXACT, FOLDED, ORDER, PREFIXES, Unit

_CHARACTERS: Final = {
    **dict.fromkeys(map(ord, "\u00a0\u1680\u202f\u205f\u3000\t\r\n\v\f"), " "),
    **dict.fromkeys(range(0x2000, 0x200B), " "),  # widths of space
    **dict.fromkeys(map(ord, "\u200b\u200c\u200d\u200e\u200f\u2060\ufeff"), None),
    **dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe63"), "-"),
    **dict.fromkeys(map(ord, "\u2018\u2019\u02bc\u2032"), "'"),
    **dict.fromkeys(map(ord, "\u201c\u201d\u2033"), '"'),
    **dict.fromkeys(map(ord, "\u03bc"), "µ"),
    **dict.fromkeys(map(ord, "\u2126"), "Ω"),
    **dict.fromkeys(map(ord, "\u2103"), "°C"),
    **dict.fromkeys(map(ord, "\u2109"), "°F"),
    **{0xFF01 + i: 0x21 + i for i in range(94)},  # full width
}
_SUPERSCRIPTS: Final = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-")
_SUPERSCRIPT_RUN: Final = re.compile(r"[⁰¹²³⁴-⁹⁺⁻]+")

EXPONENT: Final = r"(?:[eE][+-]?\d+|\s*[x×*·]\s*10\s*\^\s*[+-]?\d+)"
NUMBER: Final = rf"[+-]?(?:\d+(?:[ ']\d{{3}}(?!\d))*(?:[.,]\d+)*\.?|[.,]\d+){EXPONENT}?"
_NUMBER: Final = re.compile(NUMBER)
_PARTS: Final = re.compile(rf"([+-]?)(.*?)({EXPONENT})?", re.DOTALL)
_EXPONENT_DIGITS: Final = re.compile(r"[+-]?\d+\Z")
_GROUPED: Final = re.compile(r"[1-9]\d{0,2}(?:([ ',.])\d{3})(?:\1\d{3})*")
_LETTER_CODE: Final = re.compile(r"([+-]?\d*)([RrΩpPnNuUµmkKMGVF])(\d+)(?![\d.,])")


def _unit_pattern() -> re.Pattern[str]:
    names = {name for table in (*FOLDED.values(), *EXACT.values()) for name in table}
    longest_first = sorted(names, key=len, reverse=True)
    return re.compile(rf"(?:{'|'.join(map(re.escape, longest_first))})(?![^\W\d])", re.I)


_UNIT: Final = _unit_pattern()


@dataclass(frozen=True, slots=True)
class Number:
    """A number as written.

    Parameters
    ----------
    value : float
        The number; NaN where its digits can be read in two ways.
    candidates : tuple of float
        All readings that are possible, the likelier first. More than one beside a
        finite ``value`` means that the other is unlikely, not excluded ("1.234").
    signed, exponent : bool
        A sign, a power of ten was written.
    """

    value: float
    candidates: tuple[float, ...]
    signed: bool = False
    exponent: bool = False


@dataclass(frozen=True, slots=True)
class Scanned:
    """A number with its unit (None where there is none), and where it ends in the text."""

    number: Number
    unit: Unit | None
    end: int


def normalise(text: str) -> str:
    """Text with one spelling each for spaces, dashes, quotes, digits, µ and Ω."""
    if text.isascii():
        return text.translate(_CHARACTERS) if not text.isprintable() else text
    text = _SUPERSCRIPT_RUN.sub(lambda run: "^" + run.group().translate(_SUPERSCRIPTS), text)
    out = []
    for character in text:
        if "\u3371" <= character <= "\u33df":  # squared units such as U+338C
            out.append(unicodedata.normalize("NFKC", character))
        elif not character.isascii() and character.isdecimal():
            out.append(str(unicodedata.decimal(character)))
        else:
            out.append(character)
    return "".join(out).translate(_CHARACTERS)


def unwrap(text: str) -> str:
    """Text without the apostrophe or ="..." that spreadsheets wrap around a number.

    Only wrapping around nothing (an apostrophe, ="") leaves nothing: "=" alone wraps no cell.
    """
    text = text.strip()
    if text.startswith("="):
        text = text[1:].strip() or "="
    if len(text) >= 2 and text[0] == text[-1] == '"':
        text = text[1:-1].strip()
    return text.lstrip("'").strip()


def _mantissa(text: str, *, decimal: str | None, exponent: bool) -> tuple[str, ...]:
    """Readings of unsigned digits with separators, the likelier first; () if there is none."""
    last = max(text.rfind(","), text.rfind("."))
    if last < 0:
        if text.isdigit():
            return (text,)
        return (re.sub("[ ']", "", text),) if _GROUPED.fullmatch(text) else ()
    head, separator, tail = text[:last], text[last], text[last + 1 :]
    as_group = _GROUPED.fullmatch(text) is not None and not exponent
    as_decimal = (
        head == ""
        or head.isdigit()
        or (_GROUPED.fullmatch(head) is not None and separator not in head)
    )
    whole = re.sub("[ ',.]", "", head)
    readings = []
    if as_decimal:
        readings.append(f"{whole or '0'}.{tail or '0'}")
    if as_group:
        readings.append(whole + tail)
    if len(readings) == 2 and decimal is not None:
        return (readings[0],) if decimal == separator else (readings[1],)
    return tuple(readings)


def parse_number(text: str, *, decimal: str | None = None) -> Number | None:
    """Number written in ``text``, or None where the text is anything else.

    Parameters
    ----------
    text : str
        "47.2", "47,2", "4,700.5", "4 700", "4'700", "1,5E-3", '="46.0"', "−0,3".
    decimal : str, optional
        "." or "," where the rest of the sheet has decided. It decides only what the
        shape of the number leaves open: "1,23" is 1.23 whatever it says.

    Returns
    -------
    Number or None
        "1,234" without ``decimal`` has value NaN and candidates (1.234, 1234.0).
    """
    text = unwrap(normalise(text))
    if _NUMBER.fullmatch(text) is None:
        return None
    match = _PARTS.fullmatch(text)
    if match is None:  # pragma: no cover - every NUMBER has these parts
        return None
    sign, digits, power = match.groups()
    written = _mantissa(digits.strip(), decimal=decimal, exponent=power is not None)
    if not written:
        return None
    shift = _EXPONENT_DIGITS.search(power) if power is not None else None
    tail = f"e{shift.group()}" if shift is not None else ""
    readings = tuple(float(f"{sign}{digits_}{tail}") for digits_ in written)
    certain = len(readings) == 1 or "." in digits
    value = readings[0] if certain else math.nan
    return Number(value, readings, signed=sign != "", exponent=power is not None)


def parse_unit(text: str, dimension: str = "") -> Unit | None:
    """Unit spelt by ``text``; ``dimension`` says what the column is about, to break ties."""
    name = " ".join(normalise(text).split())
    folded = name.lower()
    for table in (dimension, "prefix", *ORDER):
        unit = EXACT.get(table, {}).get(name) or FOLDED.get(table, {}).get(folded)
        if unit is not None:
            return unit
    return None


def scan_quantity(
    text: str, start: int = 0, *, dimension: str = "", decimal: str | None = None
) -> Scanned | None:
    """Number and unit that begin at ``start`` of normalised text: "47 µF", "4u7", "310m".

    None where no number begins there or its digits make no sense.
    """
    code = _LETTER_CODE.match(text, start) if dimension not in ("s", "a", "°C") else None
    if code is not None:
        return _scan_letter_code(code, text, dimension)
    match = _NUMBER.match(text, start)
    if match is None:
        return None
    number = parse_number(match.group(), decimal=decimal)
    if number is None:
        return None
    end = match.end()
    gap = end + (len(text[end:]) - len(text[end:].lstrip(" ")))
    unit_match = _UNIT.match(text, gap)
    unit = parse_unit(unit_match.group(), dimension) if unit_match else None
    if unit_match is None or unit is None:
        return Scanned(number, None, end)
    return Scanned(number, unit, unit_match.end())


def _scan_letter_code(code: re.Match[str], text: str, dimension: str) -> Scanned | None:
    """IEC 60062 letter code: the letter stands where the decimal point would."""
    whole, letter, fraction = code.groups()
    value = float(f"{whole if whole.strip('+-') else whole + '0'}.{fraction}")
    number = Number(value, (value,), signed=whole[:1] in ("+", "-"))
    end = code.end()
    if letter in "PNU":
        letter = letter.lower()
    fixed = {"R": "Ω", "r": "Ω", "Ω": "Ω", "V": "V", "F": "F"}.get(letter)
    if fixed is not None:
        unit = Unit(fixed)
    else:
        unit = Unit("prefix", *PREFIXES[letter])
        following = _UNIT.match(text, end)
        base = parse_unit(following.group(), dimension) if following else None
        if following is not None and base is not None and base.multiply == base.divide == 1.0:
            unit, end = Unit(base.dimension, *PREFIXES[letter]), following.end()
    return Scanned(number, unit, end)


def parse_quantity(text: str, unit: str, *, decimal: str | None = None) -> float:
    """SI value of a text that is one number and its unit, and nothing else.

    Parameters
    ----------
    text : str
        "47 µF", "4u7", "0R31", "1.2 mA"; a number without a unit is taken in ``unit``.
    unit : str
        SI unit expected: "F", "Ω", "V", "A", "s", "Hz", "%", "a" (years), "" for a plain
        number.
    decimal : str, optional
        "." or ",", see :func:`parse_number`.

    Returns
    -------
    float
        NaN where the text holds anything else, another unit, or can be read in two ways.
    """
    text = unwrap(normalise(text))
    scanned = scan_quantity(text, dimension=unit, decimal=decimal)
    if scanned is None or scanned.end != len(text):
        return math.nan
    if scanned.unit is None:
        return scanned.number.value
    if scanned.unit.dimension not in (unit, "prefix") or scanned.unit.doubt:
        return math.nan
    return scanned.unit.to_si(scanned.number.value)


# Powers of ten (as exponents of 1000) each unit is written with, and the least number
# written plain: an ESR is 0.31 Ω at the bench, never 310 mΩ.
WRITTEN: Final[dict[str, tuple[tuple[float, str], ...]]] = {
    "F": ((0.1, ""), (0.1e-6, "µ"), (1e-9, "n"), (1e-12, "p")),
    "Ω": ((1e9, "G"), (1e6, "M"), (1e3, "k"), (0.01, ""), (1e-3, "m"), (1e-6, "µ")),
    "V": ((1e3, "k"), (0.1, ""), (1e-3, "m"), (1e-6, "µ")),
    "A": ((1.0, ""), (1e-3, "m"), (1e-6, "µ"), (1e-9, "n"), (1e-12, "p")),
    "J": ((1e3, "k"), (0.01, ""), (1e-3, "m"), (1e-6, "µ")),
    "W": ((1e3, "k"), (0.1, ""), (1e-3, "m"), (1e-6, "µ")),
    "Hz": ((1e6, "M"), (1e3, "k"), (1e-3, "")),
    "s": ((0.1, ""), (1e-3, "m"), (1e-6, "µ")),
    "H": ((1.0, ""), (1e-3, "m"), (1e-6, "µ"), (1e-9, "n")),
}


def _rounded(value: float, digits: int) -> str:
    """Plain decimal digits, rounded to ``digits`` significant ones, no trailing zeros."""
    text = format(Decimal(f"{value:.{max(digits, 1)}g}"), "f")
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"


def format_quantity(value: float, unit: str, *, digits: int = 3) -> str:
    """Value with its unit as the trade writes it: "47 µF", "1.2 mA", "0.31 Ω", "10000 µF".

    Parameters
    ----------
    value : float
        SI value ("%": a fraction).
    unit : str
        "F", "Ω", "V", "A", "J", "W", "Hz", "s", "H" take prefixes; any other is
        written as it is, "" without a unit.
    digits : int
        Significant digits.

    Returns
    -------
    str
        "–" for NaN.
    """
    if math.isnan(value):
        return "–"
    space = " " if unit else ""
    if math.isinf(value):
        return f"{'-' if value < 0 else ''}∞{space}{unit}"
    value += 0.0  # no "-0 A"
    if unit == "%":
        value *= 100
    rounded = float(f"{value:.{max(digits, 1)}g}")
    steps = WRITTEN.get(unit, ((0.0, ""),))
    prefix = next((p for least, p in steps if abs(rounded) >= least), steps[-1][1])
    if rounded == 0:
        prefix = ""
    multiply, divide = PREFIXES.get(prefix, (1.0, 1.0))
    return f"{_rounded(value / multiply * divide, digits)}{space}{prefix}{unit}"
