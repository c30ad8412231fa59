"""The resistor that a part is discharged through, by R C ln(U/U₁) and U²/R."""

from math import isnan, log

import pytest

from captriage.judging.discharge import discharge_of

TEN_S = 10.0  # the longest that is advised, where a larger resistor can do it


@pytest.mark.parametrize(
    ("farads", "ohm"),
    [
        (40e-6, 10e3),
        (0.9 * TEN_S / (10e3 * log(450)), 10e3),
        (1.1 * TEN_S / (10e3 * log(450)), 1e3),
        (1.1 * TEN_S / (1e3 * log(450)), 100.0),
        (1.0, 100.0),  # none is quick enough: the smallest
    ],
)
def test_the_largest_that_is_quick_enough(farads, ohm):
    found = discharge_of(farads, from_v=450.0, to_v=1.0)
    assert found.ohm == ohm
    assert found.seconds == pytest.approx(ohm * farads * log(450))
    assert found.watts == pytest.approx(450**2 / ohm)


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
