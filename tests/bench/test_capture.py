"""What a capture lets through, and what it does not."""

from itertools import pairwise
from math import isnan, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.scripted import NOISE, Scripted, answer
from captriage.bench.capture import BY_HAND, DRIFTING, flagged
from captriage.bench.manner import Before, Said, State

C, ESR = 30e-6, 1.2


def numbers(kept, quantity="capacitance"):
    return [each.of(quantity).value for each in kept]


def done(**manner):
    """A bench at which one sound part has just been taken."""
    bench = Scripted(**manner)
    bench.open(3)
    bench.until(State.DONE, C, ESR)
    return bench


def test_a_part_is_noticed_settles_is_taken_and_comes_off():
    bench = done()
    assert bench.said == [Said.NOTICED]
    assert len(bench.kept) == 5
    assert all(abs(value / C - 1) < NOISE for value in numbers(bench.kept))
    bench.until(State.OFF, 2e-12, 3e6)
    assert len(bench.kept) == 5


@pytest.mark.parametrize("wanted", [1, 3, 12])
def test_as_many_readings_are_taken_as_are_wanted(wanted):
    assert len(done(readings=wanted).kept) == wanted


def test_open_clips_are_no_part_however_long_they_stay_so():
    bench = Scripted()
    bench.open(3000)
    assert (bench.state, bench.kept, bench.said) == (State.NOTHING, [], [])


def test_fingers_across_the_clips_are_no_part():
    bench = Scripted()
    bench.open(3)
    bench.show(50e-12, 150e3, times=50)
    assert (bench.state, bench.said) == (State.NOTHING, [])


def test_a_part_that_is_in_the_clips_from_the_first_is_taken():
    bench = Scripted()
    bench.until(State.DONE, C, ESR)
    assert len(bench.kept) == 5


def test_a_single_answer_notices_nothing():
    bench = Scripted()
    bench.open(3)
    bench.show(C, ESR)
    assert bench.state is State.NOTICED
    bench.open(1)
    assert (bench.state, bench.said) == (State.NOTHING, [])


def test_no_reading_is_taken_before_they_agree():
    bench = Scripted()
    bench.open(3)
    for step in range(60):  # a part that is still charging: 1 % more each time
        bench.show(C * (1 + 0.01 * step), ESR)
    assert bench.kept == []
    bench.until(State.DONE, C * 1.6, ESR)
    assert min(numbers(bench.kept)) > 1.59 * C


def test_a_part_whose_resistance_wanders_has_not_settled():
    bench = Scripted()
    bench.open(3)
    for step in range(100):
        bench.show(C, ESR * (1 + 0.5 * (step % 3)))
    assert bench.kept == []


def test_what_never_settles_is_drifting_and_taken_only_by_hand():
    bench = Scripted()
    bench.open(3)
    falling = [C * 0.995**step for step in range(400)]
    for value in falling[:250]:
        bench.show(value, ESR)
    assert bench.said == [Said.NOTICED, Said.DRIFTING]
    assert bench.kept == []
    bench.press()
    for value in falling[250:260]:
        bench.show(value, ESR)
    assert bench.state is State.DONE
    assert [each.of("capacitance").flag for each in bench.kept] == [DRIFTING] * 5
    assert max(numbers(bench.kept)) < falling[249]


def test_a_press_before_it_is_said_to_drift_takes_nothing():
    bench = Scripted()
    bench.open(3)
    for step in range(10):
        bench.show(C * (1 + 0.05 * step), ESR)
    bench.press()
    assert (bench.state, bench.kept) == (State.SETTLING, [])


def test_a_part_that_comes_off_in_the_middle_is_begun_anew():
    bench = Scripted()
    bench.open(3)
    while len(bench.kept) < 3:
        bench.show(C, ESR)
    bench.open(1)
    assert (bench.kept, len(bench.struck)) == ([], 3)
    assert bench.said[-1] is Said.CAME_OFF
    bench.until(State.DONE, 1.2 * C, ESR)
    assert len(bench.kept) == 5
    assert min(numbers(bench.kept)) > 1.19 * C


