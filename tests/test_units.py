"""Numbers and units: as written by people and meters, to SI and back."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.units import (
    format_quantity,
    normalise,
    parse_number,
    parse_quantity,
    parse_unit,
    unwrap,
)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("47.2", 47.2),
        ("47,2", 47.2),
        ("1,23", 1.23),
        (",5", 0.5),
        (".31", 0.31),
        ("47.", 47.0),
        ("0,123", 0.123),
        ("4.700,5", 4700.5),
        ("5,012.6", 5012.6),
        ("1,234,567", 1234567.0),
        ("1.234.567,8", 1234567.8),
        ("4 700", 4700.0),
        ("4\u2009700", 4700.0),
        ("4\u202f700,5", 4700.5),
        ("4\u00a0700", 4700.0),
        ("4'700", 4700.0),
        ("4’700.25", 4700.25),
        ("\u22120,3", -0.3),
        ("+12", 12.0),
        ("'47.2", 47.2),
        ('="46.0"', 46.0),
        ("1.5e-3", 0.0015),
        ("1,5E-3", 0.0015),
        ("1,234E-03", 0.001234),
        ("3.2×10⁻³", 0.0032),
        ("3.2 x 10^-3", 0.0032),
        ("４７．２", 47.2),
        ("٤٧", 47.0),
    ],
)
def test_a_number_is_read_whatever_its_separators(text, value):
    number = parse_number(text)
    assert number is not None
    assert number.value == value


@pytest.mark.parametrize("text", ["1,234", "-4,700", "999,999"])
def test_a_comma_before_three_digits_is_ambiguous_until_the_sheet_decides(text):
    number = parse_number(text)
    assert number is not None
    assert math.isnan(number.value)
    point, group = (parse_number(text, decimal=sign) for sign in (",", "."))
    assert point is not None
    assert group is not None
    assert number.candidates == (point.value, group.value)
    assert group.value == pytest.approx(1000 * point.value)


def test_a_point_before_three_digits_is_a_decimal_point_with_the_other_reading_kept():
    number = parse_number("1.234")
    assert number is not None
    assert (number.value, number.candidates) == (1.234, (1.234, 1234.0))
    german = parse_number("4.700", decimal=",")
    assert german is not None
    assert german.value == 4700.0


@pytest.mark.parametrize(
    "text",
    ["", "x", "12 34", "1.2.3", "1,23,4", "1_000", "0x10", "nan", "inf", "4 7 00", "--5", "1e"],
)
def test_anything_else_is_no_number(text):
    assert parse_number(text) is None


@pytest.mark.parametrize(
    ("cell", "held"),
    [
        ("'", ""),
        ('=""', ""),
        ("'47", "47"),
        ('="46.0"', "46.0"),
        ("=", "="),
        ("'=", "="),
        ("-", "-"),
    ],
)
def test_only_wrapping_around_nothing_is_a_blank_cell(cell, held):
    assert unwrap(cell) == held


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_float_python_writes_is_read_back_exactly(value):
    number = parse_number(repr(value), decimal=".")
    assert number is not None
    assert number.value == value


@given(st.text(max_size=40), st.sampled_from([None, ".", ","]))
def test_reading_a_number_or_unit_never_raises(text, decimal):
    parse_number(text, decimal=decimal)
    parse_unit(text)
    parse_quantity(text, "F", decimal=decimal)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        # Handbook units: MFD, mfd are µF and MMFD, MMF, uuF are pF (justradios.com/captips.html)
        ("8 MFD", "F", 8e-6),
        ("16mfd", "F", 16e-6),
        ("500 MMF", "F", 500e-12),
        ("500 MMFD", "F", 500e-12),
        ("220 µµF", "F", 220e-12),
        ("220uuF", "F", 220e-12),
        ("47 μF", "F", 47e-6),
        ("47 ㎌", "F", 47e-6),
        # IEC 60062: u47 = 0.47, 4u7 = 4.7, 47u = 47 µF
        ("u47", "F", 0.47e-6),
        ("4u7", "F", 4.7e-6),
        ("4µ7F", "F", 4.7e-6),
        ("4n7", "F", 4.7e-9),
        ("4p7", "F", 4.7e-12),
        ("47u", "F", 47e-6),
        ("100n", "F", 100e-9),
        ("0R31", "Ω", 0.31),
        ("R31", "Ω", 0.31),
        ("2R2", "Ω", 2.2),
        ("2k2", "Ω", 2200.0),
        ("310m", "Ω", 0.31),
        ("310 mOhm", "Ω", 0.31),
        ("0.14K", "Ω", 140.0),
        ("1 MΩ", "Ω", 1e6),
        ("1 m\u2126", "Ω", 1e-3),
        ("450 WVDC", "V", 450.0),
        ("450V=", "V", 450.0),
        ("6V3", "V", 6.3),
        ("1.2mA", "A", 1.2e-3),
        ("850 uA", "A", 850e-6),
        ("5 min", "s", 300.0),
        ("2 Std.", "s", 7200.0),
        ("120 c/s", "Hz", 120.0),
        ("1 kc", "Hz", 1000.0),
        ("12.4 %", "%", 0.124),
        ("18 months", "a", 1.5),
    ],
)
def test_a_quantity_comes_back_in_si(text, unit, value):
    assert parse_quantity(text, unit) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    "text", ["450 V", "4,700 µF", "47 µF x", "10 mF", "20 MF", "47 banana", ""]
)
def test_a_capacitance_in_doubt_is_no_value(text):
    assert math.isnan(parse_quantity(text, "F"))


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (47e-6, "F", "47 µF"),
        (0.01, "F", "10000 µF"),
        (0.1e-6, "F", "0.1 µF"),
        (82e-9, "F", "82 nF"),
        (500e-12, "F", "500 pF"),
        (0.15, "F", "0.15 F"),
        (1.2e-3, "A", "1.2 mA"),
        (770e-6, "A", "770 µA"),
        (450.0, "V", "450 V"),
        (0.31, "Ω", "0.31 Ω"),
        (8200.0, "Ω", "8.2 kΩ"),
        (4.05, "J", "4.05 J"),
        (0.26, "J", "0.26 J"),
        (100e3, "Hz", "100 kHz"),
        (300.0, "s", "300 s"),
        (0.124, "%", "12.4 %"),
        (0.124, "", "0.124"),
        (999.96, "V", "1 kV"),
        (9.9996e-4, "A", "1 mA"),
        (0.0, "A", "0 A"),
        (-0.0, "A", "0 A"),
        (-0.3e-6, "A", "-300 nA"),
        (1e300, "", "1" + "0" * 300),
        (math.nan, "F", "–"),
        (math.inf, "Ω", "∞ Ω"),
        (-math.inf, "Ω", "-∞ Ω"),
    ],
)
def test_a_quantity_is_written_as_the_trade_does(value, unit, text):
    assert format_quantity(value, unit) == text


@given(
    st.floats(1e-9, 1e5).map(lambda x: float(f"{x:.3g}")),
    st.sampled_from(["F", "Ω", "V", "A", "Hz", "s", "%"]),
)
def test_what_is_written_is_read_back(value, unit):
    text = format_quantity(value, unit)
    assert parse_quantity(text, unit, decimal=".") == pytest.approx(value, rel=1e-9)
    assert "μ" not in text
    assert "\u2126" not in text


@given(st.text(max_size=30))
def test_normalising_twice_changes_nothing_more(text):
    once = normalise(text)
    assert normalise(once) == once
