"""Whatever a meter sends is kept, and nothing of it in memory."""

import gc
import statistics
import tracemalloc
from datetime import UTC, datetime
from math import isnan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.at_the_bench import PARTS, Sitting
from captriage.bench.measured import Answer, Value
from captriage.bench.sitting import Kept
from captriage.bench.sitting import Sitting as Parties
from captriage.bench.streaming import Running, Stream


@pytest.fixture
def sitting(tmp_path):
    with Sitting(tmp_path, PARTS[:1]) as at_work:
        yield at_work


def test_what_a_meter_sends_unasked_is_kept_under_no_part(sitting):
    summary = sitting.stream(until_s=1.0)
    rows = sitting.rows("", "current")
    assert summary.taken == len(rows) >= 2
    assert summary.ended == ""
    assert all(row.raw.startswith("DC ") for row in rows)
    assert [row.answer for row in rows] == list(range(1, len(rows) + 1))


def test_a_meter_that_is_asked_is_asked_as_fast_as_it_answers(sitting):
    summary = sitting.stream("ammeter", until_s=0.3)
    assert summary.taken > 30
    assert sitting.shown.having("kept   ")


def test_a_least_time_between_two_questions_is_kept_to(sitting):
    summary = sitting.stream("ammeter", until_s=0.5, every_s=0.1)
    assert summary.taken <= 6


def test_it_is_filed_under_a_part_where_one_is_named_and_ends_when_told(sitting):
    sitting.on("answer 1.3 ", "key n hums; key q")
    summary = sitting.stream("ammeter", part="D1", conditions={"voltage_v": 12.0})
    assert summary.ended == "ended by the person"
    rows = sitting.rows("D1", "current")
    assert len(rows) == summary.taken >= 3
    assert {row.voltage_v for row in rows} == {12.0}
    assert ("note", "D1", "hums") in sitting.events()


def test_a_gap_is_kept_as_one_and_the_stream_goes_on(sitting):
    sitting.on("answer 1.3 ", "unplug ammeter").on("gap    ammeter", "replug ammeter")
    sitting.on("answer 1.6 ", "key q")
    summary = sitting.stream("ammeter")
    assert summary.taken >= 6
    gaps = [text.split(":")[0] for _, _, text in sitting.events("gap")]
    assert (gaps[0], gaps[-1]) == ("begins", "ends")


def test_faults_are_kept_and_nobody_is_asked(sitting):
    sitting.on("answer 1.3 ", "fault ammeter echo once").on("answer 1.5 ", "key q")
    summary = sitting.stream("ammeter")
    assert summary.ended == "ended by the person"
    assert len(sitting.events("fault")) == 1


def test_over_range_is_counted_as_without_a_number(sitting):
    sitting.on("run    ", "fault ammeter over-range").on("answer 1.3 ", "key q")
    summary = sitting.stream("ammeter")
    assert summary.wordless >= 3
    assert sitting.shown.having(f"{summary.wordless} without a number")


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=50))
def test_running_mean_and_deviation_are_those_of_all_the_numbers(numbers):
    running = Running()
    for number in numbers:
        running.add(number)
    assert running.mean == pytest.approx(statistics.fmean(numbers), rel=1e-9, abs=1e-6)
    assert running.deviation == pytest.approx(statistics.stdev(numbers), rel=1e-6, abs=1e-4)
    assert (running.least, running.most) == (min(numbers), max(numbers))


def test_one_number_has_no_deviation():
    running = Running()
    running.add(1.0)
    assert isnan(running.deviation)


class Endless:
    """A meter, a book, keys and a clock of a day in which nothing goes wrong."""

    name, settings, ended = "ammeter", {}, False

    def __init__(self):
        self.now, self.count = 0.0, 0

    def read(self):
        self.now += 0.2
        return Answer((Value("current", 1e-4),), "1e-4", datetime(2026, 1, 1, tzinfo=UTC), self.now)

    def monotonic(self):
        return self.now

    def keep(self, *_):
        self.count += 1
        return Kept(f"1.{self.count}", (self.count,))

    def poll(self):
        return None

    def taken(self, text):
        pass


def test_twenty_minutes_take_no_more_memory_than_one():
    every = Endless()
    stream = Stream(Parties(every, every, every, every), every, until_s=60.0)
    stream.run()
    gc.collect()
    tracemalloc.start()
    stream.until_s = 1200.0
    before = tracemalloc.get_traced_memory()[0]
    stream.run()
    gc.collect()
    grown = tracemalloc.get_traced_memory()[0] - before
    tracemalloc.stop()
    assert stream.summary.taken == pytest.approx(1200 * 5, abs=10)
    assert grown < 10_000
