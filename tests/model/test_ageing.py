"""Calculated life against worked examples that makers print."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.model import ageing
from published import assert_published

SHEET = Path(__file__).parents[1] / "data" / "datasheet_limits.csv"
ROWS = list(csv.DictReader(SHEET.read_text("utf-8").splitlines()))
LIVES = st.floats(100, 1e5)


@pytest.mark.parametrize(
    ("hours", "rated", "degc", "printed"),
    [
        # Wikipedia, "Aluminum electrolytic capacitor"
        pytest.param(2000, 105, 45, "128000 h", id="Wikipedia 2000 h"),
        # en.dgdijia.cn
        pytest.param(1000, 105, 55, "32000 h", id="1000 h at 105 °C run at 55 °C"),
        # https://en.cosel.co.jp/technical/qanda/a0057.html: lives of the three shifts
        pytest.param(1000, 105, 45, "64000 h", id="Cosel 45 °C"),
        pytest.param(1000, 105, 65, "16000 h", id="Cosel 65 °C"),
    ],
)
def test_life_is_the_printed_one(hours, rated, degc, printed):
    assert_published(ageing.arrhenius_life(hours, rated, temperature_degc=degc), printed)


def test_life_of_2000_hours_at_105_degrees_is_14_6_years_at_45():
    years = ageing.arrhenius_life(2000, 105, temperature_degc=45) / 8760
    assert_published(years, "14.6 a")


def test_mixed_duty_and_its_equivalent_temperature_are_the_printed_ones():
    # https://en.cosel.co.jp/technical/qanda/a0057.html: 8 h each, "27 429 h"
    life = ageing.mixed_duty_life([8, 8, 8], [64000, 32000, 16000])
    assert_published(life, "27429 h")
    degc = ageing.equivalent_temperature_degc(life, 1000, temperature_rated_degc=105)
    assert_published(degc, "57.2 °C")


def test_series_that_doubles_per_11_kelvin_is_met_by_its_own_two_lives():
    # BC Components 051/053 PEC-PW, 18 Jan 2000: useful life 12 000 h at 85 °C, 200 000 h at 40 °C
    useful = [float(row["printed"]) for row in ROWS if row["quantity"] == "useful_life"]
    hot, cool = useful
    halving = ageing.halving_between(hot, 85, life_cool=cool, temperature_cool_degc=40)
    assert_published(halving, "11.1 K")
    again = ageing.arrhenius_life(hot, 85, temperature_degc=40, halving=float(halving))
    assert again == pytest.approx(cool)


@pytest.mark.parametrize(
    ("life", "rated", "degc"),
    [(2000, 105, 106), (2000, 105, -56), (2000, 160, 45), (0, 105, 45), (np.nan, 105, 45)],
)
def test_life_outside_validity_is_nan(life, rated, degc):
    assert np.isnan(ageing.arrhenius_life(life, rated, temperature_degc=degc))


@pytest.mark.parametrize(
    ("cool_life", "cool_degc"), [(12000, 40), (9000, 40), (200000, 85), (200000, 90)]
)
def test_lives_or_temperatures_out_of_order_give_no_halving(cool_life, cool_degc):
    halving = ageing.halving_between(
        12000, 85, life_cool=cool_life, temperature_cool_degc=cool_degc
    )
    assert np.isnan(halving)


def test_life_shorter_than_rated_has_no_equivalent_temperature():
    assert np.isnan(ageing.equivalent_temperature_degc(999, 1000, temperature_rated_degc=105))


@given(life=LIVES, degc=st.floats(-40, 105))
def test_equivalent_temperature_of_a_steady_life_is_its_temperature(life, degc):
    long = ageing.arrhenius_life(life, 105, temperature_degc=degc)
    back = ageing.equivalent_temperature_degc(long, life, temperature_rated_degc=105)
    assert back == pytest.approx(degc, abs=1e-9)


@given(shares=st.lists(st.floats(0.1, 24), min_size=1, max_size=5), life=LIVES)
def test_mixed_duty_of_equal_lives_is_that_life(shares, life):
    assert ageing.mixed_duty_life(shares, life) == pytest.approx(life)


@given(shares=st.tuples(st.floats(0.1, 24), st.floats(0.1, 24)), lives=st.tuples(LIVES, LIVES))
def test_mixed_duty_is_the_time_that_consumes_one_life(shares, lives):
    life = ageing.mixed_duty_life(shares, lives)
    times = np.array(shares) / sum(shares) * life
    assert ageing.consumed_life(times, lives) == pytest.approx(1.0)


def test_duty_without_time_or_with_negative_time_has_no_life():
    assert np.isnan(ageing.mixed_duty_life([0, 0], [1000, 2000]))
    assert np.isnan(ageing.mixed_duty_life([-1, 2], [1000, 2000]))
    assert np.isnan(ageing.consumed_life([-1], [1000]))


def test_mixed_duty_works_on_many_parts_at_once():
    lives = np.array([[1000.0, 5000.0], [3000.0, 5000.0]])
    np.testing.assert_allclose(ageing.mixed_duty_life([[1], [1]], lives), [1500, 5000])


def test_life_with_rated_ripple_is_the_ambient_life_and_without_it_longer():
    assert ageing.life_with_ripple(2000, 5.0) == 2000
    assert ageing.life_with_ripple(2000, 0.0, halving=5.0) == 4000
    assert ageing.life_with_ripple(2000, 15.0) == 1000
    assert np.isnan(ageing.life_with_ripple(2000, -1.0))


def test_voltage_factors_as_remembered():
    # From memory: 4.3 - 3.3 · 0.8 = 1.66, 4.3 - 3.3 · 0.5 = 2.65, and 1 at rated voltage
    np.testing.assert_allclose(
        ageing.voltage_life_factor_linear([1.0, 0.8, 0.5]), [1.0, 1.66, 2.65]
    )
    np.testing.assert_allclose(ageing.voltage_life_factor_power([1.0, 0.5]), [1.0, 8.0])
    assert ageing.voltage_life_factor_power(0.5, exponent=5) == 32


@pytest.mark.parametrize("fraction", [0.49, 1.01, np.nan])
def test_voltage_outside_half_to_rated_gives_nan(fraction):
    assert np.isnan(ageing.voltage_life_factor_linear(fraction))
    assert np.isnan(ageing.voltage_life_factor_power(fraction))


def test_life_is_believed_up_to_15_years():
    # Beckhoff PS9011 lifetime page: about 15 years, 131 400 h
    assert_published(ageing.LIFE_CAP_HOURS, "131400 h")
    np.testing.assert_array_equal(
        ageing.capped_life([128000, 1e6, np.nan, 0.0]), [128000, 131400, np.nan, np.nan]
    )
