"""Sheets of the form of :mod:`captriage.sheet_form`: taken as they stand, nothing is guessed."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

import numpy as np
import pandas as pd

from captriage.columns import (
    GRADES,
    LOOKS,
    LOOKS_COLUMNS,
    PARTS,
    POLARITIES,
    QUANTITIES,
    READINGS,
    REFORM_OUTCOMES,
    ROLES,
    SET_ASIDE,
    Sheets,
)
from captriage.sheet_form import FORMS, UNIT, heading, text_of, unit_of

_HEADS: Final = {",".join(map(heading, columns)).encode(): name for name, columns in FORMS.items()}
_LONGEST: Final = max(map(len, _HEADS)) + 2

_WORDS: Final = {
    "quantity": set(QUANTITIES),
    "look": set(LOOKS),
    "grade": {*GRADES, ""},
    "role": {*ROLES, ""},
    "polarity": {*POLARITIES, ""},
    "in_circuit": {"yes", "no", ""},
    "reform_outcome": {*REFORM_OUTCOMES, ""},
}

Columns = dict[str, Any]


def read_exact(paths: Sequence[Path]) -> Sheets | None:
    """Frames of sheets that are all of this form; None where any is of another.

    Parameters
    ----------
    paths : sequence of Path
        One sheet of parts at least; readings, looks and what was set aside name parts in it.
    """
    forms = [_form(path) for path in paths]
    if not all(forms):
        return None
    try:
        tables = [
            (name, _table(path, FORMS[name]))
            for path, name in zip(paths, forms, strict=True)
            if name
        ]
        return _joined(tables)
    except (ValueError, KeyError, csv.Error, OSError):
        return None  # a person has changed it since: read as any sheet is


def _form(path: Path) -> str | None:
    """Which of the forms the headings are of."""
    try:
        if not path.is_file():  # a pipe would wait for ever
            return None
        with path.open("rb") as file:
            return _HEADS.get(file.readline(_LONGEST).rstrip(b"\r\n"))
    except (OSError, ValueError):
        return None  # the readers of any sheet say why


def _table(path: Path, kinds: dict[str, str]) -> Columns:
    """Columns of one sheet; ValueError where a cell is not of its kind."""
    with io.StringIO(path.read_bytes().decode("utf-8"), newline="") as text:
        rows = list(csv.reader(text, strict=True))[1:]
    columns = zip(*rows, strict=True) if rows else ((),) * len(kinds)
    table = {
        name: _values(cells, kind)
        for (name, kind), cells in zip(kinds.items(), columns, strict=True)
    }
    if UNIT in table and table[UNIT] != [unit_of(quantity) for quantity in table["quantity"]]:
        raise ValueError(path)
    for column, words in _WORDS.items():
        if not words.issuperset(table.get(column, ())):
            raise ValueError(path)
    return table


def _values(cells: Sequence[str], kind: str) -> list[Any]:
    if kind == "float64":
        numbers = [float(text) if text else np.nan for text in cells]
        if np.isinf(numbers).any():
            raise ValueError(cells)
        return numbers
    if kind == "int64":
        return [int(text) for text in cells]
    if kind.startswith("datetime"):
        return [np.datetime64(text or "NaT", "us") for text in cells]
    known = {text: text_of(text) for text in set(cells)}
    return [known[text] for text in cells]


def _joined(tables: Sequence[tuple[str, Columns]]) -> Sheets | None:
    """Frames of all sheets; KeyError where one names a part that none has."""
    parts = _frame(tables, "parts.csv", PARTS)
    row_of = {name: row for row, name in enumerate(parts["part"].tolist())}
    if not row_of or len(row_of) < len(parts):
        return None
    for name, table in tables:
        if name in ("readings.csv", "looks.csv"):
            table["part_row"] = [row_of[part] for part in table["part"]]
    readings = _frame(tables, "readings.csv", READINGS)
    order = np.argsort(readings["part_row"].to_numpy(), kind="stable")
    return Sheets(
        parts,
        readings.iloc[order].reset_index(drop=True),
        _frame(tables, "looks.csv", LOOKS_COLUMNS),
        _frame(tables, "set_aside.csv", SET_ASIDE),
    )


def _frame(tables: Sequence[tuple[str, Columns]], form: str, kinds: dict[str, str]) -> pd.DataFrame:
    """Frame of all sheets of one form, in the order they were named."""
    made: dict[str, Any] = {}
    for column, kind in kinds.items():
        values = [value for name, table in tables if name == form for value in table[column]]
        if kind == "category":
            known = list(QUANTITIES) if column == "quantity" else list(dict.fromkeys(values))
            made[column] = pd.Categorical(values, categories=pd.Index(known, dtype="str"))
        else:
            made[column] = pd.Series(values, dtype=kind)
    return pd.DataFrame(made)
