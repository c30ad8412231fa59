"""What stops a run, and what does not: each stop on a moment of its own."""

from dataclasses import replace
from math import isnan, nan

import pytest

from bench.calm import CALM, STEP, progress
from bench.reforming_bench import plan
from captriage.bench import stops
from captriage.bench.moments import History
from captriage.bench.stopping import Stop, Stopped, Watchers
from captriage.bench.stops import STOPS
from captriage.reform.curves import (
    BROKEN_DOWN,
    FALLING,
    RISING,
    SETTLED_ABOVE,
)

STOPPING = [
    # what is otherwise than calm, which stop that is, and what it says
    ({"supply_v": 102.0}, "above_rated", "102 V is above the rated 100 V"),
    ({"part_v": 103.0}, "above_rated", "103 V is above the rated 100 V"),
    ({"part_v": -1.2}, "reversed_part", "-1.2 V on the part: it is the wrong way round"),
    ({"current_a": 0.07}, "more_than_the_resistor_passes", "70 mA is more than 1 kΩ lets through"),
    ({"current_a": 5.1e-3}, "too_much_current", "5.1 mA at 59.9 V; 5 mA stops the run"),
    (
        {"current_a": 0.06, "part_v": 2e-7},
        "too_much_current",
        "60 mA flows and next to nothing is left across C1: it is shorted, or another one",
    ),
    # the voltmeter's clip has slipped: 50 V are left by the resistor, so it is no short
    ({"current_a": 0.01, "part_v": 0.1}, "too_much_current", "10 mA at 0.1 V; 5 mA stops the run"),
    ({"current_a": 4e-3}, "too_much_power", "0.24 W in the part; 0.2 W stops the run"),
    ({"over_range": True, "current_a": nan}, "over_range", "the ammeter is over range"),
    ({"over_range": True, "charged": False}, "blind", "the ammeter is over range"),
    ({"warmer_k": 10.1}, "too_warm", "10.1 K warmer than at the beginning; 10 K stops"),
    ({"current_a": 4e-4}, "risen", "risen from 190 µA to 400 µA at a steady voltage"),
    ({"unseen": 4}, "no_current", "no current is seen at this voltage: a clip has slipped"),
    (
        {"alike": 5, "moved_v": 12.0},
        "meter_is_stuck",
        "shows the very same 200 µA since the voltage was moved by 12 V: it is stuck",
    ),
    (
        {"alike": 30, "differed": 10},
        "meter_repeats_itself",
        "shows the very same 200 µA for 30 readings, and 10 different ones just before: it is st",
    ),
    ({"current_a": nan}, "no_number", "the ammeter shows no number: nobody knows what flows"),
    (
        {"charged": False, "current_a": 0.055, "part_v": 40.0, "part_late_s": 1e-4},
        "resistor_is_too_small",
        # Worked: 60.1 - 40 + 0.5 + 0.1 + 1 % of 60.1 + 0.1 ms * 55 mA / 5 µF is 22.4 V
        "40 V on the part with 55 mA: at most 410 Ω are in series, and 1 kΩ are planned",
    ),
    ({"current_a": 0.0}, "clip_has_slipped", "210 µA is gone all at once: a clip has slipped"),
    ({"current_a": -1e-4}, "reversed_current", "-100 µA flows backwards"),
    ({"supply_v": 55.0}, "supply_does_not_follow", "gives 55 V and was set to 60 V"),
    ({"supply_a": 2e-3}, "meters_disagree", "supply gives 2 mA and the ammeter shows 200 µA"),
    ({"part_v": 50.0}, "part_has_another_voltage", "50 V on the part, where 59.9 V is left"),
    ({"charge_c": 1e-4}, "another_part", "it took the charge of 1.67 µF of 10 µF: a clip holds"),
    (
        {"charge_c": 5e-3},
        "another_part",
        "it took the charge of 83.5 µF of 10 µF: another part",
    ),
    (
        {"current_a": 0.0195, "held_s": 60.0, "charged": False},
        "charges_for_ever",
        "the supply gives its limit of 20 mA still after 60 s",
    ),
    ({"progress": progress(RISING)}, "curve_says_so", "rising: it is so"),
    ({"progress": progress(BROKEN_DOWN)}, "curve_says_so", "broken down: it is so"),
    (
        {"progress": progress(SETTLED_ABOVE), "held_s": 41.0},
        "settled_above",
        "settled above the limit: it is so",
    ),
]

GOING_ON = [
    {},
    {"charged": False, "current_a": 0.019},  # charging
    {"held_s": nan, "charged": False, "supply_v": 40.0, "part_v": 38.0, "current_a": 3e-3},
    {"part_v": nan, "supply_a": nan, "warmer_k": nan, "charge_c": nan},  # nobody reads them
    {"supply_v": 100.9, "set_v": 100.0, "part_v": 100.5},  # a setting and a meter may differ
    {"part_v": -0.9, "charged": False},
    {"current_a": 2.6e-4, "lowest_a": 2.0e-4},  # a slow creep
    {"current_a": 8e-6, "lowest_a": 3e-6, "before_a": 8e-6},  # within what the meter knows
    {"progress": progress(RISING, sure=0.6)},
    {"progress": progress(FALLING)},
    {"progress": progress(SETTLED_ABOVE), "held_s": 39.0},  # not seen for long enough
    {"step": replace(STEP, charging_s=0.1), "charge_c": 1e-5},  # too quick to be counted
    {"alike": 99, "moved_v": 0.0},  # a steady current, read coarsely
    {"alike": 99, "moved_v": 50.0, "current_a": 0.9e-6, "before_a": 0.9e-6},  # none to be seen
    {"first": False, "unseen": 3, "charge_c": 1e-5},
    {"progress": progress(BROKEN_DOWN), "current_a": 9e-5, "lowest_a": 9e-5},  # below its limit
    {"alike": 99, "differed": 9},  # settled, on a coarse meter
    {"charged": False, "current_a": 0.055, "part_v": 30.0, "part_late_s": 1e-4},  # 600 Ω or less
    {"charged": False, "current_a": 0.055, "part_v": 40.0},  # read too long afterwards
    {"charged": False, "current_a": 0.055, "part_v": 40.0, "part_unsure_v": nan},
    {"charged": False, "current_a": 0.055, "part_v": 40.0, "part_late_s": -1.0, "unsure_v": 0.0},
    {"alike": 99, "moved_v": 50.0, "unsure_a": 0.21e-3, "current_a": 3e-4},  # raising: 400 µA
]


