"""Cells and columns into SI: values, flags, bounds, conditions, problems."""

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from captriage.readers.cell_rules import RULES
from captriage.readers.cells import BLANK, Cell, read_cell, read_column

nan = math.nan


def same(a: float, b: float) -> bool:
    return (math.isnan(a) and math.isnan(b)) or a == b


@pytest.mark.parametrize(
    ("text", "quantity", "unit", "value"),
    [
        ("47.2", "capacitance", "uF", 47.2e-6),
        ("5,012.6", "capacitance", "uF", 5012.6e-6),
        ("47.0 µF", "capacitance", "", 47e-6),
        ("46.1 μF", "capacitance", "", 46.1e-6),
        ("8 MFD", "capacitance_rated", "", 8e-6),
        ("500 MMF", "capacitance_rated", "", 500e-12),
        ("4700", "capacitance", "nF", 4.7e-6),
        ("100 nF", "capacitance", "uF", 100e-9),  # the unit of the cell beats the heading's
        ("4u7", "capacitance", "", 4.7e-6),
        ("'47.2", "capacitance", "uF", 47.2e-6),
        ('="46.0"', "capacitance", "uF", 46e-6),
        ("C=47uF", "capacitance", "", 47e-6),
        ("tan δ 0.05", "tan_delta", "", 0.05),
        ("ESR: 0.31", "esr", "", 0.31),
        ("0R31", "esr", "", 0.31),
        ("310m", "esr", "", 0.31),
        ("310 mOhm", "esr", "", 0.31),
        ("2R2", "esr", "", 2.2),
        ("0.14K", "esr", "", 140.0),
        ("0,31", "esr", "Ohm", 0.31),
        ("310", "esr", "mohm", 0.31),
        ("12.4", "tan_delta", "%", 0.124),
        ("12.4%", "tan_delta", "", 0.124),
        ("12,4 %", "tan_delta", "", 0.124),
        ("0.124", "tan_delta", "", 0.124),
        ("8.0", "q", "", 0.125),
        ("5 %", "power_factor", "", 0.05 / math.sqrt(1 - 0.05**2)),
        ("3.21", "leakage_current", "mA", 3.21e-3),
        ("450 VDC", "voltage_rated", "", 450.0),
        ("6V3", "voltage_rated", "", 6.3),
        ("5", "soak_s", "min", 300.0),
        ("5 Min.", "soak_s", "", 300.0),
        ("1h 30min", "soak_s", "", 5400.0),
        ("5min30s", "soak_s", "", 330.0),
        ("0:05:30", "soak_s", "", 330.0),
        ("77 °F", "temperature_degc", "", 25.0),
        ("120 c/s", "frequency_hz", "", 120.0),
        ("DC", "frequency_hz", "", 0.0),
        ("18 months", "idle_years", "", 1.5),
        ("30 Jahre", "age_years", "", 30.0),
        ("20 000 h", "service_hours", "", 20000.0),
        ("20000", "service_hours", "", 20000.0),
        ("0.5", "uncertainty", "uF", 0.5e-6),
        ("20 mA", "range_high", "", 0.02),
    ],
)
def test_a_cell_of_known_unit_gives_its_value_and_nothing_to_say(text, quantity, unit, value):
    cell = read_cell(text, quantity, unit=unit)
    assert cell.value == pytest.approx(value, rel=1e-12)
    assert (cell.flag, cell.problem) == ("", "")


@pytest.mark.parametrize("text", ["", "   ", "\u00a0", "''", '=""'])
def test_a_blank_cell_is_neither_a_value_nor_a_problem(text):
    assert read_cell(text, "esr") is BLANK


def test_a_comma_before_three_digits_is_asked_about_unless_sheet_or_rating_decides():
    cell = read_cell("1,234", "capacitance", unit="uF")
    assert math.isnan(cell.value)
    assert cell.flag == cell.problem == "ambiguous: 1.234 or 1234"
    assert read_cell("1,234", "capacitance", unit="uF", decimal=",").value == 1.234e-6
    assert read_cell("1,234", "capacitance", unit="uF", decimal=".").value == 1234e-6
    decided = read_cell("1,234", "capacitance", unit="uF", rated=1000e-6)
    assert decided.value == 1234e-6
    assert "the rating decided for 1234" in decided.flag
    assert read_cell("1,234", "capacitance", unit="uF", rated=1e-6).value == 1.234e-6
    undecided = read_cell("1,234", "capacitance", unit="uF", rated=40e-6)
    assert undecided.problem == "ambiguous: 1.234 or 1234"


