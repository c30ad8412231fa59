"""Headings of a log of a reforming run: time, current or drop, and which voltage is meant.

What a heading says is read as in any other sheet (:mod:`captriage.readers.headings`); beside that
a log has voltages of its own: before the series resistor, across it, and on the part.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from captriage.readers import vocabulary as words
from captriage.readers.headings import Heading, parse_heading
from captriage.readers.spelling import heading_unit, plain, take_unit
from captriage.readers.splitting import Grid

CURRENT: Final = "leakage_current"
DROP: Final = "drop"
SUPPLY: Final = "supply"
PART_VOLTAGE: Final = "part voltage"
TIMES: Final = frozenset((words.TIME, words.CLOCK, words.DATE, "taken_at"))
VOLTAGES: Final = (SUPPLY, PART_VOLTAGE, DROP, words.VOLTAGE)
LOOK_FOR_HEADINGS: Final = 500
"""Rows searched for the row of headings."""

_SPELLINGS: Final = {
    SUPPLY: """supply, supply v, supply voltage, v supply, vsupply, u supply, psu, psu v, psu
        voltage, v psu, vs, us, u0, v0, vin, v in, source, source voltage, v source, set, set v,
        set voltage, voltage set, v set, vset, setpoint, applied, applied voltage, voltage
        applied, v applied, test voltage, v test, bias, bias voltage, forming voltage, reforming
        voltage, quelle, quellenspannung, netzgerat, u netzgerat, netzteil, u netzteil, v netzteil,
        netzteil v, netzteilspannung, speisespannung, versorgungsspannung,
        angelegte spannung, formierspannung, alimentation, tension d alimentation, tension
        appliquee, alimentacion, tension de alimentacion, tension aplicada, alimentazione,
        tensione di alimentazione, tensione applicata, voeding, voedingsspanning, aangelegde
        spanning""",
    PART_VOLTAGE: """part voltage, part v, v part, u part, voltage on part, voltage at part,
        voltage across part, voltage on the part, voltage across the part, cap voltage, cap v, v
        cap, vcap, vc, v c, uc, u c, capacitor voltage, v capacitor, voltage on capacitor, voltage
        across capacitor, voltage at capacitor, dut voltage, v dut, u dut, elko spannung, u elko,
        kondensatorspannung, spannung am kondensator, spannung am elko, tension du condensateur,
        tension aux bornes, tension en el condensador, tension del condensador, tensione sul
        condensatore, tensione condensatore, spanning over condensator, condensatorspanning""",
    DROP: """drop, voltage drop, v drop, vdrop, u drop, drop voltage, resistor drop, drop over r,
        drop across r, drop across resistor, drop over resistor, v over r, v across r, u over r,
        voltage over r, voltage across r, voltage over resistor, voltage across resistor, voltage
        across the resistor, resistor voltage, v resistor, shunt, shunt voltage, v shunt,
        spannungsabfall, spannung am widerstand, u shunt, chute, chute de tension, caida, caida
        de tension, caduta, caduta di tensione, spanningsval, spanning over weerstand""",
    CURRENT: """part current, cap current, capacitor current, current into part, charging current,
        i cap, icap, i c, i part, i dut, a, amps, ampere, amperes, milliamps, microamps,
        ladestrom, formierstrom""",
}
_KINDS: Final = {
    " ".join(spelling.split()): kind
    for kind, text in _SPELLINGS.items()
    for spelling in text.split(",")
}
_DIMENSION: Final = {CURRENT: "A", SUPPLY: "V", PART_VOLTAGE: "V", DROP: "V"}
_UNIT_WORDS: Final = {
    "milliamps": "mA", "microamps": "µA", "a": "A", "amps": "A", "ampere": "A", "amperes": "A",
}  # fmt: skip
_AS_TIMES: Final = {"soak_s": words.TIME, "service_hours": words.TIME}
_HOW_WRITTEN: Final = re.compile(
    r"[(\[]?\b(?:(?:d+:)?(?:h{1,2}:)?m{1,2}:s{1,2}(?:\.\w+)?|h{1,2}:m{1,2})\b[)\]]?", re.I
)
_OWN_AMPERE: Final = re.compile(r"_a$")  # "current_a": a column in ampere, no year
_CHANNEL: Final = re.compile(r"(?:ch(?:annel)?\s*)?\d+\s*(?:<.*>\s*)?\(([mµμun]?[VA])\s*DC\)", re.I)
"""A channel of a scanning meter: "101 (VDC)"."""

_OVER_OHMS: Final = re.compile(
    r"\b(over|across) \d+(?:[.,]\d+)? ?[kM]?\d*(?: ?(?:Ω|ohms?))?(?=$|\W)", re.I
)
"""The resistor told in the heading of its drop: "drop over 47k"; its ohms are asked for."""

_OF_ZONE: Final = re.compile(r"\s*[(\[](?:UTC|GMT|local)[)\]]$", re.IGNORECASE)
_USED: Final = (
    TIMES
    | {CURRENT, *VOLTAGES}
    | {words.PART, words.RATING, words.QUANTITY, words.VALUE, words.UNIT}
)


def curve_heading(text: str) -> Heading:
    """What a heading of a log means; ``column`` is "" for what no curve is made of.

    Parameters
    ----------
    text : str
        One cell of the row of headings.
    """
    bare = unicodedata.normalize("NFKC", text).strip().strip("'\"*:?#").strip()
    bare = _OWN_AMPERE.sub("_A", _OF_ZONE.sub("", bare))
    channel = _CHANNEL.fullmatch(bare)
    if channel is not None:
        return Heading(text, CURRENT if channel[1].endswith("A") else words.VOLTAGE, channel[1])
    bare = _HOW_WRITTEN.sub(" ", bare).strip() or ("time" if bare else "")
    bare = _OVER_OHMS.sub(r"\1 r", bare)
    rest, unit = take_unit(bare)
    for spelling, of_unit in ((plain(bare), ""), (plain(rest), unit)):
        kind = _KINDS.get(spelling)
        found = heading_unit(of_unit) if of_unit else None
        if kind is not None and (found is None or found.dimension == _DIMENSION[kind]):
            return Heading(text, kind, of_unit or _UNIT_WORDS.get(spelling, ""))
    heading = parse_heading(bare)
    column = _AS_TIMES.get(heading.column, heading.column)
    if column == "voltage_v":
        column = words.VOLTAGE
    if column not in _USED:
        return replace(heading, text=text, column="")
    return replace(heading, text=text, column=column)


def known_in(row: Sequence[str]) -> int:
    """How many cells of a row are headings that a log may have; none beside a number."""
    if any(_is_number(cell.strip()) for cell in row):
        return 0
    return sum(1 for cell in row if cell and len(cell) <= 60 and curve_heading(cell.strip()).column)


def find_headings(grid: Grid) -> int | None:
    """Row of the headings: the first that has a time, and a current or what gives one."""
    for i, row in enumerate(grid.rows[:LOOK_FOR_HEADINGS]):
        cells = [cell.strip() for cell in row]
        if sum(map(bool, cells)) < 2 or any(len(cell) > 80 for cell in cells):
            continue
        kinds = {curve_heading(cell).column for cell in cells if cell and not _is_number(cell)}
        measured = kinds & {CURRENT, DROP, words.VALUE} or {SUPPLY, PART_VOLTAGE} <= kinds
        if kinds & TIMES and measured:
            return i
    return None


def _is_number(cell: str) -> bool:
    return re.match(r"[-+−<>~]?[.,]?\d", cell) is not None and _CHANNEL.fullmatch(cell) is None


def unit_row(row: Sequence[str], width: int) -> list[str]:
    """Units of a row under the headings that holds nothing else; [] for any other row."""
    cells = [cell.strip().strip("[]()") for cell in row[:width]]
    filled = [cell for cell in cells if cell and cell not in ("-", "–", "1")]
    if not filled or not all(_is_unit(cell) for cell in filled):
        return []
    return [cell if _is_unit(cell) else "" for cell in cells]


def _is_unit(cell: str) -> bool:
    return heading_unit(cell) is not None or _HOW_WRITTEN.fullmatch(cell) is not None


def with_units(headings: Sequence[Heading], units: Sequence[str]) -> list[Heading]:
    """Headings with the units of the row below them, where they have none of their own."""
    out = []
    for j, heading in enumerate(headings):
        unit = units[j] if j < len(units) else ""
        if unit and not heading.unit and heading_unit(unit) is not None:
            joined = curve_heading(f"{heading.text} ({unit})")
            out.append(joined if joined.column else heading)
        else:
            out.append(heading)
    return out
