"""Rows of a log in the order of time: jumbled, turned round, begun anew."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.readers.curve_times import in_order


def order_of(*time_s):
    return in_order(np.array(time_s, float), np.arange(len(time_s)) + 2)


def test_rows_in_order_stay_as_they_are():
    assert order_of(0, 5, 5, 10).rows.tolist() == [0, 1, 2, 3]


def test_a_row_without_a_time_has_no_place():
    assert order_of(0, np.nan, 10).rows.tolist() == [0, 2]


def test_a_file_that_begins_with_the_newest_is_turned_round():
    order = order_of(30, 20, 20, 10)
    assert order.rows.tolist() == [3, 2, 1, 0]
    assert order.remarks == ("the newest reading stands first: turned round",)


def test_a_line_out_of_order_is_sorted_in_and_named_by_its_line():
    order = order_of(0, 10, 30, 20, 40)
    assert order.rows.tolist() == [0, 1, 3, 2, 4]
    assert order.remarks == ("1 line out of order in time, the first of them line 5: sorted in",)


@pytest.mark.parametrize(
    ("time_s", "begins"),
    [
        ((0, 10, 20, 30, 0, 10, 20), 4),
        ((0, 10, 30, 20, 40, 0, 10, 20, 30, 40, 50), 5),
        ((100, 110, 120, 130, 140, 101, 102, 103, 104, 105, 106), 5),
    ],
)
def test_where_the_time_begins_again_another_run_begins(time_s, begins):
    order = order_of(*time_s)
    assert order.anew.tolist() == list(range(begins, len(time_s)))
    assert sorted(order.rows) == list(range(begins))


@given(st.lists(st.one_of(st.just(float("nan")), st.integers(-50, 50).map(float)), max_size=30))
def test_whatever_the_order_no_row_with_a_time_is_lost_or_told_twice(times):
    time_s = np.array(times, float)
    order = in_order(time_s, np.arange(len(times)))
    known = np.flatnonzero(np.isfinite(time_s)).tolist()
    assert sorted([*order.rows.tolist(), *order.anew.tolist()]) == known
    assert (np.diff(time_s[order.rows]) >= 0).all()
