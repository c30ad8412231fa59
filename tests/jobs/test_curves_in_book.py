"""Reforming runs in a book go into its verdicts as logs beside sheets do."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from captriage.bench import stops
from captriage.jobs import book as jobs
from captriage.jobs.curves_in_book import outcome_of_stop
from captriage.jobs.reform_curves import RETEST, RUN
from jobs.reformed_book import new_book, read_again, run


@pytest.fixture
def where(tmp_path):
    return new_book(tmp_path)


def judged(where):
    judgement = jobs.judge(where, "amp", today_year=2026, record=False)
    verdicts = judgement.verdicts.set_index("part")[["verdict", "decided_by"]]
    return judgement, tuple(verdicts.loc["C1"])


def test_a_job_without_runs_is_judged_without_curves(where):
    judgement, found = judged(where)
    assert found == ("reform", "leakage_within_limit")
    assert judgement.curves == {}


def test_a_run_that_settled_waits_for_its_re_test(where):
    run(where, RUN, end_ma=0.05)
    judgement, found = judged(where)
    assert found == ("not judged", "reform_settled")
    assert [read.file for read in judgement.curves[0]] == ["run 2"]
    assert judgement.verdicts["verdict"].tolist()[1] == "keep"
    assert "read before the part was reformed, or when is not told" in (
        judgement.set_aside["reason"].tolist()
    )


def test_the_re_test_after_the_run_decides(where):
    run(where, RUN, end_ma=0.05)
    run(where, RETEST, end_ma=0.05, until_s=400, days=1.5)
    read_again(where, days=1.6)
    assert judged(where)[1] == ("keep", "readings_within_limits")


@pytest.mark.parametrize(
    ("rest_s", "days", "word"),
    [
        (None, 0.3, "not judged"),  # 6.2 h after the run; 12 h are the shortest rest published
        (86400.0, 0.3, "not judged"),
        (86400.0, 0.6, "keep"),
        (3600.0, 0.3, "keep"),  # the plan of a rehearsal
    ],
)
def test_a_re_test_before_the_rest_that_was_planned_proves_no_part_good(where, rest_s, days, word):
    run(where, RUN, end_ma=0.05, rest_s=rest_s)
    run(where, RETEST, end_ma=0.05, until_s=400, days=days, rest_s=rest_s)
    read_again(where, days=days)
    assert judged(where)[1][0] == word


def test_what_is_kept_of_a_run_that_is_no_plan_is_said(where):
    run(where, RUN, end_ma=0.05, rest_s="a day")
    judgement, found = judged(where)
    assert found == ("not judged", "cells_understood")
    assert judgement.set_aside["reason"].iloc[-1] == "plan of run 2.retest.rest_s: 'a day'"


def test_what_comes_back_after_the_rest_had_not_healed(where):
    run(where, RUN, end_ma=0.05)
    run(where, RETEST, end_ma=3.0, until_s=400, days=1.5)
    assert judged(where)[1] == ("replace", "reform_settled")


def test_a_re_test_that_was_too_short_leaves_the_part_to_be_re_tested(where):
    run(where, RUN, end_ma=0.05)
    run(where, RETEST, end_ma=1.5, until_s=100, days=1.5)  # above the limit, but too early
    assert judged(where)[1] == ("not judged", "reform_settled")


def test_a_struck_run_no_longer_counts(where):
    number = run(where, RUN, end_ma=6.0)
    assert judged(where)[1] == ("replace", "reform_settled")
    jobs.strike(where, "run", number, "the wrong part was clipped on")
    assert judged(where)[1] == ("reform", "leakage_within_limit")


def test_a_run_that_ended_before_there_was_power_says_nothing(where):
    run(where, RUN, end_ma=0.05, until_s=0)
    assert judged(where)[1] == ("reform", "leakage_within_limit")


def risen_text():
    at = SimpleNamespace(charged=True, current_a=3e-3, lowest_a=1e-3, unsure_a=1e-5)
    return stops.risen(at)


def shorted_text():
    plan = SimpleNamespace(supply_limit_a=5e-3, capacitance_rated=32e-6)
    step = SimpleNamespace(supply_v=450.0, series_ohm=1e5, charging_s=15.0)
    at = SimpleNamespace(limited=True, held_s=1e4, plan=plan, step=step)
    return stops.charges_for_ever(at)


def heated_text():
    step = SimpleNamespace(stop_w=1.0)
    return stops.too_much_power(
        SimpleNamespace(across_v=450.0, current_a=5e-3, charged=True, step=step)
    )


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (risen_text, ("replace", "reform_settled")),
        (shorted_text, ("replace", "reform_settled")),
        (heated_text, ("not judged", "cells_understood")),
        (lambda: "every step is done", ("not judged", "reform_settled")),
    ],
)
def test_what_stopped_a_run_at_the_bench_stands_against_the_part(where, text, found):
    assert text()
    run(where, RUN, end_ma=0.05, stopped=text())
    assert judged(where)[1] == found


def test_a_danger_at_the_bench_is_not_taken_back_by_a_later_run(where):
    run(where, RUN, end_ma=0.05, stopped=risen_text())
    run(where, RETEST, end_ma=0.05, until_s=400, days=1.5)
    assert judged(where)[1] == ("replace", "reform_settled")


def test_a_later_run_says_more_than_one_that_was_stopped_by_heat(where):
    run(where, RUN, end_ma=0.05, stopped=heated_text())
    run(where, RUN, end_ma=0.05, days=1.0)
    assert judged(where)[1] == ("not judged", "reform_settled")


def test_a_short_while_charging_is_a_breakdown():
    assert outcome_of_stop(shorted_text()) == "broken down"
    assert outcome_of_stop("rising: the current has come up") == "rising"
    assert outcome_of_stop("nobody pressed a key") == ""
