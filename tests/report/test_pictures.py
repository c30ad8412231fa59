import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.report.pictures import LEFT, RIGHT, STRIPS_AT_MOST, Scale, picture, pictures

POSITIVE = st.floats(min_value=1e-12, max_value=1e6)


@given(st.lists(POSITIVE, min_size=1, max_size=8))
def test_the_scale_holds_every_value_in_its_order(values):
    scale = Scale(values)
    places = [scale.x(value, otherwise=-1.0) for value in sorted(values)]
    assert all(LEFT < place < RIGHT for place in places)
    assert places == sorted(places)


@pytest.mark.parametrize("value", [np.nan, 0.0, -1.0])
def test_what_has_no_logarithm_goes_where_it_is_told(value):
    assert Scale([1.0, 10.0]).x(value, otherwise=RIGHT) == RIGHT


@given(POSITIVE, st.floats(min_value=1.0, max_value=1e6))
def test_a_scale_has_a_few_ticks_at_round_values(value, ratio):
    ticks = Scale([value, value * ratio]).ticks("esr")
    assert 1 <= len(ticks) <= 6
    assert all(LEFT <= tick.x <= RIGHT for tick in ticks)


def row(number, value, **more):
    blank = dict.fromkeys(
        ("at_least", "at_most", "uncertainty", "frequency_hz", "voltage_v", "soak_s",
         "temperature_degc"), np.nan,
    )  # fmt: skip
    return {"row": number, "quantity": "esr", "value": value, "shown": value, **blank, **more}


def test_a_reading_stands_between_the_bands_that_it_lies_between():
    bands = {(0, "new"): (np.nan, 2.0), (0, "end of life"): (8.0, np.nan)}
    strip = picture([row(0, 4.0, uncertainty=0.5)], bands, {0: [(np.nan, 6.0)]}).strips[0]
    new, spent = strip.bands
    assert new.x == LEFT
    assert spent.x + spent.width == RIGHT
    assert new.x + new.width < strip.whisker[0] < strip.reading < strip.whisker[1]
    assert strip.reading < strip.limits[0] < spent.x
    assert strip.held == "limit 6 Ω"
    assert strip.said == "ESR 4 Ω; limit 6 Ω; new at most 2 Ω; end of life at least 8 Ω"


def test_a_bound_points_to_where_the_value_lies():
    above = picture([row(0, np.nan, at_least=5.0, shown=5.0)], {}, {}).strips[0]
    below = picture([row(0, np.nan, at_most=5.0, shown=5.0)], {}, {}).strips[0]
    assert (above.value, above.bound) == ("at least 5 Ω", RIGHT)
    assert (below.value, below.bound) == ("at most 5 Ω", LEFT)


def test_of_many_readings_those_that_a_rule_weighed_are_drawn_in_their_order():
    rows = [row(number, 1.0 + number) for number in range(20)]
    drawn = picture(rows, {}, {15: [(np.nan, 3.0)], 3: [(np.nan, 3.0)]})
    assert len(drawn.strips) == STRIPS_AT_MOST
    assert drawn.left_out == 20 - STRIPS_AT_MOST
    assert [strip.value for strip in drawn.strips][-1] == "16 Ω"
    assert drawn.height == STRIPS_AT_MOST * drawn.strips[1].y


def test_a_part_without_a_number_has_no_picture(judgement):
    shown = pictures(judgement)
    assert [each is not None for each in shown] == [True, True, False, True, False]


def test_bands_are_those_of_the_conditions_the_reading_was_taken_at(judgement):
    first = pictures(judgement)[0].strips
    assert [strip.name for strip in first] == ["capacitance", "leakage"]
    assert "new 28.8 to 48 µF" in first[0].said
    assert first[1].condition == "390 V, after 5 min"
    # 32 µF 450 V of 1959: 0.04 · 32 + 0.3 = 1.58 mA at 450 V, times (390/450)^1.943, by hand
    assert "new at most 1.2 mA" in first[1].said
    assert "end of life at least 1.2 mA" in first[1].said
