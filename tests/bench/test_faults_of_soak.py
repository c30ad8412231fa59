"""Every fault of the ammeter at every step of a soak: what is kept is true, at its soak time."""

import pytest

from bench.faulty import Case, Outcomes
from bench.faulty_jig import SOAK_FAULTS, SOAK_STEPS, soaked
from captriage.bench.rehearsal.faults import WIRE_FAULTS

OUTCOMES = Outcomes()
LASTS = pytest.mark.parametrize("lasting", [False, True], ids=["once", "lasting"])
EACH_ONCE = [
    (fault, SOAK_STEPS[place % len(SOAK_STEPS)], bool(place % 3 == 2))
    for place, fault in enumerate(SOAK_FAULTS)
]


@pytest.mark.parametrize(("fault", "step", "lasting"), EACH_ONCE)
def test_each_fault_once_and_each_step(tmp_path, fault, step, lasting):
    soaked(tmp_path, Case(fault, step, lasting))


@pytest.mark.ensemble
@LASTS
@pytest.mark.parametrize("step", SOAK_STEPS)
@pytest.mark.parametrize("fault", SOAK_FAULTS)
def test_a_fault_at_every_step(tmp_path, fault, step, lasting):
    case = Case(fault, step, lasting)
    soaked(tmp_path, case)
    OUTCOMES.add([case])


@pytest.mark.ensemble
@pytest.mark.parametrize("step", SOAK_STEPS)
@pytest.mark.parametrize("fault", [*WIRE_FAULTS, "deaf"])
def test_a_fault_of_a_meter_on_a_serial_line_at_every_step(tmp_path, fault, step):
    case = Case(fault, step)
    soaked(tmp_path, case, meter="query")
    OUTCOMES.add([case])


@pytest.mark.ensemble
def test_what_came_of_it_is_told(record_property):
    record_property("table", OUTCOMES.table(SOAK_STEPS))
    assert OUTCOMES.total
