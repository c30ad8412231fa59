import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.errors import CapTriageError
from captriage.reform.equipment import OwnedResistor
from captriage.reform.resistors import asked_for, fitted, in_words, left_over, stands
from captriage.reform.steps import Resistor


def test_one_resistor_where_one_is_rated_for_it():
    # 75 V through 10 kΩ: "0.563 W" if shorted, handbook 4.10: 1 W with our margin of 1.5
    assert fitted(10e3, 75) == Resistor(10e3, 1, 1.0, 75)


def test_two_in_series_where_the_watts_of_one_would_not_do():
    # 450 V through 100 kΩ: "2.03 W", handbook 4.10, above what 2 W film types take with margin
    made = fitted(100e3, 450)
    assert made.pieces == 2
    assert made.ohm == pytest.approx(94e3)  # 2 × 47 kΩ, E12
    assert (made.watt, made.volt) == (2.0, 225.0)


def test_two_in_series_where_the_volts_of_one_would_not_do():
    # 600 V is above what any one is taken to bear (500 V, from memory), whatever its watts
    assert fitted(1e6, 600).pieces == 2


def test_at_most_is_kept():
    assert fitted(45e3, 450, at_most=True).ohm <= 45e3


@given(
    wanted=st.floats(50, 2e6),
    volts=st.floats(0.5, 630),
    at_most=st.booleans(),
)
def test_whatever_is_proposed_stands_a_short_for_ever(wanted, volts, at_most):
    try:
        made = fitted(wanted, volts, at_most=at_most)
    except CapTriageError as refused:
        assert "is more than 10 resistors" in str(refused)  # noqa: PT017
        assert 1.5 * volts**2 / wanted > 100  # ten of the largest would be needed, and near
        return
    assert made.pieces * made.watt >= 1.5 * volts**2 / made.ohm * (1 - 1e-9)
    assert made.pieces * made.volt >= volts * (1 - 1e-9)
    assert wanted / 2 <= made.ohm * (1 + 1e-9)
    assert made.ohm <= wanted * (1 if at_most else 2.2) * (1 + 1e-9)
    assert stands(made, volts)


def test_resistors_at_hand_are_put_in_series_where_one_would_not_do():
    owned = (OwnedResistor(47e3, 2, 350, 4), OwnedResistor(100e3, 0.25, 250))
    assert fitted(100e3, 450, owned=owned) == Resistor(94e3, 2, 2, 350)


def test_no_more_pieces_are_taken_than_there_are():
    owned = (OwnedResistor(47e3, 2, 350, 1),)
    with pytest.raises(CapTriageError, match=r"series resistor: none of the resistors at hand, al"):
        fitted(100e3, 450, owned=owned)


def test_a_resistor_that_would_burn_is_not_proposed_and_what_is_needed_is_said():
    # 450²/100 kΩ = 2.025 W, with our margin of 1.5: 3.04 W
    with pytest.raises(CapTriageError, match=r"between 50 kΩ and 220 kΩ .* 450 V and 3.04 W in al"):
        fitted(100e3, 450, owned=(OwnedResistor(100e3, 2, 500),))


def test_a_refusal_names_the_resistors_whose_watts_were_not_told():
    kinds = (OwnedResistor(100e3, 0.25, 250, watt_told=False), OwnedResistor(10e3, 5, 500))
    with pytest.raises(CapTriageError, match=r"no watts told of 100 kΩ, so ¼ W is taken\); get"):
        fitted(100e3, 450, owned=kinds)


def test_what_is_needed_is_asked_for_and_not_what_is_at_hand():
    # 225²/50 kΩ · 1.5 = 1.52 W each, by hand
    at_hand = Resistor(100e3, 2, 10, 700)
    assert asked_for(at_hand, 450) == Resistor(100e3, 2, 2.0, 225)
    assert asked_for(at_hand, 450, watts=lambda _: 0.2) == Resistor(100e3, 2, 0.25, 225)
    between = Resistor(100e3, 2, 1.6, 225)  # no usual size lies between what is needed and this
    assert asked_for(between, 450) == between


def test_at_hand_at_most_is_said_as_it_is_meant():
    with pytest.raises(CapTriageError, match=r"between 5 kΩ and 10 kΩ and stands"):
        fitted(10e3, 100, owned=(OwnedResistor(12e3, 5, 500),), at_most=True)


def test_what_no_resistors_bear_is_refused():
    with pytest.raises(CapTriageError, match=r"100 Ω for 450 V and 3.04 kW in all is more than 10"):
        fitted(100, 450)


@pytest.mark.parametrize(
    ("resistor", "volts", "bears"),
    [
        (Resistor(100e3, 1, 2.0, 500), 450, False),  # 2.025 W, handbook 4.10 prints 2.03 W
        (Resistor(100e3, 1, 2.1, 500), 450, True),
        (Resistor(100e3, 1, 2.1, 449), 450, False),
        (Resistor(100e3, 2, 1.1, 225), 450, True),
    ],
)
def test_stands_counts_watts_and_volts_of_all_pieces(resistor, volts, bears):
    assert stands(resistor, volts) is bears


def test_what_is_left_over_is_counted_by_kind():
    owned = (OwnedResistor(10e3, 2, 350, 4), OwnedResistor(47e3, 2, 350))
    first, later = Resistor(20e3, 2, 2, 350), Resistor(30e3, 3, 2, 350)
    assert left_over(owned, []) == owned
    # in turn, not together: the larger of both counts
    assert left_over(owned, [first, later]) == (OwnedResistor(10e3, 2, 350, 1), owned[1])
    assert left_over(owned, [Resistor(47e3, 1, 2, 350)]) == owned[:1]


def test_a_resistor_is_named_as_at_a_counter():
    assert in_words(Resistor(10e3, 1, 2, 350)) == "10 kΩ, rated for 2 W and 350 V at least"
    several = "2 × 47 kΩ in series (94 kΩ), each rated for 2 W and 225 V at least"
    assert in_words(Resistor(94e3, 2, 2, 225)) == several
