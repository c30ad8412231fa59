"""Every fault of meters and clips in every phase of a run: off in time, in words, and kept."""

import pytest

from bench.faulty_reforming import CASES, Case, Outcomes, reformed

OUTCOMES = Outcomes()
OTHERS = [case for case in CASES if case[0] != "supply"]


@pytest.mark.ensemble
@pytest.mark.parametrize(("meter", "fault", "phase"), OTHERS, ids=lambda value: value)
def test_a_fault_of_a_meter_in_a_run(tmp_path, meter, fault, phase):
    case = Case(meter, fault, phase)
    reformed(tmp_path, case)
    OUTCOMES.add(case)


@pytest.mark.ensemble
def test_what_came_of_the_runs_is_told(record_property):
    record_property("table", OUTCOMES.table())
    assert len(OUTCOMES.cases) == len(OTHERS)