def test_a_jump_in_the_middle_is_told_and_begun_anew():
    bench = Scripted()
    bench.open(3)
    while len(bench.kept) < 3:
        bench.show(C, ESR)
    bench.show(C, ESR + 4)  # a bad contact adds to the resistance alone
    assert (bench.kept, len(bench.struck)) == ([], 3)
    assert bench.said[-1] is Said.JUMPED
    bench.until(State.DONE, C, ESR)
    assert max(numbers(bench.kept, "esr")) < ESR + 0.1


def test_contact_that_breaks_again_and_again_is_called_intermittent():
    bench = Scripted()
    bench.open(3)
    for _ in range(3):
        bench.show(C, ESR, times=4)
        bench.open(2)
    assert bench.said[-1] is Said.INTERMITTENT
    assert bench.kept == []


def test_the_next_part_is_not_believed_before_this_one_is_off():
    bench = done()
    bench.show(C, ESR, times=500)
    assert (bench.state, bench.said) == (State.DONE, [Said.NOTICED])
    bench.show(3 * C, ESR, times=10)
    assert (bench.state, bench.said[-1]) == (State.DONE, Said.CHANGED)
    bench.press()
    assert bench.state is State.OFF  # the person says that it is another part


def test_one_open_reading_is_not_off():
    bench = done()
    bench.open(1)
    bench.show(C, ESR)
    bench.open(3)
    bench.show(C, ESR)
    assert bench.state is State.DONE


def test_a_part_of_bad_contact_must_be_off_for_longer():
    bench = Scripted()
    bench.open(3)
    bench.show(C, ESR, times=4)
    bench.open(1)
    bench.until(State.DONE, C, ESR)
    bench.open(20)
    assert bench.state is State.DONE
    bench.until(State.OFF, 2e-12, 3e6)


def test_a_double_press_does_not_pass_over_the_part():
    bench = Scripted(hands_free=False)
    bench.open(3)
    bench.show(C, ESR, times=20)
    assert (bench.state, bench.said) == (State.NOTHING, [])  # it waits to be told
    bench.press()
    bench.press(after_s=0.1)
    bench.until(State.DONE, C, ESR)
    bench.press()
    bench.press()
    assert bench.state is State.DONE


def test_by_enter_open_clips_are_asked_about_and_filed_on_the_second_press():
    bench = Scripted(hands_free=False)
    bench.open(3)
    bench.press()
    assert (bench.said, bench.kept) == ([Said.LOOKS_OPEN], [])
    assert bench.capture.asks
    bench.press(after_s=0.2)  # a foot switch that bounces
    assert bench.state is State.NOTHING
    bench.press()
    bench.until(State.DONE, 2e-12, 3e6)
    assert [each.of("capacitance").flag for each in bench.kept] == [BY_HAND] * 5
    bench.open(100)
    assert bench.state is State.DONE  # off looks the same
    bench.press()
    assert bench.state is State.OFF


def test_after_patience_it_asks_and_files_nothing_by_itself():
    bench = Scripted(patience_s=5.0)
    bench.open(40)
    assert bench.said == []
    bench.open(500)
    assert (bench.said, bench.kept) == ([Said.LOOKS_OPEN], [])
    bench.press()
    bench.until(State.DONE, 2e-12, 3e6)
    assert len(bench.kept) == 5


def test_a_part_that_shows_up_after_all_is_not_filed_as_open():
    bench = Scripted(patience_s=1.0)
    bench.open(20)
    bench.press()
    bench.open(2)
    assert bench.state is State.TAKING
    bench.until(State.DONE, C, ESR)
    assert all(each.of("capacitance").flag == "" for each in bench.kept)
    assert all(
        isnan(each.of("capacitance").value) or each.of("capacitance").value > 1e-6
        for each in bench.kept
    )


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


def test_the_same_reading_again_at_once_is_asked_about():
    first = done()
    first.until(State.OFF, 2e-12, 3e6)
    before = Before({"capacitance": C, "esr": ESR}, first.capture.off_at)
    bench = Scripted(clips=first.clips, before=before)
    bench.at = first.at
    bench.show(C, ESR, times=60)
    assert (bench.said, bench.kept) == ([Said.NOTICED, Said.SAME], [])
    bench.press()
    bench.until(State.DONE, C, ESR)
    assert all(each.of("capacitance").flag == "" for each in bench.kept)


