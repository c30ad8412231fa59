"""Surge, reverse and recovered voltage, as their sources print them."""

import numpy as np
import pytest

from captriage.model.withstand import (
    CATHODE_FORMING_VOLTAGE,
    REVERSE_VOLTAGE_LIMIT,
    recovery_voltage,
    surge_voltage,
)
from published import assert_published

JIS = "JIS C 5141 characteristic W"
EPCOS = "EPCOS B43505, 2008"


def test_recovered_voltage_is_the_printed_share():
    # Wikipedia, "Aluminum electrolytic capacitor", dielectric absorption of non-solid parts:
    # 10 % to 15 % of the charge voltage; 450 V gives 45 V to 67.5 V
    low, high = recovery_voltage(450)
    assert_published(low, "45 V")
    assert_published(high, "67.5 V")
    assert high > 60  # above what is commonly held safe to touch dry


def test_an_unusable_charge_voltage_gives_nan():
    assert np.all(np.isnan(recovery_voltage([-1.0, np.nan])))
    assert recovery_voltage(0.0) == (0.0, 0.0)


SURGE_PRINTED = [
    # Xiamen Wanming, RA series: rated and surge voltage after JIS C 5141 characteristic W
    *[
        pytest.param(rated, JIS, f"{surge} V", id=f"JIS {rated} V")
        for rated, surge in [
            (10, 13), (16, 20), (25, 32), (50, 63), (63, 79), (100, 125),
            (160, 200), (200, 250), (250, 300), (350, 400), (400, 450), (450, 500),
        ]
    ],
    # EPCOS B41505/B43505, November 2008: 1.15 to 250 V, 1.10 from 400 V
    pytest.param(200, EPCOS, "230 V", id="EPCOS 200 V"),
    pytest.param(250, EPCOS, "287.5 V", id="EPCOS 250 V"),
    pytest.param(400, EPCOS, "440 V", id="EPCOS 400 V"),
    pytest.param(450, EPCOS, "495 V", id="EPCOS 450 V"),
    # As reported by Wikipedia: 1.15 to 315 V, 1.10 above
    pytest.param(63, "general", "72.45 V", id="general 63 V"),
    pytest.param(315, "general", "362.25 V", id="general 315 V"),
    pytest.param(350, "general", "385 V", id="general 350 V"),
    pytest.param(450, "general", "495 V", id="general 450 V"),
]  # fmt: skip


@pytest.mark.parametrize(("voltage_rated", "edition", "printed"), SURGE_PRINTED)
def test_surge_voltage_is_the_printed_one(voltage_rated, edition, printed):
    assert_published(surge_voltage(voltage_rated, edition=edition), printed)


def test_the_general_edition_is_the_one_taken_when_none_is_named():
    assert surge_voltage(315.1) == pytest.approx(1.10 * 315.1)


@pytest.mark.parametrize(
    ("voltage_rated", "edition"),
    [
        *[(300, EPCOS), (350, EPCOS), (np.nan, EPCOS), (0, "general"), (-450, "general")],
        *[(35, JIS), (500, JIS), (9.99, JIS), (0, JIS), (np.nan, JIS)],
    ],
)
def test_a_rating_the_edition_does_not_print_gives_nan(voltage_rated, edition):
    assert np.isnan(surge_voltage(voltage_rated, edition=edition))


def test_an_unknown_edition_is_refused_with_those_there_are():
    with pytest.raises(ValueError, match="surge_voltage: edition 'JIS'; one of general, EPCOS"):
        surge_voltage(450, edition="JIS")


def test_every_edition_lies_above_the_rated_voltage():
    for edition in ("general", EPCOS, JIS):
        rated = np.array([10, 63, 200, 400, 450])
        assert np.all(surge_voltage(rated, edition=edition) > rated)


def test_reverse_voltage_is_held_below_that_at_which_the_cathode_forms():
    # Vishay BCcomponents 28309 and 28327: at most 1 V; Wikipedia: cathode forms at about 1.5 V
    assert_published(REVERSE_VOLTAGE_LIMIT, "1 V")
    assert_published(CATHODE_FORMING_VOLTAGE, "1.5 V")


def test_an_array_gives_what_its_scalars_give():
    rated = np.array([10.0, 35, 315, 450, np.nan])
    for edition in ("general", EPCOS, JIS):
        whole = surge_voltage(rated, edition=edition)
        single = [surge_voltage(v, edition=edition) for v in rated]
        np.testing.assert_array_equal(whole, single)