def test_a_point_that_suits_the_rating_only_as_thousands_is_asked_about():
    assert read_cell("1.234", "capacitance", unit="uF", rated=1000e-6).problem.startswith("ambig")
    assert read_cell("1.234", "capacitance", unit="uF", rated=1e-6).value == 1.234e-6
    told = read_cell("1.234", "capacitance", unit="uF", rated=1000e-6, decimal=".")
    assert told.value == 1.234e-6


def test_the_possible_range_decides_where_one_reading_is_impossible():
    cell = read_cell("1,234", "tan_delta")
    assert cell.value == 1.234
    assert "the other reading is not possible" in cell.flag


def test_millifarad_is_taken_as_written_unless_the_rating_says_microfarad():
    assert read_cell("10.24 mF", "capacitance") == Cell(
        0.01024, "mF: confirm against rating (old text uses mF for microfarad)"
    )
    sure = read_cell("10.24 mF", "capacitance", rated=10000e-6)
    assert (sure.value, sure.flag) == (0.01024, "")
    old = read_cell("16 mF", "capacitance", rated=16e-6)
    assert (old.value, old.flag) == (16e-6, "mF taken as microfarad: the rating decided")
    assert read_cell("10.24", "capacitance", unit="mF", rated=10000e-6).value == 0.01024
    assert read_cell("10 mF", "capacitance", rated=100e-6).problem.startswith("ambiguous")


def test_capital_mf_is_microfarad_and_says_so():
    cell = read_cell("20 MF", "capacitance_rated")
    assert cell.value == 20e-6
    assert cell.flag == "MF taken as microfarad (old marking), not millifarad or megafarad"


@pytest.mark.parametrize(
    "text",
    ["OL", "O.L", ".OL", "0L", "0.L", "ovld", "OVER", "Overload", "OFL", "overrange", "Überlauf",
     "hors gamme", "fuera de rango", "fuori scala", "buiten bereik", "OL kΩ", "O.L.", "∞", "inf",
     "9.9E+37", "+9.90000000E+37", "9.9e37", "1e40"],
)  # fmt: skip
def test_over_range_is_a_flag_and_never_a_value(text):
    assert read_cell(text, "resistance", unit="ohm") == Cell(nan, "over range") or (
        read_cell(text, "resistance", unit="ohm").flag == "over range"
    )
    assert math.isnan(read_cell(text, "leakage_current", unit="mA").value)


@pytest.mark.parametrize(
    ("text", "flag"),
    [
        ("-9.9E+37", "over range negative"),
        ("-OL", "over range negative"),
        ("9.91E37", "not a number"),
        ("9.91E+37", "not a number"),
        ("9.99999999e+37", "over range or no sample"),
        ("NaN", "not a number"),
        ("#DIV/0!", "not a number"),
        ("----", "no reading"),
        ("- - -", "no reading"),
        ("-.---", "no reading"),
        ("open", "open"),
        ("O/C", "open"),
        ("offen", "open"),
        ("coupé", "open"),
        ("interrotto", "open"),
        ("short", "short"),
        ("Kurzschluss", "short"),
        ("en court-circuit", "short"),
        ("kortsluiting", "short"),
        ("short?", "short, doubted in the sheet"),
        ("no voltage", "not measured"),
        ("n/a", "not measured"),
        ("-", "not measured"),
        ("?", "not measured"),
        ("nicht gemessen", "not measured"),
        ("no medido", "not measured"),
    ],
)
def test_words_and_sentinels_are_told_in_the_flag(text, flag):
    cell = read_cell(text, "leakage_current", unit="A")
    assert (cell.flag, cell.problem) == (flag, "")
    assert math.isnan(cell.value)


def test_bounds_are_kept_as_bounds():
    over = read_cell(">20", "leakage_current", unit="mA")
    assert (over.at_least, over.flag) == (0.02, "over range, at least 20 mA")
    below = read_cell("<10uA", "leakage_current")
    assert (below.at_most, below.flag) == (10e-6, "below range: at most 10 µA")
    assert math.isnan(over.value)
    assert math.isnan(below.value)
    assert read_cell("OL >2000 uF", "capacitance").at_least == 2e-3
    assert read_cell("30+ years", "idle_years").at_least == 30.0
    assert read_cell("mehr als 20 mA", "leakage_current").at_least == 0.02
    high_q = read_cell(">100", "q")  # more Q is less loss
    assert (high_q.at_most, math.isnan(high_q.at_least)) == (0.01, True)
    span = read_cell("45-47 uF", "capacitance")
    assert (span.at_least, span.at_most) == (45e-6, 47e-6)
    assert math.isnan(span.value)


