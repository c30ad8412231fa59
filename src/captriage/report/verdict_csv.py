"""Verdicts as CSV: the columns of the vocabulary, and no cell that a spreadsheet would run."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from typing import TYPE_CHECKING, Final, TextIO

import pandas as pd

from captriage.columns import VERDICTS

if TYPE_CHECKING:
    from captriage.judge.verdicts import Judgement

# With these a spreadsheet takes a cell for a formula; an apostrophe makes it text.
FORMULA_STARTS: Final = frozenset("=+-@\t\r\n＝＋－＠")


def write_csv(judgement: Judgement, out: TextIO) -> None:
    """Write one row a part, columns of :data:`captriage.columns.VERDICTS`, UTF-8."""
    write_frame(judgement.verdicts[list(VERDICTS)], out)


def write_frame(frame: pd.DataFrame, out: TextIO) -> None:
    """Write a frame as CSV: text made harmless, numbers in full, NaN as an empty cell."""
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(frame.columns)
    rows.writerows(zip(*(cells(frame[name]) for name in frame.columns), strict=True))


def cells(column: pd.Series) -> Iterable[object]:
    """Cells of one column as the CSV writer takes them."""
    if isinstance(column.dtype, pd.CategoricalDtype):
        words = harmless(column.cat.categories.astype(str).tolist())
        words.append("")  # code -1: no category
        return [words[code] for code in column.cat.codes.tolist()]
    if pd.api.types.is_float_dtype(column.dtype):
        return ["" if value != value else value for value in column.tolist()]
    if pd.api.types.is_integer_dtype(column.dtype):
        return column.tolist()
    return harmless(column.tolist())


def harmless(texts: list[str]) -> list[str]:
    """Texts, those that begin like a formula with an apostrophe before them."""
    return [f"'{text}" if text[:1] in FORMULA_STARTS and text else text for text in texts]
