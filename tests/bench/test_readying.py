"""What is asked before there is power, who is there, and what a voltmeter must show at the end."""

from dataclasses import replace
from math import isnan

import pytest

from bench.reforming_bench import plan
from bench.told import Told
from captriage.bench.by_hand import ByHand
from captriage.bench.emptying import AGAIN_S, Emptying
from captriage.bench.measured import Answer, Value
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


class Person(Told):
    """Somebody who types these lines, one after the other; None is the end of the input."""

    def __init__(self, *lines, **keys_at):
        super().__init__(**keys_at)
        self.lines = list(lines)
        self.looked = []

    def line(self, prompt=""):
        if not prompt or prompt.endswith(" "):
            return self.next()
        self.said.append(prompt)
        return None

    def next(self):
        found = self.lines.pop(0) if self.lines else None
        self.ended = found is None
        return found

    def look(self, part, look, raw):
        self.looked.append((part.part, look, raw))


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


class Voltmeter:
    """Shows these volts, one each time it is asked; the last for ever. An error is one."""

    every_s, takes_s, silent_s = 0.1, 0.0, 9.0

    def __init__(self, person, *shows):
        self.person, self.shows = person, list(shows)
        self.meter = self
        self.name = "voltmeter"

    def take(self):
        shown = self.shows.pop(0) if len(self.shows) > 1 else self.shows[0]
        if isinstance(shown, Exception):
            return [shown]
        value = Value("voltage", shown)
        return [Answer((value,), str(shown), self.person.utc(), self.person.now)]


def emptying(person, *shows):
    meter = Voltmeter(person, *shows) if shows else None
    return Emptying(person.sitting, part=PART, plan=plan(), voltmeter=meter)


def test_three_readings_below_a_volt_after_its_voltage_was_seen_say_that_it_is_discharged():
    person = Person()
    assert emptying(person, 98.0, 0.4, 30.0, 0.9, 0.5, 0.3).after(100.0, lambda: "") == 0.3
    assert person.having("CHARGE C1 HOLDS 98 V: do not touch it")
    assert person.having("empty C1 reads 0.3 V: put a shorting link across it now, 10 V to 15 V")


def test_what_comes_back_is_a_share_of_what_the_part_was_charged_to():
    person = Person()
    emptying(person, 29.0, 0.4, 0.3, 0.2).after(30.0, lambda: "")
    # Worked: 10 V to 15 V of 100 V are 10 to 15 %, so 3 V to 4.5 V of 30 V.
    assert person.having("now, 3 V to 4.5 V come back on open terminals")


def test_a_part_that_was_still_charging_was_shown_by_a_voltmeter_that_agrees():
    # 30 V put on through 100 kΩ; at the end 169 µA, so 13.1 V are left, and are shown.
    person = Person()
    here = emptying(person, 13.1, 0.4, 0.3, 0.2)
    here.look(here.voltmeter)
    here.see_that_it_shows(13.1, 13.1)
    assert here.after(30.0, lambda: "") == 0.2
    assert not person.having("never showed more")


@pytest.mark.parametrize(("left_v", "read_v"), [(13.1, 5.0), (13.1, 30.0), (0.5, 0.5)])
def test_a_voltmeter_that_disagrees_at_the_end_is_not_believed(left_v, read_v):
    person = Person("0.2 V")
    here = emptying(person, 13.1, 0.4, 0.3, 0.2)
    here.look(here.voltmeter)
    here.see_that_it_shows(left_v, read_v)
    here.after(30.0, lambda: "")
    assert person.having("voltmeter never showed more than")


def test_a_nought_of_a_voltmeter_that_never_showed_the_voltage_proves_nothing():
    person = Person("60 V", "soon", "0.2 V")
    assert emptying(person, 0.0).after(100.0, lambda: "") == 0.2
    assert person.having("voltmeter never showed more than 0 V where 100 V were put on")
    assert person.having("C1 HOLDS 60 V")
    assert person.having("'soon' is no voltage; write it like 0.3 V")


def test_a_silent_voltmeter_is_told_and_never_taken_for_nought():
    person = Person(s50_0="q")
    silent = emptying(person, Silent("voltmeter: no answer"))
    assert isnan(silent.after(100.0, lambda: ""))
    assert len(person.having("CHARGE voltmeter tells no voltage: treat it as charged")) == 3
    assert person.having("DANGER COULD NOT CONFIRM that C1 is discharged: treat it as charged to")
    assert AGAIN_S == 20.0


def test_a_voltmeter_over_range_is_told_and_never_taken_for_nought():
    person = Person(s10_0="q")
    assert isnan(emptying(person, float("nan")).after(100.0, lambda: ""))
    assert person.having("CHARGE voltmeter tells no voltage (no number): treat it as charged")


def test_a_supply_that_is_not_known_to_be_off_is_told_again_and_again():
    person = Person(s50_0="q")
    emptying(person, 98.0).after(100.0, lambda: "no answer")
    assert len(person.having("the supply is not known to be off: PULL ITS PLUG (no answer)")) == 3


def test_before_a_run_nothing_but_a_reading_says_that_it_is_discharged():
    assert emptying(Person(), 0.2).before() == 0.2
    assert emptying(Person("0.1 V")).before() == 0.1
    with pytest.raises(CapTriageError, match=r"^C1: not known to be discharged, so nothing is swi"):
        emptying(Person()).before()


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


def test_a_part_is_looked_at_for_its_charge_before_anybody_touches_it():
    person = Person()
    emptying(person, 28.5, 0.4, 0.3, 0.2).untouched(left_charged=False)
    assert person.having("CHARGE C1 HOLDS 28.5 V: do not touch it")
    assert person.having("note: read 0.2 V before it was touched")
    with pytest.raises(CapTriageError, match=r"^C1: not known to be discharged, so nothing"):
        emptying(Person()).untouched(left_charged=False)


def test_a_nought_beside_a_part_that_was_left_charged_is_measured_by_the_person():
    person = Person("28 V", "0.3 V")
    emptying(person, 0.0).untouched(left_charged=True)
    assert person.having("CHARGE C1 was not seen discharged: do not touch it")
    assert person.having("C1 HOLDS 28 V")
    assert person.lines == []
    with pytest.raises(CapTriageError, match=r"^C1: not known to be discharged"):
        emptying(Person("q"), 0.0).untouched(left_charged=True)


def test_a_supply_not_known_to_be_off_is_told_before_the_person_measures():
    person = Person("0.1 V")
    assert emptying(person).after(100.0, lambda: "no answer") == 0.1
    (said,) = person.having("the supply is not known to be off: PULL ITS PLUG (no answer)")
    assert person.said.index(said) < person.said.index(person.having("ask measure across")[0])


def test_millivolts_are_not_said_to_be_a_charge():
    person = Person()
    here = emptying(person, 98.0, 0.4, 0.3, 0.2)
    here.look(here.voltmeter)
    here.look(here.voltmeter)
    assert here.after(100.0, lambda: "") == 0.2
    assert not person.having("HOLDS")
