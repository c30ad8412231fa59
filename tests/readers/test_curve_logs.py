"""Logs of reforming runs as loggers and people write them; each is small and ugly in one way."""

from __future__ import annotations

import math

import numpy as np
import pytest

from captriage.errors import ReadingsError
from captriage.readers.curve_logs import read_curve_log

NAN = math.nan


@pytest.fixture
def log(tmp_path):
    """Read a log given as text."""

    def read(text, *, name="C12.csv", encoding="utf-8", **told):
        path = tmp_path / name
        path.write_bytes(text.encode(encoding))
        return read_curve_log(path, **told)

    return read


READ = {
    # name: (text, time s, current A, supply V)
    "comma, units in the headings": (
        "time (s),supply (V),current (mA)\n0,112,1.05\n5,112,0.6\n10,225,0.4\n",
        [0, 5, 10], [1.05e-3, 0.6e-3, 0.4e-3], [112, 112, 225],
    ),
    "semicolon and decimal comma": (
        "Zeit (min);Spannung (V);Strom (µA)\n0;112,5;1050\n0,5;112,5;600,5\n1;112,5;400\n",
        [0, 30, 60], [1050e-6, 600.5e-6, 400e-6], [112.5] * 3,
    ),
    "tabs, units in the cells, ranges changing": (
        "t\tI\tU\n0 s\t1.2 mA\t450 V\n10 s\t900 µA\t450 V\n20 s\t0.0007 A\t450 V\n",
        [0, 10, 20], [1.2e-3, 0.9e-3, 0.7e-3], [450] * 3,
    ),
    "a row of units": (
        "time,current,supply\ns,mA,V\n0,1.2,112\n1,1.1,112\n2,1.0,112\n",
        [0, 1, 2], [1.2e-3, 1.1e-3, 1e-3], [112] * 3,
    ),
    "elapsed clock": (
        "elapsed (hh:mm:ss),I (mA)\n00:00:00,1.2\n00:01:30,0.9\n26:00:00,0.4\n",
        [0, 90, 93600], [1.2e-3, 0.9e-3, 0.4e-3], [NAN] * 3,
    ),
    "UTC time over midnight": (
        "timestamp,I (mA)\n2026-11-03T23:59:50Z,1.2\n2026-11-04T00:00:00Z,1\n"
        "2026-11-04T00:01:00Z,0.9\n",
        [0, 10, 70], [1.2e-3, 1e-3, 0.9e-3], [NAN] * 3,
    ),
    "time of day over midnight": (
        "Uhrzeit;Strom (mA)\n23:59:50;1,2\n00:00:00;1,0\n00:01:00;0,9\n",
        [0, 10, 70], [1.2e-3, 1e-3, 0.9e-3], [NAN] * 3,
    ),
    "date and time in two columns": (
        "date;time;I (mA)\n03.11.2026;23:59:50;1,2\n04.11.2026;00:00:00;1,0\n"
        "04.11.2026;00:01:00;0,9\n",
        [0, 10, 70], [1.2e-3, 1e-3, 0.9e-3], [NAN] * 3,
    ),
    "milliseconds since 1970": (
        "timestamp,I (A)\n1764300000000,1.2e-3\n1764300000500,1e-3\n1764300010000,9e-4\n",
        [0, 0.5, 10], [1.2e-3, 1e-3, 0.9e-3], [NAN] * 3,
    ),
    "no headings, two columns": (
        "0\t1.2e-3\n10\t8e-4\n20\t5e-4\n", [0, 10, 20], [1.2e-3, 8e-4, 5e-4], [NAN] * 3,
    ),
    "no headings, units in the cells": (
        "0 s, 450 V, 1.2 mA\n10 s, 450 V, 0.9 mA\n20 s, 450 V, 800 µA\n",
        [0, 10, 20], [1.2e-3, 0.9e-3, 0.8e-3], [450] * 3,
    ),
    "a line a quantity": (
        "time,quantity,value,unit\n00:00:00,current,1.2,mA\n00:00:00,supply,112,V\n"
        "00:00:10,current,0.8,mA\n00:00:20,supply,225,V\n00:00:20,current,900,µA\n",
        [0, 10, 20], [1.2e-3, 0.8e-3, 0.9e-3], [112, 112, 225],
    ),
    "voltage written only when it is raised": (
        "t (s),set V,I (mA)\n0,112,1.2\n5,,0.9\n10,225,2.0\n15,,1.1\n",
        [0, 5, 10, 15], [1.2e-3, 0.9e-3, 2e-3, 1.1e-3], [112, 112, 225, 225],
    ),
    "newest first": (
        "t (s),I (mA)\n20,0.8\n10,0.9\n0,1.2\n", [0, 10, 20], [1.2e-3, 0.9e-3, 0.8e-3], [NAN] * 3,
    ),
    "a footer and comments": (
        "# logged overnight\nt (s),I (mA)\n0,1.2\n# range changed\n10,0.9\n20,0.8\nMean,0.97\n",
        [0, 10, 20], [1.2e-3, 0.9e-3, 0.8e-3], [NAN] * 3,
    ),
    "meter leads reversed": (
        "t (s),I (mA)\n0,-1.2\n10,-0.9\n20,-0.8\n", [0, 10, 20], [1.2e-3, 0.9e-3, 0.8e-3],
        [NAN] * 3,
    ),
    "meter leads reversed, and noise": (
        "t (s),I (nA)\n0,-1200\n10,-900\n20,5\n30,-700\n", [0, 10, 20, 30],
        [1.2e-6, 0.9e-6, -5e-9, 0.7e-6], [NAN] * 4,
    ),
    "an offset below nought after the clips slipped off": (
        "t (s),I (µA)\n0,1200\n10,-0.1\n20,-0.1\n30,-0.1\n", [0, 10, 20, 30],
        [1.2e-3, -1e-7, -1e-7, -1e-7], [NAN] * 4,
    ),
    "a column for each range of the meter": (
        "t (s),I (mA),I (µA)\n0,1.2,\n10,1.1,\n20,,950\n30,,900\n", [0, 10, 20, 30],
        [1.2e-3, 1.1e-3, 950e-6, 900e-6], [NAN] * 4,
    ),
    "units in a column of their own": (
        "t (s),current,unit,supply V\n0,1.2,mA,112\n10,900,µA,112\n20,800,µA,112\n",
        [0, 10, 20], [1.2e-3, 0.9e-3, 0.8e-3], [112] * 3,
    ),
    "a scanning meter": (
        "Instrument,bench meter\nScan,Time,101 (VDC),102 (ADC)\n"
        "1,03/11/2026 14:05:10.000,112.0,1.2E-03\n2,03/11/2026 14:05:11.000,112.0,1.1E-03\n"
        "3,03/11/2026 14:05:12.500,112.0,1.0E-03\n",
        [0, 1, 2.5], [1.2e-3, 1.1e-3, 1e-3], [112] * 3,
    ),
    "by hand, lined up with spaces under a title": (
        "C7   reform of 3 November\n0 min   50 V   1.5 mA\n5 min   50 V   0.4 mA\n"
        "10 min  100 V  250 µA\n",
        [0, 300, 600], [1.5e-3, 0.4e-3, 0.25e-3], [50, 50, 100],
    ),
    "time of day without seconds": (
        "Uhrzeit;U (V);I (mA)\n14:05;112;1,2\n14:06;112;0,9\n14:10;112;0,7\n",
        [0, 60, 300], [1.2e-3, 0.9e-3, 0.7e-3], [112] * 3,
    ),
    "elapsed hours and minutes": (
        "elapsed (hh:mm),I (mA)\n0:00,1.2\n0:15,0.9\n1:10,0.7\n",
        [0, 900, 4200], [1.2e-3, 0.9e-3, 0.7e-3], [NAN] * 3,
    ),
    "elapsed minutes and seconds": (
        "elapsed (mm:ss),I (mA)\n0:00,1.2\n0:15,0.9\n75:10,0.7\n",
        [0, 15, 4510], [1.2e-3, 0.9e-3, 0.7e-3], [NAN] * 3,
    ),
    "not a number in the first line, and a sentinel": (
        "time_s,supply_v,current_a,part_v\n0,450,nan,0\n1,450,4e-3,30\n2,450,9.9e37,60\n"
        "3,450,3e-3,80\n4,450,2e-3,90\n",
        [0, 1, 2, 3, 4], [NAN, 4e-3, NAN, 3e-3, 2e-3], [450] * 5,
    ),
    "bounds in place of values": (
        "t (s),I (mA)\n0,>20 mA\n10,0.9\n20,<0.1 mA\n", [0, 10, 20], [20e-3, 0.9e-3, 0.1e-3],
        [NAN] * 3,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", READ)
def test_a_log_is_read_as_its_writer_meant_it(log, name):
    text, time_s, current_a, supply_v = READ[name]
    curve = log(text).curve
    np.testing.assert_allclose(curve.time_s, time_s)
    np.testing.assert_allclose(curve.current_a, current_a)
    np.testing.assert_allclose(curve.supply_v, supply_v)


def test_a_workbook_is_read_like_any_sheet(tmp_path):
    from openpyxl import Workbook

    book = Workbook()
    book.active.append(["notes of the bench"])
    page = book.create_sheet("run")
    for row in (["time (s)", "supply (V)", "current (mA)"], [0, 112, 1.05], [5, 112, 0.6],
                [10, 112, 0.4]):  # fmt: skip
        page.append(row)
    book.save(tmp_path / "run.xlsx")
    curve = read_curve_log(tmp_path / "run.xlsx").curve
    np.testing.assert_allclose(curve.current_a, [1.05e-3, 0.6e-3, 0.4e-3])
    page_only = read_curve_log(tmp_path / "run.xlsx", worksheet="run")
    np.testing.assert_allclose(page_only.curve.supply_v, 112)


def test_the_drop_over_a_told_resistor_gives_the_current(log):
    found = log("t (s),drop (mV),Vs\n0,1000,450\n5,-2,450\n10,800,450\n", series_ohm=100e3)
    np.testing.assert_allclose(found.curve.current_a, [10e-6, -0.02e-6, 8e-6])
    assert found.curve.series_ohm == 100e3
    assert "current from the drop over 100 kΩ" in found.remarks


def test_two_voltages_and_the_resistor_between_them_give_the_current(log):
    text = "t (s),supply V,part V\n0,450,440\n5,450,445\n10,450,447\n"
    found = log(text, series_ohm=100e3)
    np.testing.assert_allclose(found.curve.current_a, [1e-4, 5e-5, 3e-5])
    np.testing.assert_allclose(found.curve.part_v, [440, 445, 447])


def test_the_lines_above_tell_part_rating_resistor_and_supply(log):
    found = log(
        "Part: C12 32 µF 450 V\nMade: 1959\nSeries resistor: 100k\nSupply;112 V\nKind: re-test\n"
        "Date: 2026-11-03\nmy old notes\nt (s);I (mA)\n0;1,2\n5;0,9\n10;0,8\n",
        name="run7.csv",
    )
    assert (found.part, found.rating, found.made) == ("C12", "32 µF 450 V", "1959")
    assert found.curve.series_ohm == 100e3
    np.testing.assert_allclose(found.curve.supply_v, 112)
    assert found.retest
    assert found.set_aside["found"].tolist() == ["my old notes"]


def test_a_column_that_names_one_part_names_the_part(log):
    found = log("part,t (s),I (mA)\nC3,0,1\nC3,5,2\nC3,9,1\n")
    assert found.part == "C3"


@pytest.mark.parametrize(
    ("line", "is_one"), [("re-test", True), ("Retest.", True), ("before the re-test", False)]
)
def test_a_line_above_the_headings_says_that_it_is_a_re_test_by_that_word_alone(log, line, is_one):
    found = log(f"{line}\nt (s),I (mA)\n0,1\n5,0.9\n9,0.8\n")
    assert found.retest is is_one
    assert found.set_aside.empty is is_one


@pytest.mark.parametrize("name", ["C12_retest.csv", "C12 re-test.csv", "C12 nach Ruhe.csv"])
def test_the_name_of_a_file_may_say_that_it_is_the_re_test(log, name):
    assert log("t (s),I (mA)\n0,1\n5,0.9\n9,0.8\n", name=name).retest


def test_what_is_not_used_is_set_aside_with_its_place_and_remedy(log):
    found = log(
        "t (s),I (mA),temp (°C),note\n0,1.2,20,\n5,abc,20,hissed\n10,OL,20,\n15,0.9,21,\n20,0.8,,\n"
    )
    aside = found.set_aside
    places = list(zip(aside["line"], aside["column"], aside["found"], strict=True))
    assert places == [(1, 3, "temp (°C)"), (3, 2, "abc"), (3, 4, "hissed"), (4, 2, "OL")]
    assert (aside["remedy"] != "").all()
    assert np.isnan(found.curve.current_a[[1, 2]]).all()


def test_two_lines_at_one_time_count_once_and_the_second_is_set_aside(log):
    found = log("t (s),V,I (mA)\n0,112,1.2\n10,112,0.9\n10,225,0.8\n20,225,3\n")
    np.testing.assert_allclose(found.curve.time_s, [0, 10, 20])
    assert found.set_aside["reason"].tolist() == ["a second line at the same time"]
    assert found.set_aside["found"].tolist() == ["10 | 225 | 0.8"]


def test_another_run_in_the_same_file_is_not_mixed_in_and_leaves_a_doubt(log):
    found = log("t (s),I (mA)\n0,1.2\n10,0.9\n20,0.8\n0,5\n10,4\n20,3\n")
    np.testing.assert_allclose(found.curve.time_s, [0, 10, 20])
    assert found.set_aside["line"].tolist() == [5, 6, 7]
    assert found.doubts == (
        "the time begins anew in line 5, and what follows is not in this curve",
    )


def test_a_current_beyond_the_range_at_the_end_leaves_a_doubt(log):
    found = log("t (s),I (mA)\n0,1.2\n10,0.9\n20,0.8\n30,OL\n40,OL\n")
    assert found.doubts == (
        "the current went over the meter's range after 20 s and was not seen again",
    )


def test_a_current_beyond_the_range_while_it_charges_leaves_none(log):
    found = log("t (s),I (mA)\n0,OL\n10,OL\n20,0.8\n30,0.7\n40,0.6\n")
    assert found.doubts == ()
    assert "the current was over the meter's range in 2 lines: what it was there is not known" in (
        found.remarks
    )


def test_a_date_of_either_order_does_no_harm_where_only_its_differences_count(log):
    rows = [f"11/03/2026,02:05:{s}0 PM,1.{s}" for s in range(4)]
    found = log("Date,Time,I (mA)\n" + "\n".join(rows) + "\n")
    np.testing.assert_allclose(found.curve.time_s, [0, 10, 20, 30])
    assert found.set_aside.empty
    assert found.remarks == (
        "the date may be read in two ways: only the time between readings was used",
    )


def test_a_cell_that_is_no_time_is_set_aside_with_its_line(log):
    found = log("t (s),I (mA)\n0,1\nlater,2\n10,3\n20,1\n")
    assert found.set_aside["found"].tolist() == ["later | 2", "later"]
    assert found.set_aside["line"].tolist() == [3, 3]
    assert found.curve.time_s.tolist() == [0, 10, 20]


def test_a_gap_is_told(log):
    rows = [f"{t},1.0" for t in (*range(0, 100, 10), *range(5000, 5100, 10))]
    found = log("t (s),I (mA)\n" + "\n".join(rows) + "\n")
    assert "no reading from 90 s to 5000 s" in found.remarks


def test_names_of_columns_may_be_told_beside_the_log(log):
    found = log("0,450,1.2\n5,450,0.9\n10,450,0.8\n", columns="time s, supply V, current mA")
    np.testing.assert_allclose(found.curve.current_a, [1.2e-3, 0.9e-3, 0.8e-3])


def test_a_constant_supply_may_be_told_beside_the_log(log):
    found = log("t (s),I (mA)\n0,1\n5,0.9\n9,0.8\n", supply_v=300.0)
    np.testing.assert_allclose(found.curve.supply_v, 300.0)


@pytest.mark.parametrize(
    ("text", "told", "message"),
    [
        ("a,b\n1,2\n", {}, r"no log in it \(the first row is: a, b\); give its columns headings"),
        ("t (s),drop (V)\n0,1\n5,1\n9,1\n", {}, "resistor that is not told; tell the resistor"),
        ("t (s),supply,part V\n0,9,8\n5,9,8\n", {}, "two voltages and no current; tell the res"),
        ("t (s),supply V,I (mA)\n0,9,8\n1,9,8\n2,9,8\n", {"supply_v": 9.0}, "leave --supply out"),
        ("time,I (mA)\n14:05,1\n14:06,2\n14:07,3\n", {}, "may be hours and minutes, or minutes"),
        ("part,t (s),I (mA)\nC1,0,8\nC2,1,8\n", {}, r"lines of several parts \(C1, C2\)"),
        ("t (s),I (mA)\n0,1\n5,2\n", {}, "2 readings of current that have a time; at least 3"),
        ("t (s),I\n0,1\n5,2\n9,3\n", {}, "most often: no unit: µA or mA is not said"),
        ("0,450\n1,450\n2,450\n", {}, "no log in it"),
        ("t,V,I (mA)\n0,1,1\n", {"columns": "t s, supply V"}, "no current in it; log the current"),
    ],
)  # fmt: skip
def test_a_log_of_which_nothing_can_be_used_is_refused_with_the_remedy(log, text, told, message):
    with pytest.raises(ReadingsError, match=message):
        log(text, **told)


def test_a_long_gap_is_told_in_hours(tmp_path):
    path = tmp_path / "C1.csv"
    times = [*range(0, 7200, 60), *range(90_000, 97_200, 60)]  # 25 h later it goes on
    rows = "".join(f"{t},450,0.3\n" for t in times)
    path.write_text(f"time (s),supply (V),current (mA)\n{rows}", encoding="utf-8")
    assert "no reading from 7140 s to 25 h" in read_curve_log(path).remarks
