"""What is printed on a capacitor: rating of one section or a whole can, tolerance, polarity."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import Final

from captriage.errors import MarkingError
from captriage.readers.cell_words import word_flag
from captriage.readers.part_words import (
    TOLERANCE_LETTERS,
    parse_grade,
    parse_polarity,
    parse_reform_outcome,
    parse_role,
    parse_tolerance,
    parse_yes_no,
)
from captriage.unit_names import Unit
from captriage.units import Number, format_quantity, normalise, parse_unit, scan_quantity, unwrap

__all__ = [
    "Rating",
    "parse_grade",
    "parse_polarity",
    "parse_rating",
    "parse_reform_outcome",
    "parse_role",
    "parse_tolerance",
    "parse_yes_no",
    "split_values",
]

NO_UNIT: Final = "no unit: taken as µF"
NO_VOLTAGE_UNIT: Final = "no unit: taken as V"
_MOST_ENERGY: Final = 1000.0  # J; a single part beyond this is a misread mF (common practice)
_SURGE_RATIO: Final = (1.03, 1.35)  # surge to working voltage as printed (common practice)
_CAPACITANCE_RANGE: Final = (1e-12, 10.0)
_VOLTAGE_RANGE: Final = (0.5, 2000.0)


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


@dataclass(frozen=True, slots=True)
class _Item:
    """One number of a marking: its unit's dimension ("" where none), and what stands before."""

    number: Number
    unit: Unit | None
    kind: str  # "F", "V" or ""
    separator: str


_WORDS: Final = re.compile(
    r"(?<!\w)(?:electrolytic|electrolytics|elko|elkos|electrolítico|elettrolitico|électrolytique"
    r"|elektrolytisch|capacitor|condenser|cap|can|axial|radial|snap-in|twist-?lock|wkg|working"
    r"|d\.?c\.?|rated|nominal|alu|al|dry|wet)(?!\w)",
    re.IGNORECASE,
)
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
_TIMES: Final = re.compile(r"(?<![\w.,])(\d{1,2})\s*[x×*]\s*(?=\d)", re.IGNORECASE)
_BRACKETED: Final = re.compile(r"\(([\d+/., -]+)\)")
_BETWEEN: Final = re.compile(r"[\s,;:|()@&]*(?:[/+-]|and\b|und\b|et\b|at\b)?[\s,;:|()@]*")
_TIGHT: Final = re.compile(r"(?<![\d.,])(\d{1,3}) (\d{3})(?=\s*V)", re.IGNORECASE)


def parse_rating(text: str, *, decimal: str | None = None) -> Rating:
    """Rating from the text of a sleeve or a cell.

    Parameters
    ----------
    text : str
        "32 µF 450 V", "40+40+10/450V", "40/40/20 µF 450/400/25 V", "2x32uF 500V",
        "8 MFD 450 WVDC", "4u7 63V", "10K 25" (K: ±10 %), "25 µF 25 V -10/+50 %".
    decimal : str, optional
        "." or "," where the rest of the sheet decides.

    Returns
    -------
    Rating

    Raises
    ------
    MarkingError
        Where there is no capacitance, digits can be read in two ways, a value cannot be
        a capacitor's, or part of the text remains unexplained.
    """
    plain = unwrap(normalise(text))
    try:
        return _parse(plain, text, decimal)
    except MarkingError:
        apart = _TIGHT.sub(r"\1 / \2", plain)  # "8 450V" is not 8450 V
        if apart == plain:
            raise
        return _parse(apart, text, decimal)


def _parse(plain: str, text: str, decimal: str | None) -> Rating:
    rating, rest, surge = _strip_marks(plain)
    rest = _WORDS.sub(" ", _BRACKETED.sub(r" \1 ", rest))
    items, leftover = _items(_TIMES.sub(_repeat_mark, rest), decimal)
    if leftover:
        raise _error(text, f"'{leftover}' not understood")
    capacitances, voltages = _divided(items, text)
    flags = list(rating.flags)
    volts = [_voltage(item, flags, text) for item in voltages]
    farads = [
        _capacitance(item, max(volts, default=math.nan), flags, text) for item in capacitances
    ]
    low, high = _SURGE_RATIO
    if len(volts) == 2 and not surge and volts[0] * low <= volts[1] <= volts[0] * high:
        flags.append(
            f"{volts[0]:g}/{volts[1]:g} V: the higher taken as the surge voltage, not the rating"
        )
        volts = volts[:1]
    if len(volts) <= 1:
        volts = (volts or [math.nan]) * len(farads)
    if len(volts) != len(farads):
        raise _error(text, f"{len(farads)} capacitances but {len(volts)} voltages")
    return replace(
        rating,
        capacitances=tuple(farads),
        voltages=tuple(volts),
        flags=tuple(dict.fromkeys(flags)),
    )


