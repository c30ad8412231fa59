"""Series and parallel equivalents: worked figures, an independent library, round trips."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from impedance.models.circuits.elements import circuit_elements

from captriage.model.equivalents import (
    parallel_from_series,
    parallel_resistance_from_series,
    series_from_parallel,
    series_resistance_from_parallel,
)
from captriage.model.impedance import series_equivalent, tan_delta_from_esr
from published import assert_published

# Worked from Cs = Cp(1 + D²), Rs = Rp·D²/(1 + D²): Agilent Impedance Measurement Handbook,
# table 1-3, "Relationships between series and parallel mode CLR values"
RATIOS = [(0.2, "1.04"), (0.5, "1.25"), (1.0, "2.0")]


@pytest.mark.parametrize(("tan_delta", "printed"), RATIOS)
def test_series_over_parallel_capacitance_is_the_worked_one(tan_delta, printed):
    assert_published(series_from_parallel(1.0, tan_delta), printed)


def test_series_over_parallel_resistance_is_the_worked_one():
    assert_published(series_resistance_from_parallel(1.0, 0.2), "0.03846")


def test_below_a_loss_of_three_hundredths_both_capacitances_agree_within_a_thousandth():
    # Agilent Impedance Measurement Handbook, text above figure 1-16: "when D is below 0.03,
    # the difference between Cs and Cp values is less than 0.1 percent"
    losses = np.linspace(0, 0.03, 31)[:-1]
    assert np.all(np.abs(series_from_parallel(1.0, losses) - 1) < 0.001)
    assert series_from_parallel(1.0, 0.033) - 1 > 0.001


@pytest.mark.parametrize("frequency", [50.0, 120.0, 1000.0])
def test_parallel_circuit_of_an_independent_library_has_our_series_values(frequency):
    f = np.array([frequency])
    r, c, side_by_side = (circuit_elements[name] for name in ("R", "C", "p"))
    z = side_by_side([r([80.0], f), c([33e-6], f)])
    loss = 1 / (2 * np.pi * frequency * 33e-6 * 80.0)
    capacitance, esr = series_equivalent(z, frequency_hz=f)
    assert series_from_parallel(33e-6, loss) == pytest.approx(capacitance[0], rel=1e-12)
    assert series_resistance_from_parallel(80.0, loss) == pytest.approx(esr[0], rel=1e-12)
    series_loss = tan_delta_from_esr(esr, capacitance, frequency_hz=f)
    assert series_loss[0] == pytest.approx(loss, rel=1e-12)
    assert parallel_from_series(capacitance, series_loss)[0] == pytest.approx(33e-6, rel=1e-12)
    back = parallel_resistance_from_series(esr, series_loss)
    assert back[0] == pytest.approx(80.0, rel=1e-12)


@given(st.floats(1e-12, 1.0), st.floats(1e-4, 100.0))
def test_there_and_back_is_the_same(value, loss):
    there = series_from_parallel(value, loss)
    assert parallel_from_series(there, loss) == pytest.approx(value, rel=1e-12)
    there = series_resistance_from_parallel(value, loss)
    assert parallel_resistance_from_series(there, loss) == pytest.approx(value, rel=1e-12)


def test_without_loss_the_capacitances_are_equal_and_the_resistances_are_not_defined():
    assert series_from_parallel(47e-6, 0.0) == 47e-6
    assert parallel_from_series(47e-6, 0.0) == 47e-6
    assert np.isnan(series_resistance_from_parallel(1e3, 0.0))
    assert np.isnan(parallel_resistance_from_series(1.0, 0.0))


@pytest.mark.parametrize(
    "function",
    [
        series_from_parallel,
        parallel_from_series,
        series_resistance_from_parallel,
        parallel_resistance_from_series,
    ],
)
@pytest.mark.parametrize(("value", "loss"), [(0, 0.1), (-1, 0.1), (np.nan, 0.1), (1, -0.1)])
def test_an_unusable_argument_gives_nan(function, value, loss):
    assert np.isnan(function(value, loss))


def test_an_array_gives_what_its_scalars_give():
    losses = np.array([0.0, 0.1, 1.0])
    found = series_from_parallel(22e-6, losses)
    np.testing.assert_array_equal(found, [series_from_parallel(22e-6, d) for d in losses])
