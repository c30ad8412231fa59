"""What is printed on a capacitor: rating of one section or a whole can, tolerance, polarity."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import Final

from captriage.errors import MarkingError
from captriage.readers.other_kinds import REMEDY, WHY, other_kind
from captriage.readers.part_words import (
    parse_grade,
    parse_polarity,
    parse_reform_outcome,
    parse_role,
    parse_tolerance,
    parse_yes_no,
)
from captriage.readers.several_values import split_values
from captriage.readers.sleeve_marks import Rating, strip_marks
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
_OLD_VOLTAGE: Final = (
    100.0  # V; from here on mF on a sleeve is the old microfarad (common practice)
)
_MOST_ENERGY: Final = 100.0  # J; no millifarads beyond this in one small part (common practice)
OLD_MICROFARAD: Final = "mF taken as microfarad (old marking): millifarads do not go with it"
_SURGE_RATIO: Final = (1.03, 1.35)  # surge to working voltage as printed (common practice)
_CAPACITANCE_RANGE: Final = (1e-12, 10.0)
_VOLTAGE_RANGE: Final = (0.5, 2000.0)


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
_TIMES: Final = re.compile(r"(?<![\w.,])(\d{1,2})\s*[x×*]\s*(?=\d)", re.IGNORECASE)
_COMMON: Final = re.compile(
    r"(?<!\w)(?:(?:neg(?:ative)?|minus|pos(?:itive)?|common|can)\.?[\s-]*){1,2}"
    r"(?:common|earth(?:ed)?|ground(?:ed)?|to can)(?!\w)",
    re.IGNORECASE,
)
_MIDDLE_DOT: Final = re.compile(r"(?<=\d)·(?=\d)")
_GROUP: Final = re.compile(
    r"\s*\d+(?:[.,]\d+)?(?:\s*\+\s*\d+(?:[.,]\d+)?)*\s*/\s*\d+(?:[.,]\d+)?\s*V?\s*", re.IGNORECASE
)
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
    plain = _MIDDLE_DOT.sub(".", _COMMON.sub(" ", unwrap(normalise(text))))
    if re.match(r"-\s*[\d.,]", plain):
        raise _error(text, "a rating cannot be negative; check the sign")
    groups = re.split(r"(?<=\s)[+;,](?=\s)", plain)
    if len(groups) > 1 and all(map(_GROUP.fullmatch, groups)):  # "40+20/350 + 20/25"
        return _joined([_parse(group, text, decimal) for group in groups])
    try:
        return _parse(plain, text, decimal)
    except MarkingError:
        apart = _TIGHT.sub(r"\1 / \2", plain)  # "8 450V" is not 8450 V
        if apart == plain:
            raise
        return _parse(apart, text, decimal)


def _joined(groups: list[Rating]) -> Rating:
    """One can of groups of sections, each group with its own voltage."""
    return replace(
        groups[0],
        capacitances=tuple(farad for group in groups for farad in group.capacitances),
        voltages=tuple(volt for group in groups for volt in group.voltages),
        flags=tuple(dict.fromkeys(flag for group in groups for flag in group.flags)),
    )


def _parse(plain: str, text: str, decimal: str | None) -> Rating:
    rating, rest, surge = strip_marks(plain)
    rest = _WORDS.sub(" ", _BRACKETED.sub(r" \1 ", rest))
    items, leftover = _items(_TIMES.sub(_repeat_mark, rest), decimal)
    if leftover:
        raise _error(text, f"'{leftover}' not understood")
    capacitances, voltages = _divided(items, text)
    flags = list(rating.flags)
    volts = [_voltage(item, flags, text) for item in voltages]
    capacitances = _millifarads_settled(capacitances, max(volts, default=math.nan), flags, text)
    farads = [_capacitance(item, flags, text) for item in capacitances]
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
    if kind := other_kind(text, alone=False):
        return MarkingError(f"rating '{text.strip()}': {kind}: {WHY}; {REMEDY}")
    return MarkingError(
        f"rating '{text.strip()}': {found}; write it as '32 µF 450 V' or '40+40+10 µF 450 V'"
    )


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


def _millifarads_settled(
    items: list[_Item], volts: float, flags: list[str], text: str
) -> list[_Item]:
    """Decide once for the whole marking whether "mF" is the old microfarad or millifarad."""
    doubted = [item for item in items if item.unit and item.unit.doubt and item.unit.divide == 1e3]
    if not doubted:
        return items
    if len(items) > 1 or volts >= _OLD_VOLTAGE:
        flags.append(OLD_MICROFARAD)
        micro = Unit("F", 1.0, 1e6)
        return [replace(item, unit=micro) if item in doubted else item for item in items]
    number = _certain(doubted[0], text)
    if number >= 1.0 and 0.5 * number / 1e3 * volts**2 < _MOST_ENERGY:
        return items
    raise _error(text, f"ambiguous: mF may be {number:g} microfarad (old marking) or millifarad")


def _capacitance(item: _Item, flags: list[str], text: str) -> float:
    number = _certain(item, text)
    unit = item.unit
    if unit is None:
        flags.append(NO_UNIT)
        unit = Unit("F", 1.0, 1e6)
    value = unit.to_si(number)
    if unit.doubt:
        flags.append(unit.doubt)
    low, high = _CAPACITANCE_RANGE
    if not low <= value <= high:
        raise _error(text, f"{format_quantity(value, 'F')} is no rated capacitance")
    return value
