"""Elapsed times, clocks and dates; day and month decided once for a column."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from captriage.readers.times import read_times, soak_of_series


def instants(texts):
    return pd.Series(read_times(texts).instants).tolist()


@pytest.mark.parametrize(
    ("texts", "unit", "seconds"),
    [
        (["0", "60"], "s", [0, 60]),
        (["0.5", "5"], "min", [30, 300]),
        (["00:05:00", "01:00:00"], "", [300, 3600]),
        (["5 min", "1 h 30 min", "90 s"], "", [300, 5400, 90]),
        (["0,5"], "min", [30]),
        (["1:30"], "", [90]),
        (["1:30"], "h", [5400]),
    ],
)
def test_elapsed_time_in_seconds(texts, unit, seconds):
    times = read_times(texts, unit=unit)
    assert times.elapsed.tolist() == seconds
    assert not times.problems


def test_minutes_and_seconds_are_told_as_taken():
    assert read_times(["1:30", "2 min"]).flag.tolist() == ["taken as minutes and seconds", ""]


def test_a_word_is_no_time_and_says_so():
    times = read_times(["5 min", "later"], unit="")
    assert np.isnan(times.elapsed[1])
    assert 1 in times.problems


@pytest.mark.parametrize(
    ("texts", "first"),
    [
        (["10/9/2025 14:00", "30/9/2025 14:00"], "2025-09-10 14:00"),
        (["9/10/2025 14:00", "9/30/2025 14:00"], "2025-09-10 14:00"),
        (["10.9.2025", "11.9.2025"], "2025-09-10"),
        (["2025-09-10T14:00:05"], "2025-09-10 14:00:05"),
        (["2025-09-10 14:00:05+02:00"], "2025-09-10 12:00:05"),
        (["10 Sept 2025 2:05 pm"], "2025-09-10 14:05"),
        (["3. März 2025"], "2025-03-03"),
        (["3 août 2025"], "2025-08-03"),
        (["03.11.25"], "2025-11-03"),
        (["1700000000", "1700000060"], "2023-11-14 22:13:20"),
    ],
)
def test_date_is_read_in_the_order_the_column_shows(texts, first):
    assert instants(texts)[0] == pd.Timestamp(first)


def test_a_date_that_no_other_date_decides_is_asked_about():
    times = read_times(["10/9/2025", "11/9/2025"])
    assert np.isnat(times.instants).all()
    assert times.problems[0] == (
        "ambiguous: 2025-09-10 or 2025-10-09; no date of the column decides",
        "write dates as 2025-11-03",
    )


def test_dates_of_both_orders_in_one_column_decide_nothing():
    times = read_times(["25/9/2025", "9/25/2025", "10/9/2025"])
    assert "dates of both orders" in times.problems[2][0]
    assert np.isnat(times.instants[2])


@pytest.mark.parametrize("text", ["31.02.2025", "2025-13-01", "32/12/2025"])
def test_a_date_that_does_not_exist_is_set_aside(text):
    times = read_times(["01.03.2025", text])
    assert 1 in times.problems
    assert np.isnat(times.instants[1])


def test_steps_within_one_undecided_day_are_known_all_the_same():
    times = read_times(["10/9/2025 14:00:00", "10/9/2025 14:00:10"])
    assert np.diff(times.seconds).tolist() == [10.0]
    assert len(times.problems) == 2


def one_series(texts):
    times = read_times(texts)
    return soak_of_series(times.seconds, np.zeros(len(texts), np.int64))


def test_clock_times_count_from_the_first_sample():
    soak, flag = one_series(["14:00:00", "14:00:05", "14:01:00"])
    assert soak.tolist() == [0, 5, 60]
    assert set(flag) == {"soak counted from the first sample"}


def test_the_hour_of_a_clock_change_is_put_back():
    soak, flag = one_series(["2025-10-26 02:59:50", "2025-10-26 02:00:00", "2025-10-26 02:00:10"])
    assert soak.tolist() == [0, 10, 20]
    assert flag[0] == "soak counted from the first sample"
    assert flag[1].startswith("clock change")


def test_midnight_is_passed():
    soak, flag = one_series(["23:59:50", "00:00:00", "00:00:10"])
    assert soak.tolist() == [0, 10, 20]
    assert flag[2].startswith("past midnight")


def test_a_clock_that_runs_backwards_gives_no_soak_time():
    soak, flag = one_series(["2025-10-26 12:00:00", "2025-10-26 09:00:00"])
    assert np.isnan(soak).all()
    assert flag[0] == "clock runs backwards: no soak time"


def test_series_of_different_parts_are_counted_apart():
    seconds = np.array([100.0, 500.0, 110.0, 530.0, 900.0])
    soak, flag = soak_of_series(seconds, np.array([0, 1, 0, 1, 2]))
    np.testing.assert_array_equal(soak, [0, 0, 10, 30, np.nan])
    assert flag[4] == ""


def test_a_gap_of_days_begins_a_new_series():
    seconds = np.array([0.0, 60.0, 10 * 86400.0, 10 * 86400.0 + 60])
    soak, _ = soak_of_series(seconds, np.zeros(4, np.int64))
    assert soak.tolist() == [0, 60, 0, 60]
