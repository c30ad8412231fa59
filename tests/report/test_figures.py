import numpy as np
import pytest

from captriage.report.figures import duration, figure, percent, plain_number, rating, span

WRITTEN = [
    (47e-6, "F", "47 µF"),
    (4.7e-6, "F", "4.7 µF"),
    (0.1e-6, "F", "0.1 µF"),
    (47e-9, "F", "47 nF"),
    (310e-12, "F", "310 pF"),
    (22e-3, "F", "22000 µF"),
    (9.9996e-7, "F", "1 µF"),
    (0.31, "Ω", "310 mΩ"),
    (7.056, "Ω", "7.06 Ω"),
    (99.96e3, "Ω", "100 kΩ"),
    (999.6, "Ω", "1 kΩ"),
    (1.476e-3, "A", "1.48 mA"),
    (770e-6, "A", "770 µA"),
    (0.0, "A", "0 A"),
    (0.0754, "", "0.0754"),
    (-2e-6, "A", "-2 µA"),
    (1e-15, "F", "0.001 pF"),
    (np.nan, "F", "–"),
    (np.inf, "Ω", "∞"),
    (-np.inf, "Ω", "-∞"),
]


@pytest.mark.parametrize(("value", "unit", "text"), WRITTEN)
def test_a_value_is_written_as_the_trade_writes_it(value, unit, text):
    assert figure(value, unit) == text


def test_micro_and_ohm_are_the_signs_the_house_uses():
    assert figure(47e-6, "F").encode() == "47 \u00b5F".encode()
    assert figure(4.7, "Ω").encode() == "4.7 \u03a9".encode()


@pytest.mark.parametrize("value", [1234567.0, 0.000123456, 99999.0, 1e12])
def test_a_plain_number_is_never_written_in_powers_of_ten(value):
    text = plain_number(value)
    assert "e" not in text
    assert float(text) == pytest.approx(value, rel=5e-3)


def test_a_rating_leaves_out_what_is_not_known():
    assert rating(32e-6, 450.0) == "32 µF 450 V"
    assert rating(np.nan, 450.0) == "450 V"
    assert rating(4700e-6, np.nan) == "4700 µF"
    assert rating(np.nan, np.nan) == ""


def test_an_interval_says_its_unit_once_and_leaves_open_ends_open():
    assert span(36e-6, 60e-6, "capacitance") == "36 to 60 µF"
    assert span(900e-6, 1.2e-3, "leakage_current") == "900 µA to 1.2 mA"
    assert span(np.nan, 1.1e-3, "leakage_current") == "at most 1.1 mA"
    assert span(22e-6, np.nan, "capacitance") == "at least 22 µF"
    assert span(np.nan, np.nan, "esr") == "–"
    assert span(0.05, 0.2, "tan_delta") == "0.05 to 0.2"


def test_times_and_shares_are_said_as_at_the_bench():
    assert [duration(t) for t in (30, 90, 300, 3600, 5400)] == [
        "30 s",
        "90 s",
        "5 min",
        "1 h",
        "90 min",
    ]
    assert duration(np.nan) == "–"
    assert percent(0.974) == "97 %"
    assert percent(np.nan) == "–"
