"""Which answers are new, and when nobody watched the clips."""

import pytest

from bench.scripted import answer
from captriage.bench.pace import Fresh, Pace


def gaps(*times, gap_s=3.0):
    pace = Pace(gap_s)
    return [pace.gap(at) for at in times]


def test_a_pause_beyond_the_limit_is_a_gap_of_its_length():
    assert gaps(0.0, 0.1, 0.2, 3.1, 7.0) == [0, 0, 0, 0, pytest.approx(3.9)]


def test_the_limit_follows_a_slow_meter_and_not_a_single_pause():
    assert gaps(0, 5, 10, 29, 50) == [0, 0, 0, 0, 21]  # 4 times the usual 5 s
    assert gaps(0, 30, 30.1, 30.2, 60.2) == [0, 0, 0, 0, pytest.approx(30.0)]


def test_what_is_forgotten_makes_no_gap():
    pace = Pace(3.0)
    pace.gap(0.0)
    pace.gap(0.1)
    pace.forget()
    assert pace.gap(90.0) == 0
    assert pace.gap(90.1) == 0
    assert pace.gap(99.0) == pytest.approx(8.9)


def test_the_same_reply_has_to_wait_longer_to_be_new():
    fresh = Fresh(0.08, 0.5)
    said = [(0.0, "a"), (0.05, "b"), (0.1, "b"), (0.3, "b"), (0.59, "b"), (0.61, "b"), (0.7, "c")]
    new = [fresh.is_new(answer(at, 1e-6, raw=raw)) for at, raw in said]
    assert new == [True, False, True, False, False, True, True]
