"""Verdicts as CSV: the columns of the vocabulary, and no cell that a spreadsheet would run."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, TextIO

import numpy as np
import pandas as pd

from captriage.columns import VERDICTS

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement

# With these a spreadsheet takes a cell for a formula; an apostrophe makes it text.
FORMULA_STARTS: Final = frozenset("=+-@\t\r\n＝＋－＠")

ROWS_AT_ONCE: Final = 1_000
"""So few that their text stays in the processor's cache while it is joined and encoded."""


def write_csv(judgement: Judgement, out: TextIO) -> None:
    """Write one row a part, columns of :data:`captriage.columns.VERDICTS`, UTF-8."""
    write_frame(judgement.verdicts[list(VERDICTS)], out)


def write_frame(frame: pd.DataFrame, out: TextIO) -> None:
    """Write a frame as CSV: text made harmless, numbers in full, NaN as an empty cell.

    Lines are joined here and not by :class:`csv.writer`, which looks at every character of
    every cell: a quarter of a million verdicts take it longer than judging them. Cells and
    the signs between them take turns in one list, so that each is copied once.
    """
    out.write(",".join(quoted([str(name) for name in frame.columns])) + "\n")
    turns: list[list[str] | str] = []
    for name, end in zip(frame.columns, [","] * (frame.shape[1] - 1) + ["\n"], strict=True):
        texts, mark = cells(frame[name])
        turns += [mark, texts, mark + end] if mark else [texts, end]
    for start in range(0, len(frame), ROWS_AT_ONCE):
        count = min(ROWS_AT_ONCE, len(frame) - start)
        pieces = [""] * (count * len(turns))
        for j, turn in enumerate(turns):
            here = [turn] * count if isinstance(turn, str) else turn[start : start + count]
            pieces[j :: len(turns)] = here
        out.write("".join(pieces))


def cells(column: pd.Series) -> tuple[list[str], str]:
    """Cells of one column as they stand in the file, and the mark about each of them."""
    if isinstance(column.dtype, pd.CategoricalDtype):
        texts, mark = text_cells(column.cat.categories.astype(str).tolist())
        words = [*(f"{mark}{text}{mark}" for text in texts), ""]  # code -1: no category
        return np.array(words, object)[column.cat.codes].tolist(), ""
    if pd.api.types.is_float_dtype(column.dtype):
        bits = np.ascontiguousarray(column.to_numpy(float)).view(np.int64)  # -0.0 is not 0.0
        distinct, place = np.unique(bits, return_inverse=True)
        values = distinct.view(float).tolist()
        numbers = ["" if value != value else repr(value) for value in values]
        return np.array(numbers, object)[place].tolist(), ""
    if pd.api.types.is_integer_dtype(column.dtype):
        return [str(value) for value in column.tolist()], ""
    return text_cells(column.tolist())


def text_cells(texts: list[str]) -> tuple[list[str], str]:
    """Texts made harmless, and a quotation mark where all of them are to stand in two.

    A column with nothing awkward in it is left as it is.
    """
    together = "".join(texts)
    awkward = any(sign in together for sign in '"\r\n')
    formulae = any(sign in together for sign in FORMULA_STARTS)  # quicker than each beginning
    if awkward or (formulae and not FORMULA_STARTS.isdisjoint({text[:1] for text in texts})):
        return quoted(harmless(texts)), ""
    return texts, '"' if "," in together else ""


def harmless(texts: list[str]) -> list[str]:
    """Texts, those that begin like a formula with an apostrophe before them."""
    return [f"'{text}" if text[:1] in FORMULA_STARTS and text else text for text in texts]


def quoted(texts: list[str]) -> list[str]:
    """Texts as RFC 4180 has them: in quotation marks where a sign would be misread."""
    misread = re.compile('[",\r\n]').search
    return ['"' + text.replace('"', '""') + '"' if misread(text) else text for text in texts]
