"""What has settled, and what nobody watched."""

import pytest

from bench.scripted import NOISE, Scripted
from captriage.bench.manner import Said, State

C, ESR = 30e-6, 1.2


@pytest.mark.parametrize("share", [1.0, 2.0, 4.0])
@pytest.mark.parametrize("seed", range(8))
def test_a_slow_drift_does_not_settle_however_fast_the_meter_is(share, seed):
    """By so many times its noise in each second: five quick readings do not show it."""
    bench = Scripted(seed=seed)
    bench.open(3)
    while Said.DRIFTING not in bench.said:
        bench.show(C * (1 + share * NOISE * bench.at), ESR)
    assert bench.kept == []


@pytest.mark.parametrize("seed", range(8))
def test_a_part_that_drifts_by_far_less_than_the_noise_settles(seed):
    bench = Scripted(seed=seed)
    bench.open(3)
    while bench.state is not State.DONE:
        bench.show(C * (1 + 0.05 * NOISE * bench.at), ESR)
    assert bench.said == [Said.NOTICED]
    assert bench.at < 5


def test_a_slow_meter_is_asked_for_readings_enough():
    """A staircase of which each two readings agree, and no three."""
    bench = Scripted()
    bench.open(3)
    for step in range(20):
        bench.show(C * (1 + 2 * NOISE * (step // 2)), ESR, step_s=2.0)
    assert bench.kept == []
    bench.until(State.DONE, C, ESR, step_s=2.0)
    assert len(bench.kept) == 5


@pytest.mark.parametrize("after", [2, 5, 15, 18, 20])
def test_after_a_pause_in_which_nobody_watched_it_is_begun_anew(after):
    bench = Scripted()
    bench.open(3)
    bench.show(C, ESR, times=after)
    assert bench.state is not State.DONE
    taken = len(bench.kept)
    bench.at += 30.0  # the program was stopped, or the machine slept
    bench.show(C, ESR)
    assert (bench.state, bench.said[-1]) == (State.NOTICED, Said.PAUSED)
    assert (bench.kept, len(bench.struck)) == ([], taken)
    assert bench.gaps == [pytest.approx(30.1)]
    since = bench.at
    bench.until(State.DONE, C, ESR)
    assert min(each.monotonic_s for each in bench.kept) > since + 1.5


def test_a_pause_while_nothing_is_captured_is_none_of_the_books():
    bench = Scripted()
    bench.open(3)
    bench.at += 30.0
    bench.until(State.DONE, C, ESR)
    bench.at += 30.0
    bench.show(C, ESR, times=3)
    assert (bench.state, bench.gaps, bench.struck) == (State.DONE, [], [])


def test_clips_seen_open_before_a_pause_and_after_are_not_called_open_all_along():
    bench = Scripted()
    bench.until(State.DONE, C, ESR)
    bench.open(2)
    bench.at += 30.0
    bench.open(1)
    assert bench.state is State.DONE


def test_a_meter_that_is_slow_at_all_times_makes_no_gaps():
    bench = Scripted()
    for _ in range(4):
        bench.show(2e-12, 3e6, step_s=8.0)
    bench.until(State.DONE, C, ESR, step_s=8.0)
    assert (bench.gaps, len(bench.kept)) == ([], 5)
