"""What a heading of a log means, in the words that loggers and people use."""

from __future__ import annotations

import pytest

from captriage.readers.curve_headings import curve_heading, known_in, unit_row

MEANT = [
    # As loggers, spreadsheets and people write them in six languages.
    ("drop over 47k (V)", "drop", "V"),
    ("V across 4k7", "drop", ""),
    ("drop across 10 kΩ", "drop", ""),
    ("U Netzteil (V)", "supply", "V"),
    ("time (s)", "time", "s"),
    ("t/s", "time", "s"),
    ("Zeit [min]", "time", "min"),
    ("elapsed (hh:mm:ss)", "time", ""),
    ("hh:mm:ss", "time", ""),
    ("seconds", "time", "s"),
    ("Timestamp (UTC)", "taken_at", ""),
    ("Uhrzeit", "clock", ""),
    ("current", "leakage_current", ""),
    ("I (µA)", "leakage_current", "μA"),
    ("Strom/mA", "leakage_current", "mA"),
    ("milliamps", "leakage_current", "mA"),
    ("capacitor current (A)", "leakage_current", "A"),
    ("drop (V)", "drop", "V"),
    ("V over R", "drop", ""),
    ("Spannungsabfall mV", "drop", "mV"),
    ("Vs (V)", "supply", "V"),
    ("applied voltage", "supply", ""),
    ("tension appliquée (V)", "supply", "V"),
    ("part_V", "part voltage", ""),
    ("UC [V]", "part voltage", "V"),
    ("Spannung am Elko (V)", "part voltage", "V"),
    ("V", "voltage", ""),
    ("Voltage (V)", "voltage", "V"),
    ("current_a", "leakage_current", "A"),
    ("supply_v", "supply", ""),
    ("101 (VDC)", "voltage", "V"),
    ("102 <leak> (mADC)", "leakage_current", "mA"),
    ("elapsed (hh:mm)", "time", ""),
    ("temp (°C)", "", "°C"),
    ("R (kΩ)", "", "kΩ"),
    ("#", "", ""),
    ("wibble", "", ""),
]


@pytest.mark.parametrize(("text", "column", "unit"), MEANT)
def test_a_heading_means_what_its_writer_meant(text, column, unit):
    heading = curve_heading(text)
    assert (heading.column, heading.unit) == (column, unit)


@pytest.mark.parametrize("text", ["drop (A)", "supply (mA)", "part current (V)"])
def test_a_unit_that_does_not_fit_makes_a_heading_unknown(text):
    assert curve_heading(text).column == ""


def test_a_row_with_a_number_shows_no_headings():
    assert known_in(["time", "current", "supply"]) == 3
    assert known_in(["time", "1.2"]) == 0


def test_a_row_of_units_is_told_from_a_row_of_data():
    assert unit_row(["[s]", "(V)", "mA", "-"], 4) == ["s", "V", "mA", ""]
    assert unit_row(["0", "V", "mA"], 3) == []
    assert unit_row(["", ""], 2) == []
