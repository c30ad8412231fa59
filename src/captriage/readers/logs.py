"""Logs without headings: bare values between echoes of the command and prompts."""

from __future__ import annotations

import re
from typing import Final

import numpy as np

from captriage.readers.aside import Aside
from captriage.readers.headings import Heading, stored_as
from captriage.readers.layout import Table
from captriage.readers.splitting import Grid, row_by_row
from captriage.units import NUMBER, normalise, parse_unit

ASSUMED: Final = "the log does not say what was read: taken as leakage current in A"
_VALUE: Final = re.compile(rf"(?:>\s*)?({NUMBER})\s*([^\d\s]{{0,8}})")
_ECHO: Final = re.compile(r"[>\s]*(?:[*:]?[A-Za-z][\w:*]*\??(?:[ ,;:\w.]*)\??)?[>\s]*")
_OF_UNIT: Final = {"F": "capacitance", "A": "leakage_current", "Ω": "resistance"}


def bare_log(grid: Grid, aside: Aside) -> list[Table]:
    """The one column of values of a log without headings, as a table; [] for anything else.

    The unit beside the values tells the quantity; without one they are taken as currents in
    ampere, as a meter sends them, and every reading says so. Echoes and prompts are set aside.
    """
    values: list[str] = []
    lines: list[int] = []
    other: list[tuple[int, str]] = []
    units = set()
    grid = row_by_row(grid)
    for row, line in zip(grid.rows, grid.lines.tolist(), strict=True):
        text = " ".join(cell.strip() for cell in row if cell.strip())
        match = _VALUE.fullmatch(normalise(text).strip())
        if match is not None:
            values.append(f"{match[1]} {match[2]}".strip())
            lines.append(line)
            units.add(match[2])
        elif text:
            if not _ECHO.fullmatch(text):
                return []
            other.append((line, text))
    dimensions = {unit.dimension for text in units if text and (unit := parse_unit(text))}
    if not values or len(dimensions) > 1 or ("" in units and len(units) > 1):
        return []
    if not dimensions and not other:
        return []  # a bare column of numbers could be anything
    dimension = next(iter(dimensions), "")
    if dimension and dimension not in _OF_UNIT:
        return []
    for line, text in other:
        aside.add(
            grid.file, line, found=text, reason="a command echo or prompt, not a reading",
            remedy="nothing to do, unless it is a reading",
        )  # fmt: skip
    column = _OF_UNIT.get(dimension, "leakage_current")
    heading = Heading("", stored_as(column), "" if dimension else "A", measured=True)
    return [
        Table(
            grid.file, grid.stem, [heading], 0, [values], np.array(lines, np.int64),
            assumed="" if dimension else ASSUMED,
        )
    ]  # fmt: skip
