"""Lines above the headings: what they say of all the readings below, and bare logs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.headings import parse_heading
from captriage.readers.splitting import Grid

KEPT: Final = frozenset(
    (
        words.PART,
        words.RATING,
        words.METER,
        words.DATE,
        words.VOLTAGE,
        words.TIME,
        words.CLOCK,
        "taken_at",
        "frequency_hz",
        "voltage_v",
        "temperature_degc",
        "soak_s",
        "capacitance_rated",
        "voltage_rated",
        "made",
    )
)
"""What a line above the headings can tell."""


@dataclass(frozen=True, slots=True)
class Said:
    """One statement of the preamble and where it stands."""

    heading: str
    text: str
    line: int
    column: int
    unit: str = ""


def read_preamble(grid: Grid, span: Iterable[int], aside: Aside) -> dict[str, Said]:
    """Statements such as "Frequency: 120 Hz" or "Date;03.11.2025", by canonical column.

    Lines that say nothing known are set aside whole.
    """
    said: dict[str, Said] = {}
    for i in span:
        cells = [cell.strip() for cell in grid.rows[i]]
        if not any(cells):
            continue
        found = list(_pairs(cells))
        for j, key, text in found:
            heading = parse_heading(key)
            said[heading.column] = Said(key, text, int(grid.lines[i]), j + 1, heading.unit)
        if not found:
            aside.add(
                grid.file,
                int(grid.lines[i]),
                found=" | ".join(cell for cell in cells if cell),
                reason="a line above the headings that says nothing of the readings",
                remedy="nothing to do, unless it should be used: write it as 'Frequency: 120 Hz'",
            )
    return said


def _pairs(cells: list[str]) -> Iterable[tuple[int, str, str]]:
    filled = [(j, cell) for j, cell in enumerate(cells) if cell]
    if len(filled) >= 2:
        for (_, key), (j, text) in zip(filled[::2], filled[1::2], strict=False):
            name = key.lstrip("# ").rstrip(": =")
            if parse_heading(name).column in KEPT:
                yield j, name, text
        return
    j, cell = filled[0]
    for sign in (":", "="):
        key, found, text = cell.lstrip("# ").partition(sign)
        if found and text.strip() and parse_heading(key.strip()).column in KEPT:
            yield j, key.strip(), text.strip()
            return
