"""Whole sheets to the frames: parts, readings, looks, and what was set aside."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from captriage.columns import located
from captriage.errors import ReadingsError
from captriage.readers.names import clean
from captriage.readers.sheets import read_frame, read_sheets
from readers.asked import part, reading

DATA = Path(__file__).parents[1] / "data"


# Wide sheets


def test_conditions_reach_the_readings_they_belong_to(sheet):
    sheets = sheet(
        "ref,C_uF,ESR,esr_freq_hz,leakage_uA,leakage_test_V,leakage_minutes,temp (°C)\n"
        "C1,47,0.3,100000,12,350,5,21\n"
    )
    assert reading(sheets, "C1", "esr", "frequency_hz") == 1e5
    assert np.isnan(reading(sheets, "C1", "capacitance", "frequency_hz"))
    assert reading(sheets, "C1", "leakage_current", "voltage_v") == 350
    assert reading(sheets, "C1", "leakage_current", "soak_s") == 300
    assert np.isnan(reading(sheets, "C1", "esr", "soak_s"))
    assert reading(sheets, "C1", "capacitance", "temperature_degc") == 21


def test_a_frequency_without_a_quantity_is_not_one_of_the_leakage(sheet):
    sheets = sheet("ref,C_uF,ESR,I_uA,frequency\nC1,47,0.3,12,120 Hz\n")
    assert reading(sheets, "C1", "capacitance", "frequency_hz") == 120
    assert reading(sheets, "C1", "esr", "frequency_hz") == 120
    assert np.isnan(reading(sheets, "C1", "leakage_current", "frequency_hz"))


def test_one_quantity_at_two_frequencies_is_two_readings(sheet):
    sheets = sheet("ref,ESR 100 Hz,ESR 100 kHz\nC1,0.9,0.3\n")
    assert sheets.readings["frequency_hz"].tolist() == [100, 1e5]
    assert sheets.readings["value"].tolist() == [0.9, 0.3]


def test_uncertainty_and_range_belong_to_the_reading_on_their_left(sheet):
    sheets = sheet("ref,C_uF,uncertainty (%),ESR,range\nC1,47,1,0.3,2 ohm\n")
    assert reading(sheets, "C1", "capacitance", "uncertainty") == pytest.approx(0.47e-6)
    assert reading(sheets, "C1", "esr", "range_high") == 2.0
    assert np.isnan(reading(sheets, "C1", "capacitance", "range_high"))


def test_a_bad_status_voids_the_value_beside_it_and_no_other(sheet):
    sheets = sheet("ref,C_uF,C status,ESR,ESR status\nC1,9999,OVER,0.3,OK\nC2,47,0,0.2,ERR 4\n")
    assert reading(sheets, "C1", "capacitance", "flag") == "over range (status OVER)"
    assert np.isnan(reading(sheets, "C1", "capacitance"))
    assert reading(sheets, "C1", "esr") == 0.3
    assert reading(sheets, "C2", "capacitance") == pytest.approx(47e-6)
    assert reading(sheets, "C2", "esr", "flag") == "no reading (status ERR 4)"


def test_plain_c_is_measured_beside_a_rating(sheet):
    sheets = sheet("ref,rating,C\nC1,47 µF 25 V,45 µF\n")
    assert part(sheets, "C1")["capacitance_rated"] == pytest.approx(47e-6)
    assert reading(sheets, "C1", "capacitance") == pytest.approx(45e-6)


def test_c_and_v_of_a_parts_list_are_the_rating_and_say_so(sheet):
    sheets = sheet("Ref,C,V,Qty\nC1,47uF,25,1\n")
    row = part(sheets, "C1")
    assert (row["capacitance_rated"], row["voltage_rated"]) == (pytest.approx(47e-6), 25)
    assert "'C' taken as rated" in row["flag"]
    assert "'V' taken as the rated voltage" in row["flag"]


def test_a_voltage_behind_a_leakage_is_asked_about(sheet):
    sheets = sheet("ref,C_uF,I (µA),V\nC1,47,5,25\n")
    assert np.isnan(part(sheets, "C1")["voltage_rated"])
    assert "rated or measuring is not said" in sheets.set_aside["reason"].iloc[1]


@pytest.mark.parametrize("heading", ["working voltage", "working V", "Betriebsspannung (V)"])
def test_working_voltage_is_never_the_rated_one(sheet, heading):
    alone = sheet(f"ref,rated µF,{heading}\nC1,8,310\n")
    assert part(alone, "C1")["voltage_working"] == 310
    assert np.isnan(part(alone, "C1")["voltage_rated"])
    assert "rated voltage" in part(alone, "C1")["flag"] or heading.startswith("Betrieb")
    beside = sheet("ref,rating,working voltage\nC1,32 µF 450 V,410\n")
    assert part(beside, "C1")["voltage_working"] == 410
    assert part(beside, "C1")["voltage_rated"] == 450
    assert part(beside, "C1")["flag"] == ""


@pytest.mark.parametrize("heading", ["WV", "WVDC", "V DC working", "DC working volts"])
def test_volts_working_as_a_sleeve_has_them_are_the_rated_voltage(sheet, heading):
    assert part(sheet(f"ref,rated µF,{heading}\nC1,8,310\n"), "C1")["voltage_rated"] == 310


def test_cells_under_an_unknown_heading_are_each_set_aside(sheet):
    aside = sheet("ref,C_uF,leakge\nC1,47,5\nC2,46,\nC3,45,7\n").set_aside
    assert aside[["line", "column", "found"]].to_numpy().tolist() == [
        [1, 3, "leakge"], [2, 3, "5"], [4, 3, "7"],
    ]  # fmt: skip
    assert aside["remedy"].str.contains("leakage").all()


def test_free_text_goes_to_the_note_under_its_heading(sheet):
    sheets = sheet("ref,C_uF,maker,remarks\nC1,47,Acme,hums\n")
    assert part(sheets, "C1")["note"] == "maker: Acme; hums"
    assert sheets.set_aside.empty


def test_what_is_told_of_a_part_is_kept(sheet):
    row = part(
        sheet(
            "part;rating;idle since;made;in circuit;role;polarity;tolerance;service hours;reformed;"
            "construction\nC1;32 µF 450 V;1985;1959;no;reservoir;bipolar;-10/+50 %;12000;"
            "settled below limit;Screw-terminal can\n"
        ),
        "C1",
    )
    wanted = {
        "idle_years": 41, "made": 1959, "in_circuit": "no", "role": "reservoir",
        "polarity": "bipolar", "tolerance_low": -0.1, "tolerance_high": 0.5,
        "service_hours": 12000, "reform_outcome": "settled below limit",
        "construction": "screw-terminal can", "voltage_rated": 450,
    }  # fmt: skip
    assert {name: row[name] for name in wanted} == wanted


def test_words_that_say_nothing_of_a_part_are_set_aside_with_what_is_allowed(sheet):
    sheets = sheet("part;rating;role;in circuit;looks\nC1;xx;flux;maybe;weird\nC2;8µF 350V;;;ok\n")
    assert sheets.set_aside[["column", "found"]].to_numpy().tolist() == [
        [2, "xx"], [3, "flux"], [4, "maybe"], [5, "weird"],
    ]  # fmt: skip
    assert "write yes, no" in sheets.set_aside["remedy"].iloc[2]
    assert part(sheets, "C1")["note"] == "looks: weird"


# Cans and sections


def test_one_cell_of_ratings_and_readings_becomes_sections(sheet):
    sheets = sheet("part,rating,C,ESR\nCan 1,16+32 µF 450 V,15.2/30.1 µF,0.9/0.7\n")
    assert sheets.parts["part"].tolist() == ["Can 1 1", "Can 1 2"]
    assert sheets.parts["can"].tolist() == ["Can 1", "Can 1"]
    assert reading(sheets, "Can 1 2", "capacitance") == pytest.approx(30.1e-6)
    assert reading(sheets, "Can 1 2", "capacitance", "raw") == "15.2/30.1 µF"
    assert reading(sheets, "Can 1 1", "esr") == 0.9


def test_one_reading_for_two_sections_is_not_shared_out(sheet):
    sheets = sheet("part,rating,C_uF\nCan 1,16+16 µF 450 V,15.2\n")
    assert sheets.readings.empty
    assert sheets.set_aside.loc[0, ["line", "column", "found"]].tolist() == [2, 3, "15.2"]
    assert sheets.set_aside.loc[0, "reason"] == "1 values for 2 sections"


def test_rows_below_a_can_are_its_sections(sheet):
    sheets = sheet("ref,rated_uF,C_uF,made\nCan 1,40,38,1959\n,20,19,\nC7,8,7,1962\n")
    assert sheets.parts["part"].tolist() == ["Can 1 1", "Can 1 2", "C7"]
    assert sheets.parts["can"].tolist() == ["Can 1", "Can 1", ""]
    assert sheets.parts["made"].tolist() == [1959, 1959, 1962]


def test_a_row_without_a_name_or_rating_is_the_part_above_and_says_so(sheet):
    sheets = sheet("ref,C_uF\nC1,40\n,20\n")
    assert sheets.parts["part"].tolist() == ["C1"]
    assert sheets.readings["flag"].tolist() == [
        "", "no part named on the row: taken for the one above",
    ]  # fmt: skip


def test_a_first_row_without_a_name_is_set_aside(sheet):
    sheets = sheet("ref,C_uF\n,40\nC1,20\n")
    assert sheets.parts["part"].tolist() == ["C1"]
    assert "no part is named" in sheets.set_aside["reason"].iloc[0]


# Long sheets and logs


def test_long_sheet_gives_readings_parts_and_looks(sheet):
    sheets = sheet(
        "part,quantity,value,unit,frequency,test voltage,time\n"
        "C1,C,47.2,uF,120 Hz,,\nC1,ESR,310,mohm,100 kHz,,\nC1,leakage,120,uA,,450,5 min\n"
        "C1,rated capacitance,50,uF,,,\nC1,rated voltage,450,V,,,\nC1,looks,bulged,,,,\n"
        "C1,wibble,3,bar,,,\n"
    )
    row = part(sheets, "C1")
    assert (row["capacitance_rated"], row["voltage_rated"]) == (pytest.approx(50e-6), 450)
    assert reading(sheets, "C1", "esr") == pytest.approx(0.31)
    assert reading(sheets, "C1", "esr", "frequency_hz") == 1e5
    assert reading(sheets, "C1", "leakage_current", "soak_s") == 300
    assert sheets.looks["look"].tolist() == ["bulged"]
    aside = sheets.set_aside[["line", "column", "found", "reason"]].to_numpy().tolist()
    assert aside[1] == [8, 3, "3", "quantity not known"]
    assert [row[:3] for row in aside] == [[8, 2, "wibble"], [8, 3, "3"], [8, 4, "bar"]]


def test_a_quantity_of_a_long_sheet_may_name_its_conditions(sheet):
    sheets = sheet(
        "part;parameter;value\nC1;ESR @ 100 kHz (mΩ);310\nC1;leakage 450 V 5 min;1,2 mA\n"
    )
    assert reading(sheets, "C1", "esr") == pytest.approx(0.31)
    assert reading(sheets, "C1", "leakage_current", "voltage_v") == 450


def test_a_log_takes_part_rating_and_conditions_from_the_lines_above(sheet):
    sheets = sheet("part: C12\nTest voltage: 450 V\n\nElapsed,I (mA)\n00:00:10,5.2\n00:05:00,1.2\n")
    assert sheets.parts["part"].tolist() == ["C12"]
    assert sheets.readings["soak_s"].tolist() == [10, 300]
    assert sheets.readings["voltage_v"].tolist() == [450, 450]


def test_a_log_without_a_part_is_named_after_its_file(sheet):
    assert sheet(C44="t_s,I_uA\n0,5\n60,3\n").parts["part"].tolist() == ["C44"]


# Several sheets


def test_parts_and_readings_are_joined_by_name(sheet):
    sheets = sheet("Ref,rated_uF\nC1,50\nC2,8\n", "part,C_uF\nc 1,47\nC9,7\n")
    assert sheets.parts["part"].tolist() == ["C1", "C2", "C9"]
    assert reading(sheets, "C1", "capacitance") == pytest.approx(47e-6)


def test_names_that_differ_by_case_in_one_sheet_are_two_parts(sheet):
    sheets = sheet("Ref,rated_uF\nC1,50\nc1,8\n", "part,C_uF\nC1,47\nc1,7\n")
    assert sheets.parts["part"].tolist() == ["C1", "c1"]
    assert reading(sheets, "c1", "capacitance") == pytest.approx(7e-6)


def test_the_rating_of_another_sheet_decides_an_ambiguous_reading(sheet):
    sheets = sheet("Ref,rated_uF\nC1,1000\n", 'part,C_uF\nC1,"1,234"\n')
    assert reading(sheets, "C1", "capacitance") == pytest.approx(1234e-6)


def test_contradicting_ratings_are_neither_used_and_both_named(sheet):
    sheets = sheet("Ref,rated_uF,rated_V\nC1,50,25\n", "part,rated_uF,C_uF\nC1,100,47\n")
    row = part(sheets, "C1")
    assert np.isnan(row["capacitance_rated"])
    assert row["voltage_rated"] == 25
    assert row["flag"] == "capacitance rated contradicts itself"
    assert sheets.set_aside[["file", "line", "column", "found"]].to_numpy().tolist() == [
        ["s0.csv", 2, 2, "50"], ["s1.csv", 2, 2, "100"],
    ]  # fmt: skip
    assert sheets.set_aside["reason"].str.contains("s0.csv:2 and s1.csv:2").all()


def test_one_name_for_two_ratings_in_a_sheet_is_two_parts_and_told(sheet):
    sheets = sheet("Ref,rated_uF,C_uF\nC1,50,47\nC1,100,96\nC1,50,46\n")
    assert sheets.parts["part"].tolist() == ["C1", "C1 (line 3)"]
    assert sheets.readings["part_row"].tolist() == [0, 0, 1]
    assert sheets.set_aside["line"].tolist() == [3]


def test_one_name_and_rating_twice_is_two_readings_of_one_part(sheet):
    sheets = sheet("Ref,rated_uF,C_uF\nC1,50,47\nC1,,46\n")
    assert sheets.parts["part"].tolist() == ["C1"]
    assert len(sheets.readings) == 2
    assert sheets.set_aside.empty


# Decimal sign, once for a file


@pytest.mark.parametrize(
    ("cells", "value"),
    [
        (["1.234", "47,2"], 1234e-6),
        (["1,234", "47.2"], 1234e-6),
        (["1.234,5", "1.000"], 1234.5e-6),
    ],
)
def test_the_rest_of_the_file_decides_the_decimal_sign(sheet, cells, value):
    sheets = sheet("ref;C_uF\n" + "".join(f"C{i};{cell}\n" for i, cell in enumerate(cells)))
    assert reading(sheets, "C0", "capacitance") == pytest.approx(value)


def test_a_lone_ambiguous_cell_is_asked_about(sheet):
    sheets = sheet("ref;C_uF\nC1;1,234\n")
    assert np.isnan(reading(sheets, "C1", "capacitance"))
    assert "ambiguous: 1.234 or 1234" in sheets.set_aside["reason"].iloc[0]


def test_a_date_column_decides_no_decimal_sign(sheet):
    sheets = sheet("ref;C_uF;date\nC1;1,234;03.11.2025\n")
    assert np.isnan(reading(sheets, "C1", "capacitance"))


# Refused, in one line


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("C1,47,0.3\nC2,46,0.4\n", r"no row of headings found \(the first row is: C1, 47, 0.3\)"),
        ("C_uF,ESR\n47,0.3\n", r"no column names the parts \(headings: C_uF, ESR\)"),
        ("ref,frequency\nC1,120\n", r"no column holds a reading or a rating \(headings: ref"),
        ("ref,C_uF\n", "no row holds a part"),
        ("47.2\n46.1\n", "no row of headings found"),
    ],
)
def test_a_sheet_of_which_nothing_can_be_used_is_refused(sheet, content, said):
    with pytest.raises(ReadingsError, match=rf"s0\.csv: {said}.*; give the part column"):
        sheet(content)


def test_no_sheet_at_all_is_refused():
    with pytest.raises(ReadingsError, match="sheets: none was named; name at least one"):
        read_sheets([], today_year=2026)


def test_a_second_table_that_cannot_be_used_is_set_aside_row_by_row(sheet):
    sheets = sheet("ref,C_uF\nC1,47\n\nESR,D\n0.3,0.1\n")
    assert len(sheets.parts) == 1
    assert sheets.set_aside["found"].tolist() == ["ESR, D", "0.3 | 0.1"]


# Frames


def test_a_frame_is_read_as_a_sheet():
    frame = pd.DataFrame(
        {
            "part": ["C1", "C2"],
            "C_uF": [47.0, 1.234],
            "ESR_ohm": [None, 0.5],
            "in circuit": [True, False],
        }
    )
    sheets = read_frame(frame, today_year=2026)
    assert sheets.readings["value"].tolist() == pytest.approx([47e-6, 1.234e-6, 0.5])
    assert sheets.parts["in_circuit"].tolist() == ["yes", "no"]
    assert located(sheets.readings, sheets.parts)["source"].tolist() == [
        "frame:1:2", "frame:2:2", "frame:2:3",
    ]  # fmt: skip


def test_a_long_frame_is_read_as_a_long_sheet():
    frame = pd.DataFrame(
        {
            "part": ["C1", "C1"],
            "quantity": ["C", "ESR"],
            "value": ["47,2", 0.3],
            "unit": ["µF", "Ω"],
        }
    )
    readings = read_frame(frame, today_year=2026).readings
    assert readings["value"].tolist() == pytest.approx([47.2e-6, 0.3])


def test_a_frame_without_parts_is_refused():
    with pytest.raises(ReadingsError, match="frame: no column names the parts"):
        read_frame(pd.DataFrame({"C_uF": [1.0], "ESR": [2.0]}), today_year=2026)


# Real parts


def test_headings_of_the_measured_cases_are_all_understood():
    sheets = read_sheets([DATA / "measured_cases.csv"], today_year=2026)
    assert not sheets.set_aside["reason"].str.contains("heading not known").any()
    assert reading(sheets, "c076", "leakage_current") == pytest.approx(4.5e-3)
    assert reading(sheets, "c076", "leakage_current", "soak_s") == pytest.approx(0.33 * 60)
    assert reading(sheets, "c076", "leakage_current", "voltage_v") == 350
    assert part(sheets, "c001")["age_years"] == 66


# Large sheets


def large(rows, tail=""):
    return "part,C_uF,ESR\n" + "".join(f"C{i},{i}.5,0.3\n" for i in range(rows)) + tail


@pytest.mark.parametrize(
    ("tail", "parts", "aside"),
    [
        ("", 3000, 0),
        ("Mean,46,0.3\n", 3000, 1),
        ("part,C_uF,ESR\nX1,1.5,0.3\n", 3001, 1),
        ("X1,OL,0.3\n", 3001, 0),
        ("\n\nX1,1,0.3,9\n", 3000, 1),
        ("\nref,rated_uF,rated_V\nC7,10,25\n", 3000, 0),
        ("X1,1", 3001, 1),
    ],
)
def test_a_large_sheet_is_read_as_a_small_one(sheet, tail, parts, aside):
    sheets = sheet(large(3000, tail))
    assert len(sheets.parts) == parts
    assert len(sheets.set_aside) == aside
    assert reading(sheets, "C2999", "capacitance") == pytest.approx(2999.5e-6)
    assert part(sheets, "C2999")["line"] == 3001


def test_a_name_that_is_a_formula_keeps_its_text():
    assert [clean(text) for text in ("=1+1", '="C1"', ' = "C 2"')] == ["=1+1", "C1", "C 2"]
