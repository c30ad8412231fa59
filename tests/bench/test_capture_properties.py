"""Whatever happens at the clips, only one undisturbed part is filed under a name."""

from math import nan

from hypothesis import example, given
from hypothesis import strategies as st

from bench.scripted import Scripted
from captriage.bench.manner import State

PARTS = (30e-6, 33e-6, 0.4e-6, 500e-6)
EVENTS = st.one_of(
    st.tuples(st.just("clip"), st.sampled_from(PARTS), st.integers(1, 25)),
    st.tuples(st.just("off"), st.just(0.0), st.integers(1, 12)),
    st.tuples(st.just("over"), st.just(0.0), st.integers(1, 5)),
    st.tuples(st.just("stay"), st.just(0.0), st.integers(1, 25)),
    st.tuples(st.just("ramp"), st.floats(0.9, 1.1), st.integers(1, 8)),
    st.tuples(st.just("fault"), st.just(0.0), st.just(1)),
    st.tuples(st.just("press"), st.just(0.0), st.just(1)),
    st.tuples(st.just("pause"), st.just(0.0), st.integers(1, 12)),
)


class Hand:
    """Plays events on a bench; numbers each spell in which one part stays, undisturbed."""

    def __init__(self, **manner):
        self.bench = Scripted(settled_s=0.4, **manner)  # so that few events make a capture
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
        if what == "pause":  # nobody watches, and the part may be another of the same value
            self.bench.at += 20.0
            self.spell += 1
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
@example([("clip", 30e-6, 9), ("pause", 0.0, 6)], True, 5)
@example([("clip", 30e-6, 9), ("fault", 0.0, 1), ("stay", 0.0, 9)], True, 5)
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
