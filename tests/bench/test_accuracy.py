"""Uncertainty of a reading, from what its meter may be wrong by."""

from __future__ import annotations

import math

import numpy as np
import pytest

from captriage.bench.accuracy import noise, uncertainty, with_phase_error
from captriage.bench.measured import Value
from captriage.bench.profile import Accuracy
from captriage.bench.profiles import load_profile
from captriage.bench.replies import understand
from captriage.model import uncertainty as model
from published import assert_published

STEPS = (
    Accuracy(of_reading=0.01, floor=2e-9, up_to=1e-6, noise=0.002, noise_floor=1e-10),
    Accuracy(of_reading=0.02, floor=5e-8, up_to=1e-3),
)


def test_half_width_of_one_is_the_published_standard_uncertainty():
    # JCGM 100:2008, 4.3.7 example 1: limits of half-width 40 × 10⁻⁶ give "u = 23 × 10⁻⁶"
    half = uncertainty(0.0, (Accuracy(of_reading=0.0, floor=40.0),)) / 2
    assert_published(half, "23")


@pytest.mark.parametrize("value", [0.0, 1e-9, -3e-7, 1e-6, 1.0001e-6, 5e-4, -1e-3])
def test_agrees_with_the_model(value):
    step = STEPS[0] if abs(value) <= 1e-6 else STEPS[1]
    largest = step.of_reading * abs(value) + step.floor
    expected = float(model.expanded(model.rectangular(largest)))
    assert uncertainty(value, STEPS) == pytest.approx(expected, rel=1e-14)


def test_floor_alone_is_left_at_zero():
    assert uncertainty(0.0, STEPS) == pytest.approx(2e-9 * 2 / math.sqrt(3))


@pytest.mark.parametrize("value", [1.001e-3, -2.0, math.inf, math.nan])
@pytest.mark.parametrize("of", [uncertainty, noise])
def test_above_the_last_range_nothing_is_claimed(of, value):
    assert math.isnan(of(value, STEPS))


@pytest.mark.parametrize("of", [uncertainty, noise])
def test_no_accuracy_stated_gives_none(of):
    assert math.isnan(of(1e-3, ()))


def test_a_range_without_an_end_holds_for_every_reading():
    assert uncertainty(1e12, (Accuracy(0.1, 0.0),)) == pytest.approx(2e11 / math.sqrt(3))


def test_noise_is_the_share_of_the_reading_and_what_is_left_near_zero():
    assert noise(-5e-7, STEPS) == pytest.approx(0.002 * 5e-7 + 1e-10)
    assert noise(5e-4, STEPS) == 0.0


def test_array_of_values_agrees_one_by_one():
    values = np.linspace(-1e-3, 1e-3, 41)
    largest = np.where(np.abs(values) <= 1e-6, 0.01 * np.abs(values) + 2e-9, 0)
    largest = np.where(np.abs(values) > 1e-6, 0.02 * np.abs(values) + 5e-8, largest)
    np.testing.assert_allclose(
        [uncertainty(v, STEPS) for v in values.tolist()],
        model.expanded(model.rectangular(largest)),
        rtol=1e-13,
    )


def test_the_phase_error_makes_the_esr_of_a_small_capacitor_unsure():
    # 1 µF at 120 Hz: |X| = 1326.3 Ω; 2/√3 · 0.005 · 1326.3 Ω = 7.66 Ω, worked by hand
    function = load_profile("lcr_scpi_values_status").functions["impedance"]
    values = (Value("capacitance", 1e-6, 6e-9), Value("esr", 1.0, 0.014))
    _, esr = with_phase_error(values, function, {"frequency_hz": 120.0})
    assert esr.uncertainty == pytest.approx(7.66, abs=0.005)
    _, untold = with_phase_error(values, function, {})
    assert math.isnan(untold.uncertainty)
    only = (Value("esr", 1.0, 0.014),)
    assert with_phase_error(only, function, {"frequency_hz": 120.0}) == only


BRIDGES = {
    # profile: reply of 100 µF with this loss, and |Z| where it tells that too
    "lcr_scpi_values_status": "+1.00000E-04,{loss},+0",
    "lcr_scpi_status_values": "+0,+1.00000E-04,{loss}",
    "lcr_scpi_four_values": "+1.00000E-04,{loss},+1.66100E+01,+0.00000E+00,+0",
}


@pytest.mark.parametrize("profile", BRIDGES)
def test_a_reply_of_a_bridge_has_the_uncertainty_that_its_profile_makes_of_it(profile):
    """By hand, at 120 Hz, where |X| of 100 µF is 13.263 Ω; 2/√3 = 1.1547.

    C: 1.1547 · 0.5 % of 100 µF = 0.577 µF. ESR of 10 Ω: 1.1547 · (1 % of 10 Ω + 2 mΩ) = 0.1178 Ω
    and 1.1547 · 0.005 · 13.263 Ω = 0.0766 Ω, together √(0.1178² + 0.0766²) Ω = 0.1405 Ω.
    """
    function = load_profile(profile).functions["impedance"]
    values = understand(
        BRIDGES[profile].format(loss="+1.00000E+01"), function, settings={"frequency_hz": 120.0}
    )
    read = {value.quantity: value for value in values}
    assert_published(read["capacitance"].uncertainty, "0.577 µF")
    assert_published(read["esr"].uncertainty, "0.1405 Ω")


@pytest.mark.parametrize("profile", BRIDGES)
def test_a_loss_angle_has_the_uncertainty_that_its_profile_makes_of_it(profile):
    """By hand: 1.1547 · (1 % of 0.05 + 0.005) = 0.00635."""
    function = load_profile(profile).functions["impedance_tan_delta"]
    values = understand(
        BRIDGES[profile].format(loss="+5.00000E-02"), function, settings={"frequency_hz": 120.0}
    )
    read = {value.quantity: value for value in values}
    assert_published(read["tan_delta"].uncertainty, "0.00635")
