"""What the rows of one table claim of their parts, column by column."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from captriage.columns import PARTS
from captriage.readers import vocabulary as words


@dataclass
class Attributes:
    """Columns of the parts frame, one row a row of the table, and where each came from.

    ``looks`` holds (row, key, raw text, column); ``places`` column to (number, heading).
    """

    n: int
    values: dict[str, NDArray[np.float64] | NDArray[np.object_]] = field(default_factory=dict)
    looks: list[tuple[int, str, str, int]] = field(default_factory=list)
    places: dict[str, tuple[int, str]] = field(default_factory=dict)

    def column(self, name: str) -> NDArray[np.float64] | NDArray[np.object_]:
        """Array of this column, made on first use."""
        if name not in self.values:
            number = PARTS[name] == "float64"
            self.values[name] = np.full(self.n, np.nan) if number else np.full(self.n, "", object)
        return self.values[name]

    def place(self, name: str) -> tuple[int, str]:
        """Column number and heading that a column of the parts frame was read from, else 0."""
        for source in (name, words.RATING, "capacitance_rated", name.split("_")[0]):
            if source in self.places:
                return self.places[source]
        return 0, ""

    def say(self, rows: NDArray[np.int64], flags: NDArray[np.object_] | str) -> None:
        """Add to the flags of these rows; blank flags add nothing."""
        column = self.column("flag")
        new = np.broadcast_to(np.asarray(flags, object), rows.shape)
        some = new.astype(bool)
        if not some.any():
            return
        old = column[rows]
        free = some & ~old.astype(bool)
        column[rows[free]] = new[free]
        for i, text in zip(rows[some & ~free].tolist(), new[some & ~free], strict=True):
            if text not in column[i].split("; "):
                column[i] = f"{column[i]}; {text}"
