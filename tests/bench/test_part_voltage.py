"""A voltage that a part may not have is called out at once, before the start and after."""

import pytest

from bench.told import Told, soaked
from captriage.bench.soak_plan import Plan

PLAN = Plan(390.0, until_s=20.0, every_s=1.0)
ON = 5.0  # s, when the voltage is applied


def stepped(*steps):
    """Volts from each moment on, nought before."""

    def volts(at):
        return next((shown for since, shown in reversed(steps) if at >= since), 0.0)

    return volts


def run(volts, plan=PLAN, *, amps_on=ON, **keys):
    """A soak with this on its voltmeter; ended by the person if it never begins."""
    told = Told(**{**keys, "s60_0": "q"})
    summary = soaked(told, plan, volts=volts, amps=lambda at: 1e-4 if at >= amps_on else 0.0)
    return told, summary


WRONG = [
    (470.0, "VOLTS 470 V on D1, RATED 450 V: TURN IT DOWN;"),
    ("over range", "VOLTS over range on D1, RATED 450 V: TURN IT DOWN or set a larger range;"),
    (-390.0, "VOLTS -390 V on D1, REVERSED: switch it off, then see to the leads and the part;"),
    (-2.0, "VOLTS -2 V on D1, REVERSED: switch it off, then see to the leads and the part;"),
    ("over range negative", "VOLTS over range on D1, REVERSED: switch it off,"),
]


@pytest.mark.parametrize(("shown", "said"), WRONG)
def test_while_the_voltage_is_waited_for_it_is_said_at_once_and_once(shown, said):
    told, summary = run(stepped((ON, shown)))
    assert len(told.having(said)) == 1
    place = told.said.index(told.having(said)[0])
    assert told.said[place - 1] == "bell"
    assert told.said[place].replace("VOLTS ", "note: ") in told.said
    assert not told.having("the soak clock runs")
    assert (summary.taken, summary.ended) == (0, "ended by the person")


@pytest.mark.parametrize(("shown", "said"), WRONG)
def test_the_soak_begins_when_it_is_right_and_it_is_said_again_when_it_is_wrong(shown, said):
    told, summary = run(stepped((ON, shown), (10.0, 390.0), (20.0, shown), (22.0, 390.0)))
    assert len(told.having(said)) == 2
    assert summary.ended == ""
    assert {conditions["voltage_v"] for _, _, conditions in told.kept} == {390.0}
    (begun,) = set(told.starts)
    assert 10.0 <= begun < 10.3  # when the voltage became right


@pytest.mark.parametrize(("shown", "said"), WRONG)
def test_after_the_press_it_is_said_too(shown, said):
    told, summary = run(stepped((ON, shown)), s5_5="")
    assert len(told.having(said)) == 1
    assert (summary.taken, summary.ended) == (0, "not one reading was taken")


@pytest.mark.parametrize("volts", [458.0, 450.0])
def test_as_precisely_as_a_voltmeter_reads_rated_is_rated(volts):
    told, _ = run(stepped((ON, volts)), Plan(450.0, until_s=20.0))
    assert not told.having("VOLTS")
    assert told.kept


def test_without_a_number_nothing_is_said_nor_kept():
    told, summary = run(stepped((0.0, "no reading")), s5_5="")
    assert summary.taken == 0
    assert not told.having("VOLTS")


def test_a_voltage_that_stood_before_it_was_asked_for_is_said_and_does_not_begin_the_soak():
    told, summary = run(stepped((0.0, 390.0)), amps_on=0.0)
    assert len(told.having("VOLTS 390 V on D1 already, since when is not known: take it off")) == 1
    assert summary.taken == 0
    told, summary = run(stepped((0.0, 390.0), (3.0, 0.0), (ON, 390.0)))
    assert told.having("soak the voltage was noticed")
    assert 20.0 <= summary.soak_s < 22.0
    assert not run(stepped((ON, 390.0)))[0].having("already")


@pytest.mark.parametrize(("volts", "off"), [(0.51 * 390, False), (0.49 * 390, True)])
def test_below_half_of_what_is_wanted_the_voltage_was_taken_off(volts, off):
    told, summary = run(stepped((ON, 390.0), (15.0, volts)))
    assert summary.ended.startswith("the voltage was taken off: voltmeter shows ") == off
    assert told.having("for 390 V, insulated leads")


def test_one_slip_of_the_voltmeter_does_not_end_it():
    told, summary = run(stepped((ON, 390.0), (15.5, 0.0), (16.5, 390.0)))
    assert summary.ended == ""
    assert not told.having("VOLTS")


def test_the_way_to_discharge_is_that_of_the_highest_voltage_that_was_seen():
    told, _ = run(stepped((ON, 390.0), (15.5, -440.0), (16.5, 390.0)))
    assert told.having("for 440 V, insulated leads")


def test_the_voltage_is_asked_for_once_its_jump_would_be_noticed():
    told, _ = run(stepped((ON, 390.0)))
    (ready,) = told.having("ready apply 390 V to D1")
    assert ready.endswith("it is noticed, or press Enter in that moment")
    told, _ = run(stepped((0.0, "no reading")))
    assert told.having("ready ")[0].endswith("D1; press Enter in that moment")


# The resistor between supply and part takes current times resistance


def test_what_a_series_resistor_takes_is_reckoned_off():
    # 390 V - 100 µA × 100 kΩ = 380 V
    plan = Plan(390.0, until_s=20.0, series_ohm=100e3)
    for volts in (stepped((ON, 390.0)), None):
        told, _ = run(volts, plan, **({} if volts else {"s5_5": ""}))
        assert {round(c["voltage_v"], 6) for _, _, c in told.kept} == {380.0}
        assert told.having("s at 380 V")


def test_where_the_current_is_not_known_the_voltage_is_not():
    told = Told(s1_0="")
    plan = Plan(390.0, until_s=10.0, series_ohm=1e3)
    soaked(told, plan, amps=lambda at: "over range" if at < 4 else 1e-3)
    known = ["voltage_v" in conditions for _, _, conditions in told.kept]
    assert (known[0], known[-1]) == (False, True)
    assert told.having("s at a voltage not known")


def test_a_resistor_that_would_take_more_than_there_is_leaves_no_voltage_to_tell():
    told = Told(s1_0="")
    soaked(told, Plan(390.0, until_s=10.0, series_ohm=1e6), amps=lambda _: 1e-3)
    assert not any("voltage_v" in conditions for _, _, conditions in told.kept)


@pytest.mark.parametrize(("ohm", "held"), [(10e3, True), (1e6, False)])
def test_a_part_that_gets_much_less_than_told_is_not_held_to_the_limit_told(ohm, held):
    plan = Plan(390.0, until_s=61.0, series_ohm=ohm)
    told = Told(s1_0="")
    soaked(told, plan, amps=lambda _: 1e-4, says=lambda *_: "below the limit")
    (mark,) = told.having("mark after 1 min")
    assert ("below the limit" in mark) == held
    assert ("at 290 V only, of 390 V" in mark) != held
