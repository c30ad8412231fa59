from __future__ import annotations

import numpy as np
import pytest
from drawer import SOUND, judged

BARE = {"capacitance_rated": 32, "voltage_rated": 450.0}


def disputed(*readings, **part):
    return list(judged(BARE | part | {"more": list(readings)}).case.disputed)


def at(value, frequency_hz=np.nan):
    return {"value": value, "frequency_hz": frequency_hz}


@pytest.mark.parametrize(
    ("first", "second", "apart"),
    [
        (at(30), at(33), False),
        (at(30), at(46), True),  # a ratio above the policy's 1.5
        (at(36, 120.0), at(32, 1000.0), False),
        (at(30, 0.0), at(46, 120.0), True),
        (at(20, 120.0), at(46, 1000.4), True),  # 1 kHz, as a bridge tells it
        (at(33, 120.0), at(1, 100e3), False),  # what 100 kHz shows is no contradiction
    ],
)
def test_two_capacitances_contradict_when_far_apart_at_low_frequency(first, second, apart):
    assert disputed(("capacitance", first), ("capacitance", second)) == [apart] * 2


def test_esr_at_two_frequencies_is_no_contradiction():
    low, high = ("esr", at(9.0, 120.0)), ("esr", at(2.0, 100e3))
    assert disputed(low, high) == [False, False]
    assert disputed(low, ("esr", at(2.0, 120.0))) == [True, True]
    assert disputed(low, ("esr", at(2.0, 119.904))) == [True, True]


def test_leakage_contradicts_itself_only_at_one_voltage_and_soak():
    def leakage(value, soak_s):
        return ("leakage_current", {"value": value, "voltage_v": 450.0, "soak_s": soak_s})

    assert disputed(leakage(900, 60.0), leakage(200, 300.0)) == [False, False]
    assert disputed(leakage(900, 300.0), leakage(200, 300.0)) == [True, True]


@pytest.mark.parametrize(
    ("tan_delta", "apart"),
    [
        # 30 µF and 5 Ω at 120 Hz: tan δ = 2π · 120 · 30e-6 · 5 = 0.113
        (0.113, False),
        (0.3, False),
        (0.4, True),
        (0.03, True),
    ],
)
def test_tan_delta_and_esr_at_one_frequency_must_belong_together(tan_delta, apart):
    found = disputed(
        ("capacitance", at(30, 120.0)), ("esr", at(5.0, 120.0)), ("tan_delta", at(tan_delta, 120.0))
    )
    assert found == [False, apart, apart]


def test_without_one_frequency_for_both_they_are_not_compared():
    assert disputed(("esr", at(5.0)), ("tan_delta", at(0.9))) == [False, False]


@pytest.mark.parametrize("word", ["open", "short"])
def test_a_word_beside_a_good_reading_contradicts_it(word):
    assert disputed(("capacitance", {"flag": word}), ("capacitance", at(31))) == [True, True]
    assert disputed(("capacitance", {"flag": word}), ("capacitance", at(1))) == [False, False]


def test_an_open_resistance_contradicts_nothing():
    assert disputed(("resistance", {"flag": "open"}), ("capacitance", at(31))) == [False, False]


def test_parts_do_not_dispute_each_others_readings():
    found = judged(SOUND, SOUND | {"capacitance": 12}).case
    assert not found.disputed.any()


def test_the_contradiction_is_quoted():
    found = judged(BARE | {"more": [("capacitance", at(30)), ("capacitance", at(60))]})
    assert "Capacitance 30 µF, Capacitance 60 µF" in found.verdicts["because"].iat[0]
