"""What the lines above a log say of the run: part, rating, resistor, supply, and whether it is
the re-test after a rest.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from captriage.errors import MarkingError
from captriage.readers.aside import Aside
from captriage.readers.markings import parse_rating
from captriage.readers.spelling import plain
from captriage.readers.splitting import Grid
from captriage.units import parse_quantity

_PART, _RATING, _MADE, _WORKING, _RESISTOR, _SUPPLY, _KIND, _DATE = (
    "part", "rating", "made", "working", "resistor", "supply", "kind", "date",
)  # fmt: skip
_SPELLINGS: Final = {
    _PART: "part, capacitor, cap, dut, specimen, designator, ref, refdes, bauteil, elko, "
    "kondensator, composant, condensateur, componente, condensador, componente, condensatore, "
    "onderdeel, condensator",
    _RATING: "rating, rated, marking, marked, nominal, value, nennwert, nennwerte, aufdruck, "
    "valeur nominale, valor nominal, valore nominale, nominale waarde",
    _MADE: "made, date code, year, year made, baujahr, jahr, annee, ano, anno, bouwjaar",
    _WORKING: "working voltage, voltage working, working, in circuit, circuit voltage, "
    "betriebsspannung, tension de service, tension de servicio, tensione di lavoro, werkspanning",
    _RESISTOR: "series resistor, resistor, series resistance, r series, rs, r, series r, "
    "vorwiderstand, serienwiderstand, widerstand, resistance serie, resistance, resistencia "
    "serie, resistencia, resistenza serie, resistenza, serieweerstand, weerstand",
    _SUPPLY: "supply, supply voltage, applied voltage, applied, voltage applied, test voltage, "
    "set voltage, speisespannung, angelegte spannung, tension appliquee, tension aplicada, "
    "tensione applicata, voedingsspanning",
    _KIND: "kind, kind of run, run, run kind, art, type de mesure, tipo, soort",
    _DATE: "date, datum, fecha, data, begun, started, start, beginn",
}
_MEANT: Final = {
    " ".join(spelling.split()): meant
    for meant, text in _SPELLINGS.items()
    for spelling in text.split(",")
}
_RETEST: Final = re.compile(
    r"\b(?:re[ -]?test(?:ed)?|after (?:a )?rest|nach ruhe|nachpr\w+|nachtest|contre[ -]?essai"
    r"|apr[eè]s repos|tras reposo|dopo riposo|hertest|na rust)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class AboveLog:
    """What a log says of its run beside the readings; "" and NaN where it does not.

    Attributes
    ----------
    part, rating, made : str
        As written.
    voltage_working : float
        Highest that its circuit puts on the part. [V]
    series_ohm : float
        Between supply and part. [Ω]
    supply_v : float
        Set for the whole of the run. [V]
    retest : bool
        The run proves the part after a rest.
    """

    part: str = ""
    rating: str = ""
    made: str = ""
    voltage_working: float = math.nan
    series_ohm: float = math.nan
    supply_v: float = math.nan
    retest: bool = False


def read_above(grid: Grid, span: Iterable[int], aside: Aside) -> AboveLog:
    """What the lines above the headings say; lines that say nothing known are set aside."""
    above = AboveLog()
    for i in span:
        cells = [cell.strip() for cell in grid.rows[i] if cell.strip()]
        pairs = list(_pairs(cells))
        taken = [_with(above, meant, text) for meant, text in pairs]
        if len(cells) == 1 and is_retest(cells[0]) and not without_retest(cells[0]):
            above = replace(above, retest=True)
            continue
        if not cells or any(_MEANT.get(key) == _DATE for key, _ in _keys(cells)):
            continue
        if not taken or None in taken:
            aside.add(
                grid.file,
                int(grid.lines[i]),
                found=" | ".join(cells),
                reason="a line above the headings that says nothing of the run",
                remedy="nothing to do, unless it should be used: write it as 'Part: C12' or "
                "'Series resistor: 10 kΩ'",
            )
            continue
        for meant, text in pairs:
            above = _with(above, meant, text) or above
    return above


def is_retest(text: str) -> bool:
    """Whether a name or a line says that the run is a re-test after a rest."""
    return _RETEST.search(text.replace("_", " ")) is not None


def without_retest(name: str) -> str:
    """A name without the words that say that the run is a re-test: "C12" of "C12_re-test"."""
    return _RETEST.sub("", name.replace("_", " ")).strip(" -.,()")


def _keys(cells: list[str]) -> Iterable[tuple[str, str]]:
    """Key and text of each statement: "Part: C12", or in two cells."""
    parted = [_parted(cell) for cell in cells]
    if all(parted):
        yield from (pair for pair in parted if pair)
    elif cells and parted[0]:
        key, text = parted[0]
        yield key, " ".join([text, *cells[1:]])
    else:
        for key, text in zip(cells[::2], cells[1::2], strict=False):
            yield plain(key.lstrip("# ").rstrip(": =")), text


def _parted(cell: str) -> tuple[str, str] | None:
    """Key and text of "Part: C12" or "Part = C12"."""
    for sign in (":", "="):
        key, found, text = cell.lstrip("# ").partition(sign)
        if found and text.strip():
            return plain(key), text.strip()
    return None


def _pairs(cells: list[str]) -> Iterable[tuple[str, str]]:
    return ((_MEANT[key], text) for key, text in _keys(cells) if key in _MEANT)


def _with(above: AboveLog, meant: str, text: str) -> AboveLog | None:
    """What is known with one more statement, None where it cannot be understood."""
    if meant == _PART:
        part, rating = part_and_rating(text)
        return replace(above, part=part, rating=rating or above.rating)
    if meant == _RATING:
        return replace(above, rating=text)
    if meant == _MADE:
        return replace(above, made=text)
    if meant == _KIND:
        return replace(above, retest=is_retest(text))
    if meant == _RESISTOR:
        ohm = parse_quantity(text, "Ω")
        return None if not ohm >= 0 else replace(above, series_ohm=ohm)
    if meant in (_SUPPLY, _WORKING):
        volt = parse_quantity(text, "V")
        if not volt >= 0:
            return None
        if meant == _SUPPLY:
            return replace(above, supply_v=volt)
        return replace(above, voltage_working=volt)
    return above


def part_and_rating(text: str) -> tuple[str, str]:
    """Name and rating of a text such as "C12 32 µF 450 V"; "" for what it does not say."""
    pieces = text.split()
    for first in range(len(pieces)):
        rest = " ".join(pieces[first:])
        try:
            rating = parse_rating(rest)
        except MarkingError:
            continue
        if rating.voltages[0] == rating.voltages[0]:
            return " ".join(pieces[:first]).rstrip(",;: "), rest
    return text, ""
