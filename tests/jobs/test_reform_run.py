"""A reforming run in the book: its curve, how it was left, what goes on from there, the proof."""

import json
import time
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from bench.reforming_bench import (
    LIMIT_A,
    OHMS,
    PART,
    ReformSitting,
    plan,
    quick_plan,
    sound,
    supply_is_on,
)
from captriage.bench.measured import Answer, Value
from captriage.bench.profiles import load_profile
from captriage.errors import BookError, CapTriageError
from captriage.jobs.bench_meters import MeterAt
from captriage.jobs.last_words import last_words, tell_last_words
from captriage.jobs.planned_run import check_run, read_plan, retest_of
from captriage.jobs.reform_curves import (
    PURPOSE,
    RUN,
    RUN_KIND,
    curve_of_run,
    left_of,
    purpose_of,
    reforming_runs,
)
from captriage.reform.plan_data import plan_as_data
from captriage.store.rows import PartRow

ROW = PartRow(id=1, part=PART, capacitance_rated=10e-6, voltage_rated=100.0, made=1968.0)
SUPPLY = load_profile("supply_scpi")


@pytest.fixture
def sitting(tmp_path):
    with ReformSitting(tmp_path, part=sound()) as at_work:
        yield at_work
        assert not supply_is_on(at_work)


@pytest.fixture
def ended_early(sitting):
    """A run that the person ended in its second step."""
    sitting.on("step 2, 80 V", "key q")
    slow = quick_plan()
    steps = (slow.steps[0], replace(slow.steps[1], least_s=20.0, most_s=30.0))
    summary = sitting.run(replace(slow, steps=steps))
    assert (summary.steps_done, summary.at_step) == ([1], 2)
    return sitting


def test_a_run_says_how_it_was_left_and_gives_its_curve_back(ended_early):
    with ended_early.opened() as (book, job):
        (run,) = reforming_runs(book, job, 1)
        assert purpose_of(run) == "run"
        left = left_of(book, job, run)
        assert (left.steps_done, left.stopped, left.discharged) == (
            (1,),
            "ended by the person",
            True,
        )
        assert "step 1 was done, and it read discharged" in left.sentence()
        curve = curve_of_run(book, run.id)
    assert (curve.series_ohm, curve.floor_a > 0) == (OHMS, True)
    assert np.all(np.diff(curve.time_s) > 0)
    assert np.nanmax(curve.supply_v) == pytest.approx(80.0, abs=1.0)
    rows = ended_early.rows(PART, "current")
    assert curve.current_a.tolist() == [row.value for row in rows]
    assert np.nanmax(curve.part_v) > 40.0


def test_readings_of_a_knob_being_turned_are_no_part_of_the_curve(sitting):
    with sitting.opened() as (book, job):
        settings = {PURPOSE: RUN, "part_id": 1, "series_ohm": OHMS, "floor_a": 1e-6}
        number = book.begin_run(job, RUN_KIND, meter="ammeter", settings=settings)
        for second, volts in enumerate((None, 40.0, 40.0, None, None, 80.0)):
            values = [Value("current", 1e-4 * (second + 1))]
            values += [] if volts is None else [Value("voltage", volts)]
            began = datetime(2026, 11, 28, 9, 0, second, tzinfo=UTC)
            book.keep(number, 1, Answer(tuple(values), "1e-4", began, 100.0 + second))
        curve = curve_of_run(book, number)
    assert curve.time_s.tolist() == [0.0, 1.0, 2.0, 5.0]
    assert np.nanmax(curve.current_a) == pytest.approx(6e-4)


@pytest.mark.ensemble
def test_a_run_is_resumed_at_the_last_step_that_was_done(ended_early):
    ended_early.answers()
    ended_early.on("step 2 of 2, 80 V: reached", "key q")
    summary = ended_early.run(None, resume=True)
    assert ended_early.shown.having("before run 1 ended")
    assert summary.steps_done == [1]  # done again, to be safe
    with ended_early.opened() as (book, job):
        assert len(list(reforming_runs(book, job))) == 2


