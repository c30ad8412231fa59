"""Every fault of the supply in every phase of a run: off in time, in words, and kept."""

import pytest

from bench.faulty_reforming import CASES, Case, Outcomes, reformed

OUTCOMES = Outcomes()
SUPPLY = [case for case in CASES if case[0] == "supply"]


def test_a_supply_that_falls_silent_while_it_is_raised_ends_the_run(tmp_path):
    reformed(tmp_path, Case("supply", "silence", "ramp"))


@pytest.mark.ensemble
@pytest.mark.parametrize(("meter", "fault", "phase"), SUPPLY, ids=lambda value: value)
def test_a_fault_of_the_supply_in_a_run(tmp_path, meter, fault, phase):
    case = Case(meter, fault, phase)
    reformed(tmp_path, case)
    OUTCOMES.add(case)


@pytest.mark.ensemble
def test_what_came_of_the_runs_is_told(record_property):
    record_property("table", OUTCOMES.table())
    assert len(OUTCOMES.cases) == len(SUPPLY)
