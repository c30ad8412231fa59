"""What could not be used, collected cell by cell with its place and what to do."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import repeat
from typing import Final

import numpy as np
import pandas as pd

from captriage.columns import SET_ASIDE

_FORMULA: Final = re.compile(r"=\s*[A-Za-z$(+\-\d]").match
_NO_STORED_VALUE: Final = (
    "a formula without a stored value",
    "open and save it in the spreadsheet, or type the value",
)


class Aside:
    """Rows of :data:`captriage.columns.SET_ASIDE` as they are met."""

    def __init__(self) -> None:
        self._columns: dict[str, list[object]] = {name: [] for name in SET_ASIDE}

    def __len__(self) -> int:
        return len(self._columns["file"])

    def add(
        self,
        file: str,
        line: int,
        *,
        reason: str,
        remedy: str,
        column: int = 0,
        heading: str = "",
        found: str = "",
    ) -> None:
        """One cell, or with ``column`` 0 one line."""
        self.add_cells(file, [line], [found], reason, remedy, column=column, heading=heading)

    def add_cells(
        self,
        file: str,
        lines: Iterable[int],
        found: list[str],
        reason: str,
        remedy: str,
        *,
        column: int,
        heading: str,
    ) -> None:
        """Several cells of one column that cannot be used for the same reason."""
        n = len(found)
        why = [_NO_STORED_VALUE if _FORMULA(text) else (reason, remedy) for text in found]
        values = {
            "file": repeat(file, n),
            "line": (int(line) for line in lines),
            "column": repeat(column, n),
            "heading": repeat(heading, n),
            "found": found,
            "reason": (said for said, _ in why),
            "remedy": (act for _, act in why),
        }
        for name, new in values.items():
            self._columns[name].extend(new)

    def frame(self) -> pd.DataFrame:
        """All of it: files in the order met, in each by line and column."""
        frame = pd.DataFrame(
            {name: pd.Series(self._columns[name], dtype=dtype) for name, dtype in SET_ASIDE.items()}
        )
        # A cell that was repeated for the sections of a can is told once.
        frame = frame.drop_duplicates(ignore_index=True)
        order = np.lexsort((frame["column"], frame["line"], pd.factorize(frame["file"])[0]))
        return frame.iloc[order].reset_index(drop=True)
