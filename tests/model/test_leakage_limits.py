"""Limits of leakage current against printed tables and worked figures."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.model import leakage_limits as leakage
from published import assert_published

DATA = Path(__file__).parents[1] / "data"
# Every cell of a printed table of the K·C + 0.3 mA limit (the JAN-C-62 form, to 500 V).
KC_TABLE = list(csv.DictReader((DATA / "leakage_limit_kc.csv").read_text("utf-8").splitlines()))
LIMITS = [
    leakage.leakage_limit_vintage,
    leakage.leakage_limit_prewar,
    leakage.leakage_limit_cv,
    leakage.leakage_limit_high_voltage,
    leakage.leakage_limit_general_purpose,
    leakage.leakage_limit_axial,
    leakage.leakage_limit_axial_small,
    leakage.leakage_limit_axial_5min,
    leakage.leakage_limit_sqrt_cv,
    leakage.leakage_limit_power_cv,
    leakage.leakage_limit_iec_general,
    leakage.leakage_limit_long_life,
]
PUBLISHED = [
    # JAN-C-62 as reported by amradio list post msg21215: printed worked examples
    pytest.param(leakage.leakage_limit_vintage, 20, 450, "1.1 mA", id="JAN-C-62 450 V"),
    pytest.param(leakage.leakage_limit_vintage, 20, 250, "0.7 mA", id="JAN-C-62 250 V"),
    # Nippon Chemi-Con FAQ, text under Fig. 1: 35 V 2200 µF, "770 µA" at 20 °C, 2 minutes
    pytest.param(leakage.leakage_limit_cv, 2200, 35, "770 µA", id="Chemi-Con FAQ, Fig. 1"),
]


def table_rows(standing):
    return [
        (
            float(row["capacitance_uf"]) * 1e-6,
            (float(row["voltage_lowest_v"]), float(row["voltage_highest_v"])),
            row["printed_ma"],
        )
        for row in KC_TABLE
        if row["standing"] == standing
    ]


@pytest.mark.parametrize(("limit", "microfarads", "voltage", "printed"), PUBLISHED)
def test_limit_is_the_printed_one(limit, microfarads, voltage, printed):
    assert_published(limit(microfarads * 1e-6, voltage), printed)


@pytest.mark.parametrize(("capacitance", "voltages", "printed"), table_rows("agrees"))
def test_vintage_limit_is_the_cell_of_the_printed_table(capacitance, voltages, printed):
    for voltage in voltages:
        assert_published(leakage.leakage_limit_vintage(capacitance, voltage), f"{printed} mA")


@pytest.mark.parametrize(("capacitance", "voltages", "printed"), table_rows("misprint"))
def test_four_printed_cells_disagree_with_the_formula_of_their_own_table(
    capacitance, voltages, printed
):
    # Misprints: 250 µF repeats the cell of 200 µF, 10 µF that of 12 µF; 4 µF and 125 µF belong
    # to no slope of the table. The formula is followed, and these cells must differ from it.
    for voltage in voltages:
        limit = leakage.leakage_limit_vintage(capacitance, voltage)
        assert abs(limit / (float(printed) * 1e-3) - 1) > 0.06


@pytest.mark.parametrize(("capacitance", "voltages", "printed"), table_rows("capped at 10 mA"))
def test_table_that_stops_at_10_ma_is_met_only_with_the_cap_asked_for(
    capacitance, voltages, printed
):
    for voltage in voltages:
        assert leakage.leakage_limit_vintage(capacitance, voltage) > 10.2e-3
        capped = leakage.leakage_limit_vintage(capacitance, voltage, cap=10e-3)
        assert_published(capped, f"{printed} mA")


def test_table_of_the_vintage_limit_was_read_whole():
    standings = [row["standing"] for row in KC_TABLE]
    assert len(standings) == 76
    assert standings.count("misprint") == 4
    assert standings.count("capped at 10 mA") == 4


# Worked from the formulas as the sources print them; µF, V, µA.
WORKED = [
    (leakage.leakage_limit_vintage, 40, 450, "1.9 mA"),
    (leakage.leakage_limit_vintage, 47, 350, "1.475 mA"),
    (leakage.leakage_limit_vintage, 16, 300, "0.70 mA"),
    (leakage.leakage_limit_vintage, 100, 25, "1.3 mA"),
    (leakage.leakage_limit_vintage, 470, 450, "19.1 mA"),
    (leakage.leakage_limit_vintage, 8, 450, "0.62 mA"),
    (leakage.leakage_limit_prewar, 8, 450, "0.8 mA"),
    (leakage.leakage_limit_cv, 10, 25, "3 µA"),
    (leakage.leakage_limit_cv, 40, 450, "180 µA"),
    (leakage.leakage_limit_high_voltage, 47, 450, "448.0 µA"),
    (leakage.leakage_limit_high_voltage, 40, 450, "385 µA"),
    (leakage.leakage_limit_high_voltage, 2.2, 400, "41.4 µA"),
    (leakage.leakage_limit_general_purpose, 2.2, 400, "41.4 µA"),
    (leakage.leakage_limit_general_purpose, 2200, 35, "770 µA"),
    (leakage.leakage_limit_axial, 10, 25, "2.5 µA"),
    (leakage.leakage_limit_axial, 1, 63, "1 µA"),
    (leakage.leakage_limit_axial, 100, 63, "41.8 µA"),
    (leakage.leakage_limit_axial, 10, 100, "24 µA"),
    (leakage.leakage_limit_axial_small, 1, 63, "5 µA"),
    (leakage.leakage_limit_axial_small, 10, 25, "12.5 µA"),
    (leakage.leakage_limit_axial_small, 10, 100, "24 µA"),
    (leakage.leakage_limit_axial_5min, 100, 63, "17.6 µA"),
    (leakage.leakage_limit_axial_5min, 10, 100, "10 µA"),
    (leakage.leakage_limit_sqrt_cv, 100, 100, "300.0 µA"),
    (leakage.leakage_limit_sqrt_cv, 40, 450, "402.5 µA"),
    (leakage.leakage_limit_sqrt_cv, 2200, 35, "832.5 µA"),
    (leakage.leakage_limit_power_cv, 40, 450, "289.6 µA"),
    (leakage.leakage_limit_power_cv, 2200, 35, "794.1 µA"),
    (leakage.leakage_limit_iec_general, 40, 450, "560 µA"),
    (leakage.leakage_limit_iec_general, 10, 25, "12.5 µA"),
    (leakage.leakage_limit_long_life, 40, 450, "112 µA"),
    (leakage.leakage_limit_long_life, 10, 25, "2.5 µA"),
]


@pytest.mark.parametrize(("limit", "microfarads", "voltage", "worked"), WORKED)
def test_limit_is_the_one_worked_by_hand_from_its_formula(limit, microfarads, voltage, worked):
    assert_published(limit(microfarads * 1e-6, voltage), worked)


@pytest.mark.parametrize(
    ("microfarads", "voltage", "factor", "offset", "worked"),
    [
        (220, 63, 0.002, 3e-6, "30.72 µA"),  # doc. 28309, 5 min companion
        (2200, 35, 0.01, 3e-6, "773 µA"),  # additive form of the encyclopedia
        (40, 450, 0.006, 4e-6, "112 µA"),  # long-life cans, from memory
    ],
)
def test_additive_limit_is_slope_and_offset(microfarads, voltage, factor, offset, worked):
    limit = leakage.leakage_limit_cv_additive(
        microfarads * 1e-6, voltage, factor=factor, offset=offset
    )
    assert_published(limit, worked)


@pytest.mark.parametrize(
    ("voltage", "slope"),
    [(100, 0.01), (101, 0.02), (250, 0.02), (251, 0.025), (350, 0.025), (351, 0.04), (500, 0.04)],
)
def test_vintage_slope_changes_at_the_printed_band_edges(voltage, slope):
    # mA per µF from a difference of two parts, so that the 0.3 mA cancels
    small, large = leakage.leakage_limit_vintage([10e-6, 11e-6], voltage)
    assert large - small == pytest.approx(slope * 1e-3)


def test_vintage_and_modern_limits_of_one_part_differ_fivefold_to_tenfold():
    vintage = leakage.leakage_limit_vintage(40e-6, 450)
    assert_published(vintage / leakage.leakage_limit_high_voltage(40e-6, 450), "4.9")
    assert_published(vintage / leakage.leakage_limit_cv(40e-6, 450), "10.6")


@pytest.mark.parametrize("limit", LIMITS)
@pytest.mark.parametrize("bad", [0.0, -1e-6, np.nan, np.inf])
def test_unusable_rating_gives_nan_not_a_limit(limit, bad):
    assert np.isnan(limit(bad, 100.0))
    assert np.isnan(limit(10e-6, bad))


@pytest.mark.parametrize(
    ("limit", "voltages"),
    [
        (leakage.leakage_limit_vintage, [500.1, 600]),
        (leakage.leakage_limit_high_voltage, [6.3, 100]),
        (leakage.leakage_limit_axial, [4, 80, 160, 450]),
        (leakage.leakage_limit_axial_small, [4, 80, 160, 450]),
        (leakage.leakage_limit_axial_5min, [4, 80, 160, 450]),
    ],
)
def test_voltage_that_the_source_does_not_cover_gives_nan(limit, voltages):
    assert np.isnan(limit(10e-6, voltages)).all()


@pytest.mark.parametrize(
    "limit",
    [
        leakage.leakage_limit_high_voltage,
        leakage.leakage_limit_iec_general,
        leakage.leakage_limit_long_life,
    ],
)
def test_two_step_limit_does_not_jump_at_1000_microcoulombs(limit):
    # 0.03·1000 + 15 = 0.02·1000 + 25; 0.05·1000 = 0.03·1000 + 20; 0.01·1000 = 0.006·1000 + 4
    below, at, above = limit(np.array([9.999999e-6, 10e-6, 10.000001e-6]), 100.0000001)
    assert below == pytest.approx(at, rel=1e-6)
    assert above == pytest.approx(at, rel=1e-6)


@pytest.mark.parametrize("limit", LIMITS)
@given(
    microfarads=st.lists(st.floats(0.1, 1e5), min_size=1, max_size=5),
    voltage=st.sampled_from([6.3, 16.0, 63.0, 100.0, 160.0, 350.0, 450.0]),
)
def test_array_is_its_scalars_and_a_larger_part_may_leak_more(limit, microfarads, voltage):
    farads = np.sort(np.array(microfarads) * 1e-6)
    limits = limit(farads, voltage)
    # A power of many numbers at once may differ from that of one in the last digit.
    one_by_one = [limit(each, voltage) for each in farads]
    np.testing.assert_allclose(limits, one_by_one, rtol=1e-14)
    assert np.isnan(limits).all() or (np.diff(limits) >= 0).all()


def test_ratings_broadcast():
    assert leakage.leakage_limit_vintage(np.ones((3, 1)) * 1e-6, [25, 450]).shape == (3, 2)