@pytest.mark.parametrize(
    ("text", "quantity", "value", "conditions"),
    [
        ("1.2mA @ 400V after 5min", "leakage_current", 1.2e-3, {"voltage_v": 400, "soak_s": 300}),
        ("850uA (2 min)", "leakage_current", 850e-6, {"soak_s": 120}),
        ("1,9 mA bei 450 V nach 5 min", "leakage_current", 1.9e-3,
         {"voltage_v": 450, "soak_s": 300}),
        ("1.2 mA at 400 V, 5 min, 20 °C", "leakage_current", 1.2e-3,
         {"voltage_v": 400, "soak_s": 300, "temperature_degc": 20}),
        ("1.2 mA @400V/5min", "leakage_current", 1.2e-3, {"voltage_v": 400, "soak_s": 300}),
        ("@400V 1.2 mA", "leakage_current", 1.2e-3, {"voltage_v": 400}),
        ("0.31 ohm @ 100kHz", "esr", 0.31, {"frequency_hz": 1e5}),
        ("0.31 @100k", "esr", 0.31, {"frequency_hz": 1e5}),
        ("47uF@120Hz", "capacitance", 47e-6, {"frequency_hz": 120}),
        ("47 ± 0.5 uF", "capacitance", 47e-6, {"uncertainty": 0.5e-6}),
        ("47 uF +/- 0.5", "capacitance", 47e-6, {"uncertainty": 0.5e-6}),
        ("47 µF ±20%", "capacitance_rated", 47e-6,
         {"tolerance_low": -0.2, "tolerance_high": 0.2}),
        ("32 µF -10/+50 %", "capacitance_rated", 32e-6,
         {"tolerance_low": -0.1, "tolerance_high": 0.5}),
    ],
)  # fmt: skip
def test_conditions_beside_the_value_are_kept(text, quantity, value, conditions):
    cell = read_cell(text, quantity)
    assert cell.problem == ""
    assert cell.value == pytest.approx(value)
    assert dict(cell.conditions) == pytest.approx(conditions)


@pytest.mark.parametrize(
    ("text", "flag", "conditions"),
    [
        ("short @ 450 V", "short", {"voltage_v": 450}),
        ("OL @ 450 V", "over range", {"voltage_v": 450}),
        ("OL (1 kHz)", "over range", {"frequency_hz": 1000}),
    ],
)
def test_a_word_keeps_the_conditions_beside_it(text, flag, conditions):
    cell = read_cell(text, "leakage_current", unit="mA")
    assert (cell.flag, cell.problem) == (flag, "")
    assert dict(cell.conditions) == conditions


SPELT = {"F": "47 µF", "Ω": "2 ohm", "V": "40 V", "A": "3 mA", "Hz": "120 Hz", "s": "5 min",
         "%": "5 %", "°C": "20 °C", "a": "30 years"}  # fmt: skip


@pytest.mark.parametrize("dimension", SPELT)
@pytest.mark.parametrize("quantity", RULES)
def test_a_unit_of_another_kind_never_gives_a_value(quantity, dimension):
    cell = read_cell(SPELT[dimension], quantity, rated=50e-6)
    fitting = {
        "1": {"%"} if quantity != "q" else set(),
        "any": {"F", "Ω", "A", "V", "%"},
        "F": {"F", "%"} if quantity != "capacitance_rated" else {"F"},
    }.get(RULES[quantity].dimension, {RULES[quantity].dimension})
    if dimension in fitting:
        return
    assert math.isnan(cell.value)
    assert cell.problem


@pytest.mark.parametrize(
    ("text", "at_least"), [("over 20mA", 0.02), ("Over 20 mA", 0.02), ("über 20 mA", 0.02)]
)
def test_over_before_a_number_is_a_bound(text, at_least):
    cell = read_cell(text, "leakage_current")
    assert math.isnan(cell.value)
    assert cell.at_least == at_least


def test_a_percentage_behind_plus_minus_is_no_value():
    cell = read_cell("47 uF (+/-5%)", "capacitance")
    assert cell.value == 47e-6
    assert "tolerance or uncertainty is not said" in cell.flag


