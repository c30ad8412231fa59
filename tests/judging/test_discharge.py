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
