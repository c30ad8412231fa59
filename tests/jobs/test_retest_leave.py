"""Which parts may be re-tested: those whose reform was carried to its last step."""

from dataclasses import replace

import pytest

from bench.reforming_bench import PART, ReformSitting, plan, quick_plan, sound, supply_is_on
from captriage.errors import CapTriageError
from captriage.jobs.reform_curves import purpose_of


@pytest.fixture
def sitting(tmp_path):
    with ReformSitting(tmp_path, part=sound()) as at_work:
        yield at_work
        assert not supply_is_on(at_work)


NEVER_REFORMED = r"^C1: no run of it in job drawer has finished its last step; a re-test goes st"


@pytest.mark.parametrize("the_plan", [quick_plan((100.0,)), None], ids=["with --plan", "without"])
def test_a_part_that_was_never_reformed_is_not_retested(sitting, the_plan):
    # 100 V would come at once on a part that was never brought there step by step.
    again = ["captriage", "reform", "run", PART, "--retest"]
    with pytest.raises(CapTriageError, match=NEVER_REFORMED):
        sitting.run(the_plan, retest=True, again=again)
    assert sitting.shown.having("captriage reform run C1")
    assert not sitting.shown.having("--retest")
    assert sitting.events("started") == []


def test_a_run_that_ended_before_there_was_power_is_no_reform(sitting):
    sitting._script["look at C1"] = ["key q"]
    sitting.run(quick_plan((100.0,)))
    with pytest.raises(CapTriageError, match=NEVER_REFORMED):
        sitting.run(quick_plan((100.0,)), retest=True)


def test_a_run_that_ended_before_its_last_step_is_no_reform(sitting):
    sitting.on("step 2 of 2, 80 V: reached", "key q")
    summary = sitting.run(quick_plan(change={"least_s": 1.0}))
    assert summary.steps_done == [1]
    with pytest.raises(CapTriageError, match=NEVER_REFORMED):
        sitting.run(None, retest=True)


def test_a_retest_goes_no_higher_than_the_run_that_was_finished(sitting):
    assert sitting.run(quick_plan((40.0,))).ended == ""
    said = r"^C1: its runs end at 40 V, and 100 V are wanted of it; a re-test goes straight to its"
    with pytest.raises(CapTriageError, match=said):
        sitting.run(quick_plan((40.0, 100.0)), retest=True)


def test_after_a_retest_another_retest_is_allowed(sitting):
    rested = quick_plan((40.0,), retest=replace(plan((40.0,)).retest, soak_s=0.5))
    for retest in (False, True, True):
        sitting._script.clear()
        sitting.answers()
        # The second re-test has no --plan: it is that of the run that was finished.
        again = sitting.run(rested if not retest else None, retest=retest)
        assert again.ended == ""
    with sitting.opened() as (book, job):
        assert [purpose_of(run) for run in book.runs(job)] == ["run", "re-test", "re-test"]
