"""What is asked before there is power, who is there, and what a voltmeter must show at the end."""

from dataclasses import replace

import pytest

from bench.reforming_bench import plan
from bench.told import Person
from captriage.bench.by_hand import ByHand
from captriage.bench.measured import Answer
from captriage.bench.presence import Presence
from captriage.bench.profiles import load_profile
from captriage.bench.readying import SOUND_WORDS, Readying
from captriage.bench.sitting import Ended
from captriage.bench.stopping import Stopped
from captriage.bench.typed_samples import TypedSamples
from captriage.bench.under_control import check_supply_reach
from captriage.errors import CapTriageError, Silent
from captriage.jobs.reform_plan import Told as Of
from captriage.jobs.reform_plan import plan as plan_reform
from captriage.readers.looks import parse_looks
from captriage.store.rows import PartRow

PART = PartRow(id=1, part="C1", capacitance_rated=10e-6, voltage_rated=100.0)


def readying(*lines, **changes):
    person = Person(*lines)
    return person, Readying(person.sitting, part=PART, plan=plan(**changes))


def test_above_60_v_the_cautions_are_acknowledged_by_typing_just_that():
    person, ready = readying("yes", "", "This  can KILL")
    ready.cautions()
    assert person.lines == []
    assert person.having("care Charged capacitors kill.")
    assert person.having("note: typed: this can kill")


def test_up_to_60_v_the_cautions_are_shown_and_nothing_is_typed():
    person = Person()
    low = plan((30.0, 60.0))
    Readying(person.sitting, part=PART, plan=low).cautions()
    assert person.having("care Charged capacitors kill.")


@pytest.mark.parametrize(
    ("lines", "said"),
    [(("q",), "ended by the person"), ((), "nobody is there to answer: up to 100 V will")],
)
def test_nobody_who_acknowledges_them_is_no_leave(lines, said):
    _, ready = readying(*lines)
    with pytest.raises(Ended, match=said):
        ready.cautions()


def test_what_is_seen_of_the_part_is_kept_and_damage_ends_it():
    person, ready = readying("dunno", "bulged")
    with pytest.raises(CapTriageError, match=r"^C1: bulged; no voltage is put on it: replace it"):
        ready.looks()
    assert person.having("looks dunno is not understood. Type 'sound' (or 'fine', 'ok')")
    assert person.looked == [("C1", "bulged", "bulged")]


def test_polarity_and_resistor_are_confirmed_in_words():
    person, ready = readying("y", "plus to plus", questions=("Which terminal is positive?",))
    ready.wiring(47e3)
    assert person.having("settle Which terminal is positive?")
    assert not person.having("bipolar")
    assert person.having("through 47 kΩ and the ammeter")


@pytest.mark.parametrize(
    ("lines", "said"), [(("x", "q"), "ended by the person"), ((), "nobody is there to begin")]
)
def test_nobody_who_presses_enter_is_no_beginning(lines, said):
    _, ready = readying(*lines)
    with pytest.raises(Ended, match=said):
        ready.begin()


@pytest.mark.parametrize(
    ("lines", "said"),
    [(("x", "q"), "ended by the person"), ((), "nobody is there to turn the supply")],
)
def test_by_hand_somebody_switches_on(lines, said):
    with pytest.raises(Ended, match=said):
        ByHand(Person(*lines).sitting, part=PART, plan=plan()).begin()


def test_by_hand_nobody_who_switches_off_is_called_and_told_of():
    person = Person(s12_0="")
    hand = ByHand(person.sitting, part=PART, plan=plan())
    assert hand.off("too much current") == ""
    assert len(person.having("OFF SWITCH THE SUPPLY OFF NOW")) == 3  # every 5 s
    alone = Person()
    alone.ended = True
    assert (
        ByHand(alone.sitting, part=PART, plan=plan()).off("x") == "nobody has said that it is off"
    )