def test_a_plain_number_that_only_fits_the_rating_in_farads_is_asked_about():
    cell = read_cell("0.000047", "capacitance", rated=47e-6)
    assert math.isnan(cell.value)
    assert cell.problem.startswith("ambiguous: 4.7e-05 µF or F")


def test_percent_of_rated_and_deviation_need_the_rating():
    for text in ("83%", "-17%", "-17 %"):
        assert read_cell(text, "capacitance", rated=220e-6).value == pytest.approx(182.6e-6)
    assert read_cell("83", "capacitance_percent", rated=220e-6).value == pytest.approx(182.6e-6)
    assert read_cell("12", "capacitance_deviation", rated=100e-6).value == pytest.approx(112e-6)
    assert "rating that is not given" in read_cell("83%", "capacitance").problem
    assert read_cell("5 %", "capacitance", rated=220e-6).problem.startswith("ambiguous")
    assert read_cell("5 %", "uncertainty", rated=100e-6).value == pytest.approx(5e-6)
    assert "value that is not given" in read_cell("5 %", "uncertainty").problem


@pytest.mark.parametrize(
    ("text", "quantity", "rated", "value", "flag"),
    [
        ("47", "capacitance", nan, 47e-6, "no unit: taken as µF"),
        ("47", "capacitance", 50e-6, 47e-6, "no unit: taken as µF"),
        ("0.05", "capacitance", 47e-6, 0.05e-6, "no unit: taken as µF"),
        ("0.0001", "capacitance", nan, 1e-10, "no unit: taken as µF"),
        ("0.000047", "capacitance", nan, 47e-12, "no unit: taken as µF"),
        ("1E-4", "capacitance", nan, 1e-4, "no unit: taken as F"),
        ("4.7e-05", "capacitance", nan, 4.7e-5, "no unit: taken as F"),
        ("4.6e-05", "capacitance", 47e-6, 4.6e-5, "no unit: taken as F"),
        ("+1.234E-03", "leakage_current", nan, 1.234e-3, "no unit: taken as A"),
        ("0.31", "esr", nan, 0.31, ""),
        ("−0,3 µA", "leakage_current", nan, -0.3e-6, "negative current"),
        ("~47uF", "capacitance", nan, 47e-6, "approximate"),
        ("ca. 47 µF", "capacitance", nan, 47e-6, "approximate"),
        ("env. 47 µF", "capacitance", nan, 47e-6, "approximate"),
        ("1.2mA rising", "leakage_current", nan, 1.2e-3, "rising"),
        ("47 uF parallel", "capacitance", nan, 47e-6, "parallel equivalent"),
    ],
)
def test_what_was_taken_as_something_is_said(text, quantity, rated, value, flag):
    cell = read_cell(text, quantity, rated=rated)
    assert cell.value == pytest.approx(value)
    assert cell.flag.startswith(flag)
    assert (cell.flag == "") == (flag == "")


@pytest.mark.parametrize(
    ("text", "quantity", "unit", "problem"),
    [
        ("850", "leakage_current", "", "µA or mA"),
        ("12.4", "tan_delta", "", "ambiguous: tan δ 12.4 or 12.4 %"),
        ("5", "uncertainty", "", "no unit"),
        ("450 V", "capacitance", "uF", "unit of V, not of capacitance"),
        ("47", "capacitance", "V", "'V' is not a unit of capacitance"),
        ("47", "capacitance", "blah", "unit not understood"),
        ("-5", "capacitance", "uF", "negative capacitance"),
        ("-0.3", "esr", "", "negative esr"),
        ("1e9", "capacitance", "F", "capacitance out of range"),
        ("1e6", "voltage_rated", "V", "voltage rated out of range"),
        ("3000", "age_years", "", "age out of range"),
        ("47 banana", "capacitance", "uF", "not understood: 'banana'"),
        ("47²", "esr", "", "not understood"),
        ("47 uF after", "capacitance", "", "not understood: 'after'"),
        ("40.6/38.2/10.5", "capacitance", "uF", "several values"),
        ("40+40", "capacitance", "uF", "several values"),
        ("47 @ 1,000 V", "capacitance", "uF", "not understood: '1,000 V'"),
        ("10K", "capacitance_rated", "", "a prefix without a unit"),
        ("47-45", "capacitance", "uF", "a range that does not rise"),
        ("@ 400 V", "leakage_current", "mA", "has a unit of V"),
        ("foo", "esr", "", "not understood: 'foo'"),
        ("OL 20 mA", "leakage_current", "", "a word and a value"),
        ("short 0.2 ohm", "esr", "", "a word and a value"),
        ("47 uF / 0.3 ohm", "capacitance", "", "several values"),
        ("9" * 400, "esr", "", "400 characters"),
    ],
)
def test_a_cell_that_cannot_be_used_says_why_and_what_to_do(text, quantity, unit, problem):
    cell = read_cell(text, quantity, unit=unit)
    assert problem in cell.problem
    assert cell.remedy != ""
    assert math.isnan(cell.value)


