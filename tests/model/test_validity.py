"""What counts as a usable number at the door of the core."""

import numpy as np
import pytest

from captriage.model.validity import not_negative, positive, within


@pytest.mark.parametrize("bad", [-1.0, -np.inf, np.inf, np.nan, 1.1e30, 0.9e-30])
def test_a_number_no_capacitor_can_have_is_nan(bad):
    assert np.isnan(positive(bad))
    assert np.isnan(not_negative(bad))


def test_nought_is_not_positive_and_not_negative():
    assert np.isnan(positive(0.0))
    assert not_negative(0.0) == 0.0


def test_a_usable_number_passes_unchanged_and_keeps_its_shape():
    values = [[47e-6, 1e30], [1e-30, 450]]
    np.testing.assert_array_equal(positive(values), values)
    np.testing.assert_array_equal(not_negative(values), values)


def test_an_interval_holds_both_its_ends_and_nothing_beyond():
    found = within([-40.1, -40.0, 0.0, 85.0, 85.1, np.nan], -40, 85)
    np.testing.assert_array_equal(found, [np.nan, -40, 0, 85, np.nan, np.nan])