def test_a_key_is_asked_for_before_nobody_is_taken_to_be_there():
    person = Person()
    there = Presence(person.sitting, 100.0)
    person.now = 79.0
    there.look()
    assert not person.having("are you there?")
    person.now = 81.0
    there.look()
    assert person.having("ask are you there? Press Enter within 20 s, or the run is ramped down")
    there.pressed()
    person.now = 180.0
    there.look()
    person.now = 182.0
    with pytest.raises(Stopped, match=r"^no key was pressed for 100 s: nobody is there") as stopped:
        there.look()
    assert not stopped.value.urgent


def test_a_typed_reading_is_asked_for_only_when_one_is_due():
    person = Person()

    class Asked:
        name = "keyboard"
        asked = 0

        def read(self):
            self.asked += 1
            if self.asked == 2:
                raise Silent("keyboard: nothing")
            return Answer((), "an answer", person.utc(), person.now)

    meter = Asked()
    typed = TypedSamples(meter, clock=person, least_s=60.0)
    typed.every_s = 0.2  # it is raised, or charges
    assert typed.take() == []
    typed.every_s = 60.0
    assert [each.raw for each in typed.take()] == ["an answer"]
    assert typed.take() == []
    person.now = 61.0
    (fault,) = typed.take()
    assert str(fault) == "keyboard: nothing"


def test_a_supply_that_does_not_reach_so_far_is_refused_before_it_is_asked():
    supply = load_profile("supply_scpi")
    far = replace(plan(), protection_v=700.0)
    said = r"^supply: 700 V is wanted of it; it can be set from 1 V to 660 V by supply_scpi"
    with pytest.raises(CapTriageError, match=said):
        check_supply_reach(supply, far, where="supply")


def test_a_word_that_is_not_the_one_wanted_is_answered_with_what_is():
    person, ready = readying("yes", "plus to plus")
    ready.wiring(47e3)
    assert person.having("yes is not enough; type 'plus to plus' in full")


def test_bipolar_is_no_answer_for_a_part_that_is_not():
    person, ready = readying("bipolar", "plus to plus")
    ready.wiring(47e3)
    assert person.lines == []
    assert person.having("bipolar is not enough; type 'plus to plus' in full")
    known = Person("bipolar")
    Readying(known.sitting, part=PART, plan=plan(), bipolar=True).wiring(47e3)
    assert known.having("'bipolar' as the part has no polarity")
    assert known.having("note: typed: bipolar")


@pytest.mark.parametrize("typed", [*SOUND_WORDS, "looks fine", "OK.", "it is sound", "so"])
def test_a_sound_part_may_be_called_so_in_plain_words(typed):
    person, ready = readying(typed)
    ready.looks()
    assert person.looked == [("C1", "sound", typed)]
    if typed != "so":  # a key, and no word of a sheet
        assert parse_looks(typed)[0] == ("sound",), "as the readers of sheets take it"


def test_what_is_settled_at_the_bench_names_no_option_of_planning():
    said = Of(name="C1", made="1968")
    (card,) = plan_reform("10 µF 100 V", said, today_year=2026)
    person, ready = readying("plus to plus", questions=card.plan.questions)
    ready.wiring(47e3)
    assert person.having("settle Is it shorted?")
    assert person.having("replace it. Where it is, end with q.")
    assert person.having("settle What are its capacitance and ESR now?")
    assert not person.having("--")
    assert not person.having("What does it look like?")


def test_what_the_cautions_of_the_part_have_just_said_is_not_said_twice():
    person, ready = readying(
        "this can kill", cautions=("Mains and charged capacitors kill. Local rules come first.",)
    )
    ready.cautions()
    assert person.having("care Local rules come first.")
    assert not person.having("kill.")


LETTERS = {1 + at / 10: key for at, key in enumerate("n smells")}


@pytest.mark.parametrize(
    "keys_at",
    [{1.0: "n smells", 4.0: "off"}, {**LETTERS, 2.0: "", 4.0: ""}],
    ids=["lines", "letters at a terminal"],
)
def test_by_hand_a_note_does_not_say_that_the_supply_is_off(keys_at):
    person = Person()
    person.keys_at = dict(keys_at)
    assert ByHand(person.sitting, part=PART, plan=plan()).off("too much current") == ""
    assert person.now >= 4.0
    assert person.having("note: smells")
    assert person.having("OFF 'n smells' is kept as a note; is it off? Then press Enter")
