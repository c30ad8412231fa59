"""What a soak proves and what it does not, over real wires and into a real verdict."""

import pytest

from bench.at_the_bench import YEAR, FastClock, Sitting
from captriage.bench.rehearsal.wiring import SERIES_RESISTANCE
from captriage.bench.soak_plan import Plan
from captriage.errors import CapTriageError
from captriage.jobs.soak_limits import RESISTOR
from captriage.judging.policy import load_policy
from captriage.judging.verdicts import judge_parts

TIMES = 60.0  # seconds of the bench in each real one
PARTS = [{"part": "D1", "capacitance_rated": 32e-6, "voltage_rated": 450.0, "made": 1990.0}]
NOTHING = "no current was ever seen through D1: this soak proves nothing"
PLAN = Plan(450.0, until_s=310.0, every_s=10.0)


@pytest.fixture
def clock():
    return FastClock(TIMES)


@pytest.fixture
def sitting(tmp_path, clock):
    with Sitting(tmp_path, PARTS, clock=clock.monotonic) as at_work:
        yield at_work


def verdict(sitting):
    """Of D1, by what is in the book: verdict, and the rules that were asked of its leakage."""
    with sitting.opened() as (book, job):
        judgement = judge_parts(
            book.sheets(job), policy=load_policy("ordinary-service"), today_year=YEAR
        )
    return judgement.verdicts.iloc[0]["verdict"]


def good_values(sitting):
    """Capacitance and ESR of a sound part are in the book."""
    from datetime import UTC, datetime

    from captriage.bench.measured import Answer, Value

    values = (Value("capacitance", 33e-6, 1e-7), Value("esr", 1.0, 0.05))
    answer = Answer(values, "33 uF, 1.0 Ohm", datetime(2026, 1, 1, tzinfo=UTC), 0.0)
    with sitting.opened() as (book, job):
        run = book.begin_run(job, "typed", settings={})
        book.keep(run, book.parts(job)[0].id, answer, conditions={"frequency_hz": 120.0})


def test_a_soak_without_a_current_gives_no_verdict_that_it_would_not_give_without(sitting, clock):
    good_values(sitting)
    before = verdict(sitting)
    sitting.on("ready  ", "key ")  # nothing is in the jig
    summary = sitting.soak("D1", PLAN, clock=clock)
    assert summary.ended.startswith(NOTHING)
    assert sitting.shown.having("AMPS   no current is seen through D1")
    assert any(NOTHING in text for kind, _, text in sitting.events("stopped"))
    rows = sitting.rows("D1", None)
    assert {row.quantity for row in rows} == {"capacitance", "esr", "current"}
    assert len(rows) - 2 == summary.taken >= 20
    assert verdict(sitting) == before != "keep"


def test_with_the_part_in_the_jig_the_same_soak_proves_it(sitting, clock):
    good_values(sitting)
    sitting.do("jig D1")
    sitting.on("ready  ", "knob 450;key ")
    summary = sitting.soak("D1", PLAN, clock=clock)
    assert summary.ended == ""
    assert {row.quantity for row in sitting.rows("D1", None)} == {
        "capacitance", "esr", "leakage_current",
    }  # fmt: skip
    assert verdict(sitting) == "keep"


def test_the_voltage_of_a_supply_is_not_filed_as_the_parts_own(sitting, clock):
    with pytest.raises(CapTriageError, match=f"supply: it shows its own .* D1; give {RESISTOR}"):
        sitting.soak("D1", PLAN, voltmeter="supply", clock=clock)
    assert not sitting.rows("D1", None)


def test_without_a_voltmeter_it_is_said_whose_word_the_voltage_is(sitting, clock):
    sitting.do("jig D1")
    sitting.on("ready  ", "knob 390;key ")
    sitting.soak("D1", Plan(390.0, until_s=5.0), clock=clock)
    said = "390 V is kept as the voltage on D1, as you say; a series resistor takes current times"
    assert any(text.startswith(said) for _, _, text in sitting.events("note"))
    (told,) = sitting.shown.having("volts  390 V is kept")
    assert RESISTOR in told


def test_a_supply_that_was_read_stays_on_and_its_resistor_is_reckoned_off(sitting, clock):
    supply = sitting.bench._supply
    supply.answer("CURR 0.05")
    supply.answer("VOLT 390")
    sitting.do("jig D1")
    sitting.on("ready  ", lambda: supply.answer("OUTP ON"))
    plan = Plan(390.0, until_s=20.0, every_s=1.0, series_ohm=SERIES_RESISTANCE)
    sitting.soak("D1", plan, voltmeter="supply", clock=clock)
    assert supply.answer("OUTP?") == "1"
    assert not sitting.shown.having("volts  ")
    assert not sitting.shown.having("OUTP OFF")
    rows = sitting.rows("D1", "leakage_current")
    assert rows
    # The supply reads back to 20 mV or so.
    assert all(
        row.voltage_v == pytest.approx(390.0 - row.value * SERIES_RESISTANCE, abs=0.2)
        for row in rows
    )


def test_a_voltage_above_the_rated_one_is_called_out_while_it_is_waited_for(sitting, clock):
    supply = sitting.bench._supply
    supply.answer("CURR 0.05")
    supply.answer("VOLT 470")
    sitting.do("jig D1")
    sitting.on("ready  ", lambda: supply.answer("OUTP ON"))
    sitting.on("RATED 450 V: TURN IT DOWN", lambda: supply.answer("VOLT 390"))
    sitting.on("390 V on D1 already", "key ")  # where a busy computer kept calm readings away
    plan = Plan(390.0, until_s=20.0, every_s=1.0, series_ohm=SERIES_RESISTANCE)
    sitting.soak("D1", plan, voltmeter="supply", clock=clock)
    lines = sitting.shown.lines
    (wrong,) = sitting.shown.having("TURN IT DOWN; nothing counts meanwhile")
    begun = sitting.shown.having("the soak clock runs")
    assert len(begun) == 1
    # On a busy computer the jump may be noticed first; nothing is taken before it is turned down.
    assert lines.index(wrong) < lines.index(sitting.shown.having("taken  D1")[0])
    assert all(row.voltage_v < 400.0 for row in sitting.rows("D1", "leakage_current"))


def test_an_ammeter_over_range_is_called_out_while_the_voltage_is_waited_for(sitting, clock):
    sitting.do("jig D1")
    sitting.on("ready  ", "fault ammeter over-range")
    sitting.on("AMPS   ammeter is over range", "key q")
    summary = sitting.soak("D1", PLAN, clock=clock)
    assert summary.ended == "ended by the person"
