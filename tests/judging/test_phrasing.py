import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.judging.phrasing import format_quantities, joined, rounded
from captriage.units import format_quantity


def test_pieces_are_joined_row_by_row():
    names, ends = np.array(["C1", ""], object), np.array([".", "!"], object)
    assert joined(2, "of ", names, ": ", ends).tolist() == ["of C1: .", "of : !"]


def test_pieces_of_different_lengths_are_refused():
    with pytest.raises(ValueError, match="shorter"):
        joined(2, "of ", np.array(["C1"], object))


def test_values_are_rounded_to_significant_digits():
    assert rounded(np.array([12345.0, 0.99951, -0.0012349]), 3) == pytest.approx(
        [12300.0, 1.0, -0.00123], rel=1e-12
    )


def test_what_has_no_significant_digits_stays_as_it_is():
    odd = np.array([0.0, np.nan, np.inf, -np.inf, 1e-320])
    np.testing.assert_array_equal(rounded(odd, 3), odd)


@given(st.lists(st.integers(0, 9999), min_size=1), st.integers(-12, 6))
def test_many_values_are_written_as_each_of_them_alone(numbers, exponent):
    values = [number * 10.0**exponent for number in numbers]
    alone = [format_quantity(value, "F") for value in values if not _on_the_edge(value)]
    many = format_quantities(np.array(values), "F").tolist()
    assert [m for m, v in zip(many, values, strict=True) if not _on_the_edge(v)] == alone


def _on_the_edge(value):
    """Half way between two numbers of three digits: either is right."""
    return value != 0 and f"{value:.12e}"[4:14].rstrip("0") == "5"
