"""The registry of published limits: every row whole, and the same as its data sheet."""

import csv
import re
from pathlib import Path

import numpy as np
import pytest

from captriage.judging import limits
from published import assert_published

SHEET = Path(__file__).parents[1] / "data" / "datasheet_limits.csv"
ROWS = list(csv.DictReader(SHEET.read_text("utf-8").splitlines()))
LEAKAGE_ROWS = [row for row in ROWS if row["quantity"] == "leakage_max"]
RATED = {**limits.LEAKAGE_LIMITS, **limits.TAN_DELTA_LIMITS}
SANE = np.array([[100e-6, 100e-6, 100e-6], [25.0, 63.0, 450.0]])
YEARS = {"vintage": 1955.0, "between": 1975.0, "modern": 2005.0, "unknown": np.nan}


def printed_number(row):
    return float(re.search(r"\d+", row["printed"]).group()) / 100


def printed(quantity):
    return printed_number(next(row for row in ROWS if row["quantity"] == quantity))


@pytest.mark.parametrize("key", limits.LIMITS)
def test_every_limit_says_what_it_is_and_where_it_comes_from(key):
    row = limits.LIMITS[key]
    assert row.key == key
    assert re.fullmatch(r"[a-z0-9_]+", key)
    assert len(row.title) > 5
    assert len(row.reference) > 5
    assert row.standing in limits.STANDINGS


def test_no_two_limits_share_a_key():
    families = (
        limits.LEAKAGE_LIMITS,
        limits.TAN_DELTA_LIMITS,
        limits.END_OF_LIFE,
        limits.TOLERANCE_KEYS,
    )
    assert len(limits.LIMITS) == sum(map(len, families))


@pytest.mark.parametrize("key", RATED)
def test_every_limit_is_a_finite_number_for_some_sane_rating(key):
    values = RATED[key].function(*SANE)
    assert np.isfinite(values).any()
    assert (values[np.isfinite(values)] > 0).all()


@pytest.mark.parametrize("key", RATED)
def test_every_limit_is_unknown_for_an_unknown_rating(key):
    assert np.isnan(RATED[key].function([np.nan, 100e-6], [63.0, np.nan])).all()


@pytest.mark.parametrize("key", RATED)
def test_memory_is_admitted_in_the_reference(key):
    remembered = "no document read" in RATED[key].reference or "remembered" in RATED[key].reference
    assert (RATED[key].standing == "from memory") == remembered


@pytest.mark.parametrize("microfarads", [0.47, 2.2, 10, 47, 1000])
@pytest.mark.parametrize("voltage", [6.3, 50, 100, 160, 450])
def test_general_purpose_leakage_is_the_formula_the_sheet_prints(microfarads, voltage):
    low, high_small, high_large = LEAKAGE_ROWS
    high = high_small if microfarads * voltage <= 1000 else high_large
    line = low if voltage <= 100 else high
    microamps = eval(line["printed"], {"max": max, "C_uF": microfarads, "V": voltage})
    limit = limits.LEAKAGE_LIMITS["general_purpose"]
    assert limit.function(microfarads * 1e-6, voltage) == pytest.approx(microamps * 1e-6)
    minutes = float(re.search(r"(\d+) minutes", line["condition"]).group(1))
    assert limit.soak(voltage) == minutes * 60
    assert f"{limit.temperature_degc:.0f} C" in line["condition"]


def test_the_sheet_prints_three_lines_of_leakage():
    assert [row["rating"] for row in LEAKAGE_ROWS] == [
        "<=100",
        ">100 and CV<=1000",
        ">100 and CV>1000",
    ]


@pytest.mark.parametrize(
    ("key", "minutes"),
    [
        ("vintage_kc", 5),  # MIL-C-62F 4.5.3
        ("cv_2min", 2),  # doc. 28309
        ("cv_5min", 5),
        ("high_voltage_5min", 5),  # Lelon RGA
        ("axial_1min", 1),  # doc. 28327
        ("axial_small_1min", 1),
        ("axial_5min", 5),
        ("jis_w", 2),  # characteristic W
    ],
)
def test_soak_is_that_of_the_source(key, minutes):
    np.testing.assert_array_equal(limits.LEAKAGE_LIMITS[key].soak([25.0, 450.0]), minutes * 60)


def test_soak_of_an_unknown_voltage_is_unknown():
    assert np.isnan(limits.LEAKAGE_LIMITS["general_purpose"].soak(np.nan))
    np.testing.assert_array_equal(
        limits.LEAKAGE_LIMITS["general_purpose"].soak([100.0, 101.0]), [120, 300]
    )


def test_characteristic_w_is_read_at_25_degrees():
    assert limits.LEAKAGE_LIMITS["jis_w"].temperature_degc == 25


