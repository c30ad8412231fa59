"""What a whole curve says: state, advice, forecast, on curves whose making is known."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite, isnan, nan
from pathlib import Path

import numpy as np
import pytest

from captriage.model.charging import charging_current
from captriage.reform.curves import Rating
from captriage.reform.progress import Watch, read_curve, read_curves
from reform.known_curves import OHM, RATING, curve, healing, joined, noisy, times

POINTS = Path(__file__).parents[1] / "data" / "reforming" / "published_points.csv"


def state(currents, rating=RATING, **more):
    return read_curve(curve(times(), currents, **more), rating)


def test_healing_part_falls_and_its_time_is_forecast():
    found = state(noisy(healing(times(1000.0))), RATING)
    assert found.state == "falling"
    assert found.advice == "continue"
    assert found.forecast_low_s < found.forecast_s < found.forecast_high_s
    assert "falls" in found.because


def test_part_below_the_limit_at_its_target_rests_and_is_tested_again():
    found = state(noisy(healing(times(), charge=0.2)))
    assert (found.state, found.advice) == ("settled below the limit", "rest and re-test")
    assert isnan(found.forecast_s)
    assert found.sure > 0.9


def test_part_below_the_limit_at_a_lower_voltage_goes_on():
    found = state(noisy(np.full(900, 1e-4)), supply_v=225.0)
    assert (found.state, found.advice) == ("settled below the limit", "next step")


def test_working_voltage_is_the_target_where_it_is_all_that_is_wanted():
    wanted = replace(RATING, target_v=385.0)
    found = read_curve(curve(times(), noisy(np.full(900, 1e-4)), supply_v=385.0), wanted)
    assert found.advice == "rest and re-test"


def test_plateau_above_the_limit_is_given_up():
    found = state(noisy(np.full(900, 3e-3)))
    assert (found.state, found.advice) == ("settled above the limit", "stop and replace")


def test_nobody_gives_up_within_half_an_hour():
    short = curve(times(1200.0), noisy(np.full(900, 3e-3)))
    assert read_curve(short, RATING).advice == "continue"


@pytest.mark.parametrize(("readings", "hours"), [(8, 1), (30, 1), (200, 1)])
def test_a_part_that_still_falls_is_not_given_up_for_where_it_is_likely_to_settle(readings, hours):
    t = np.linspace(60, 3600 * hours, readings)
    progress = read_curve(curve(t, 9.2e-3 / np.sqrt(t / 60)), Rating(8e-6, 450.0, 450.0, 278e-6))
    assert progress.sure < 0.95
    assert progress.advice == "continue"
    assert "the current still falls, and is likely to settle at" in progress.because


def test_runaway_is_stopped():
    time = times()
    found = state(noisy(healing(time, charge=0.1, floor=1e-3) * np.exp(time / 2000)))
    assert (found.state, found.advice) == ("rising", "stop and replace")
    assert "goes on" in found.because


def test_slow_creep_below_the_limit_is_told_and_no_failure():
    # Anderson and Devereux, J. Electrochem. Soc. 122 (2) 267 (1975), abstract.
    time = times(40_000.0)
    creeping = noisy(0.4e-3 * (1 + 0.3 * (1 - np.exp(-time / 15_000))))
    found = read_curve(curve(time, creeping), RATING)
    assert found.state == "settled below the limit"
    assert "no failure" in found.because


def test_breakdown_is_stopped():
    currents = noisy(healing(times(), charge=0.2))
    currents[600:] = 21e-3
    found = state(currents)
    assert (found.state, found.advice) == ("broken down", "stop and replace")


def test_short_is_broken_down_though_nothing_jumps():
    found = state(np.full(900, 450 / OHM * 0.995))
    assert found.state == "broken down"
    assert "short" in found.because


def test_open_part_is_not_called_good():
    found = state(np.full(900, 1e-6), floor_a=3e-6)
    assert found.state == "too early to say"
    assert "open" in found.because


def test_part_that_took_its_charge_and_leaks_below_the_floor_of_the_meter_is_below_the_limit():
    # 30 V on 8 µF 450 V: a limit of about 3 µA, which is the floor of the meter as well.
    small = Rating(8e-6, 450.0, 300.0, 0.62e-3)
    time = np.linspace(0.2, 60, 300)
    charge = charging_current(30, 100e3, capacitance=8e-6, time_s=time)
    found = read_curve(curve(time, charge + 0.5e-6, supply_v=30.0, ohm=100e3), small)
    assert (found.state, found.advice) == ("settled below the limit", "next step")
    without = read_curve(
        curve(time, np.full(300, 0.5e-6), supply_v=30.0, ohm=100e3), small
    )  # nothing ever flowed: an open part reads the same
    assert without.state == "too early to say"


def test_clip_that_slips_under_voltage_is_not_called_good():
    time = np.linspace(0.2, 600, 600)
    charge = charging_current(450, 20e3, capacitance=32e-6, time_s=time)
    currents = np.where(time < 300, charge + 0.4e-3, 0.0)
    found = read_curve(curve(time, currents, floor_a=3e-6), RATING)
    assert found.state != "settled below the limit"


def test_part_that_charges_is_not_judged():
    time = np.linspace(0.2, 4, 20)
    rising = charging_current(450, 100e3, capacitance=32e-6, time_s=time)
    found = read_curve(curve(time, rising, ohm=100e3), RATING)
    assert (found.state, found.advice) == ("charging", "continue")


@pytest.mark.parametrize("n", [0, 3])
def test_few_readings_say_nothing(n):
    found = read_curve(curve(np.linspace(300, 900, n), np.full(n, 1e-4), ohm=nan), RATING)
    assert (found.state, found.advice) == ("too early to say", "continue")


def test_one_reading_of_unknown_soak_time_may_still_be_charging():
    assert read_curve(curve([300.0], [1e-4], ohm=nan), RATING).state == "charging"


def test_part_without_a_limit_is_not_judged():
    found = state(noisy(healing(times())), replace(RATING, limit_a=nan))
    assert found.state == "too early to say"
    assert "no limit" in found.because


def test_current_within_its_doubt_of_the_limit_is_not_yet_below():
    found = state(noisy(np.full(900, 0.9995 * RATING.limit_a), 0.1), ohm=nan)
    assert found.state != "settled below the limit" or found.sure > 0.9


def test_each_step_has_its_own_state_and_limit():
    low = curve(times(1200.0), noisy(healing(times(1200.0), charge=0.05)), supply_v=225.0)
    high = curve(times(1200.0), noisy(healing(times(1200.0), charge=3.0)), supply_v=450.0)
    found = read_curve(joined(low, high), RATING)
    assert [step.supply_v for step in found.steps] == [225, 450]
    assert found.steps[0].limit_a < found.steps[1].limit_a
    assert found.state == found.steps[1].state == "falling"
    assert found.forecast_s > found.steps[1].begins_s


def test_a_part_that_failed_is_not_cleared_by_a_lower_voltage():
    failed = curve(times(), noisy(np.full(900, 15e-3)))
    lower = curve(times(), noisy(np.full(900, 1e-4), seed=4), supply_v=225.0)
    found = read_curve(joined(failed, lower), RATING)
    assert (found.state, found.advice) == ("settled above the limit", "stop and replace")
    assert "in step 1, at 450 V" in found.because
    assert found.limit_a == found.steps[0].limit_a
    assert found.law is None


def test_a_part_that_broke_down_is_not_cleared_by_holding_again():
    time = times()
    fell = np.where(time < 1800, 1e-3, 15e-3)
    rest = curve(times(), np.zeros(900), supply_v=0.0)
    again = curve(times(), noisy(np.full(900, 1e-4), seed=4))
    found = read_curve(joined(curve(time, noisy(fell)), rest, again), RATING)
    assert (found.state, found.advice) == ("broken down", "stop and replace")


def test_a_re_test_at_the_target_counts_though_the_run_before_went_higher():
    wanted = replace(RATING, target_v=385.0)
    higher = curve(times(), noisy(np.full(900, 1e-2)))
    proof = curve(times(), noisy(np.full(900, 1e-4), seed=4), supply_v=385.0)
    assert read_curve(joined(higher, proof), wanted).advice == "rest and re-test"


def test_a_nought_now_and_then_upsets_no_law():
    current = noisy(healing(times()))
    current[:40] = 0.0  # the first average is nought
    assert isfinite(state(current).law.residual)


def test_repeat_after_a_rest_is_told():
    rest = curve([1800.0, 3600, 5400], [0.0] * 3, supply_v=0.0)
    one = curve(times(), noisy(healing(times(), charge=0.5)))
    two = curve(times(), noisy(healing(times(), start=1e-3, charge=0.1, floor=0.1e-3), seed=9))
    found = read_curve(joined(one, rest, two), RATING)
    assert found.steps[-1].beside_before < 0.7
    assert "has healed" in found.because


def test_law_that_is_shown_has_standard_errors():
    law = state(noisy(healing(times()))).law
    assert not law.failure
    assert law.floor_error_a > 0


def test_many_curves_say_what_each_says_alone():
    pairs = [
        (curve(times(), noisy(healing(times(), charge=charge), seed=k)), RATING)
        for k, charge in enumerate((0.2, 1.0, 5.0))
    ]
    for pair, found in zip(pairs, read_curves(pairs), strict=True):
        alone = replace(read_curve(*pair), law=None)
        assert (alone.state, alone.advice) == (found.state, found.advice)
        assert alone.forecast_s == pytest.approx(found.forecast_s, nan_ok=True)


def test_watch_says_what_its_curve_says():
    whole = curve(times(1000.0), noisy(healing(times(1000.0))))
    watch = Watch(RATING, series_ohm=OHM, floor_a=3e-6)
    for at, supply, current in zip(whole.time_s, whole.supply_v, whole.current_a, strict=True):
        watch.add(at, supply_v=supply, current_a=current)
    found, alone = watch.progress(), read_curve(whole, RATING)
    assert found.state == alone.state
    assert found.forecast_s == pytest.approx(alone.forecast_s)


def test_watch_of_nothing_says_so():
    found = Watch(RATING).progress()
    assert found.state == "too early to say"
    assert found.steps == ()
