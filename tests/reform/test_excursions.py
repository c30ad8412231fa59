"""Too much voltage, and jumps that an average leaves out; the currents are closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.reform.excursions import doubts_of, warnings_of
from captriage.reform.progress import read_curve
from reform.known_curves import RATING, curve, healing, joined, noisy, times


def said(*curves):
    whole = joined(*curves)
    progress = read_curve(whole, RATING)
    return (
        list(warnings_of(whole, progress, RATING)),
        list(doubts_of(whole, progress, RATING)),
        progress.state,
    )


def good(seed=3):
    return noisy(healing(times(), charge=0.2), seed=seed)


def test_a_good_run_warns_of_nothing():
    assert said(curve(times(), good()))[:2] == ([], [])


@pytest.mark.parametrize("seed", range(20))
def test_noise_of_a_tenth_is_no_jump(seed):
    current = noisy(healing(times(), charge=3.0), share=0.1, seed=seed)
    assert said(curve(times(), current))[:2] == ([], [])


def test_a_last_step_above_the_rated_voltage_is_warned_of_and_doubted():
    warnings, doubts, _ = said(curve(times(), good(), supply_v=500.0))
    assert warnings[0].startswith("the supply went to 500 V, above the rated 450 V")
    assert doubts == ["at the end it stood at 500 V, above the rated 450 V"]


def test_an_earlier_step_above_it_is_warned_of_alone():
    warnings, doubts, _ = said(curve(times(), good(), supply_v=500.0), curve(times(), good(4)))
    assert len(warnings) == 1
    assert doubts == []


def test_a_part_above_its_rated_voltage_is_warned_of():
    warnings, _, _ = said(curve(times(), good(), supply_v=np.nan, part_v=480.0))
    assert warnings[0].startswith("the part went to 480 V")


def test_a_single_last_reading_that_jumped_is_not_left_out():
    current = good()
    current[-1] = 20e-3
    warnings, doubts, state = said(curve(times(), current))
    assert state == "settled below the limit"  # its average leaves the one reading out
    assert "the current jumped above its limit, to 20 mA after 3600 s" in warnings[0]
    assert "the last reading, 20 mA, is far above" in doubts[0]


def test_a_current_that_is_back_when_the_clips_hold_again_has_not_jumped():
    current = np.where(np.arange(900) // 30 % 3 == 1, 0.0, noisy(healing(times())))
    assert not any("jumped" in each for each in said(curve(times(), current))[0])


def test_jumps_that_come_back_are_counted():
    current = good()
    current[[500, 600, 700]] = 20e-3
    warnings, doubts, _ = said(curve(times(), current))
    assert "jumped above its limit 3 times" in warnings[0]
    assert doubts == []


def test_a_run_that_came_back_from_half_an_hour_of_breakdown_is_warned_of():
    current = good()
    current[300:600] = 20e-3
    warnings, _, state = said(curve(times(), current))
    assert state == "settled below the limit"
    assert "jumped above its limit, to 20 mA" in warnings[0]


def test_a_current_that_is_gone_all_at_once_is_doubted():
    current = noisy(healing(times(), floor=2.5e-3))
    current[500:] = 1e-7
    _, doubts, _ = said(curve(times(), current))
    (doubt,) = doubts
    # 2.5 mA that stays, and 3 C healing for 2000 s: 1.5 mA and 0.2 mA less; noise of 5 %
    assert float(doubt.split()[3]) == pytest.approx(3.8, rel=0.15)
    assert "mA is gone all at once after 2000 s: a clip has slipped, a fuse has blown" in doubt


def test_a_charging_current_that_ends_is_not():
    time_s = times(1800.0)  # a reading every 2 s, and a time constant of 0.64 s
    charging = 450.0 / 20e3 * np.exp(-time_s / (20e3 * 32e-6))
    leakage = healing(time_s, start=1e-5, floor=1e-5)
    assert said(curve(time_s, charging + leakage))[1] == []
