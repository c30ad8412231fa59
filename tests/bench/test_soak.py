"""Leakage against soak time, over real wires, with clocks that run fast."""

import threading
from datetime import timedelta
from itertools import pairwise
from math import isnan

import pytest

from bench.at_the_bench import PARTS, FastClock, Sitting
from captriage.bench.rehearsal.wiring import SERIES_RESISTANCE
from captriage.bench.soak_plan import POINTS_A_DECADE, Curve, Plan, check_voltage
from captriage.errors import CapTriageError
from captriage.jobs.soak_limits import SoakLimit
from captriage.store.rows import PartRow

TIMES = 60.0  # seconds of the bench in each real one
UNRATED = PartRow(id=1, part="D1", capacitance_rated=32e-6)
RATED = PartRow(id=1, part="D1", capacitance_rated=32e-6, voltage_rated=450.0)
LEAKY = [{"part": "D2", "capacitance_rated": 16e-6, "voltage_rated": 450.0, "made": 1959.0}]


@pytest.fixture
def clock():
    return FastClock(TIMES)


@pytest.fixture
def sitting(tmp_path, clock):
    with Sitting(tmp_path, PARTS[:1] + LEAKY, clock=clock.monotonic) as at_work:
        at_work.do("jig D1")
        yield at_work


def by_the_supply(volts, **more):
    """The supply is the voltmeter, and its series resistor is told."""
    return Plan(volts, series_ohm=SERIES_RESISTANCE, **more)


def leakage(sitting, part="D1"):
    return sitting.rows(part, "leakage_current")


def later(action, *, after_s=0.15):
    """Somebody does it while the program waits."""
    threading.Timer(after_s, action).start()


def supply_on(sitting, *commands):
    """Somebody works the supply at its own front."""
    for command in commands:
        sitting.bench._supply.answer(command)


def test_a_part_is_soaked_and_its_current_kept_against_soak_time(sitting, clock):
    sitting.on("ready  apply 390 V to D1", "knob 390;key ")
    summary = sitting.soak("D1", Plan(390.0, until_s=120.0, every_s=5.0), clock=clock)
    rows = leakage(sitting)
    assert summary.ended == ""
    assert summary.taken == len(rows) >= 15
    assert 120.0 <= rows[-1].soak_s < 140.0
    assert all(b.soak_s > a.soak_s for a, b in pairwise(rows))
    assert {row.voltage_v for row in rows} == {390.0}
    true = sitting.bench.truth("D1", soak_s=rows[-1].soak_s)
    assert rows[-1].value < 1.2e-3
    assert rows[-1].value > 0.3 * true.leakage_current
    assert sitting.shown.having("mark   after 1 min: ")
    assert sitting.shown.having("mark   after 2 min: ")
    assert len(sitting.shown.pictures) == 2


def test_cautions_and_limit_come_before_and_how_to_end_after(sitting, clock):
    sitting.on("ready  ", "knob 390;key ")
    sitting.soak("D1", Plan(390.0, until_s=10.0, every_s=2.0), clock=clock)
    lines = sitting.shown.lines
    ready = next(place for place, line in enumerate(lines) if line.startswith("ready"))
    first, limit = (
        lines.index(sitting.shown.having("care   Mains")[0]),
        [place for place, line in enumerate(lines) if line.startswith("limit  1.2 mA after 5 min")],
    )
    end = next(place for place, line in enumerate(lines) if line.startswith("END    switch"))
    assert first < limit[0] < ready < end
    assert "hold 10 kΩ across it" in lines[end + 1]
    assert sitting.shown.having("so far: ")


def test_the_voltage_is_noticed_by_the_jump_of_the_current(sitting, clock):
    sitting.on("ready  ", lambda: later(lambda: sitting.bench.turn_knob(390.0)))
    sitting.soak("D1", Plan(390.0, until_s=20.0, every_s=2.0), clock=clock)
    assert sitting.shown.having("soak   the voltage was noticed")
    assert 0 <= leakage(sitting)[0].soak_s < 4


def test_a_clock_set_back_an_hour_does_not_move_the_soak_clock(sitting, clock):
    def set_back():
        clock.set_by = -timedelta(hours=1)

    sitting.on("ready  ", "knob 390;key ").on("answer 1.4 ", set_back)
    sitting.soak("D1", Plan(390.0, until_s=40.0, every_s=5.0), clock=clock)
    rows = leakage(sitting)
    assert all(4.0 <= b.soak_s - a.soak_s <= 12.0 for a, b in pairwise(rows[1:]))
    assert rows[5].utc < rows[0].utc


def test_what_is_missing_in_a_gap_is_not_filled_in(sitting, clock):
    sitting.on("ready  ", "knob 390;key ").on("answer 1.4 ", "unplug ammeter")
    sitting.on("gap    ammeter", lambda: later(lambda: sitting.do("replug ammeter")))
    summary = sitting.soak("D1", Plan(390.0, until_s=60.0, every_s=2.0), clock=clock)
    rows = leakage(sitting)
    apart = [b.soak_s - a.soak_s for a, b in pairwise(rows)]
    assert max(apart) > 10.0  # an unplugged meter is not interpolated over
    assert summary.taken == len(rows)
    assert not any(isnan(row.value) for row in rows)
    gaps = [text.split(":")[0] for _, _, text in sitting.events("gap")]
    assert (gaps[0], gaps[-1]) == ("begins", "ends")


