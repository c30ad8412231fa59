"""XLSX workbooks to grids: values as a person sees them, with the rows they stand on."""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from typing import Any, Final

import numpy as np

from captriage.errors import ReadingsError
from captriage.readers.decimals import decimal_sign, number_text
from captriage.readers.splitting import Grid

MAX_UNPACKED: Final = 1024**3


def read_workbook(data: bytes, name: str, *, stem: str, worksheet: str | None = None) -> list[Grid]:
    """Grids of the worksheets of a workbook that hold anything.

    Parameters
    ----------
    data : bytes
        The file.
    name, stem : str
        What messages call it, and its name without ending.
    worksheet : str, optional
        The only one to read.

    Raises
    ------
    ReadingsError
        It is no XLSX workbook, is damaged, unpacks to more than :data:`MAX_UNPACKED` bytes, is
        empty, or has no worksheet of that name.
    """
    from openpyxl import load_workbook  # type: ignore[import-untyped]

    _refuse_other_archives(data, name)
    try:
        book = load_workbook(io.BytesIO(data), data_only=True, read_only=False)
        formulas = load_workbook(io.BytesIO(data), data_only=False) if _has_formulas(data) else None
    except Exception as error:  # openpyxl raises whatever its parser met
        raise ReadingsError(
            f"{name}: the workbook is damaged ({type(error).__name__}); open it in a spreadsheet "
            "and save it again"
        ) from error
    sheets = {sheet.title: sheet for sheet in book.worksheets}
    if worksheet is not None and worksheet not in sheets:
        there = ", ".join(f"'{title}'" for title in sheets)
        raise ReadingsError(f"{name}: no worksheet '{worksheet}'; there are {there}")
    chosen = [worksheet] if worksheet is not None else list(sheets)
    grids = []
    for title in chosen:
        label = name if len(sheets) == 1 else f"{name}[{title}]"
        other = formulas[title] if formulas is not None else None
        grid = _grid(sheets[title], other, label, stem if len(sheets) == 1 else title)
        if grid.rows:
            grids.append(grid)
    if not grids:
        raise ReadingsError(f"{name}: empty; a sheet needs a row of headings and a row of readings")
    return grids


def _refuse_other_archives(data: bytes, name: str) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            inside = archive.namelist()
            size = sum(info.file_size for info in archive.infolist())
    except (zipfile.BadZipFile, OSError, ValueError) as error:
        raise ReadingsError(
            f"{name}: a damaged archive; open the sheet in a spreadsheet and save it again"
        ) from error
    if "xl/workbook.xml" not in inside:
        kind = "an OpenDocument file" if "mimetype" in inside else "a ZIP archive"
        raise ReadingsError(f"{name}: {kind}, not an XLSX workbook; save the sheet as CSV or XLSX")
    if size > MAX_UNPACKED:
        raise ReadingsError(
            f"{name}: unpacks to {size / 1024**2:.0f} MB; at most {MAX_UNPACKED // 1024**2} MB "
            "is read: split the workbook"
        )


def _has_formulas(data: bytes) -> bool:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        names = [n for n in archive.namelist() if n.startswith("xl/worksheets/")]
        return any(re.search(rb"<f[ >]", archive.read(n)) for n in names if n.endswith(".xml"))


def _grid(sheet: Any, formulas: Any, label: str, stem: str) -> Grid:  # noqa: ANN401
    """Text of all cells; merged cells below the first row of a merge repeat its value."""
    cells = [list(row) for row in sheet.iter_rows()] if hasattr(sheet, "iter_rows") else []
    texts = [cell.value for row in cells for cell in row if isinstance(cell.value, str)]
    decimal = decimal_sign([texts], delimiter="") or "."
    rows = [[_text(cell, formulas, decimal) for cell in row] for row in cells]
    if hasattr(sheet, "merged_cells"):
        _fill_merged(rows, sheet.merged_cells.ranges)
    lines = [row[0].row for row in cells if row]
    kept = [i for i, row in enumerate(rows) if any(row)]
    return Grid(
        label,
        [_trimmed(rows[i]) for i in kept],
        np.array([lines[i] for i in kept], np.int64),
        delimiter="",
        stem=stem,
    )


def _trimmed(row: Sequence[str]) -> list[str]:
    out = list(row)
    while out and not out[-1]:
        out.pop()
    return out


def _fill_merged(rows: list[list[str]], ranges: Iterable[Any]) -> None:
    """Repeat the value of cells merged downwards; a title merged sideways stays one cell."""
    for merged in ranges:
        top, left = merged.min_row - 1, merged.min_col - 1
        if top >= len(rows) or left >= len(rows[top]):
            continue
        for i in range(top + 1, min(merged.max_row, len(rows))):
            rows[i][left] = rows[top][left]


def _text(cell: Any, formulas: Any, decimal: str) -> str:  # noqa: ANN401
    """A cell as its spreadsheet shows it, with every digit of its value."""
    value = cell.value
    if value is None:
        formula = formulas[cell.coordinate].value if formulas is not None else None
        return f"{formula}" if formula is not None else ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        percent = "%" in re.sub(r'"[^"]*"', "", str(cell.number_format))
        return number_text(float(value), decimal, percent=percent)
    if isinstance(value, dt.datetime):
        return value.isoformat(sep=" ") if value.time() != dt.time() else value.date().isoformat()
    if isinstance(value, dt.time):
        return value.isoformat()
    if isinstance(value, dt.timedelta):
        return f"{value.total_seconds():g} s"
    return str(value)
