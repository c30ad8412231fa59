"""What stops a run, and what does not: each stop on a moment of its own."""

from dataclasses import replace
from math import isnan, nan

import pytest

from bench.reforming_bench import OHMS, plan, step
from captriage.bench import stops
from captriage.bench.moments import History, Moment, charging_ends_s, longest_s, of_step
from captriage.bench.stopping import Stop, Stopped, Watchers
from captriage.bench.stops import STOPS
from captriage.reform.curves import (
    BROKEN_DOWN,
    FALLING,
    RISING,
    SETTLED_ABOVE,
    SETTLED_BELOW,
    Progress,
    StepReading,
)

UNSURE_A = 1e-6
STEP = step(60.0, charging_s=4.0, below_a=1e-4, stop_a=5e-3, stop_w=0.2, most_s=100.0)
CALM = Moment(
    plan=plan(),
    step=STEP,
    first=True,
    held_s=10.0,
    charged=True,
    set_v=60.0,
    supply_v=60.1,
    part_v=59.9,
    current_a=2e-4,
    unsure_v=0.5,
    unsure_a=UNSURE_A,
    supply_a=3e-4,
    supply_unsure_a=5e-4,
    before_a=2.1e-4,
    lowest_a=1.9e-4,
    warmer_k=1.0,
    charge_c=1.05 * 10e-6 * 60.0,
    charging_s=6.0,
)


def progress(state, sure=1.0):
    return Progress(state, "", sure, "it is so", 1e-4, nan, nan, nan, ())


STOPPING = [
    # what is otherwise than calm, which stop that is, and what it says
    ({"supply_v": 102.0}, "above_rated", "102 V is above the rated 100 V"),
    ({"part_v": 103.0}, "above_rated", "103 V is above the rated 100 V"),
    ({"part_v": -1.2}, "reversed_part", "-1.2 V on the part: it is the wrong way round"),
    ({"current_a": 0.07}, "more_than_the_resistor_passes", "70 mA is more than 1 kΩ lets through"),
    ({"current_a": 5.1e-3}, "too_much_current", "5.1 mA at 59.9 V; 5 mA stops the run"),
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


def test_a_step_is_done_when_several_readings_have_settled_and_its_time_is_up():
    history = History()
    history.step_begins()
    below = replace(CALM, current_a=9e-5, step=replace(STEP, least_s=20.0))
    for at_s in range(4):
        history.take(below, float(at_s))
    assert not history.is_done(below)  # its time is not up
    late = replace(below, held_s=21.0)
    history.take(late, 5.0)
    assert history.is_done(late)
    # what the meter does not know counts against the part
    history.take(replace(late, current_a=9.95e-5), 6.0)
    assert not history.is_done(late)


def test_a_limit_that_is_no_larger_than_what_the_meter_may_be_off_is_left_to_the_curve():
    def done(said, current_a=5e-7):
        history = History()
        history.see_zero(1e-9)
        small = replace(CALM, current_a=current_a, step=replace(STEP, below_a=1.2e-6, least_s=0.0))
        small = replace(small, progress=said)
        for at_s in range(3):
            history.take(small, float(at_s))
        return history.is_done(small)

    assert not done(None)
    assert done(progress(SETTLED_BELOW, 0.95))
    assert not done(progress(SETTLED_BELOW, 0.8))
    assert not done(progress(FALLING, 0.99))
    assert not done(progress(SETTLED_BELOW, 0.95), 1.3e-6)


def test_noughts_of_a_meter_out_of_circuit_never_end_a_step():
    history = History()
    nothing = replace(CALM, current_a=0.0, held_s=50.0)
    for at_s in range(9):
        history.take(nothing, float(at_s))
    assert not history.is_done(nothing)
    assert history.unseen == 9
    history.step_begins()
    assert history.unseen == 0


def test_a_current_is_seen_beside_what_the_ammeter_showed_without_a_voltage():
    history = History()
    assert history.nought_a(UNSURE_A) == UNSURE_A  # nobody looked
    for zero in (2e-9, -4e-9, nan):
        history.see_zero(zero)
    assert history.nought_a(UNSURE_A) == pytest.approx(2e-8)
    assert history.nought_a(1e-9) == 1e-9
    small = replace(CALM, current_a=5e-7, step=replace(STEP, least_s=0.0))  # within its accuracy
    for at_s in range(3):
        history.take(small, float(at_s))
    assert history.is_done(small)


def test_charge_is_what_flowed_and_is_not_known_where_nobody_looked():
    history = History()
    charging = replace(CALM, charged=False, held_s=nan)
    for at_s, current in ((0.0, 0.0), (1.0, 2e-3), (2.0, 2e-3)):
        history.take(replace(charging, current_a=current), at_s)
    assert history.charge_c == pytest.approx(3e-3)  # triangle and rectangle, by hand
    history.take(charging, 9.0)
    assert history.charge_c != history.charge_c


def test_readings_alike_are_counted_with_how_far_the_voltage_moved_meanwhile():
    history = History()
    for at_s, (current, set_v) in enumerate(((1e-4, 0.0), (2e-4, 10.0), (2e-4, 20.0))):
        history.take(replace(CALM, current_a=current, set_v=set_v), float(at_s))
    assert (history.alike, history.moved_v(25.0)) == (2, 15.0)


def test_a_part_is_charged_late_rather_than_early():
    assert charging_ends_s(step(60.0, charging_s=4.0)) == 6.0
    assert charging_ends_s(step(60.0, charging_s=0.01)) == 1.0


def test_the_longest_time_counts_every_step_and_the_ramps():
    assert longest_s(plan(ramp_v_per_s=10.0)) == 3 * 12.0 + 30.0


def test_the_part_has_what_the_resistor_leaves_where_nobody_measures_it():
    assert replace(CALM, part_v=nan).across_v == pytest.approx(60.1 - 2e-4 * OHMS)


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


def test_what_the_curve_says_of_the_step_before_is_not_said_of_this_one():
    def said(supply_v, state=SETTLED_BELOW):
        last = StepReading(0.0, 9.0, supply_v, *[nan] * 12, state)
        return replace(progress(SETTLED_BELOW), steps=(last,))

    assert of_step(said(385.0), 385.0, before_v=308.0) is not None
    assert of_step(said(nan), 385.0, before_v=308.0) is not None
    assert of_step(said(308.0), 385.0, before_v=308.0) is None
    assert of_step(said(385.0, FALLING), 385.0, before_v=308.0) is None  # it tells of an earlier
    assert of_step(progress(SETTLED_BELOW), 385.0, before_v=308.0) is None
    assert of_step(None, 385.0, before_v=308.0) is None