# A 40 µF 450 V part by each criterion that covers it, and a 10 µF 25 V part by the others;
# worked by hand from the formulas their sources print, or that are remembered.
WORKED = {
    "vintage_kc": "1900 µA",
    "cv_2min": "180 µA",
    "cv_5min": "39 µA",
    "high_voltage_5min": "385 µA",
    "general_purpose": "385 µA",
    "axial_1min": "2.5 µA",
    "axial_small_1min": "12.5 µA",
    "axial_5min": "5.5 µA",
    "cv_additive": "183 µA",
    "sqrt_cv": "402.5 µA",
    "power_cv": "289.6 µA",
    "long_life_can_5min": "112 µA",
    "iec_general_purpose": "560 µA",
    "iec_long_life": "112 µA",
    "jis_w": "180 µA",
    "jis_003cv": "540 µA",
    "prewar_dry": "4000 µA",
    "prewar_wet": "8000 µA",
}


@pytest.mark.parametrize("key", limits.LEAKAGE_LIMITS)
def test_row_of_leakage_has_the_figures_of_its_formula(key):
    rating = (10e-6, 25) if key.startswith("axial") else (40e-6, 450)
    assert_published(limits.LEAKAGE_LIMITS[key].function(*rating), WORKED[key])


def test_vintage_and_modern_criteria_of_a_40_microfarad_450_volt_part_are_never_mixed_up():
    of = {key: float(row.function(40e-6, 450)) for key, row in limits.LEAKAGE_LIMITS.items()}
    assert_published(of["vintage_kc"], "1900 µA")
    assert_published(of["vintage_kc"] / of["general_purpose"], "4.9")
    assert_published(of["vintage_kc"] / of["cv_2min"], "10.6")


def test_tan_delta_limits_name_their_frequency():
    frequencies = {key: row.frequency_hz for key, row in limits.TAN_DELTA_LIMITS.items()}
    assert frequencies.pop("long_life_snap_in") == 100  # EPCOS B41505/B43505
    assert set(frequencies.values()) == {120}


@pytest.mark.parametrize(
    ("key", "microfarads", "voltage", "expected"),
    [
        ("general_purpose_radial", 47, 450, "0.25"),  # Lelon RGA
        ("general_purpose_can", 47, 450, "0.20"),  # EPCOS B41851/B43851
        ("long_life_snap_in", 47, 450, "0.17"),  # EPCOS B41505/B43505
        ("low_impedance", 100, 35, "0.12"),  # EPCOS/TDK B41856
    ],
)
def test_tan_delta_row_is_its_own_data_sheet(key, microfarads, voltage, expected):
    limit = limits.TAN_DELTA_LIMITS[key].function(microfarads * 1e-6, voltage)
    assert_published(limit, expected)


@pytest.mark.parametrize("key", limits.END_OF_LIFE)
def test_wear_is_a_loss_of_capacitance_or_a_rise_of_loss(key):
    row = limits.END_OF_LIFE[key]
    assert -0.5 < row.capacitance_low < 0
    factors = [row.esr_factor, row.tan_delta_factor]
    assert np.isfinite(factors).any()
    assert not np.less_equal(factors, 1.0).any()
    assert row.voltage_above < row.voltage_up_to


@pytest.mark.parametrize(
    ("key", "capacitance", "esr", "tan_delta", "leakage"),
    [
        # Vishay BCcomponents doc. 28340, 07-Nov-05, p. 64, Tables 4 and 5
        ("endurance_85_low_voltage", "15 %", "1.3", "", "1"),
        ("endurance_85_high_voltage", "10 %", "1.3", "", "1"),
        ("useful_life_85_low_voltage", "45 %", "3", "", "1"),
        ("useful_life_85_high_voltage", "30 %", "3", "", "1"),
        ("shelf_test_85", "10 %", "1.2", "", "2"),
        # Vishay BCcomponents doc. 28375, 07-Oct-09, p. 98, Table 4
        ("endurance_105", "15 %", "1.3", "", ""),
        ("useful_life_105", "20 %", "3", "", ""),
        ("shelf_test_105", "15 %", "1.5", "", "2"),
        # EPCOS/TDK B41856, Dec 2014
        ("useful_life_low_impedance", "40 %", "", "3", "1"),
        # Lelon RGA series
        ("load_life", "20 %", "", "2", "1"),
        ("shelf_life", "20 %", "", "2", "1"),
        # Wikipedia, "Aluminum electrolytic capacitor"
        ("degradation", "30 %", "3", "3", ""),
    ],
)
def test_criterion_of_wear_is_the_printed_one(key, capacitance, esr, tan_delta, leakage):
    row = limits.END_OF_LIFE[key]
    assert_published(-row.capacitance_low, capacitance)
    for value, text in (
        (row.esr_factor, esr),
        (row.tan_delta_factor, tan_delta),
        (row.leakage_factor, leakage),
    ):
        if text:
            assert_published(value, text)
        else:
            assert np.isnan(value)


