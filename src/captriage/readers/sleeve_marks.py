"""What stands on a sleeve beside capacitance and voltage: date, tolerance, polarity, surge."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import Final

from captriage.readers.part_words import TOLERANCE_LETTERS, parse_polarity, parse_tolerance


@dataclass(frozen=True, slots=True)
class Rating:
    """A marking taken apart.

    Parameters
    ----------
    capacitances : tuple of float
        Rated capacitance of each section, in the order printed. [F]
    voltages : tuple of float
        Rated voltage of each section, same length; NaN where none is printed. [V]
    tolerance_low, tolerance_high : float
        Fractions of rated; NaN where not printed.
    temperature : float
        Upper category temperature; NaN where not printed. [°C]
    polarity : str
        "bipolar", "polar" or "" where not said.
    made : str
        Text that may be a date of making, not yet read.
    flags : tuple of str
        What had to be taken as something.
    """

    capacitances: tuple[float, ...]
    voltages: tuple[float, ...]
    tolerance_low: float = math.nan
    tolerance_high: float = math.nan
    temperature: float = math.nan
    polarity: str = ""
    made: str = ""
    flags: tuple[str, ...] = ()


_POLAR: Final = re.compile(
    r"(?<!\w)(?:n\.?p\.?|b\.?p\.?|bi-?polar\w*|non[- ]?polar\w*|unpolari[sz]ed|ungepolt|apolar\w*"
    r"|no polarizado|ongepolariseerd|polari[sz]ed|gepolt|polar)(?![\w])",
    re.IGNORECASE,
)
_DIGITS: Final = r"\d+(?:[.,]\d+)?"
_TOLERANCE: Final = re.compile(
    rf"\(?\s*(?:(?<!\d)-\s*{_DIGITS}\s*%?\s*(?:/|\.\.+|,|to)?\s*\+\s*{_DIGITS}\s*%?"
    rf"|(?<!\d)\+\s*{_DIGITS}\s*%?\s*(?:/|\.\.+|,|to)?\s*-\s*{_DIGITS}\s*%?"
    rf"|0\s*/\s*\+\s*{_DIGITS}\s*%|(?:±|\+\s*/?\s*-)\s*{_DIGITS}\s*%?|(?<![\d.,]){_DIGITS}\s*%)\s*\)?"
)
_LETTER_ALONE: Final = re.compile(r"(?<=\s)([JKMQSTZ])(?!\w)|(?<=\d)([JKMQSTZ])(?!\w)")
_TEMPERATURE: Final = re.compile(
    r"(?:-\s*\d{2}\s*(?:°\s*C?)?\s*(?:/|\.\.+|to)\s*)?\+?(\d{2,3})\s*(?:°\s*C?|deg\.?\s*C|C)(?!\w)",
    re.IGNORECASE,
)
_MADE: Final = re.compile(
    r"(?<=[\sV),;])(?:(?:made|date|dated|bj\.?|baujahr|year|code)\s*:?\s*(\S.*)|"
    r"((?:c\.?|ca\.?|circa|~)?\s*(?:18[89]|19\d|20[0-4])\d(?:[-/]\d{1,2})?|\d{1,2}[-/](?:19|20)\d\d"
    r"|\d{3}-\d{3,4}|\d{3}-\d-\d\d|'\d\d))\s*$",
    re.IGNORECASE,
)
_SURGE: Final = re.compile(
    rf"[,/(]?\s*(?:(?:surge|peak|spitze|max\.?|pointe|pico|picco|piek)\s*:?\s*{_DIGITS}\s*V?"
    rf"|{_DIGITS}\s*V?\s*(?:surge|peak|spitze|pointe|pico|picco|piek)(?!\s*:?\s*\d))\s*\)?",
    re.IGNORECASE,
)


def strip_marks(plain: str) -> tuple[Rating, str, bool]:
    """Take date, tolerance, polarity, temperature and surge voltage out of the text."""
    rating, flags, rest = Rating((), ()), [], plain
    made = _MADE.search(rest)
    if made is not None:
        rating = replace(rating, made=(made.group(1) or made.group(2)).strip())
        rest = rest[: made.start()]
    polar = _POLAR.search(rest)
    if polar is not None:
        rating = replace(rating, polarity=parse_polarity(polar.group()))
        rest = rest[: polar.start()] + " " + rest[polar.end() :]
    temperature = _TEMPERATURE.search(rest)
    if temperature is not None:
        rating = replace(rating, temperature=float(temperature.group(1)))
        rest = rest[: temperature.start()] + " " + rest[temperature.end() :]
    surge = _SURGE.search(rest)
    if surge is not None:
        flags.append(f"'{surge.group().strip(' ,/()')}' kept as the surge voltage, not the rating")
        rest = rest[: surge.start()] + " " + rest[surge.end() :]
    printed = _TOLERANCE.search(rest)
    letter = None if printed else _LETTER_ALONE.search(rest)
    if printed is not None:
        low, high = parse_tolerance(printed.group().strip(" ()"))
        rating = replace(rating, tolerance_low=low, tolerance_high=high)
        rest = rest[: printed.start()] + " " + rest[printed.end() :]
    elif letter is not None:
        name = letter.group(1) or letter.group(2)
        low, high = TOLERANCE_LETTERS[name]
        flags.append(f"{name} taken as the tolerance {100 * low:+g}/{100 * high:+g} %")
        rating = replace(rating, tolerance_low=low, tolerance_high=high)
        rest = rest[: letter.start()] + " " + rest[letter.end() :]
    return replace(rating, flags=tuple(flags)), rest, surge is not None
