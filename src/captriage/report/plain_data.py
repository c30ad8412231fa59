"""Frames as the plain objects that JSON has."""

from __future__ import annotations

import json
import math
from typing import Any, TextIO

import pandas as pd


def records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """Rows as objects; what is not known is None, times are ISO 8601."""
    columns = {str(name): plain_values(frame[name]) for name in frame.columns}
    return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]


def plain_values(column: pd.Series) -> list[Any]:
    """Values of a column as JSON has them."""
    if pd.api.types.is_datetime64_any_dtype(column.dtype):
        return [None if moment is pd.NaT else moment.isoformat() for moment in column]
    return [plain_value(value) for value in column.tolist()]


def plain_value(value: Any) -> Any:  # noqa: ANN401
    """One value: None for what is no finite number."""
    return None if isinstance(value, float) and not math.isfinite(value) else value


def write_object(value: Any, out: TextIO) -> None:  # noqa: ANN401
    """Write JSON that any parser takes: no NaN, no infinity."""
    json.dump(value, out, ensure_ascii=False, indent=1, allow_nan=False)
    out.write("\n")
