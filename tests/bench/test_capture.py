"""What a capture lets through, and what it does not."""

from math import isnan

import pytest

from bench.scripted import NOISE, Scripted
from captriage.bench.capture import BY_HAND, DRIFTING
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


def test_the_same_reading_again_at_once_is_asked_about():
    first = done()
    first.until(State.OFF, 2e-12, 3e6)
    bench = Scripted(clips=first.clips, before={"capacitance": C, "esr": ESR})
    bench.at = first.at
    bench.show(C, ESR, times=60)
    assert (bench.said, bench.kept) == ([Said.NOTICED, Said.SAME], [])
    bench.press()
    bench.until(State.DONE, C, ESR)
    assert all(each.of("capacitance").flag == "" for each in bench.kept)


@pytest.mark.parametrize("before", [{}, {"capacitance": C}, {"capacitance": 1.05 * C, "esr": ESR}])
def test_another_reading_is_another_part(before):
    bench = Scripted(before=before)
    bench.until(State.DONE, C, ESR)
    assert Said.SAME not in bench.said


def test_a_part_that_is_in_the_clips_still_is_not_taken_for_the_next():
    bench = Scripted(occupied=True)
    bench.show(C, ESR, times=50)
    assert (bench.state, bench.said, bench.kept) == (State.OCCUPIED, [Said.OCCUPIED], [])
    bench.lose()
    assert bench.state is State.OCCUPIED
    bench.until(State.NOTHING, 2e-12, 3e6)
    bench.until(State.DONE, C, ESR)


def test_a_press_says_that_the_next_part_is_in_the_clips_already():
    bench = Scripted(occupied=True)
    bench.show(C, ESR, times=5)
    assert bench.capture.occupied
    bench.press()
    bench.until(State.DONE, C, ESR)
