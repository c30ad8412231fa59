"""Going on with a walk that was cut short, and with no other."""

from math import nan

import pytest

from bench.at_the_bench import Sitting
from captriage.errors import BookError
from captriage.jobs.resuming import Measurement

NAMES = ["D1", "D3"]


@pytest.fixture
def sitting(tmp_path):
    with Sitting(tmp_path) as at_work:
        yield at_work


def killed():
    raise ZeroDivisionError("as if the program were killed")


def test_resume_passes_over_what_is_done(sitting):
    sitting.by_itself("D1").on("ready  D3", "key q")
    sitting.log()
    sitting.on("ready  D3", "clip D3").on("D3 comes next: open the clips first", "off")
    sitting.on("D3 may come", "clip D3").on("done   D3", "off")
    summary = sitting.log(resume=True)
    assert summary.done == ["D3"]
    assert [len(sitting.rows(part)) for part in NAMES] == [5, 5]


def test_resume_strikes_what_a_killed_run_left_of_a_part(sitting):
    sitting.by_itself("D1", "D3")

    sitting.on("taken  D3  answer 1.8", killed)
    with pytest.raises(ZeroDivisionError):
        sitting.log()
    assert len(sitting.counting("D3")) == 3
    sitting.on("D3 comes next: open the clips first", "off")
    sitting.on("D3 may come", "clip D3").on("done   D3", "off")
    assert sitting.log(resume=True).done == ["D3"]
    rows = sitting.rows("D3")
    assert [bool(row.struck) for row in rows] == [True] * 3 + [False] * 5
    assert rows[0].struck == "an earlier run ended before all readings were taken"


@pytest.mark.parametrize(
    ("other", "said"),
    [
        ({"frequency_hz": 1000.0}, "capacitance with ESR at 1000 Hz, 5 readings a part; give"),
        ({"function": "impedance_tan_delta"}, "capacitance with tan δ at 120 Hz, 5 readings a"),
        ({"readings": 3}, "capacitance with ESR at 120 Hz, 3 readings a part; give the same"),
    ],
)
def test_what_measured_otherwise_is_not_resumed_and_not_struck(sitting, other, said):
    sitting.by_itself("D1").on("ready  D3", "key q")
    sitting.log()
    before = sitting.shown.lines.copy()
    was = "run 1 of job drawer is capacitance with ESR at 120 Hz, 5 readings a part, this would be"
    with pytest.raises(BookError, match=f"{was} {said}"):
        sitting.log(resume=True, **other)
    assert sitting.shown.lines == before  # no run was begun
    assert len(sitting.counting("D1")) == 5


def test_without_resume_another_measurement_is_begun_beside_the_first(sitting):
    sitting.by_itself("D1").on("ready  D3", "key q")
    sitting.log()
    sitting.on("ready  D1", "clip D1").on("done   D1", "off").on("ready  D3", "key q")
    sitting.log(frequency_hz=1000.0)
    assert [row.frequency_hz for row in sitting.rows("D1") if not row.struck] == [120.0] * 5 + [
        1000.0
    ] * 5


def test_an_earlier_run_that_measured_the_same_is_resumed_past_another(sitting):
    """What the other took of the part is neither counted nor struck out."""
    sitting.by_itself("D1").on("ready  D3", "key q")
    sitting.log()
    sitting.on("ready  D1", "key s").on("ready  D3", "clip D3").on("taken  D3  answer 2.2", killed)
    with pytest.raises(ZeroDivisionError):
        sitting.log(frequency_hz=1000.0)
    sitting.on("D3 comes next: open the clips first", "off")
    sitting.on("D3 may come", "clip D3").on("done   D3", "off")
    assert sitting.log(resume=True).done == ["D3"]
    kept = [(row.run_id, row.frequency_hz) for row in sitting.rows("D3") if not row.struck]
    assert kept == [(2, 1000.0)] * 2 + [(3, 120.0)] * 5


def test_readings_of_two_runs_cut_short_are_not_added_up_to_a_part_that_is_done(sitting):
    for run in (1, 2):
        sitting.on("ready  D1", "clip D1").on("D1 may come", "clip D1")
        sitting.on(f"taken  D1  answer {run}.3", killed)
        with pytest.raises(ZeroDivisionError):
            sitting.log()
    assert len(sitting.counting("D1")) == 6
    sitting.on("D1 comes next: open the clips first", "off").on("D1 may come", "clip D1")
    sitting.on("done   D1", "off").on("ready  D3", "key q")
    assert sitting.log(resume=True).done == ["D1"]
    assert [bool(row.struck) for row in sitting.rows("D1")] == [True] * 6 + [False] * 5


def test_going_back_in_another_measurement_strikes_nothing_of_the_first(sitting):
    sitting.by_itself(*NAMES).log()
    sitting.on("ready  D1", "clip D1", "clip D1").on("done   D1", "off", "off")
    sitting.on("ready  D3", "key b", "key q").on("D1 has answers 2.1 to 2.5", "key r")
    sitting.log(frequency_hz=1000.0)
    struck = [(row.frequency_hz, bool(row.struck)) for row in sitting.rows("D1")]
    assert struck == [(120.0, False)] * 5 + [(1000.0, True)] * 5 + [(1000.0, False)] * 5


@pytest.mark.parametrize(
    ("other", "same"),
    [
        (Measurement("impedance", 120.0, 5), True),
        (Measurement("impedance", 119.904, 5), True),
        (Measurement("impedance", 100.0, 5), False),
        (Measurement("impedance", 120.0, 6), False),
        (Measurement("impedance_tan_delta", 120.0, 5), False),
        (Measurement("impedance", nan, 5), True),  # not told: it cannot be held against it
        (Measurement("impedance", 120.0, 0), True),
        (Measurement("impedance", 120.0, 1, typed=True), True),
        (Measurement("impedance", 100.0, 1, typed=True), False),
    ],
)
def test_what_is_the_same_measurement(other, same):
    mine = Measurement("impedance", 120.0, 5)
    assert mine.same_as(other) is same
    assert other.same_as(mine) is same


def test_a_measurement_in_words():
    assert (
        str(Measurement("impedance", 120.0, 1))
        == "capacitance with ESR at 120 Hz, 1 reading a part"
    )
    assert str(Measurement("impedance_tan_delta")) == "capacitance with tan δ"
    assert str(Measurement("impedance", 1e3, 5, typed=True)) == "capacitance with ESR at 1000 Hz"