def reasons(moment):
    return {stop.reason.__name__: said for stop in STOPS if (said := stop.reason(moment))}


@pytest.mark.parametrize(("changes", "which", "said"), STOPPING, ids=[s[1] for s in STOPPING])
def test_a_run_is_stopped_with_its_reason(changes, which, said):
    assert said in reasons(replace(CALM, **changes))[which]


def test_every_stop_has_a_case_of_its_own():
    assert {which for _, which, _ in STOPPING} == {stop.reason.__name__ for stop in STOPS}


@pytest.mark.parametrize("changes", GOING_ON, ids=str)
def test_a_run_goes_on(changes):
    assert reasons(replace(CALM, **changes)) == {}


def test_charge_that_has_leaked_away_is_not_taken_for_another_part():
    leaking = replace(CALM, current_a=1.9e-4, charge_c=4e-3, charging_s=15.0)
    assert "another_part" not in reasons(leaking)
    assert "another_part" in reasons(replace(leaking, charging_s=4.0))


def test_a_slip_of_a_meter_ends_nothing_and_what_lasts_does():
    watchers = Watchers(STOPS)
    over = replace(CALM, over_range=True, current_a=nan)
    for moment in (over, CALM, over):
        watchers.look(moment)
    with pytest.raises(Stopped, match=r"^the ammeter is over range") as stopped:
        watchers.look(over)
    assert stopped.value.urgent


def test_a_stop_may_leave_time_to_lower_the_voltage():
    watchers = Watchers((Stop(stops.too_warm, urgent=False),))
    with pytest.raises(Stopped, match="warmer") as stopped:
        watchers.look(replace(CALM, warmer_k=20.0))
    assert not stopped.value.urgent


def test_a_charge_that_nobody_saw_flow_says_nothing_of_the_part():
    # A person types the first reading after the charging time: 32 µF behind 47 kΩ take 7 s.
    for begins in (CALM, replace(CALM, charged=False, held_s=3.0)):
        history = History()
        assert isnan(history.charge_c)  # the first reading is looked at before it is taken in
        history.take(begins, 0.0)
        history.take(CALM, 1.0)
        assert isnan(history.charge_c)
        seen = replace(CALM, charge_c=history.charge_c, charging_s=history.charging_s)
        assert "another_part" not in reasons(seen)


def test_a_stop_for_breakdown_or_rising_says_that_the_part_fails():
    failing = ({"progress": progress(RISING)}, {"progress": progress(BROKEN_DOWN)})
    for changes in (*failing, {"current_a": 4e-4}):
        (why,) = reasons(replace(CALM, **changes)).values()
        assert stops.of_failing(why)
    for why in ("", "ended by the person", *reasons(replace(CALM, current_a=0.0)).values()):
        assert not stops.of_failing(why)


def test_a_tenth_of_the_resistor_is_told_while_a_real_part_is_raised():
    # Worked: 32 µF raised by 10 V/s take 320 µA, which leave 3.2 V across 10 kΩ and 32 V across
    # the 100 kΩ that are planned; the readings may be off by 0.9 + 0.2 + 2 V.
    real = replace(plan(), voltage_rated=450.0, capacitance_rated=32e-6, ramp_v_per_s=10.0)
    at = replace(
        CALM,
        plan=real,
        step=replace(STEP, supply_v=450.0, series_ohm=100e3, charging_s=14.7),
        charged=False,
        held_s=nan,
        set_v=200.0,
        most_v=200.0,
        supply_v=200.0,
        part_v=200.0 - 3.2,
        current_a=320e-6,
        unsure_v=0.9,
        part_unsure_v=0.2,
        part_late_s=0.1,
    )
    why = reasons(at)["resistor_is_too_small"]
    assert "197 V on the part with 320 µA: at most 26 kΩ are in series, and 100 kΩ are" in why
    assert reasons(replace(at, part_v=200.0 - 20.0)) == {}  # 62 kΩ
    assert reasons(replace(at, part_late_s=1.0)) == {}  # it may have risen by 20 V since
    assert "resistor_is_too_small" in reasons(replace(at, part_late_s=-3.0))  # then it was less


def test_while_a_supply_is_turned_by_hand_its_most_is_reckoned_with():
    # 20 mA flow into an empty part behind 1 kΩ on the way to 40 V; nobody knows the voltage.
    turning = replace(CALM, charged=False, held_s=nan, supply_v=nan, part_v=nan, set_v=0.0)
    assert reasons(replace(turning, most_v=40.0, current_a=0.02)) == {}
    (why,) = reasons(replace(turning, most_v=40.0, current_a=0.05)).values()
    assert "50 mA is more than 1 kΩ lets through" in why
