"""Every fault of the bridge at every step of a capture: no wrong number, and clear words."""

import threading
from itertools import count

import pytest

from bench.at_the_bench import Sitting
from bench.faulty import (
    BEGINNINGS,
    BRIDGE_FAULTS,
    OPENING,
    STEPS,
    Case,
    Outcomes,
)
from bench.faulty_walk import opened, walked
from captriage.bench import asking, reconnect
from captriage.bench.meter import Meter
from captriage.bench.rehearsal.bridge import DIALECTS
from captriage.errors import Gone, Unset

OUTCOMES = Outcomes()
LASTS = pytest.mark.parametrize("lasting", [False, True], ids=["once", "lasting"])


@pytest.mark.parametrize(
    ("dialect", "turn", "lasting"),
    [("values_status", 0, False), ("four_values", 7, True)],
)
def test_each_fault_once_and_each_step_once(tmp_path, dialect, turn, lasting):
    cases = [
        Case(BRIDGE_FAULTS[(place + turn) % len(BRIDGE_FAULTS)], STEPS[place % len(STEPS)], lasting)
        for place in range(len(BRIDGE_FAULTS))
    ]
    walked(tmp_path, cases, advised=dialect == "values_status", dialect=dialect)


@pytest.mark.parametrize(
    ("fault", "step", "lasting"),
    [
        *(("silence", "identity", False), ("stranger", "identity", True)),
        *(("unplug", "set-up", False), ("deaf", "identity", True), ("deaf", "set-up", False)),
    ],
)
def test_a_meter_that_fails_at_the_beginning_is_told_and_begun_anew(tmp_path, fault, step, lasting):
    opened(tmp_path, Case(fault, step, lasting))


def test_a_bridge_left_with_bias_on_that_will_not_let_it_be_switched_off_reads_nothing(sitting):
    sitting.bench.ports["bridge"].instrument.answer("BIAS:STAT 1")
    sitting.do("fault bridge deaf")
    with pytest.raises(
        Unset, match=r"^bridge: asked for OFF, BIAS:STAT\? says 1; asked for CSRS, F"
    ):
        sitting.log()
    assert sitting.rows(None, None) == []
    sitting.do("fault bridge none")
    assert sitting.log().done == ["D1", "D3"]


def test_a_bridge_that_forgets_its_settings_and_is_deaf_is_not_read_until_it_takes_them(sitting):
    def deafened():
        sitting.bench.ports["bridge"].instrument.answer("*RST")
        sitting.do("fault bridge deaf")

    sitting.on("taken  D1  answer 1.2", "fault bridge garbage once")
    sitting.on("fault  bridge", deafened)
    sitting.on("bridge is not set as it was told: Enter asks again", "fault bridge none; key ")
    assert sitting.log().done == ["D1", "D3"]
    faults = [text for _, _, text in sitting.events("fault")]
    assert len([text for text in faults if "asked for 120 Hz, FREQ? says 1000 Hz" in text]) == 3
    assert {row.frequency_hz for row in sitting.rows(None, None)} == {120.0}


def test_a_part_that_only_seemed_to_come_off_is_not_filed_under_the_next_name(tmp_path):
    sitting = walked(tmp_path, [Case("over-range", "waiting", lasting=True)])
    assert sitting.shown.having("reads just as the part before")


@pytest.fixture
def sitting(tmp_path):
    with Sitting(tmp_path) as at_work:
        yield at_work.by_itself("D1", "D3")


def test_another_meter_in_its_place_is_refused_in_words_that_are_kept(sitting):
    sitting.on("taken  D1  answer 1.2", "unplug bridge")
    sitting.on("gap    bridge", "fault bridge stranger; replug bridge")
    sitting.on("gap    still: bridge", "fault bridge none")
    assert sitting.log().done == ["D1", "D3"]
    gaps = [text for _, _, text in sitting.events("gap")]
    assert [text.partition(":")[0] for text in gaps] == ["begins", "still", "ends"]
    assert "no longer answers '*IDN?' (the last that came is 'SOMEONE,ELSE,0,9')" in gaps[1]
    assert [bool(row.struck) for row in sitting.rows("D1")] == [True] * 2 + [False] * 5


def test_reasons_of_one_long_gap_do_not_fill_the_book(sitting, monkeypatch):
    monkeypatch.setattr(reconnect, "FIRST_PAUSE_S", 0.001)
    monkeypatch.setattr(reconnect, "LONGEST_PAUSE_S", 0.001)
    reasons = count()

    def gone(meter):
        number = next(reasons)
        if number == 50:
            sitting.type("q")
        raise Gone(f"{meter.name}: reason {number}")

    monkeypatch.setattr(Meter, "reopen", gone)
    sitting.on("D1 is in the clips", "unplug bridge")
    assert sitting.log().ended == "ended by the person"
    assert next(reasons) > 50
    assert len(sitting.events("gap")) == asking.REASONS


def test_a_bad_status_in_the_middle_is_kept_as_a_fault_and_told_once(sitting):
    def ends_soon():
        threading.Timer(0.1, sitting.do, ["fault bridge none"]).start()

    sitting.on("taken  D1  answer 1.2", "fault bridge bad-status")
    sitting.on("D1 gave no number before", ends_soon)
    assert sitting.log().done == ["D1", "D3"]
    said = "bridge: no reading: status +3, source overloaded"
    assert sitting.events("fault") == [("fault", "D1", said)]
    assert len(sitting.shown.having(f"fault  {said}")) == 1
    assert [bool(row.struck) for row in sitting.rows("D1")] == [True] * 2 + [False] * 5


@pytest.mark.ensemble
@LASTS
@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize("fault", BRIDGE_FAULTS)
def test_a_fault_of_the_bridge_at_every_step(tmp_path, fault, dialect, lasting):
    cases = [Case(fault, step, lasting) for step in STEPS]
    walked(tmp_path, cases, dialect=dialect)
    OUTCOMES.add(cases)


@pytest.mark.ensemble
@LASTS
@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize(("fault", "step"), BEGINNINGS)
def test_a_fault_of_the_bridge_at_the_beginning(tmp_path, fault, dialect, step, lasting):
    case = Case(fault, step, lasting)
    opened(tmp_path, case, dialect=dialect)
    OUTCOMES.add([case])


@pytest.mark.ensemble
def test_what_came_of_it_is_told(record_property):
    record_property("table", OUTCOMES.table((*OPENING, *STEPS)))
    assert OUTCOMES.total
