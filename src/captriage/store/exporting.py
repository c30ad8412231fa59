"""A job out of the book, as sheets that the readers take back exactly as they were."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.columns import Sheets
from captriage.errors import BookError
from captriage.sheet_form import FORMS, UNIT, cell, heading, unit_of


def write_sheets(sheets: Sheets, folder: Path) -> list[Path]:
    """Write the sheets of a job into a folder, which is made where it is missing.

    Parameters
    ----------
    sheets : Sheets
        Frames of the job.
    folder : Path
        Where the files of :data:`captriage.sheet_form.FORMS` go.

    Returns
    -------
    list of Path
        Files written; those with no row are left out, but for the parts.

    Raises
    ------
    BookError
        One of the files is there already, or cannot be written; none is left then.
    """
    frames = {
        "parts.csv": sheets.parts,
        "readings.csv": _named(sheets.readings, sheets.parts),
        "looks.csv": _named(sheets.looks, sheets.parts),
        "set_aside.csv": sheets.set_aside,
    }
    wanted = {name: frame for name, frame in frames.items() if len(frame) or name == "parts.csv"}
    there = [name for name in FORMS if (folder / name).exists()]
    if there:
        raise BookError(f"{folder / there[0]}: exists already; export to a folder of its own")
    done: list[Path] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, frame in wanted.items():
            done.append(folder / name)
            _write(done[-1], frame, FORMS[name])
    except OSError as error:
        for path in done:
            path.unlink(missing_ok=True)
        raise BookError(
            f"{error.filename or folder}: {error.strerror}; export to a folder that can be written"
        ) from error
    return done


@dataclass(frozen=True)
class RunLog:
    """A reforming run as the log that the readers of curves take back.

    ``lines`` stand above the headings; the columns are headings and numbers, ``taken_at`` in UTC.
    """

    name: str
    lines: Sequence[str]
    taken_at: NDArray[np.datetime64]
    columns: Mapping[str, NDArray[np.float64]]


def write_logs(logs: Sequence[RunLog], folder: Path) -> list[Path]:
    """Write logs of reforming runs into a folder, which is made where it is missing.

    Raises
    ------
    BookError
        One of the files is there already, or cannot be written; none is left then.
    """
    done: list[Path] = []
    try:
        for log in logs:
            folder.mkdir(parents=True, exist_ok=True)
            path = folder / log.name
            with path.open("x", encoding="utf-8", newline="") as file:
                done.append(path)
                out = csv.writer(file, lineterminator="\r\n")
                out.writerows([line] for line in log.lines)
                out.writerow(["taken at (UTC)", *log.columns])
                texts = np.datetime_as_string(log.taken_at, unit="us", timezone="UTC").tolist()
                numbers = [
                    ["" if value != value else repr(value) for value in column.tolist()]
                    for column in log.columns.values()
                ]
                out.writerows(zip(texts, *numbers, strict=True))
    except OSError as error:
        for path in done:
            path.unlink(missing_ok=True)
        raise BookError(
            f"{error.filename or folder}: {error.strerror}; export to a folder of its own that "
            "can be written"
        ) from error
    return done


def _named(rows: pd.DataFrame, parts: pd.DataFrame) -> pd.DataFrame:
    """Rows with the part by its name, and the unit beside the value."""
    names = parts["part"].to_numpy(object)[rows["part_row"].to_numpy()]
    named = rows.assign(part=names)
    if "quantity" in rows:
        named[UNIT] = [unit_of(quantity) for quantity in rows["quantity"]]
    return named


def _write(path: Path, frame: pd.DataFrame, columns: dict[str, str]) -> None:
    cells = [_cells(frame[name], kind) for name, kind in columns.items()]
    with path.open("x", encoding="utf-8", newline="") as file:
        # The line end of two signs makes the writer put cells with either of them in quotes.
        out = csv.writer(file, lineterminator="\r\n")
        out.writerow([heading(name) for name in columns])
        out.writerows(zip(*cells, strict=True))


def _cells(column: pd.Series, kind: str) -> Sequence[Any]:
    """Cells of a column: what is not known is blank."""
    if kind == "float64":
        return ["" if value != value else _number(value) for value in column.tolist()]
    if kind.startswith("datetime"):
        texts = np.datetime_as_string(column.to_numpy("datetime64[us]"), unit="us").tolist()
        return ["" if text == "NaT" else text for text in texts]
    if kind == "int64":
        return column.tolist()
    texts = column.astype("str").tolist()
    kept = {text: cell(text) for text in set(texts)}
    return [kept[text] for text in texts]


def _number(value: float) -> str:
    """The shortest text that is this number, 1959 and not 1959.0."""
    return repr(value).removesuffix(".0")