@pytest.mark.parametrize(("value", "later_s"), [(1.05 * C, 0.0), (C, 10.0)])
def test_another_reading_or_a_later_one_is_another_part(value, later_s):
    bench = Scripted(before=Before({"capacitance": C, "esr": ESR}, 0.0))
    bench.at = later_s
    bench.until(State.DONE, value, ESR)
    assert Said.SAME not in bench.said


def test_what_the_meter_said_of_a_value_comes_first_in_its_flag():
    both = flagged(answer(0.0, nan, 1.0, flag="over range"), "drifting")
    assert both.of("capacitance").flag == "over range; drifting"
    assert both.of("esr").flag == "drifting"
    assert flagged(both, "") is both


PARTS = (30e-6, 33e-6, 0.4e-6, 500e-6)
EVENTS = st.one_of(
    st.tuples(st.just("clip"), st.sampled_from(PARTS), st.integers(1, 25)),
    st.tuples(st.just("off"), st.just(0.0), st.integers(1, 12)),
    st.tuples(st.just("over"), st.just(0.0), st.integers(1, 5)),
    st.tuples(st.just("stay"), st.just(0.0), st.integers(1, 25)),
    st.tuples(st.just("ramp"), st.floats(0.9, 1.1), st.integers(1, 8)),
    st.tuples(st.just("fault"), st.just(0.0), st.just(1)),
    st.tuples(st.just("press"), st.just(0.0), st.just(1)),
)


class Hand:
    """Plays events on a bench; numbers each spell in which one part stays, undisturbed."""

    def __init__(self, **manner):
        self.bench = Scripted(**manner)
        self.spell, self.of = 0, {}
        self.value, self.opened, self.over = 2e-12, True, False

    def play(self, what, number, times):
        if what == "press":
            self.bench.press()
        elif what == "fault":
            self.bench.lose()
            self.spell += 1
        else:
            self.move(what, number)
            for _ in range(times):
                self.read(number if what == "ramp" else 1.0)

    def move(self, what, number):
        """What the hand does: a spell ends whenever what is in the clips is another thing."""
        before = self.value, self.opened, self.over
        self.over = what == "over"
        if what == "clip":
            self.value, self.opened = number, False
        elif what == "off":
            self.value, self.opened = 2e-12, True
        self.spell += before != (self.value, self.opened, self.over)

    def read(self, factor):
        self.value = self.value if self.opened else self.value * factor
        value, esr = (nan, nan) if self.over else (self.value, 3e6 if self.opened else 1.0)
        self.of[round(self.bench.at + 0.1, 6)] = self.spell
        self.bench.show(value, esr, flag="over range" if self.over else "")


@given(st.lists(EVENTS, max_size=25), st.booleans(), st.integers(1, 6))
def test_whatever_happens_only_one_undisturbed_part_is_filed(events, hands_free, wanted):
    hand = Hand(hands_free=hands_free, readings=wanted)
    hand.play("off", 0.0, 3)
    for event in events:
        hand.play(*event)
        kept = hand.bench.kept
        spells = {hand.of[round(each.monotonic_s, 6)] for each in kept}
        assert len(spells) <= 1, "two parts, or both sides of a gap, under one name"
        assert len(kept) <= wanted
        if hand.bench.state in (State.DONE, State.OFF):
            assert len(kept) == wanted


@given(st.lists(EVENTS.filter(lambda event: event[0] != "press"), max_size=30))
def test_without_a_press_no_open_clips_and_no_missing_numbers_are_filed(events):
    hand = Hand()
    hand.play("off", 0.0, 3)
    for event in events:
        hand.play(*event)
    assert all(each.of("capacitance").value > 0.2e-6 for each in hand.bench.kept)


@given(st.lists(EVENTS, max_size=30))
def test_by_enter_nothing_is_filed_before_the_first_press(events):
    hand = Hand(hands_free=False)
    for event in events:
        if event[0] == "press":
            break
        hand.play(*event)
    assert hand.bench.kept == []