@pytest.mark.ensemble
def test_a_retest_proves_the_part_with_leakage_that_is_judged(sitting):
    slowly = {"retest": replace(plan().retest, rest_s=0.01), "ramp_v_per_s": 20.0}
    rested = quick_plan((100.0,), **slowly)
    sitting.run(rested)
    sitting.answers()
    summary = sitting.run(rested, retest=True)
    assert summary.ended == ""
    assert not sitting.shown.having("early  ")
    assert sitting.shown.having("C1 has healed: below 298 µA")
    leakage = sitting.rows(PART, "leakage_current")
    assert leakage[-1].soak_s >= 2.0
    assert leakage[-1].voltage_v == pytest.approx(100.0, abs=1.0)
    # What flows back while the voltage is lowered is kept, but as no leakage.
    assert min(row.value for row in leakage) > 0
    assert min(row.value for row in sitting.rows(PART, "current")) < 0
    with sitting.opened() as (book, job):
        assert [purpose_of(run) for run in book.runs(job)] == ["run", "re-test"]


@pytest.mark.ensemble
def test_a_retest_before_the_rest_is_over_is_told_and_kept(sitting):
    day = replace(plan().retest, rest_s=86400.0)
    sitting.run(quick_plan((100.0,), retest=day))
    sitting.answers()
    sitting._script["this can kill"] = ["key q"]
    sitting.run(quick_plan((100.0,), retest=day), retest=True)
    assert sitting.shown.having("early  it has rested for ")
    assert [e for e in sitting.events("note") if "of 24 h: to pass so early proves little" in e[2]]


def test_a_part_that_broke_down_in_a_run_gets_no_voltage_again(sitting):
    with sitting.opened() as (book, job):
        settings = {PURPOSE: RUN, "part_id": 1, "series_ohm": OHMS, "floor_a": 1e-6}
        number = book.begin_run(job, RUN_KIND, meter="ammeter", settings=settings)
        for second in range(5):
            values = (Value("current", 1e-4), Value("voltage", 80.0))
            began = datetime(2026, 11, 28, 9, 0, second, tzinfo=UTC)
            book.keep(number, 1, Answer(values, "1e-4", began, 100.0 + second))
        book.event(number, "stopped", "broken down: the current jumped to 9 mA", part_id=1)
    with pytest.raises(CapTriageError, match=r"^C1: no voltage may be put on it \(.*broke d"):
        sitting.run(quick_plan())
    assert sitting.events("started") == []
    with sitting.opened() as (book, _):
        book.strike("run", number, "it was of another part")
    assert sitting.run(quick_plan()).ended == ""


def test_there_is_nothing_to_go_on_with(sitting):
    with pytest.raises(CapTriageError, match=r"^C1: job drawer has no run of it to go on with"):
        sitting.run(None, resume=True)


def test_a_typed_current_is_too_slow_for_a_supply_under_control(sitting):
    keyboard = MeterAt("keyboard", "keyboard", "typed")
    with pytest.raises(CapTriageError, match=r"^supply: under control, it wants an ammeter on a w"):
        sitting.run(quick_plan(), meter=keyboard)


def test_an_ammeter_that_is_seldom_read_stops_nothing_in_time(sitting):
    said = r"^ammeter: 60 s from one reading to the next; at most 5 s is allowed of a meter on a"
    with pytest.raises(CapTriageError, match=said):
        sitting.run(quick_plan(), every_s=60.0)


def test_a_thermometer_that_nobody_asks_for_stops_nothing(sitting):
    keyboard = MeterAt("keyboard", "keyboard", "typed")
    with pytest.raises(CapTriageError, match=r"^keyboard: a thermometer is read on a wire, all"):
        sitting.run(quick_plan(), thermometer=keyboard)


def test_a_rest_goes_on_while_a_retest_is_begun_and_ended_before_there_was_power(sitting):
    rested = quick_plan((40.0,), retest=replace(plan((40.0,)).retest, rest_s=1.0))
    sitting.run(rested)
    time.sleep(1.2)
    for _ in range(2):  # the first of them puts no voltage on it
        sitting._script["this can kill"] = []
        sitting.on("look at C1", "key q")
        assert (
            sitting.run(rested, retest=True).ended == "ended by the person; nothing was switched on"
        )
    assert not sitting.shown.having("early  it has rested for ")


REFUSED = [
    (plan(capacitance_rated=20e-6), "C1: capacitance rated is 10 µF in the book, and 20 µF in"),
    (plan(voltage_rated=120.0), "C1: voltage rated is 100 V in the book, and 120 V in the plan"),
    (plan((30.0, 110.0)), "C1: the plan may not be carried out: target of 110 V is above the r"),
    (plan(supply_limit_a=0.2), "supply: 200 mA is wanted of it; it can be set from 0 A to 100 mA"),
]