def test_it_ends_early_only_when_asked_and_says_how_to_end_safely(sitting, clock):
    sitting.on("ready  ", "knob 390;key ").on("answer 1.3 ", "key q")
    summary = sitting.soak("D1", Plan(390.0, until_s=300.0, every_s=2.0), clock=clock)
    assert summary.ended == "ended by the person"
    assert sitting.shown.having("END    switch the voltage off now")
    assert sitting.shown.having("kept   ")


def test_a_leaky_part_is_told_to_be_above_its_limit(sitting, clock):
    sitting.do("jig D2")
    sitting.on("ready  ", "knob 390;key ")
    sitting.soak("D2", Plan(390.0, until_s=61.0, every_s=5.0), clock=clock)
    mark = sitting.shown.having("mark   after 1 min: ")[0]
    assert "not judged before 5 min" in mark


def test_with_a_voltmeter_the_voltage_that_was_measured_is_kept(sitting, clock):
    supply_on(sitting, "CURR 0.05", "VOLT 300")
    sitting.on("ready  ", lambda: later(lambda: supply_on(sitting, "OUTP ON")))
    sitting.on("answer 1.5 ", lambda: supply_on(sitting, "OUTP OFF"))
    summary = sitting.soak(
        "D1", by_the_supply(300.0, until_s=300.0), voltmeter="supply", clock=clock
    )
    assert sitting.shown.having("soak   the voltage was noticed")
    assert all(295.0 < row.voltage_v < 305.0 for row in leakage(sitting))
    assert summary.ended.startswith("the voltage was taken off: supply shows ")
    # The supply shows nothing now; the part does not lose 300 V by that.
    end = next(n for n, line in enumerate(sitting.shown.lines) if line.startswith("END "))
    assert "for 300 V" in " ".join(sitting.shown.lines[end:])


def test_the_soak_clock_starts_anew_when_the_voltage_comes_after_the_press(sitting, clock):
    supply_on(sitting, "CURR 0.05", "VOLT 390")
    sitting.on("ready  ", "key ")
    sitting.on("not 390 V: is it on", lambda: later(lambda: supply_on(sitting, "OUTP ON")))
    plan = by_the_supply(390.0, until_s=60.0, every_s=2.0)
    sitting.soak("D1", plan, voltmeter="supply", clock=clock)
    assert sitting.shown.having("soak   the voltage has come up")
    assert leakage(sitting)[0].soak_s < 5.0


def test_nothing_is_kept_above_the_rated_voltage_or_without_any(sitting, clock):
    supply_on(sitting, "CURR 0.05", "VOLT 470")
    sitting.on("ready  ", "key ")
    sitting.on("not 390 V: is it on", lambda: supply_on(sitting, "OUTP ON"))
    sitting.on("RATED 450 V: TURN IT DOWN", lambda: supply_on(sitting, "VOLT 390"))
    plan = by_the_supply(390.0, until_s=60.0, every_s=2.0)
    sitting.soak("D1", plan, voltmeter="supply", clock=clock)
    assert len(sitting.shown.having("TURN IT DOWN")) == 1
    rows = leakage(sitting)
    assert rows
    assert all(380.0 < row.voltage_v < 400.0 for row in rows)


def test_a_soak_of_which_nothing_could_be_read_says_so(sitting, clock):
    sitting.on("ready  ", "key ")
    plan = by_the_supply(390.0, until_s=20.0, every_s=5.0)
    summary = sitting.soak("D1", plan, voltmeter="supply", clock=clock)
    assert (summary.taken, summary.ended) == (0, "not one reading was taken")


@pytest.mark.parametrize(
    ("part", "volts", "message"),
    [
        (RATED, 460.0, "D1: 460 V is above its rated 450 V; at most 450 V is allowed"),
        (RATED, 0.0, "D1: 0 V; above 0 V is allowed"),
        (RATED, float("nan"), "D1: nan V; above 0 V is allowed"),
        (UNRATED, 100.0, "D1: its rated voltage is not told"),
    ],
)
def test_a_voltage_that_a_part_may_not_have_is_refused(part, volts, message):
    with pytest.raises(CapTriageError, match=message):
        check_voltage(part, volts)


def test_a_part_that_must_see_no_voltage_is_refused(sitting, clock):
    with sitting.opened() as (book, job):
        run = book.begin_run(job, "typed")
        book.look(book.parts(job)[0].id, "bulged", "bulged", run)
    with pytest.raises(CapTriageError, match="D1: no voltage may be put on it"):
        sitting.soak("D1", Plan(390.0), clock=clock)


def test_a_short_is_told_to_be_switched_off_at_once(sitting, clock):
    # D2 for 200 Ω across it: 1 mA of limit, 39 times as much through 10 kΩ at 390 V
    short = SoakLimit(1e-3, 300.0)
    assert short.says(5.0, 0.039) == "above 1 mA; not judged before 5 min, it may still fall"
    assert short.says(10.0, 0.039) == "SWITCH OFF: 39 times the limit of 1 mA"
    sitting.do("jig D2")
    sitting.on("ready  ", "knob 390;key ")
    soak = sitting.soak("D2", Plan(390.0, until_s=20.0, every_s=1.0), clock=clock)
    assert soak.taken
    assert not sitting.shown.having("ALARM")  # leaky, but not that leaky
    assert sitting.shown.having("care   Apply the voltage through a series resistor")


def test_a_curve_of_days_takes_no_more_memory_than_one_of_minutes():
    curve = Curve()
    for second in range(1, 200_000):
        curve.add(float(second), 1e-4)
    curve.add(0.0, 1e-4)
    curve.add(5.0, float("nan"))
    assert len(curve.points) <= 6 * POINTS_A_DECADE
