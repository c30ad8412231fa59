"""Enter alone is the answer; what was typed before it is a line, and no leave for a voltage."""

from math import isnan

import pytest

from bench.reforming_bench import plan
from bench.told import PART, Told
from captriage.bench.by_hand import ByHand
from captriage.bench.key_lines import KeyLines, await_enter, forget_typed, note_of
from captriage.bench.readying import Readying
from captriage.bench.sitting import Ended


class Person(Told):
    """Somebody whose keys come one after the other; None is the end of the input."""

    def __init__(self, *keys):
        super().__init__()
        self.typed = list(keys)

    def poll(self):
        return self.typed.pop(0) if self.typed else None

    def next(self):
        return self.poll()


def lines_of(*keys):
    taking = KeyLines(Person())
    return [line for key in keys if (line := taking.take(key)) is not None]


@pytest.mark.parametrize(
    ("keys", "lines"),
    [
        ("", []),
        (("",), [""]),
        ("q", ["q"]),
        ((*"n smells queer", ""), ["n smells queer"]),
        (("n smells queer",), ["n smells queer"]),  # from a pipe
        ((*"ok", ""), ["ok"]),
        ((*"oq",), ["q"]),  # no note: it ends at once
        ((*"nx", "\x7f", *" ok", ""), ["n ok"]),
        (("n", "\x7f", ""), [""]),  # taken back
        ((" ", ""), [""]),
        (("n", ""), ["n"]),
        ((*"na", "off"), ["off"]),
    ],
)
def test_keys_are_put_together_to_lines(keys, lines):
    assert lines_of(*keys) == lines


def test_a_note_is_told_apart_from_other_words():
    assert [note_of(line) for line in ("n smells", "N  it hums ", "n", "nothing", "")] == [
        "smells",
        "it hums",
        "",
        "",
        "",
    ]


def test_whoever_begins_a_note_is_told_how_it_ends():
    person = Person()
    KeyLines(person).take("n")
    assert person.having("note type it, then Enter; q is a letter of it, Ctrl-C ends the run")


def test_only_enter_alone_is_waited_for():
    person = Person(*"n hums", "", *"ok", "", "")
    await_enter(person.sitting, nobody="nobody is there")
    assert person.having("keys 'n hums' is no answer; press Enter alone, or q to end")
    assert person.having("keys 'ok' is no answer")
    with pytest.raises(Ended, match="ended by the person"):
        await_enter(Person("q").sitting, nobody="nobody is there")
    with pytest.raises(Ended, match="nobody is there"):
        await_enter(Person().sitting, nobody="nobody is there")


def test_what_was_typed_before_a_question_is_no_answer_to_it_unless_it_ends():
    person = Person("", "x", "")
    forget_typed(person.sitting)
    assert person.typed == []
    with pytest.raises(Ended, match="ended by the person"):
        forget_typed(Person("", "q").sitting)


def test_enter_pressed_twice_before_a_question_lets_no_voltage_rise():
    with pytest.raises(Ended, match="nobody is there to begin"):
        Readying(Person("", "").sitting, part=PART, plan=plan()).begin()
    with pytest.raises(Ended, match="nobody is there to turn the supply"):
        ByHand(Person("", "").sitting, part=PART, plan=plan()).begin()
    person = Person("", "")
    hand = ByHand(person.sitting, part=PART, plan=plan())
    assert not hand.approach(40.0)
    assert person.typed == []


def test_while_a_knob_is_turned_only_the_most_that_it_may_give_is_known():
    hand = ByHand(Person().sitting, part=PART, plan=plan())
    assert (hand.supply_v, hand.most_v) == (0.0, 0.0)
    hand.approach(40.0)
    assert isnan(hand.supply_v)
    assert (hand.set_v, hand.most_v) == (0.0, 40.0)
    hand.pressed()
    assert hand.approach(40.0)
    assert (hand.supply_v, hand.set_v, hand.most_v) == (40.0, 40.0, 40.0)
    hand.lower()
    assert hand.most_v == 40.0  # nobody knows how far down it is