@pytest.mark.parametrize(("wrong", "said"), REFUSED)
def test_a_plan_is_checked_before_anything_is_energised(wrong, said):
    with pytest.raises(CapTriageError) as refused:
        check_run(wrong, ROW, SUPPLY, where="supply")
    assert str(refused.value).startswith(said)


def test_a_sound_plan_passes_its_check():
    check_run(plan(), ROW, SUPPLY, where="supply")


def test_the_retest_is_one_step_at_its_voltage_for_its_soak():
    (step,) = retest_of(plan()).steps
    assert (step.supply_v, step.least_s) == (100.0, 2.0)
    # Behind the resistor the part sees less, where its limit is less: I = I_L (1 - I R/U)^1.943.
    left = 1 - step.below_a * step.series_ohm / 100.0
    assert step.below_a == pytest.approx(LIMIT_A * left**1.943, rel=1e-3)
    assert step.below_a < LIMIT_A
    assert step.stop_w == plan().steps[-1].stop_w
    assert step.stop_a >= 2 * LIMIT_A
    check_run(retest_of(plan()), ROW, SUPPLY, where="supply")


def written(path, data):
    path.write_text(data if isinstance(data, str) else json.dumps(data), "utf-8")
    return path


def test_a_plan_is_read_back_from_its_file(tmp_path):
    alone = written(tmp_path / "a.json", plan_as_data(plan()))
    assert read_plan(alone) == plan()
    two = [plan_as_data(plan(section=name)) for name in ("a", "b")]
    several = written(tmp_path / "b.json", {"plans": two})
    assert read_plan(several, section="b").section == "b"
    with pytest.raises(CapTriageError, match=r"2 plans are meant; there is a, b"):
        read_plan(several)
    with pytest.raises(CapTriageError, match=r"0 plans are meant; there is a, b"):
        read_plan(several, section="c")


@pytest.mark.parametrize(
    ("data", "said"),
    [("{", "Expecting property name"), ("[]", "an object is wanted"), ("{}", "part is missing")],
)
def test_a_file_that_holds_no_plan_is_refused(tmp_path, data, said):
    with pytest.raises(CapTriageError, match=said):
        read_plan(written(tmp_path / "no.json", data))


def test_a_plan_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(CapTriageError, match=r"none\.json: No such file or directory; name a plan"):
        read_plan(tmp_path / "none.json")


def test_a_run_that_reforms_nothing_has_no_curve(sitting):
    with sitting.opened() as (book, job):
        run_id = book.begin_run(job, "against time")
        with pytest.raises(BookError, match=r"run 1 reforms nothing; it is against time"):
            curve_of_run(book, run_id)
        with pytest.raises(BookError, match=r"no run has the number 99"):
            curve_of_run(book, 99)


class Told:
    def __init__(self):
        self.said = []

    def tell(self, label, text):
        self.said.append(f"{label} {text}")


def test_what_the_guardian_left_behind_is_told_once(tmp_path):
    book = tmp_path / "bench.book"
    book.touch()
    words = last_words(str(book), 7)
    assert words.parent == tmp_path
    said = {"why": "the run has ended", "confirmed": True, "utc": "2026-11-28T07:00:00+00:00"}
    written(words, said)
    told = Told()
    tell_last_words(words, told)
    tell_last_words(words, told)
    assert told.said == [
        "before its guardian switched off at 2026-11-28T07:00:00+00:00 (the run has ended), and "
        "the supply said so"
    ]


@pytest.mark.ensemble
def test_a_part_that_was_left_charged_is_measured_before_it_is_looked_at(sitting):
    sitting._script["END    do not touch"] = ["key q"]
    sitting.run(quick_plan((40.0,)))
    sitting.do(f"discharge {PART}")
    sitting.answers()
    sitting.on("type the volts that are shown", "key 0.2 V")
    before = len(sitting.shown.lines)
    assert sitting.run(quick_plan((40.0,))).ended == ""
    lines = sitting.shown.lines[before:]
    order = ["was not seen discharged: do not touch it", "type the volts", "look at C1", "plus to"]
    at = [next(n for n, line in enumerate(lines) if text in line) for text in order]
    assert at == sorted(at)
