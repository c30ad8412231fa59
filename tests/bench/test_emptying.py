"""A part is discharged when a voltmeter says so, and only a voltmeter that has shown the part."""

from math import isnan

import pytest

from bench.reforming_bench import plan
from bench.told import Person
from captriage.bench.emptying import AGAIN_S, Emptying
from captriage.bench.measured import Answer, Value
from captriage.errors import CapTriageError, Silent
from captriage.store.rows import PartRow

PART = PartRow(id=1, part="C1", capacitance_rated=10e-6, voltage_rated=100.0)


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
    assert person.having("CHARGE C1 HOLDS 98 V: do not touch it; the run waits until it reads 1 V")
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
