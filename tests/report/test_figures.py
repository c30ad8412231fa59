import numpy as np

from captriage.report.figures import duration, percent, quantity_figure, rating, span


def test_a_reading_is_written_in_the_unit_of_its_quantity():
    assert quantity_figure(18.24e-6, "capacitance") == "18.2 µF"
    assert quantity_figure(0.31, "esr") == "0.31 Ω"
    assert quantity_figure(0.0754, "tan_delta") == "0.0754"
    assert quantity_figure(np.nan, "leakage_current") == "–"


def test_a_rating_leaves_out_what_is_not_known():
    assert rating(32e-6, 450.0) == "32 µF 450 V"
    assert rating(np.nan, 450.0) == "450 V"
    assert rating(4700e-6, np.nan) == "4700 µF"
    assert rating(np.nan, np.nan) == ""


def test_an_interval_says_its_unit_once_and_leaves_open_ends_open():
    assert span(36e-6, 60e-6, "capacitance") == "36 to 60 µF"
    assert span(900e-6, 1.2e-3, "leakage_current") == "900 µA to 1.2 mA"
    assert span(np.nan, 1.1e-3, "leakage_current") == "at most 1.1 mA"
    assert span(0.0, 1.1e-3, "leakage_current") == "at most 1.1 mA"
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
    assert [percent(p) for p in (0.0, 0.005, 0.01, 0.99, 0.995, 1.0)] == [
        "<1 %",
        "<1 %",
        "1 %",
        "99 %",
        ">99 %",
        ">99 %",
    ]
    assert percent(np.nan) == "–"
