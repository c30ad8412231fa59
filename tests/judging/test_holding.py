"""Readings against limits moved to their conditions, worked by hand from the sources."""

from __future__ import annotations

import numpy as np
import pytest
from drawer import SOUND, judged

from captriage.judging.hold import OPEN
from published import assert_published


def held(part, kind):
    return getattr(judged(part).case, kind)


def leakage(value, **conditions):
    return {"value": value, **conditions}


@pytest.mark.parametrize(
    ("frequency_hz", "low", "high"),
    [
        (120.0, "28.8 µF", "48.0 µF"),  # 32 µF -10/+50 %
        (1000.0, "25.9 µF", "43.2 µF"),  # 1 kHz reads 10 % less
        (0.0, "31.7 µF", "52.8 µF"),  # charge methods 10 % more
    ],
)
def test_capacitance_limits_move_with_the_frequency(frequency_hz, low, high):
    found = held(
        SOUND | {"capacitance": {"value": 35, "frequency_hz": frequency_hz}}, "capacitance"
    )
    assert_published(found.low, low)
    assert_published(found.high, high)


@pytest.mark.parametrize(("frequency_hz", "kept"), [(1000.4, True), (1100.0, False)])
def test_one_kilohertz_may_be_what_a_bridge_makes_of_it(frequency_hz, kept):
    found = held(
        SOUND | {"capacitance": {"value": 35, "frequency_hz": frequency_hz}}, "capacitance"
    )
    assert ("taken at {frequency}" not in str(found.doubt[0])) == kept
    if kept:
        assert_published(found.low, "25.9 µF")


def test_esr_limit_is_twice_tan_delta_of_a_new_can():
    # 450 V: tan δ 0.20; 2 · 0.20 / (2π · 120 Hz · 32 µF) = 16.58 Ω
    assert_published(held(SOUND, "loss").high, "16.58 Ω")


def test_tan_delta_read_at_120_hz_is_held_against_the_table_itself():
    part = SOUND | {"tan_delta": {"value": 0.1, "frequency_hz": 120.0}}
    part.pop("esr")
    assert_published(held(part, "loss").high, "0.40")


def test_a_500_v_part_is_held_against_the_last_column_of_the_table():
    assert_published(held(SOUND | {"voltage_rated": 500.0}, "loss").high, "16.58 Ω")


def test_without_a_rated_voltage_a_loss_must_beat_all_columns_or_none():
    part = {"capacitance_rated": 32, "tan_delta": {"value": 0.3, "frequency_hz": 120.0}}
    assert list(judged(part).case.loss.doubt) == [OPEN]
    for value, outcome in ((0.1, 0), (0.9, 3)):
        part["tan_delta"] = {"value": value, "frequency_hz": 120.0}
        assert list(judged(part).case.loss.outcome) == [outcome]


@pytest.mark.parametrize(
    ("voltage_v", "high"),
    [
        (450.0, "1.58 mA"),  # 0.04 · 32 + 0.3
        (315.0, "0.79 mA"),  # "0.5 at 0.7 of rated"
    ],
)
def test_leakage_limit_moves_with_the_voltage(voltage_v, high):
    part = SOUND | {"leakage_current": leakage(300, voltage_v=voltage_v, soak_s=300.0)}
    assert_published(held(part, "leakage").high, high)


def test_leakage_limit_moves_with_the_temperature():
    # four times from 20 °C to 85 °C, so 4^(10/65) = 1.238 at 30 °C
    warm = leakage(300, voltage_v=450.0, soak_s=300.0, temperature_degc=30.0)
    assert_published(held(SOUND | {"leakage_current": warm}, "leakage").high, "1.956 mA")


def test_a_cold_leakage_reading_proves_nothing_good_but_an_excess_stands():
    cold = leakage(300, voltage_v=450.0, soak_s=300.0, temperature_degc=2.0)
    assert list(held(SOUND | {"leakage_current": cold}, "leakage").outcome) == [4]
    cold["value"] = 9000
    assert list(held(SOUND | {"leakage_current": cold}, "leakage").outcome) == [3]


def test_of_a_series_the_reading_soonest_after_the_soak_time_counts():
    series = [
        ("leakage_current", leakage(i, voltage_v=450.0, soak_s=t))
        for t, i in ((60.0, 3000), (310.0, 700), (3600.0, 90))
    ]
    part = {k: v for k, v in SOUND.items() if k != "leakage_current"} | {"more": series}
    telling, latest = sorted(held(part, "leakage").value, reverse=True)
    assert_published(telling, "700 µA")
    assert_published(latest, "90 µA")  # held too: it may only speak against the part


def test_between_two_eras_a_reading_is_not_judged():
    # 32 µF 450 V: modern 313 µA, vintage 1.58 mA
    part = {k: v for k, v in SOUND.items() if k != "made"}
    for value, outcome in ((200, 0), (800, 4), (3000, 3)):
        part["leakage_current"] = leakage(value, voltage_v=450.0, soak_s=300.0)
        assert list(judged(part).case.leakage.outcome) == [outcome]


@pytest.mark.parametrize(
    ("uncertainty", "outcome"),
    [(1, 0), (200, 1), (2000, 1)],
)
def test_uncertainty_turns_a_pass_into_a_conditional_one(uncertainty, outcome):
    near = leakage(1500, voltage_v=450.0, soak_s=300.0, uncertainty=uncertainty)
    assert list(held(SOUND | {"leakage_current": near}, "leakage").outcome) == [outcome]


def test_probability_is_that_of_the_guide():
    # limit 1.58 mA, y 1.53 mA, U = 0.1 mA (k = 2): z = 1, Φ(1) = 0.841, as handbooks tabulate
    near = leakage(1530, voltage_v=450.0, soak_s=300.0, uncertainty=100)
    assert_published(held(SOUND | {"leakage_current": near}, "leakage").probability, "0.841")


def test_worst_points_at_the_reading_least_likely_to_keep_its_limit():
    readings = [("esr", {"value": r, "frequency_hz": 120.0}) for r in (15.9, 16.4, 15.7)]
    part = {k: v for k, v in SOUND.items() if k != "esr"} | {"more": readings}
    found = held(part, "loss")
    assert found.value[found.worst[0]] == 16.4
    assert np.all(held({"capacitance_rated": 32}, "loss").worst == -1)
