"""Drying-out: hand-derivable ends, and laws against each other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.model import drying
from published import assert_published

SHARES = st.integers(0, 1000).map(lambda thousandths: thousandths / 1000)


def test_two_fifths_of_the_electrolyte_gone_is_esr_up_2_78_times():
    # (1 / 0.6)²; the law and its end of life are from memory (Gasperi)
    left = drying.electrolyte_left(400, rate=0.001)
    assert_published(drying.esr_ratio_dried(left), "2.78")
    assert_published(drying.esr_ratio_dried(left, exponent=1.0), "1.667")
    assert_published(drying.capacitance_ratio_dried(left), "0.60")


@pytest.mark.parametrize("left", [0.0, -0.1, 1.01, np.nan])
def test_electrolyte_that_cannot_be_gives_nan(left):
    assert np.isnan(drying.esr_ratio_dried(left))
    assert np.isnan(drying.capacitance_ratio_dried(left))


def test_nothing_is_left_once_all_has_evaporated():
    assert np.isnan(drying.electrolyte_left([1000, 2000], rate=0.001)).all()
    assert np.isnan(drying.electrolyte_left(-1.0, rate=0.001))


def test_new_part_is_new_and_worn_part_meets_the_criterion():
    # Wikipedia: failure by degradation is C down more than 30 % or ESR up more than 3 times
    np.testing.assert_allclose(drying.capacitance_ratio_worn([0.0, 1.0]), [1.0, 0.70])
    np.testing.assert_allclose(drying.esr_ratio_worn([0.0, 1.0]), [1.0, 3.0])
    assert drying.capacitance_ratio_worn(1.0, end=-0.45) == pytest.approx(0.55)
    assert drying.esr_ratio_worn(1.0, end=1.3) == pytest.approx(1.3)


@pytest.mark.parametrize("consumed", [-0.01, 1.01, np.nan])
def test_wear_beyond_the_end_of_life_is_not_guessed(consumed):
    assert np.isnan(drying.capacitance_ratio_worn(consumed))
    assert np.isnan(drying.esr_ratio_worn(consumed))


def test_criterion_that_is_none_gives_nan():
    assert np.isnan(drying.capacitance_ratio_worn(0.5, end=0.1))
    assert np.isnan(drying.esr_ratio_worn(0.5, end=0.9))


@given(earlier=SHARES, later=SHARES)
def test_wear_never_goes_back(earlier, later):
    consumed = sorted([earlier, later])
    assert np.diff(drying.capacitance_ratio_worn(consumed)) <= 0
    assert np.diff(drying.esr_ratio_worn(consumed)) >= -1e-12


@given(consumed=SHARES)
def test_worn_esr_is_the_dried_one_at_a_steady_rate_of_evaporation(consumed):
    rate = 1 - 3**-0.5
    left = drying.electrolyte_left(consumed, rate=rate)
    assert drying.esr_ratio_worn(consumed) == pytest.approx(drying.esr_ratio_dried(left))


def test_reciprocal_law_wears_1_458_times_faster_at_85_than_at_75_degrees():
    # Law from memory (Lahyani and others); small times, so that 1 - R0/R is the rate
    ratio = drying.esr_ratio_lahyani(1.0, [85, 75], coefficient=100.0)
    hot, cool = 1 - 1 / ratio
    assert_published(hot / cool, "1.458")


def test_reciprocal_law_triples_esr_when_two_thirds_are_gone_and_then_ends():
    coefficient = (2 / 3) / 2000 * np.exp(4700 / 378)
    keywords = {"temperature_degc": 105, "coefficient": coefficient}
    assert drying.esr_ratio_lahyani(2000, **keywords) == pytest.approx(3.0)
    assert np.isnan(drying.esr_ratio_lahyani([3001, -1], **keywords)).all()


def test_exponential_growth_doubles_in_its_doubling_time():
    assert drying.esr_ratio_exponential(1000, rate=np.log(2) / 1000) == pytest.approx(2.0)
    assert np.isnan(drying.esr_ratio_exponential([-1, 1e9], rate=1.0)).all()


def test_overstressed_parts_lose_capacitance_as_remembered():
    # t = 180 h, α = 0.0163 per hour, β = -0.5653: 18.24 %, all from memory
    loss = drying.capacitance_loss_overstressed(180, rate=0.0163, offset=-0.5653)
    assert_published(loss, "18.24 %")
    assert np.isnan(drying.capacitance_loss_overstressed([1000, -1], rate=0.0163, offset=0)).all()


def test_arrays_broadcast():
    assert drying.esr_ratio_worn(np.zeros((2, 1)), end=[2.0, 3.0, 4.0]).shape == (2, 3)
