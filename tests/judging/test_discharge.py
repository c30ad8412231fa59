"""The resistor that a part is discharged through, by R C ln(U/U₁) and U²/R."""

from math import isnan, log

import pytest

from captriage.judging.discharge import discharge_of

# Ours: 10 s to 60 V, and 60 s to 1 V, are the longest where a larger resistor does it.
TO_60, TO_1 = log(450 / 60), log(450)


@pytest.mark.parametrize(
    ("farads", "ohm"),
    [
        (40e-6, 10e3),
        (0.95 * 10 / (10e3 * TO_60), 10e3),
        (1.05 * 10 / (10e3 * TO_60), 1e3),
        (1.05 * 10 / (1e3 * TO_60), 100.0),
        (1.0, 100.0),  # none is quick enough: the smallest
    ],
)
@pytest.mark.parametrize("to_v", [60.0, 1.0])
def test_the_largest_that_is_quick_enough_whichever_voltage_is_told(farads, ohm, to_v):
    found = discharge_of(farads, from_v=450.0, to_v=to_v)
    assert found.ohm == ohm
    assert found.seconds == pytest.approx(ohm * farads * log(450 / to_v))
    assert found.watts == pytest.approx(450**2 / ohm)


@pytest.mark.parametrize(("share", "ohm"), [(0.95, 10e3), (1.05, 1e3)])
def test_below_a_safe_voltage_the_way_to_a_volt_decides(share, ohm):
    assert discharge_of(share * 60 / (10e3 * log(25)), from_v=25.0, to_v=1.0).ohm == ohm


def test_just_above_a_safe_voltage_the_rest_of_the_way_is_not_forgotten():
    # 47 mF at 63 V, through 1 kΩ: 2.3 s to 60 V, but 195 s to 1 V
    found = discharge_of(47e-3, from_v=63.0, to_v=1.0)
    assert (found.ohm, found.seconds) == (100.0, pytest.approx(19.5, abs=0.05))


def test_a_voltage_that_does_not_fall_takes_no_known_time():
    assert isnan(discharge_of(40e-6, from_v=1.0, to_v=50.0).seconds)


def test_a_resistor_is_rated_for_the_more_of_a_tenth_at_first_and_the_spread_energy():
    small = discharge_of(40e-6, from_v=450.0, to_v=60.0)
    # ½·40 µF·450² V² = 4.05 J over 5 s is 0.81 W; a tenth of 20.25 W is more
    assert (small.joules, small.rated_watts) == (pytest.approx(4.05), pytest.approx(2.025))
    # 50 J over R·C = 10 s, by hand: more than a tenth of 10 W
    large = discharge_of(10e-3, from_v=100.0, to_v=50.0)
    assert (large.ohm, large.watts) == (1e3, pytest.approx(10.0))
    assert (large.joules, large.rated_watts) == (pytest.approx(50.0), pytest.approx(5.0))