def test_load_and_shelf_life_are_the_lines_of_the_data_sheet():
    assert limits.END_OF_LIFE["load_life"].capacitance_high == printed("endurance_C_change")
    assert limits.END_OF_LIFE["shelf_life"].capacitance_low == -printed("shelf_C_change")
    assert limits.END_OF_LIFE["load_life"].tan_delta_factor == printed("endurance_tan_delta")


def test_repair_shop_rule_is_no_more_than_common_practice():
    row = limits.END_OF_LIFE["repair_shop"]
    assert row.standing == "common practice"
    assert (row.capacitance_low, row.esr_factor) == (-0.20, 2.0)


@pytest.mark.parametrize(
    ("era", "voltage", "low", "high"),
    [
        ("vintage", 25, -0.10, 2.50),  # ladder of US catalogues, from memory
        ("vintage", 50, -0.10, 2.50),
        ("vintage", 51, -0.10, 1.00),
        ("vintage", 350, -0.10, 1.00),
        ("vintage", 450, -0.10, 0.50),
        ("between", 25, -0.20, 0.50),  # characteristic W of JIS C 5141: -10/+50; or ± 20
        ("between", np.nan, -0.20, 0.50),
        ("modern", 25, -0.20, 0.20),  # large cans, BC Components 051/053: ± 20 %
        ("modern", np.nan, -0.20, 0.20),
        ("unknown", 25, -0.20, 2.50),
        ("unknown", 300, -0.20, 1.00),
        ("unknown", 450, -0.20, 0.50),
        ("unknown", np.nan, -0.20, 2.50),
        ("vintage", np.nan, -0.20, 2.50),
        ("vintage", 2, -0.20, 2.50),
    ],
)
def test_usual_tolerance_of_an_era_and_voltage(era, voltage, low, high):
    found_low, found_high, index = limits.usual_tolerance(YEARS[era], voltage)
    assert (found_low, found_high) == (low, high)
    row = limits.TOLERANCES_USUAL[index]
    assert (row.low, row.high) == (low, high)
    assert limits.TOLERANCE_KEYS[index] == row.key


def test_modern_tolerance_is_that_of_the_large_can_sheet():
    low, high, _ = limits.usual_tolerance(2000, 400)
    assert high == -low == printed("tolerance")


def test_20_microfarads_25_volts_may_have_been_70_when_new_and_40_at_450_volts_60():
    # Worked from the ladder: -10/+250 % of 20 µF, -10/+50 % of 40 µF
    low, high, _ = limits.usual_tolerance(1955, [25, 450])
    np.testing.assert_allclose(np.array([20, 40]) * (1 + low), [18, 36])
    np.testing.assert_allclose(np.array([20, 40]) * (1 + high), [70, 60])


@pytest.mark.parametrize(
    ("year", "key"),
    [(1969, "vintage_us_to_50v"), (1970, "transition"), (1985, "transition"), (1986, "modern")],
)
def test_eras_of_tolerance_change_at_the_end_of_their_last_year(year, key):
    _, _, index = limits.usual_tolerance(year, 25)
    assert limits.TOLERANCE_KEYS[index] == key


@pytest.mark.parametrize("voltage", [2.0, 25.0, 50.5, 300.0, 350.5, 450.0, np.nan])
def test_nothing_is_condemned_on_a_guess(voltage):
    # Unknown era: no narrower than any era on either side
    widest_low, widest_high, _ = limits.usual_tolerance(np.nan, voltage)
    for year in YEARS.values():
        low, high, _ = limits.usual_tolerance(year, voltage)
        assert widest_low <= low
        assert high <= widest_high


def test_each_usual_tolerance_found_holds_for_its_own_years_and_voltages():
    years = np.arange(1925, 2025)[:, None]
    voltages = np.array([3, 6.3, 25, 50, 51, 160, 350, 351, 450, 500.0])
    _, _, index = limits.usual_tolerance(years, voltages)
    assert index.shape == (100, 10)
    for (i, j), place in np.ndenumerate(index):
        row = limits.TOLERANCES_USUAL[place]
        assert row.year_first <= years[i, 0] <= row.year_last
        assert row.voltage_low <= voltages[j] <= row.voltage_high


@pytest.mark.parametrize("row", limits.TOLERANCES_USUAL, ids=lambda row: row.key)
def test_title_of_a_usual_tolerance_prints_its_own_figures(row):
    figures = f"{row.low * 100:.0f}/+{row.high * 100:.0f} %"
    assert figures in row.title or (row.key == "modern" and "± 20 %" in row.title)
