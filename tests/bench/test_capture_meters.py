"""How a capture takes what meters do: over range, silence, repeats, coarse digits."""

from itertools import pairwise
from math import isnan, nan

from bench.scripted import NOISE, Scripted, answer
from captriage.bench.manner import Said, State

C, ESR = 30e-6, 1.2


def numbers(kept, quantity="capacitance"):
    return [each.of(quantity).value for each in kept]


def done(**manner):
    """A bench at which one sound part has just been taken."""
    bench = Scripted(**manner)
    bench.open(3)
    bench.until(State.DONE, C, ESR)
    return bench


def test_a_short_is_over_range_in_capacitance_and_taken_by_its_resistance():
    bench = Scripted()
    bench.open(3)
    bench.until(State.DONE, nan, 0.05, flag="over range", raw=None, range_high=0.1)
    assert all(isnan(value) for value in numbers(bench.kept))
    assert all(each.of("capacitance").flag == "over range" for each in bench.kept)
    assert all(abs(value - 0.05) < 0.05 * NOISE for value in numbers(bench.kept, "esr"))


def test_answers_without_a_number_are_told_and_filed_only_by_hand():
    bench = Scripted()
    bench.open(5)
    bench.show(nan, nan, times=40, flag="over range: status 1", noisy=False)
    assert (bench.said, bench.kept) == ([Said.UNCLEAR], [])
    bench.press()
    bench.until(State.DONE, nan, nan, flag="over range: status 1")
    assert {each.of("capacitance").flag for each in bench.kept} == {"over range: status 1"}
    bench.until(State.OFF, 2e-12, 3e6)


def test_clips_that_read_over_range_when_open_are_open():
    bench = Scripted()
    bench.show(nan, nan, times=50, flag="over range", raw="9.9E37,9.9E37,1")
    assert (bench.said, bench.state) == ([], State.NOTHING)
    bench.until(State.DONE, C, ESR)
    bench.until(State.OFF, nan, nan, flag="over range", raw="9.9E37,9.9E37,1")
    assert len(bench.kept) == 5


def test_an_over_range_answer_in_the_middle_is_not_filed_among_the_others():
    bench = Scripted()
    bench.open(3)
    while len(bench.kept) < 2:
        bench.show(C, ESR)
    bench.show(nan, nan, flag="over range")
    assert (bench.kept, len(bench.struck)) == ([], 2)
    bench.until(State.DONE, C, ESR)
    assert not any(isnan(value) for value in numbers(bench.kept))


def test_a_fault_in_the_middle_is_begun_anew_and_mixed_with_nothing():
    bench = Scripted()
    bench.open(3)
    while len(bench.kept) < 4:
        bench.show(C, ESR)
    step = bench.lose("the meter was silent")
    assert (step.void, bench.kept, len(bench.struck)) == ("the meter was silent", [], 4)
    bench.until(State.DONE, C, ESR)
    assert len(bench.kept) == 5


def test_a_fault_while_waiting_for_off_does_not_take_it_off():
    bench = done()
    bench.open(1)
    bench.lose()
    assert bench.state is State.DONE
    bench.open(1)
    assert bench.state is State.DONE


def test_nothing_is_filed_by_hand_on_what_was_read_before_a_fault():
    bench = Scripted(hands_free=False)
    bench.open(3)
    bench.press()
    bench.lose()
    bench.press()
    assert (bench.state, bench.kept) == (State.NOTHING, [])


def test_a_meter_that_repeats_itself_does_not_seem_settled():
    bench = Scripted()
    bench.open(3)
    for step in range(30):  # each measurement, still rising, is sent six times
        value = C * (0.5 + 0.01 * step)
        bench.show(value, ESR, times=6, noisy=False, step_s=0.05)
    assert bench.kept == []


def test_a_coarse_meter_that_shows_the_same_digits_settles_later():
    bench = Scripted()
    bench.open(3)
    began = bench.at
    bench.until(State.DONE, C, ESR, noisy=False)
    assert len(bench.kept) == 5
    assert bench.at - began > 9 * bench.capture.manner.fresh_s
    times = [each.monotonic_s for each in bench.kept]
    assert all(b - a >= 0.5 for a, b in pairwise(times))


def test_one_step_of_a_coarse_meter_is_no_unrest():
    bench = Scripted()
    bench.open(3)
    for turn in range(400):
        shown = (34.6, 34.7)[turn % 2]
        bench.at += 0.6
        bench.feed(answer(bench.at, shown * 1e-6, 1.2, raw=f"C {shown} uF R 1.20"))
        if bench.state is State.DONE:
            break
    assert len(bench.kept) == 5


def test_another_word_in_place_of_a_number_is_not_open_clips():
    bench = Scripted()
    bench.show(nan, nan, times=10, flag="over range")
    bench.show(nan, nan, times=10, flag="no reading: source overloaded", noisy=False)
    assert bench.said == [Said.UNCLEAR]


def test_what_the_meter_said_of_a_value_comes_first_in_its_flag():
    both = answer(0.0, nan, 1.0, flag="over range").flagged("drifting")
    assert both.of("capacitance").flag == "over range; drifting"
    assert both.of("esr").flag == "drifting"
    assert both.flagged("") is both


def test_a_part_that_ends_in_words_is_let_go_by_a_press():
    bench = done()
    bench.show(nan, nan, times=20, flag="no reading: no data")
    assert (bench.state, bench.said[-1]) == (State.DONE, Said.CHANGED)
    bench.press()
    assert bench.state is State.OFF


def test_clips_that_were_never_seen_open_before_the_first_part_are_known_afterwards():
    bench = Scripted()
    bench.until(State.DONE, C, ESR)
    bench.until(State.OFF, nan, nan, flag="over range: status 1", raw="9.9E37,9.9E37,1")
    assert len(bench.kept) == 5


def test_a_bad_status_before_anything_else_does_not_hide_open_clips():
    bench = Scripted()
    bench.show(nan, nan, flag="no reading: status -1, no data")
    bench.until(State.DONE, C, ESR)
    bench.until(State.OFF, nan, nan, flag="over range: status 1")


def test_a_bad_status_in_the_middle_is_told_as_such_and_begun_anew():
    bench = Scripted(readings=50)
    bench.open(3)
    while len(bench.kept) < 3:
        bench.show(C, ESR)
    bench.show(nan, nan, flag="no reading: status 3")
    assert (bench.kept, len(bench.struck)) == ([], 3)
    assert bench.said[-1] is Said.NO_NUMBER
    assert bench.capture.unclear
    bench.until(State.DONE, C, ESR)
    assert not bench.capture.unclear
