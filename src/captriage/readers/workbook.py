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
MAX_CELLS: Final = 20_000_000
"""Cells of a worksheet from column A to the last of each row, empty ones counted too."""


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
    cells = _filled_cells(sheet, label)
    texts = [c.value for row in cells.values() for c in row if isinstance(c.value, str)]
    decimal = decimal_sign([texts], delimiter="") or "."
    rows = {number: _row(row, formulas, decimal) for number, row in cells.items()}
    if hasattr(sheet, "merged_cells"):
        _fill_merged(rows, sheet.merged_cells.ranges)
    lines = [number for number, row in rows.items() if any(row)]
    return Grid(
        label,
        [_trimmed(rows[number]) for number in lines],
        np.array(lines, np.int64),
        delimiter="",
        stem=stem,
    )


def _trimmed(row: Sequence[str]) -> list[str]:
    out = list(row)
    while out and not out[-1]:
        out.pop()
    return out


def _filled_cells(sheet: Any, label: str) -> dict[int, list[Any]]:  # noqa: ANN401
    """Cells that exist, by the number of their row; never the rectangle around a stray one."""
    there = getattr(sheet, "_cells", {})  # a sheet of charts has none
    rows: dict[int, list[Any]] = {}
    for (number, _), cell in sorted(there.items()):
        rows.setdefault(number, []).append(cell)
    size = sum(row[-1].column for row in rows.values())
    if size > MAX_CELLS:
        raise ReadingsError(
            f"{label}: its rows reach over {size / 1e6:.0f} million cells; at most "
            f"{MAX_CELLS // 10**6} million are read: clear the columns far to the right, or save "
            "the sheet as CSV"
        )
    return rows


def _row(cells: list[Any], formulas: Any, decimal: str) -> list[str]:  # noqa: ANN401
    texts = [""] * int(cells[-1].column)
    for cell in cells:
        texts[cell.column - 1] = _text(cell, formulas, decimal)
    return texts


def _fill_merged(rows: dict[int, list[str]], ranges: Iterable[Any]) -> None:
    """Repeat the value of cells merged downwards; a title merged sideways stays one cell."""
    for merged in ranges:
        top, left = merged.min_row, merged.min_col - 1
        value = rows[top][left] if top in rows and left < len(rows[top]) else ""
        inside = range(top + 1, merged.max_row + 1)
        if not value or not inside:
            continue
        for number in inside if len(inside) < len(rows) else [n for n in rows if n in inside]:
            if number in rows:
                row = rows[number]
                row.extend([""] * (left + 1 - len(row)))
                row[left] = value


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
