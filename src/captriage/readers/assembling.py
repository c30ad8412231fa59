"""Chunks of readings and looks of all tables, to the frames that leave the readers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.columns import LOOKS_COLUMNS, QUANTITIES, READINGS, empty
from captriage.readers.layout import Table
from captriage.readers.roster import Members, blank_texts
from captriage.readers.values import Chunk


def readings_frame(
    collected: Sequence[tuple[Chunk, Table, NDArray[np.int64]]],
) -> pd.DataFrame:
    """Readings frame of all chunks, each with its table and the parts row of its table's rows."""
    if not collected:
        return empty(READINGS)
    part_row = np.concatenate([codes[chunk.rows] for chunk, _, codes in collected])
    order = np.argsort(part_row, kind="stable")  # a part's readings together, in sheet order
    quantities = list(QUANTITIES)
    files = list(dict.fromkeys(table.file for _, table, _ in collected))
    sizes = [len(chunk.rows) for chunk, _, _ in collected]
    kinds = _repeated([quantities.index(chunk.quantity) for chunk, _, _ in collected], sizes)
    sources = _repeated([files.index(table.file) for _, table, _ in collected], sizes)
    special = {
        "part_row": part_row,
        "line": np.concatenate([table.lines[chunk.rows] for chunk, table, _ in collected]),
        "column": _repeated([chunk.number for chunk, _, _ in collected], sizes),
    }
    columns: dict[str, object] = {}
    for name, dtype in READINGS.items():
        if name == "quantity":
            columns[name] = pd.Categorical.from_codes(kinds[order], categories=pd.Index(quantities))
        elif name == "source_file":
            columns[name] = pd.Categorical.from_codes(sources[order], categories=pd.Index(files))
        elif name in special:
            columns[name] = special[name][order].astype(np.int64)
        elif dtype == "str":
            columns[name] = _texts(
                [chunk.arrays.get(name) for chunk, _, _ in collected], sizes, order
            )
        else:
            columns[name] = _numbers(
                [chunk.arrays.get(name) for chunk, _, _ in collected], sizes, order, dtype
            )
    return pd.DataFrame(columns, copy=False)


def _numbers(
    chunks: Sequence[NDArray[Any] | None],
    sizes: Sequence[int],
    order: NDArray[np.int64],
    dtype: str,
) -> NDArray[Any]:
    """Column of numbers or instants of all chunks; None is not known."""
    unknown = np.array("NaT" if dtype.startswith("datetime") else np.nan, dtype)
    if all(chunk is None for chunk in chunks):
        return np.full(len(order), unknown)
    filled = [
        np.full(size, unknown) if chunk is None else chunk
        for chunk, size in zip(chunks, sizes, strict=True)
    ]
    return np.concatenate(filled)[order]


def _texts(
    chunks: Sequence[NDArray[np.object_] | None], sizes: Sequence[int], order: NDArray[np.int64]
) -> pd.api.extensions.ExtensionArray:
    """Column of text of all chunks; None is blank."""
    if all(chunk is None or not chunk.any() for chunk in chunks):
        return blank_texts(len(order))
    filled = [
        np.full(size, "", object) if chunk is None else chunk
        for chunk, size in zip(chunks, sizes, strict=True)
    ]
    return pd.array(np.concatenate(filled)[order], dtype="str")


def _repeated(values: Sequence[int], sizes: Sequence[int]) -> NDArray[np.int64]:
    return np.repeat(np.array(values, np.int64), sizes)


def looks_frame(members: Sequence[Members], codes: Sequence[NDArray[np.int64]]) -> pd.DataFrame:
    """Looks frame of all tables."""
    rows = [
        (int(part_row[row]), key, raw, one.table.file, int(one.table.lines[row]), j)
        for one, part_row in zip(members, codes, strict=True)
        for row, key, raw, j in one.attributes.looks
    ]
    if not rows:
        return empty(LOOKS_COLUMNS)
    frame = pd.DataFrame(rows, columns=list(LOOKS_COLUMNS))
    return frame.astype(LOOKS_COLUMNS)
