"""Limits of tan δ against the printed tables."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.model import loss
from captriage.model.impedance import esr_from_tan_delta
from published import assert_published

SHEET = Path(__file__).parents[1] / "data" / "datasheet_limits.csv"
ROWS = list(csv.DictReader(SHEET.read_text("utf-8").splitlines()))
RADIAL = [row for row in ROWS if row["quantity"] == "tan_delta_max"]
VOLTS = [6.3, 10, 16, 25, 35, 50, 63, 100, 160, 200, 250, 350, 400, 450]
NAN = float("nan")
# 120 Hz, 20 °C: EPCOS B41851/B43851, Jan 2009, http://dtsheet.com/model/937187
CAN_GENERAL = [0.28, 0.24, 0.20, 0.16, 0.14, 0.12, 0.12, 0.10] + [0.20] * 6
# 100 Hz, 20 °C: EPCOS B41505/B43505, Nov 2008, https://dtsheet.com/doc/2535720/
SNAP_IN = [NAN, 0.20, 0.15, 0.11, 0.10, 0.08, 0.06, 0.06, 0.06, 0.13, 0.13, 0.13, 0.13, 0.17]
# 120 Hz, 20 °C: EPCOS/TDK B41856, Dec 2014, https://dtsheet.com/doc/2881633/
LOW_IMPEDANCE = [NAN, NAN, 0.16, 0.14, 0.12, 0.10] + [NAN] * 8
LIMITS = [
    loss.tan_delta_limit_radial_general,
    loss.tan_delta_limit_can_general,
    loss.tan_delta_limit_snap_in_long_life,
    loss.tan_delta_limit_low_impedance,
    loss.tan_delta_limit_vintage,
]


@pytest.mark.parametrize("row", RADIAL, ids=lambda row: row["rating"] + " V")
def test_radial_limit_is_the_cell_of_the_data_sheet(row):
    limit = loss.tan_delta_limit_radial_general(100e-6, float(row["rating"]))
    assert_published(limit, row["printed"])


def test_radial_data_sheet_was_read_whole():
    assert [float(row["rating"]) for row in RADIAL] == VOLTS


@pytest.mark.parametrize(
    ("limit", "printed"),
    [
        (loss.tan_delta_limit_can_general, CAN_GENERAL),
        (loss.tan_delta_limit_snap_in_long_life, SNAP_IN),
        (loss.tan_delta_limit_low_impedance, LOW_IMPEDANCE),
    ],
)
def test_limit_is_the_cell_of_the_printed_table(limit, printed):
    # 160 V is no column of the snap-in sheet: the lesser of its neighbours 100 V and 200 V
    np.testing.assert_array_equal(limit(100e-6, VOLTS), printed)


@pytest.mark.parametrize(
    ("microfarads", "worked"),
    [
        (1000, "0.09"),
        (1999, "0.09"),
        (2000, "0.11"),
        (3000, "0.13"),
        (4700, "0.15"),
        (7000, "0.21"),  # 7000 · 1e-6 comes out as 0.006999999999999999
    ],
)
def test_each_further_full_1000_microfarads_allows_two_hundredths(microfarads, worked):
    # Lelon RGA: 63 V, 0.09, "add 0.02 for every further 1000 µF above 1000 µF"
    assert_published(loss.tan_delta_limit_radial_general(microfarads * 1e-6, 63), worked)


def test_steps_in_part_are_the_looser_reading_and_none_leaves_the_table():
    keywords = {"voltage": 63.0, "capacitance": 4700e-6}
    part = loss.tan_delta_limit(loss.RADIAL_GENERAL, steps="part", **keywords)
    assert_published(part, "0.164")  # 0.09 + 3.7 · 0.02
    assert loss.tan_delta_limit(loss.RADIAL_GENERAL, steps="none", **keywords) == 0.09
    assert loss.tan_delta_limit_snap_in_long_life(4700e-6, 63) == 0.06  # its sheet has no rule


def test_unknown_way_to_count_steps_is_refused():
    with pytest.raises(ValueError, match=r"steps is 'half'; it may be 'full', 'part' or 'none'"):
        loss.tan_delta_limit(loss.RADIAL_GENERAL, 63.0, steps="half")


@pytest.mark.parametrize(
    ("voltage", "expected"),
    [(300, 0.17), (20, 0.14), (80, 0.08), (150, 0.08), (425, 0.25), (101, 0.08)],
)
def test_rating_between_two_columns_takes_the_stricter_of_them(voltage, expected):
    assert loss.tan_delta_limit_radial_general(40e-6, voltage) == expected


@pytest.mark.parametrize("limit", LIMITS)
@pytest.mark.parametrize(
    ("capacitance", "voltage"),
    [(1e-6, 6.0), (1e-6, 475.0), (1e-6, NAN), (NAN, 25.0), (0.0, 25.0), (-1e-6, 25.0)],
)
def test_rating_outside_the_table_gives_nan_not_a_limit(limit, capacitance, voltage):
    if limit is loss.tan_delta_limit_vintage and voltage == 6.0:
        assert limit(capacitance, voltage) > 0
    else:
        assert np.isnan(limit(capacitance, voltage))


@given(voltage=st.floats(6.3, 450), microfarads=st.floats(0.1, 1e5))
def test_limit_is_never_looser_than_both_neighbouring_columns(voltage, microfarads):
    volts = np.array(VOLTS)
    near = [volts[volts <= voltage].max(), volts[volts >= voltage].min()]
    limit = loss.tan_delta_limit_radial_general(microfarads * 1e-6, voltage)
    assert limit == loss.tan_delta_limit_radial_general(microfarads * 1e-6, near).min()


def test_vintage_band_is_wide_and_ends_at_250_volts():
    # From memory, low confidence: only its shape is checked here.
    low, high = loss.power_factor_band_vintage([40e-6, 1000e-6, 40e-6], [150, 12, 450])
    np.testing.assert_array_equal(low[:2], [0.10, 0.35])
    np.testing.assert_array_equal(high[:2], [0.25, 0.50])
    assert np.isnan([low[2], high[2]]).all()


def test_vintage_limit_is_the_tangent_whose_sine_is_the_power_factor():
    tangent = loss.tan_delta_limit_vintage([40e-6, 1000e-6], [150, 12])
    np.testing.assert_allclose(np.sin(np.arctan(tangent)), [0.25, 0.50])


def test_arrays_equal_their_scalars():
    capacitance = np.array([[1e-6], [3300e-6]])
    limits = loss.tan_delta_limit_radial_general(capacitance, VOLTS)
    assert limits.shape == (2, 14)
    assert limits[1, 3] == loss.tan_delta_limit_radial_general(3300e-6, 25)


def test_limit_of_4700_microfarads_63_volts_as_series_resistance():
    # tan δ 0.15 at 120 Hz: 0.15 / (2π · 120 Hz · 4700 µF)
    limit = loss.tan_delta_limit_radial_general(4700e-6, 63)
    assert_published(esr_from_tan_delta(limit, 4700e-6, frequency_hz=120), "0.0423 Ω")
