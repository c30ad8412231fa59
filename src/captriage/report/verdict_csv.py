"""Verdicts as CSV: the columns of the vocabulary, and no cell that a spreadsheet would run."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, TextIO

import pandas as pd

from captriage.columns import VERDICTS

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement

# With these a spreadsheet takes a cell for a formula; an apostrophe makes it text.
FORMULA_STARTS: Final = frozenset("=+-@\t\r\n＝＋－＠")
FORMULA: Final = re.compile(r"^[=+\-@\t＝＋－＠]", re.MULTILINE)

ROWS_AT_ONCE: Final = 10_000


def write_csv(judgement: Judgement, out: TextIO) -> None:
    """Write one row a part, columns of :data:`captriage.columns.VERDICTS`, UTF-8."""
    write_frame(judgement.verdicts[list(VERDICTS)], out)


def write_frame(frame: pd.DataFrame, out: TextIO) -> None:
    """Write a frame as CSV: text made harmless, numbers in full, NaN as an empty cell.

    Lines are joined here and not by :class:`csv.writer`, which looks at every character of
    every cell: a quarter of a million verdicts take it longer than judging them.
    """
    columns = [cells(frame[name]) for name in frame.columns]
    out.write(",".join(quoted([str(name) for name in frame.columns])) + "\n")
    for start in range(0, len(frame), ROWS_AT_ONCE):
        part = [column[start : start + ROWS_AT_ONCE] for column in columns]
        out.write("\n".join(map(",".join, zip(*part, strict=True))) + "\n")


def cells(column: pd.Series) -> list[str]:
    """Cells of one column as they stand in the file."""
    if isinstance(column.dtype, pd.CategoricalDtype):
        words = text_cells(column.cat.categories.astype(str).tolist())
        words.append("")  # code -1: no category
        return [words[code] for code in column.cat.codes.tolist()]
    if pd.api.types.is_float_dtype(column.dtype):
        return ["" if value != value else repr(value) for value in column.tolist()]
    if pd.api.types.is_integer_dtype(column.dtype):
        return [str(value) for value in column.tolist()]
    return text_cells(column.tolist())


def text_cells(texts: list[str]) -> list[str]:
    """Texts made harmless and quoted; a column with nothing awkward in it is done at once."""
    together = "\n".join(texts)
    awkward = '"' in together or "\r" in together or together.count("\n") >= max(len(texts), 1)
    if awkward or FORMULA.search(together):
        return quoted(harmless(texts))
    return [f'"{text}"' for text in texts] if "," in together else texts


def harmless(texts: list[str]) -> list[str]:
    """Texts, those that begin like a formula with an apostrophe before them."""
    return [f"'{text}" if text[:1] in FORMULA_STARTS and text else text for text in texts]


def quoted(texts: list[str]) -> list[str]:
    """Texts as RFC 4180 has them: in quotation marks where a sign would be misread."""
    misread = re.compile('[",\r\n]').search
    return ['"' + text.replace('"', '""') + '"' if misread(text) else text for text in texts]
