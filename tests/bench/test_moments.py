"""What is known at a moment of a run: what has settled, what flowed, what tells of which step."""

from dataclasses import replace
from math import isnan, nan

import pytest

from bench.calm import CALM, STEP, UNSURE_A, progress
from bench.reforming_bench import OHMS, plan, step
from captriage.bench.moments import History, charging_ends_s, longest_s, of_step
from captriage.reform.curves import (
    FALLING,
    SETTLED_BELOW,
    StepReading,
)


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


def test_a_part_is_charged_late_rather_than_early():
    assert charging_ends_s(step(60.0, charging_s=4.0)) == 6.0
    assert charging_ends_s(step(60.0, charging_s=0.01)) == 1.0


def test_the_longest_time_counts_every_step_and_the_ramps():
    assert longest_s(plan(ramp_v_per_s=10.0)) == 3 * 12.0 + 30.0


def test_the_part_has_what_the_resistor_leaves_where_nobody_measures_it():
    assert replace(CALM, part_v=nan).across_v == pytest.approx(60.1 - 2e-4 * OHMS)


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


def test_an_ammeter_of_noughts_may_show_a_count_later_and_sees_nothing_by_that():
    history = History()
    history.see_zero(0.0)
    counts = replace(CALM, current_a=1e-7, count_a=1e-7, step=replace(STEP, least_s=0.0))
    for at_s in range(5):
        history.take(counts, float(at_s))
    assert not history.is_done(counts)
    assert history.unseen == 5


def test_a_reading_over_range_among_those_below_the_limit_ends_no_step():
    history = History()
    below = replace(CALM, current_a=9e-5, step=replace(STEP, least_s=0.0))
    for at_s, moment in enumerate((below, below, replace(below, current_a=nan), below, below)):
        history.take(moment, float(at_s))
    assert not history.is_done(below)
    history.take(below, 5.0)
    assert history.is_done(below)


def test_a_charge_that_went_over_range_was_not_seen():
    history = History()
    charging = replace(CALM, charged=False, held_s=nan, current_a=1e-3)
    for at_s, current in ((0.0, 1e-3), (0.2, nan), (0.4, 1e-3)):
        history.take(replace(charging, current_a=current), at_s)
    assert isnan(history.charge_c)
