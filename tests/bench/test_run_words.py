"""A reading of a reforming run in words: true of its step, and within a line of 80 columns."""

from dataclasses import replace
from math import nan

import pytest

from bench.reforming_bench import plan, step
from bench.told import NOON
from captriage.bench.measured import Answer, Value
from captriage.bench.moments import Moment
from captriage.bench.run_words import held_for, in_time, lowering_words, reading_words
from captriage.reform.curves import FALLING, SETTLED_ABOVE, SETTLED_BELOW, STATES, Progress

ANSWER = Answer((Value("current", 1.394e-3),), "1.394E-3", NOON, 1120.0)
MOMENT = Moment(plan(), step(385.0), False, 1120.0, True, 385.0, 385.0, 385.0, nan, 1.394e-3)


def said(state, forecast_s=nan):
    return Progress(state, "", 1.0, "", 1e-3, forecast_s, nan, nan, ())


def words(progress, moment=MOMENT, left_s=28 * 60.0):
    return reading_words(
        ANSWER, moment, step="D15  step 5", said=progress, at_s=1000.0, left_s=left_s
    )


@pytest.mark.parametrize("state", STATES)
def test_a_reading_fits_a_line(state):
    assert len(words(said(state))) <= 80
    assert len(words(said(FALLING, 1700.0))) <= 80


def test_what_the_curve_says_stands_beside_the_reading():
    begins = "taken  D15  step 5, 385 V, 19 min: 1.394 mA, "
    assert words(None) == f"{begins}at most 28 min left"
    assert words(said(SETTLED_BELOW)) == f"{begins}settled below, at most 28 min left"
    assert words(said(SETTLED_ABOVE), left_s=-3.0) == f"{begins}settled above, at most 0 s left"
    assert words(said(FALLING, 1700.0)) == f"{begins}falling, at limit in about 12 min"
    assert words(said(FALLING, 900.0)) == f"{begins}falling, at most 28 min left"


def test_while_it_is_raised_or_lowered_that_is_told():
    assert "step 5, 385 V, raising: 1.394 mA" in words(None, replace(MOMENT, held_s=nan))
    turned = replace(MOMENT, held_s=nan, supply_v=nan)  # by hand, just now
    assert words(None, turned).startswith("taken  D15  step 5, raising: 1.394 mA, ")
    assert ", 385 V, 0.0 s: " in words(None, replace(MOMENT, held_s=-0.01))
    by_hand = lowering_words(ANSWER, turned, step="D15  step 5")
    assert by_hand == "taken  D15  step 5 lowering: 1.394 mA"
    down = replace(MOMENT, supply_v=31.1)
    alone = lowering_words(ANSWER, down, step="D15  step 5")
    assert alone == "taken  D15  step 5 lowering, supply 31.1 V: 1.394 mA"
    beside = lowering_words(ANSWER, replace(down, part_v=99.0), step="D15  step 5")
    assert beside == "taken  D15  step 5 lowering, supply 31.1 V, part 99 V: 1.394 mA"


def test_times_are_told_in_the_unit_that_fits():
    assert [in_time(each) for each in (40.0, 720.0, 12600.0)] == ["40 s", "12 min", "3.5 h"]
    assert [held_for(each) for each in (1.13, 1120.0)] == ["1.1 s", "19 min"]
