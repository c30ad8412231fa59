"""The last lines of a run: what came of it, and what is offered to go on with."""

from bench.reforming_bench import (
    PART,
    plan,
)
from captriage.bench.run_data import RunSummary
from captriage.jobs.planned_run import retest_of
from captriage.jobs.reform_curves import (
    RUN,
    Left,
)
from captriage.jobs.reform_outcome import outcome, tell_outcome
from captriage.store.rows import PartRow
from captriage.units import format_quantity

ROW = PartRow(id=1, part=PART, capacitance_rated=10e-6, voltage_rated=100.0, made=1968.0)


class Told:
    def __init__(self):
        self.said = []

    def tell(self, label, text):
        self.said.append(f"{label} {text}")


def test_what_a_run_has_come_to_is_told():
    nobody = RunSummary(ended="x", off_fault="gone", at_step=2, taken=3)
    assert outcome(nobody, plan(), PART, retest=False) == [
        "ended in step 2: x",
        "the supply is not known to be off",
        "it is not known to be discharged",
    ]
    not_proven = RunSummary(ended="x", discharged_v=0.1, taken=3, at_step=1)
    assert outcome(not_proven, plan(), PART, retest=True)[1] == (
        "C1 has not been proven healed by this re-test"
    )


def test_a_re_test_that_was_passed_too_early_is_not_called_healed():
    passed = RunSummary(discharged_v=0.1, taken=3, at_step=1)
    retest = retest_of(plan())
    below = format_quantity(retest.steps[-1].below_a, "A")
    assert outcome(passed, retest, PART, retest=True) == [f"C1 has healed: below {below}"]
    early = "it has rested for 5 min of 24 h"
    assert outcome(passed, retest, PART, retest=True, early=early) == [
        f"C1 was below {below}, but it has rested for 5 min of 24 h"
    ]


class Page(Told):
    def line(self, text=""):
        self.said.append(text)

    def command(self, words):
        self.said.append(" ".join(words))


def test_a_part_that_broke_down_is_not_offered_to_be_gone_on_with():
    def told(ended):
        page = Page()
        summary = RunSummary(ended=ended, discharged_v=0.1, taken=3, at_step=2)
        again = ["captriage", "reform", "run", PART]
        tell_outcome(summary, plan(), ROW, page, retest=False, again=again)
        return "\n".join(page.said)

    for ended in (
        "broken down: the current jumped to 9 mA",
        "rising: from 1 mA to 2 mA",
        "the current has risen from 1 mA to 3 mA at a steady voltage",
        "3.2 mA flows and next to nothing is left across D15: it is shorted, or another one",
    ):
        said = told(ended)
        assert "no voltage may be put on C1 again: replace it" in said
        assert "--resume" not in said
    assert "--resume" in told("ended by the person")


def test_a_part_that_the_book_condemns_is_not_offered_to_be_gone_on_with():
    page = Page()
    summary = RunSummary(ended="5.1 mA at 60 V; 5 mA stops the run", taken=3, at_step=2)
    again = ["captriage", "reform", "run", PART]
    tell_outcome(summary, plan(), ROW, page, retest=False, again=again, never=True)
    said = "\n".join(page.said)
    assert "no voltage may be put on C1 again: replace it" in said
    assert "--resume" not in said


def test_a_run_is_told_with_a_time_that_a_person_reads():
    left = Left(4, RUN, (2,), 96.0, 1e-4, "", False, "2026-11-28T08:55:04.538487+00:00")
    assert left.sentence().startswith("run 4 ended 2026-11-28 08:55 UTC (broke off)")
