"""Every fault of a meter that sends unasked, on a pseudo-terminal: only what it meant is kept."""

import pytest

from bench.faulty import Case, Outcomes
from bench.faulty_jig import STREAM_FAULTS, STREAM_STEPS, streamed
from captriage.bench.rehearsal.terminals import has_terminals

pytestmark = pytest.mark.skipif(not has_terminals(), reason="this system has no pseudo-terminals")

OUTCOMES = Outcomes()
LASTS = pytest.mark.parametrize("lasting", [False, True], ids=["once", "lasting"])
EACH_ONCE = [
    (fault, STREAM_STEPS[place % len(STREAM_STEPS)], place % 2 == 0)
    for place, fault in enumerate(STREAM_FAULTS)
]


@pytest.mark.parametrize(("fault", "step", "lasting"), EACH_ONCE)
def test_each_fault_once_and_each_step(tmp_path, fault, step, lasting):
    streamed(tmp_path, Case(fault, step, lasting))


@pytest.mark.ensemble
@LASTS
@pytest.mark.parametrize("step", STREAM_STEPS)
@pytest.mark.parametrize("fault", STREAM_FAULTS)
def test_a_fault_at_every_step(tmp_path, fault, step, lasting):
    case = Case(fault, step, lasting)
    streamed(tmp_path, case)
    OUTCOMES.add([case])


@pytest.mark.ensemble
def test_what_came_of_it_is_told(record_property):
    record_property("table", OUTCOMES.table(STREAM_STEPS))
    assert OUTCOMES.total
