import csv
import io

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.columns import VERDICTS
from captriage.report.verdict_csv import ROWS_AT_ONCE, harmless, write_frame


def written(frame):
    out = io.StringIO()
    write_frame(frame, out)
    return out.getvalue()


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"])
def test_a_cell_that_begins_like_a_formula_is_text(start):
    assert harmless([f"{start}1+1"]) == [f"'{start}1+1"]


def test_other_text_is_left_as_it_is():
    assert harmless(["C1", "", "a=b", "µ", "'quoted"]) == ["C1", "", "a=b", "µ", "'quoted"]


def test_numbers_are_not_touched_by_the_guard():
    frame = pd.DataFrame({"low": [-0.1, np.nan, 1e-6], "line": [-1, 2, 3]})
    rows = list(csv.reader(io.StringIO(written(frame))))
    assert rows == [["low", "line"], ["-0.1", "-1"], ["", "2"], ["1e-06", "3"]]


def test_every_kind_of_column_comes_back_from_pandas_as_it_went():
    frame = pd.DataFrame(
        {
            "part": ["C1", 'a "quoted", part', "zwei\nZeilen", "µΩ"],
            "can": ["", "Can 1", "Can 1", ""],
            "verdict": pd.Categorical(["keep", "reform", None, "keep"]),
            "confidence": [0.1, 1 / 3, np.nan, 0.97500000000000009],
            "line": [1, 2, 3, 4],
        }
    )
    back = pd.read_csv(
        io.StringIO(written(frame)),
        dtype={"part": str, "can": str, "verdict": str},
        keep_default_na=False,
        na_values={"confidence": [""]},
    )
    expected = frame.assign(verdict=frame["verdict"].astype(object).fillna("").astype(str))
    pd.testing.assert_frame_equal(back, expected, check_dtype=False)


TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=12)


@given(st.lists(st.tuples(TEXT, TEXT), max_size=8))
def test_any_text_comes_back_from_the_standard_reader(rows):
    frame = pd.DataFrame(rows, columns=["part", "because"], dtype=str)
    back = list(csv.reader(io.StringIO(written(frame), newline="")))
    expected = [[harmless([cell])[0] for cell in row] for row in rows]
    assert back == [["part", "because"], *expected]


def test_a_category_that_begins_like_a_formula_is_text_too():
    frame = pd.DataFrame({"decided_by": pd.Categorical(["=x", "leakage", "=x"])})
    assert written(frame).splitlines() == ["decided_by", "'=x", "leakage", "'=x"]


def test_the_columns_of_the_vocabulary_all_have_a_kind_that_the_writer_knows():
    assert set(VERDICTS.values()) == {"str", "category", "float64"}


def test_more_rows_than_are_joined_at_once_are_all_written_in_order():
    count = 2 * ROWS_AT_ONCE + 1
    frame = pd.DataFrame({"part": [f"C{n}" for n in range(count)], "because": "high, so"})
    frame["confidence"] = np.arange(count) / 8
    back = list(csv.reader(io.StringIO(written(frame))))[1:]
    assert back == [[f"C{n}", "high, so", str(n / 8)] for n in range(count)]


def test_a_negative_nought_stays_one():
    frame = pd.DataFrame({"low": [0.0, -0.0, np.nan]})
    assert written(frame).splitlines() == ["low", "0.0", "-0.0", ""]
