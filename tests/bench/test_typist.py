"""Words that are typed in place of a value, and values that are taken for no word."""

import pytest

from captriage.bench.replies import DIMENSIONS
from captriage.bench.sitting import Ended
from captriage.bench.typed_words import EXAMPLES
from captriage.bench.typist import WORDS, Typist, key_of


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("r", "r"),
        ("Redo", "r"),
        (" s ", "s"),
        ("skip", "s"),
        ("BACK", "b"),
        ("q", "q"),
        ("?", "?"),
        ("n the can hums", "n the can hums"),
        ("note: the can hums", "n the can hums"),
        ("l", "l"),
        ("looks bulged", "l bulged"),
    ],
)
def test_a_word_asks_for_something(typed, key):
    assert key_of(typed) == key


@pytest.mark.parametrize(
    "typed",
    [*EXAMPLES.values(), "", "-", "OL", "open", "short", "s/c", "sc", "no reading", "n/a", "none",
     "blank", "4u7", "0R31", "470n", "back 3", "r2"],
)  # fmt: skip
def test_a_value_is_no_word(typed):
    assert key_of(typed) is None


def test_no_word_is_an_example_of_a_value():
    assert not set(WORDS) & {EXAMPLES[each].lower() for each in DIMENSIONS.values()}


class Person:
    """Types these lines, and keeps what is asked and told."""

    def __init__(self, *lines):
        self.lines, self.said = list(lines), []

    def line(self, prompt):
        self.said.append(prompt)
        return self.lines.pop(0) if self.lines else None

    def tell(self, label, text):
        self.said.append(f"{label} {text}")


def test_a_word_is_obeyed_and_the_question_asked_again():
    person, obeyed = Person("n hums", "?", "34.6 µF"), []
    typist = Typist(person, person)
    typist.obey = obeyed.append
    assert typist("that was nothing\ncapacitance: ") == "34.6 µF"
    assert obeyed == ["n hums", "?"]
    assert person.said == [" that was nothing", *["capacitance: "] * 3]


def test_with_nobody_to_obey_only_the_end_is():
    person = Person("s", "q")
    with pytest.raises(Ended, match="ended by the person"):
        Typist(person, person)("current: ")
    assert "keys a value is asked for; q ends" in person.said


def test_the_end_of_the_input_is_the_end():
    person = Person()
    with pytest.raises(Ended, match="the input has ended"):
        Typist(person, person)("current: ")
