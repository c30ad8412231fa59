"""Every fault of the voltmeter at every step of a capture: nothing is measured without its word."""

import pytest

from bench.faulty import BEGINNINGS, CHARGED, OPENING, STEPS, VOLTMETER_FAULTS, Case, Outcomes
from bench.faulty_walk import opened, walked

OUTCOMES = Outcomes()
ALL_STEPS = (*STEPS, CHARGED)
BEGINNINGS_OF_VOLTMETER = [each for each in BEGINNINGS if each[0] in VOLTMETER_FAULTS]
LASTS = pytest.mark.parametrize("lasting", [False, True], ids=["once", "lasting"])


def test_each_fault_once_and_each_step_once(tmp_path):
    cases = [
        Case(VOLTMETER_FAULTS[(place + 2) % len(VOLTMETER_FAULTS)], step, meter="voltmeter")
        for place, step in enumerate(ALL_STEPS)
    ]
    walked(tmp_path, cases)


@pytest.mark.ensemble
@LASTS
@pytest.mark.parametrize("fault", VOLTMETER_FAULTS)
def test_a_fault_of_the_voltmeter_at_every_step(tmp_path, fault, lasting):
    cases = [Case(fault, step, lasting, "voltmeter") for step in ALL_STEPS]
    walked(tmp_path, cases)
    OUTCOMES.add(cases)


@pytest.mark.ensemble
@LASTS
@pytest.mark.parametrize(("fault", "step"), BEGINNINGS_OF_VOLTMETER)
def test_a_fault_of_the_voltmeter_at_the_beginning(tmp_path, fault, step, lasting):
    case = Case(fault, step, lasting, "voltmeter")
    opened(tmp_path, case)
    OUTCOMES.add([case])


@pytest.mark.ensemble
def test_what_came_of_it_is_told(record_property):
    record_property("table", OUTCOMES.table((*OPENING, *ALL_STEPS)))
    assert OUTCOMES.total
