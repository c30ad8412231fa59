from __future__ import annotations

import eseries
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from captriage.model.preferred import (
    E_SERIES,
    RATED_VOLTAGES,
    preferred_value_from,
    rated_voltage_from,
)


@pytest.mark.parametrize("series", E_SERIES)
def test_the_series_are_those_of_a_library_that_carries_iec_60063(series):
    theirs = eseries.series(eseries.ESeries[f"E{series}"])
    assert [round(value / 10, 1) for value in theirs] == list(E_SERIES[series])


@given(st.floats(1e-9, 1e-1), st.sampled_from(list(E_SERIES)))
def test_the_value_found_is_the_one_that_library_finds(value, series):
    assume(not np.isclose(preferred_value_from(value, series=series), value, rtol=1e-6))
    theirs = eseries.find_greater_than_or_equal(eseries.ESeries[f"E{series}"], value)
    assert preferred_value_from(value, series=series) == pytest.approx(theirs, rel=1e-6)


@pytest.mark.parametrize("mantissa", E_SERIES[6])
@pytest.mark.parametrize("decade", [1e-9, 1e-6, 1e-5, 1e-3])
def test_a_preferred_value_is_its_own_answer(mantissa, decade):
    assert preferred_value_from(mantissa * decade) == pytest.approx(mantissa * decade)


def test_old_values_round_up_to_those_made_today():
    np.testing.assert_allclose(
        preferred_value_from([8e-6, 16e-6, 32e-6, 50e-6]), [10e-6, 22e-6, 33e-6, 68e-6]
    )


@pytest.mark.parametrize("bad", [0.0, -1e-6, np.nan, np.inf])
def test_what_is_no_value_has_no_answer(bad):
    assert np.isnan(preferred_value_from(bad))
    assert np.isnan(rated_voltage_from(bad))


def test_an_unknown_series_is_refused():
    with pytest.raises(ValueError, match="E7; E3, E6, E12 are known"):
        preferred_value_from(1.0, series=7)


@pytest.mark.parametrize(
    ("voltage", "rated"),
    [(451.0, 500.0), (450.0, 450.0), (300.0, 350.0), (5.0, 6.3), (600.0, 600.0)],
)
def test_the_voltage_is_the_next_that_is_made(voltage, rated):
    assert rated_voltage_from(voltage) == rated
    assert list(RATED_VOLTAGES) == sorted(RATED_VOLTAGES)