def _error(text: str, found: str) -> MarkingError:
    return MarkingError(
        f"rating '{text.strip()}': {found}; write it as '32 µF 450 V' or '40+40+10 µF 450 V'"
    )


def _strip_marks(plain: str) -> tuple[Rating, str, bool]:
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


def _repeat_mark(times: re.Match[str]) -> str:
    """Mark "2x" so that the next number is taken that often."""
    return f"\x00{int(times.group(1))}\x00"


_MARK: Final = re.compile("\x00(\\d+)\x00")


def _items(text: str, decimal: str | None) -> tuple[list[_Item], str]:
    """Numbers with units and separators, and the first text that is neither."""
    items: list[_Item] = []
    position, repeat, separator = 0, 1, " "
    while position < len(text):
        between = _BETWEEN.match(text, position)
        if between is not None and between.end() > position:
            separator = between.group().strip() or " "
            position = between.end()
            continue
        mark = _MARK.match(text, position)
        if mark is not None:
            repeat, position = int(mark.group(1)), mark.end()
            continue
        scanned = scan_quantity(text, position, dimension="F", decimal=decimal)
        if scanned is None:
            return items, text[position:].strip()
        kind = scanned.unit.dimension if scanned.unit else ""
        kind = "F" if kind == "prefix" else kind
        if kind not in ("F", "V", "") or not 1 <= repeat <= 8:
            return items, text[position : scanned.end]
        unit = scanned.unit
        if unit is not None and unit.dimension == "prefix":
            unit = parse_unit("mF") if unit.divide == 1e3 else unit
        item = _Item(scanned.number, unit, kind, separator)
        items += [item, *[replace(item, separator="+")] * (repeat - 1)]
        position, repeat, separator = scanned.end, 1, ""
    return items, ""


def _divided(items: list[_Item], text: str) -> tuple[list[_Item], list[_Item]]:
    """Split the numbers into capacitances and voltages.

    A unit holds for the numbers before it; without units the place where the separator
    changes decides.
    """
    if not items:
        raise _error(text, "no capacitance")
    kinds = [item.kind for item in items]
    farads = [i for i, kind in enumerate(kinds) if kind == "F"]
    volts = [i for i, kind in enumerate(kinds) if kind == "V"]
    if farads and volts and volts[0] < farads[0]:  # "450 V 32 µF"
        turned = [*items[volts[-1] + 1 :], *items[: volts[-1] + 1]]
        if volts[-1] < farads[0]:
            return _divided(turned, text)
    if farads and volts and not any(kinds[i] == "V" for i in range(farads[-1])):
        split = farads[-1] + 1
        return _shared_unit(items[:split]), _shared_unit(items[split:])
    if farads and not volts:
        split = farads[-1] + 1
        return _shared_unit(items[:split]), items[split:]
    if farads:
        pairs = list(zip(items[::2], items[1::2], strict=False))  # "40 µF 450 V + 10 µF 25 V"
        if len(items) % 2 == 0 and all((a.kind, b.kind) == ("F", "V") for a, b in pairs):
            return [a for a, _ in pairs], [b for _, b in pairs]
        raise _error(text, "capacitances and voltages are mixed")
    if volts == [0] and len(items) == 1:
        raise _error(text, "no capacitance")
    return _divided_by_separator(items, text)


