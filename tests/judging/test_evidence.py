from __future__ import annotations

import numpy as np
import pytest
from drawer import TODAY, sheets

from captriage.judging.evidence import Evidence
from captriage.judging.policy import load_policy

POLICY = load_policy("ordinary-service")


def evidence(*parts):
    return Evidence(sheets(*parts), POLICY, TODAY)


def test_an_age_serves_where_no_year_is_given():
    found = evidence({"made": 1959}, {"age_years": 67.0}, {})
    np.testing.assert_array_equal(found.made, [1959, 1959, np.nan])
    np.testing.assert_array_equal(found.age, [67, 67, np.nan])


def test_a_given_tolerance_goes_before_the_usual_one():
    low, high = evidence(
        {"capacitance_rated": 32, "voltage_rated": 450.0, "made": 1959},
        {"capacitance_rated": 32, "tolerance_low": -0.05, "tolerance_high": 0.05},
    ).tolerance
    np.testing.assert_allclose(low, [-0.10, -0.05])
    np.testing.assert_allclose(high, [0.50, 0.05])


@pytest.mark.parametrize(
    ("part", "long_idle", "untold"),
    [
        ({"idle_years": 2.0}, True, False),
        ({"idle_years": 1.9}, False, False),
        ({"idle_years": 30.0, "reform_outcome": "settled below limit"}, False, False),
        ({"idle_years": 30.0, "reform_outcome": "not reformed"}, True, False),
        ({"made": 1959}, False, True),
        ({"made": 2020}, False, False),
        ({}, False, True),
    ],
)
def test_idle_time_is_told_or_untold(part, long_idle, untold):
    found = evidence(part)
    assert (bool(found.long_idle[0]), bool(found.untold[0])) == (long_idle, untold)


@pytest.mark.parametrize(
    ("part", "low"),
    [
        ({"voltage_rated": 63.0}, True),
        ({"voltage_rated": 100.0}, False),
        ({"capacitance_rated": 1000}, True),
        ({"capacitance_rated": 32}, False),
        ({"capacitance_rated": 1, "construction": "small board-mount"}, True),
    ],
)
def test_a_missing_rated_voltage_counts_as_high_unless_it_can_hardly_be(part, low):
    assert bool(evidence(part).low_voltage[0]) is low


def test_sections_of_a_can_share_what_befalls_the_container():
    a, b = ({"can": "K1", "section": s} for s in "ab")
    found = evidence(a, b | {"look": ["vented", "broken terminal"]}, {}, {"can": "K2"})
    assert list(found.look("vented")) == [True, True, False, False]
    assert list(found.look("broken terminal")) == [False, True, False, False]
    assert list(found.in_can) == [True, True, False, False]


def test_plain_parts_of_one_name_as_a_can_are_not_of_that_can():
    found = evidence({"can": "K1"}, {"part": "K1"})
    assert not found.in_can.any()


def test_flags_are_found_by_how_they_begin():
    readings = [("capacitance", {"flag": flag}) for flag in ("over range, at least 2 mF", "open")]
    found = evidence({"more": [*readings, ("esr", 3.0)]})
    assert list(found.flagged("over range")) == [True, False, False]
    assert list(found.flagged("over range", "open")) == [True, True, False]
