"""Readings of before a reform: columns and rows of their own, never those of today."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from captriage.columns import BEFORE
from captriage.judging.policy import load_policy
from captriage.judging.verdicts import judge_parts
from captriage.readers.headings import nearest, parse_heading
from readers.asked import reading

MEANT = [
    # heading, column, quantity that it is a condition of
    ("C before (µF)", "capacitance_before", ""),
    ("ESR before (Ω)", "esr_before", ""),
    ("D before", "tan_delta_before", ""),
    ("tan δ before reforming (%)", "tan_delta_before", ""),
    ("C before reforming", "capacitance_before", ""),
    ("ESR before the reform", "esr_before", ""),
    ("before C (µF)", "capacitance_before", ""),
    ("pre-reform ESR", "esr_before", ""),
    ("C measured before (µF)", "capacitance_before", ""),
    ("C before @ 120 Hz (µF)", "capacitance_before", ""),
    ("C vorher [µF]", "capacitance_before", ""),
    ("Kapazität vor dem Formieren (µF)", "capacitance_before", ""),
    ("ESR avant reformage", "esr_before", ""),
    ("C avant (µF)", "capacitance_before", ""),
    ("ESR prima (Ω)", "esr_before", ""),
    ("C antes (µF)", "capacitance_before", ""),
    ("ESR voor het formeren", "esr_before", ""),
    ("capacitance_before (F)", "capacitance_before", ""),
    ("C before freq (Hz)", "frequency_hz", "capacitance_before"),
    ("ESR before freq (Hz)", "frequency_hz", "esr_before"),
    ("C before uncertainty", "uncertainty", "capacitance_before"),
    # what is said to be of after it is today's
    ("C after (µF)", "capacitance", ""),
    ("ESR after reforming (Ω)", "esr", ""),
    ("C nach dem Formieren (µF)", "capacitance", ""),
    # and the soak time of a leakage stays one
    ("leakage after (min)", "soak_s", "leakage_current"),
    ("ESR after (min)", "soak_s", "esr"),
    ("after (min)", "soak_s", ""),
    ("after reforming", "reform_outcome", ""),
]


@pytest.mark.parametrize(("text", "column", "of"), MEANT)
def test_a_heading_says_before_and_after_what(text, column, of):
    heading = parse_heading(text)
    assert (heading.column, heading.of) == (column, of)


@pytest.mark.parametrize("text", ["leakage before (mA)", "Q before", "Z vorher (Ω)", "leak before"])
def test_what_is_not_compared_is_said_and_never_suggested_as_today(text):
    assert parse_heading(text).column == ""
    assert "only C, ESR and tan δ are held against" in parse_heading(text).problem
    assert nearest(text) == ""


def test_before_and_after_stand_side_by_side(sheet):
    sheets = sheet(
        "ref,rating,C before (µF),ESR before,C after (µF),ESR after,frequency (Hz),taken at\n"
        "C1,32 µF 450 V,38.2,2.9,35.1,3.1,120,2026-11-05T09:00\n"
    )
    for quantity, before, after in (
        ("capacitance", 38.2e-6, 35.1e-6),
        ("esr", 2.9, 3.1),
    ):
        was = BEFORE[quantity]
        assert reading(sheets, "C1", was) == pytest.approx(before)
        assert reading(sheets, "C1", quantity) == pytest.approx(after)
        assert reading(sheets, "C1", was, "frequency_hz") == 120
        # the row's date is of what was read last
        assert pd.isna(reading(sheets, "C1", was, "taken_at"))
        assert not pd.isna(reading(sheets, "C1", quantity, "taken_at"))
    assert sheets.set_aside.empty


def test_a_row_a_reading_keeps_its_date_and_conditions(sheet):
    sheets = sheet(
        "ref,quantity,value,unit,frequency (Hz),taken at\n"
        "C1,C before,38.2,µF,120,2026-11-01T09:00\n"
        "C1,ESR before,310,mΩ,100000,2026-11-01T09:01\n"
        "C1,C,35.1,µF,1000,2026-11-05T09:00\n"
    )
    assert reading(sheets, "C1", "esr_before") == pytest.approx(0.31)
    assert reading(sheets, "C1", "esr_before", "frequency_hz") == 1e5
    assert reading(sheets, "C1", "capacitance_before", "taken_at") == np.datetime64(
        "2026-11-01T09:00"
    )
    assert reading(sheets, "C1", "capacitance", "frequency_hz") == 1000


def test_the_frequency_of_before_is_not_that_of_today(sheet):
    sheets = sheet(
        "ref,C (µF),ESR,ESR freq,C before (µF),ESR before,ESR before freq\n"
        "C1,35,0.3,100 kHz,36,3,120 Hz\n"
    )
    assert reading(sheets, "C1", "esr", "frequency_hz") == 1e5
    assert reading(sheets, "C1", "esr_before", "frequency_hz") == 120
    sheets = sheet("ref,C (µF),ESR,ESR before freq\nC1,35,0.3,120 Hz\n")
    assert np.isnan(reading(sheets, "C1", "esr", "frequency_hz"))
    assert sheets.set_aside["found"].tolist() == ["120 Hz"]


def test_cells_of_before_are_read_like_those_of_today(sheet):
    sheets = sheet("ref,rating,C before,ESR before,D before\nC1,32 µF 450 V,36,0R31,12 %\n")
    assert reading(sheets, "C1", "capacitance_before") == pytest.approx(36e-6)
    assert reading(sheets, "C1", "esr_before") == pytest.approx(0.31)
    assert reading(sheets, "C1", "tan_delta_before") == pytest.approx(0.12)


def test_leakage_of_before_is_set_aside_and_blocks_nothing(sheet):
    sheets = sheet(
        "ref,rating,made,idle (years),C (µF),ESR,ESR freq,leakage (mA),test voltage,after (min),"
        "leakage before (mA)\n"
        "C1,32 µF 450 V,1959,0.5,35,3,120,0.2,450,5,9\n"
    )
    assert "9" in sheets.set_aside["found"].tolist()
    judged = judge_parts(sheets, policy=load_policy("ordinary-service"), today_year=2026)
    assert judged.verdicts["verdict"].tolist() == ["keep"]