CELLS = st.one_of(
    st.text(max_size=25),
    st.floats().map(repr),
    st.floats(-10, 1e5).map(lambda x: f"{x:.3f}"),
    st.floats(0, 1e5).map(lambda x: f"{x:.2f}".replace(".", ",")),
    st.floats(0, 1e3).map(lambda x: f"{x:.3E}"),
    st.builds(
        lambda x, unit: f"{x:.3g}{unit}",
        st.floats(0, 2000),
        st.sampled_from([" uF", "µF", "mF", " nF", "V", "mA", " A", "m", "k", "%", " ohm", " min",
                         "Hz", "MF", " years", "R", "°C", " K", "a"]),
    ),
    st.sampled_from(["", " ", "OL", "1,234", "1.234", "1_000", "nan", "inf", "9.91E37", "short",
                     "0", "-0", "٤٧", "４７", "1e400", "47 uF @ 1kHz",
                     ">20 mA", "-0.5 mA", "1e00005"]),
)  # fmt: skip


@settings(max_examples=400)
@given(
    st.lists(CELLS, max_size=6),
    st.sampled_from(sorted(RULES)),
    st.sampled_from(
        ["", "uF", "mF", "nF", "%", "mA", "A", "mohm", "V", "min", "k", "1", "°F", "zz"]
    ),
    st.sampled_from([None, ".", ","]),
    st.sampled_from([nan, 1e-6, 1e-3, 47e-6]),
)
@example(["1.234", ""], "capacitance", "uF", None, 1e-3)
@example(["0.01", "500000"], "capacitance", "", None, nan)
def test_a_column_gives_what_its_cells_give(texts, quantity, unit, decimal, rated):
    ratings = np.full(len(texts), rated)
    column = read_column(texts, quantity, unit=unit, decimal=decimal, rated=ratings)
    for row, text in enumerate(texts):
        cell = read_cell(text, quantity, unit=unit, decimal=decimal, rated=rated)
        assert same(column.value[row], cell.value), (text, cell)
        assert same(column.at_least[row], cell.at_least)
        assert same(column.at_most[row], cell.at_most)
        assert column.flag[row] == cell.flag
        assert (row in column.cells) == bool(cell.problem or cell.conditions)


@settings(max_examples=400)
@given(CELLS, st.sampled_from(sorted(RULES)), st.sampled_from(["", "uF", "%", "mA", "zz"]))
def test_every_cell_is_a_value_a_bound_a_flag_a_problem_or_blank(text, quantity, unit):
    cell = read_cell(text, quantity, unit=unit)
    assert not math.isinf(cell.value)
    if math.isnan(cell.value) and cell is not BLANK:
        assert cell.flag or cell.problem
    if cell.problem:
        assert cell.remedy
        assert math.isnan(cell.value)


@given(
    st.floats(1, 900).map(lambda x: f"{x:.1f}"),
    st.text(alphabet="zqjwx#$&!", min_size=2, max_size=6),
    st.booleans(),
)
def test_no_value_comes_from_a_cell_with_text_nobody_read(number, junk, before):
    text = f"{junk} {number} µF" if before else f"{number} µF {junk}"
    cell = read_cell(text, "capacitance")
    assert math.isnan(cell.value)
    assert "not understood" in cell.problem


def test_a_column_without_ratings_is_read_too():
    column = read_column(["47", "OL", "", "850 nF"], "capacitance", unit="uF")
    assert column.value.tolist()[:1] == [47e-6]
    assert column.flag.tolist() == ["", "over range", "", ""]
    assert column.value[3] == 850e-9
    assert column.cells == {}


@pytest.mark.parametrize("text", ["6 mo", "6 months", "6 Monate"])
def test_months_idle_are_half_a_year(text):
    assert read_cell(text, "idle_years").value == pytest.approx(0.5)