def _divided_by_separator(items: list[_Item], text: str) -> tuple[list[_Item], list[_Item]]:
    count = len(items)
    if count == 1:
        return items, []
    first_volt = next((i for i, item in enumerate(items) if item.kind == "V"), count - 1)
    splits = []
    for split in range(1, first_volt + 1):
        inner = {item.separator for i, item in enumerate(items) if i not in (0, split)}
        volts = count - split
        if volts in (1, 2, split):
            splits.append((items[split].separator in inner, volts == 2 and split != 2, split))
    clean = [s for s in splits if not s[0] and s[2] != 0]
    single = [s for s in splits if count - s[2] == 1]
    chosen = min(clean or single, default=None)
    if chosen is None:
        raise _error(text, "which numbers are capacitances is not clear")
    split = chosen[2]
    if not any(item.kind for item in items) and not clean and count > 2:
        raise _error(text, "which numbers are capacitances is not clear")
    return items[:split], _shared_unit(items[split:])


def _shared_unit(items: list[_Item]) -> list[_Item]:
    """Give each number without a unit the unit of the next one that has one."""
    shared: list[_Item] = []
    unit, kind = None, ""
    for item in reversed(items):
        if item.unit is not None:
            unit, kind = item.unit, item.kind
        shared.append(item if item.unit is not None else replace(item, unit=unit, kind=kind))
    return shared[::-1]


def _certain(item: _Item, text: str) -> float:
    if math.isnan(item.number.value):
        both = " or ".join(f"{n:g}" for n in item.number.candidates)
        raise _error(text, f"ambiguous: {both}")
    return item.number.value


def _voltage(item: _Item, flags: list[str], text: str) -> float:
    if item.unit is None:
        flags.append(NO_VOLTAGE_UNIT)
    value = (item.unit or Unit("V")).to_si(_certain(item, text))
    low, high = _VOLTAGE_RANGE
    if item.kind == "F" or not low <= value <= high:
        raise _error(
            text, f"{format_quantity(value, 'V')} is no rated voltage ({low:g} to {high:g} V)"
        )
    return value


def _capacitance(item: _Item, volts: float, flags: list[str], text: str) -> float:
    number = _certain(item, text)
    unit = item.unit
    if unit is None:
        flags.append(NO_UNIT)
        unit = Unit("F", 1.0, 1e6)
    value = unit.to_si(number)
    if unit.doubt and unit.divide == 1e3 and 0.5 * value * volts**2 > _MOST_ENERGY:
        flags.append("mF taken as microfarad: no part stores the energy of millifarads there")
        value = number / unit.other_divide
    elif unit.doubt:
        flags.append(unit.doubt)
    low, high = _CAPACITANCE_RANGE
    if not low <= value <= high:
        raise _error(text, f"{format_quantity(value, 'F')} is no rated capacitance")
    return value


_SPLIT: Final = re.compile(r"\s*(?:[/|;&\n]|(?<![eE])\+|,(?=\s)|(?<=\s)-(?=\s)|\band\b|\bund\b)\s*")
_KEPT: Final = re.compile(
    r"n/[amt]\b|o/c\b|s/c\b|[km]?c/s\b|\+\s*/\s*-|-\s*/\s*\+|[+-]\s*\d+\s*/\s*[+-]\s*\d+", re.I
)
_TAIL: Final = re.compile(r"(?<=\d)\s*([^\W\d].*)$")


def split_values(text: str) -> tuple[str, ...]:
    """Cells of the sections of a can written in one: "40.6/38.2/10.5" → three texts.

    A unit behind the last one holds for all. A text that is one cell comes back alone.
    """
    plain = unwrap(normalise(text.replace("\n", ";")))
    if word_flag(plain):
        return (text,)
    kept: list[str] = []

    def keep(found: re.Match[str]) -> str:
        kept.append(found.group())
        return f"\x00{len(kept) - 1}\x00"

    pieces = _SPLIT.split(_KEPT.sub(keep, plain))
    pieces = [re.sub("\x00(\\d+)\x00", lambda m: kept[int(m.group(1))], p) for p in pieces]
    if len(pieces) < 2 or not all(pieces):
        return (text,)
    tail = _TAIL.search(pieces[-1])
    unit = parse_unit(tail.group(1)) if tail is not None else None
    if tail is not None and unit is not None:
        pieces = [p if re.search(r"[^\W\d]", p) else f"{p} {tail.group(1)}" for p in pieces]
    return tuple(pieces)
