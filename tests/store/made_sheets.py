"""Frames as the readers may make them, drawn at random."""

from __future__ import annotations

from math import nan

import numpy as np
import pandas as pd
from hypothesis import strategies as st

from captriage.columns import (
    FLAGS,
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

TEXT = st.text(st.characters(), max_size=12) | st.sampled_from(
    ["=1+1", "'", "''=x", 'a "b", c', "two\nlines", "cr\r\nlf", "\t", "-5", "␛41;", "\x00", " µ Ω "]
)
NAMES = TEXT.filter(str.strip)
NUMBER = st.floats(allow_infinity=False) | st.sampled_from(
    [nan, 0.0, -0.0, 5e-324, 1.7976931348623157e308, -2.2250738585072014e-308, 0.1, 1959.0, 3.2e-5]
)
PLACE = st.integers(0, 10**6)
FILES = st.sampled_from(["drawer.csv", "a;b, c.csv", "=x.xlsx [sheet 1]"])
MOMENTS = st.none() | st.datetimes()
WORDS = {
    "grade": sorted(GRADES),
    "role": sorted(ROLES),
    "polarity": sorted(POLARITIES),
    "reform_outcome": sorted(REFORM_OUTCOMES),
    "in_circuit": ["yes", "no"],
}
FLAG = st.sampled_from(["", *FLAGS]) | TEXT


def values_of(column, kind):
    """Strategy for a cell of a column."""
    if column in WORDS:
        return st.sampled_from(["", *WORDS[column]])
    if column == "quantity":
        return st.sampled_from(sorted(QUANTITIES))
    if column == "look":
        return st.sampled_from(sorted(LOOKS))
    if column == "source_file":
        return FILES
    if column == "flag":
        return FLAG
    if kind == "float64":
        return NUMBER
    if kind == "int64":
        return PLACE
    return MOMENTS if kind.startswith("datetime") else TEXT


def frame(rows, columns):
    """Rows as a frame of these columns."""
    made = {}
    for name, kind in columns.items():
        values = [row[name] for row in rows]
        if name == "quantity":
            made[name] = pd.Categorical(values, categories=pd.Index(list(QUANTITIES), dtype="str"))
        elif kind == "category":
            known = pd.Index(list(dict.fromkeys(values)), dtype="str")
            made[name] = pd.Categorical(values, categories=known)
        elif kind.startswith("datetime"):
            made[name] = np.array(["NaT" if v is None else v for v in values], "datetime64[us]")
        else:
            made[name] = pd.Series(values, dtype=kind)
    return pd.DataFrame(made)


def rows_of(columns, **fixed):
    """Strategy for one row of these columns."""
    cells = {name: values_of(name, kind) for name, kind in columns.items()}
    return st.fixed_dictionaries(cells | fixed)


@st.composite
def sheets(draw):
    """Parts with readings, looks, and what was set aside."""
    names = draw(st.lists(NAMES, min_size=1, max_size=4, unique=True))
    parts = [draw(rows_of(PARTS, part=st.just(name))) for name in names]
    of_part = st.integers(0, len(names) - 1)
    readings = draw(st.lists(rows_of(READINGS, part_row=of_part), max_size=6))
    readings.sort(key=lambda row: row["part_row"])  # as the readers leave them
    looks = draw(st.lists(rows_of(LOOKS_COLUMNS, part_row=of_part), max_size=3))
    aside = draw(st.lists(rows_of(SET_ASIDE), max_size=3))
    return Sheets(
        frame(parts, PARTS),
        frame(readings, READINGS),
        frame(looks, LOOKS_COLUMNS),
        frame(aside, SET_ASIDE),
    )


def assert_same(one, other):
    """All four frames are the same to the last digit and sign."""
    for name in ("parts", "readings", "looks", "set_aside"):
        left, right = getattr(one, name), getattr(other, name)
        pd.testing.assert_frame_equal(left, right, check_exact=True, check_categorical=False)
        assert left.dtypes.astype(str).tolist() == right.dtypes.astype(str).tolist()
