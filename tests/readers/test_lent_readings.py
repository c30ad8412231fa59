"""What one column says in place of another: an ESR's frequency, a note's "reads open"."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.readers.status import stated_fault
from captriage.readers.values import OF_ESR_COLUMN
from readers.asked import reading


def test_frequency_of_an_esr_not_read_goes_to_the_capacitance(sheet):
    sheets = sheet(
        "part,rating,C_uF,ESR,esr_freq_hz\nC1,8uF 350V,9,,100000\nC2,8uF 350V,9,0.5,100000\n"
        "C3,8uF 350V,9,n/a,100000\nC4,8uF 350V,9 µF @ 120 Hz,0.4,100000\n"
    )
    assert reading(sheets, "C1", "capacitance", "frequency_hz") == 1e5
    assert reading(sheets, "C1", "capacitance", "flag") == OF_ESR_COLUMN
    assert np.isnan(reading(sheets, "C2", "capacitance", "frequency_hz"))
    assert reading(sheets, "C2", "capacitance", "flag") == ""
    assert reading(sheets, "C3", "capacitance", "frequency_hz") == 1e5
    assert reading(sheets, "C4", "capacitance", "frequency_hz") == 120
    assert sheets.set_aside.empty


def test_frequency_of_an_esr_without_a_column_says_so_too(sheet):
    sheets = sheet("part,rating,C_uF,esr_freq_hz\nC1,8uF 350V,9,100000\nC2,8uF 350V,9,\n")
    assert reading(sheets, "C1", "capacitance", "frequency_hz") == 1e5
    assert reading(sheets, "C1", "capacitance", "flag") == OF_ESR_COLUMN
    assert reading(sheets, "C2", "capacitance", "flag") == ""


def test_a_told_frequency_of_the_capacitance_is_kept(sheet):
    sheets = sheet("part,rating,C_uF at 120 Hz,ESR,esr_freq_hz\nC1,8uF 350V,9,,100000\n")
    assert reading(sheets, "C1", "capacitance", "frequency_hz") == 120
    assert reading(sheets, "C1", "capacitance", "flag") == ""
    assert sheets.set_aside["found"].tolist() == ["100000"]


@pytest.mark.parametrize(
    ("note", "fault"),
    [
        ("reads open", "open"),
        ("Open circuit; lead snapped", "open"),
        ("o/c", "open"),
        ("open; no leads", "open"),
        ("reads open on both meters", "open"),
        ("Unterbrochen, ersetzt", "open"),
        ("misst offen", "open"),
        ("circuit ouvert", "open"),
        ("coupé", "open"),
        ("mide abierto", "open"),
        ("circuito abierto", "open"),
        ("risulta aperto", "open"),
        ("interrotto", "open"),
        ("meet open", "open"),
        ("onderbroken", "open"),
        ("dead short", "short"),
        ("shorted", "short"),
        ("short circuit, cold", "short"),
        ("hat Kurzschluss", "short"),
        ("en court-circuit", "short"),
        ("en corto", "short"),
        ("in corto", "short"),
        ("kortsluiting", "short"),
        ("open?", ""),
        ("open frame type", ""),
        ("open on top", ""),
        ("short leads", ""),
        ("short", ""),
        ("shorted before measuring", ""),
        ("not open", ""),
        ("open circuit voltage 3 V", ""),
        ("the neighbour reads open", ""),
        ("reads 40 µF", ""),
        ("", ""),
    ],
)
def test_a_note_states_a_fault_only_in_plain_words_at_its_beginning(note, fault):
    assert stated_fault(note) == fault


def test_a_fault_in_the_note_is_a_capacitance_where_there_is_none(sheet):
    sheets = sheet(
        "part,rating,C_uF,notes\nC1,8uF 350V,,reads open; end cap loose\nC2,8uF 350V,9,reads open\n"
        "C3,8uF 350V,n/a,dead short\nC4,8uF 350V,,nice\n"
    )
    assert reading(sheets, "C1", "capacitance", "flag") == "open: from the note"
    assert reading(sheets, "C1", "capacitance", "raw") == "reads open; end cap loose"
    assert reading(sheets, "C1", "capacitance", "column") == 4
    assert reading(sheets, "C2", "capacitance", "flag") == ""
    flags = sheets.readings.loc[sheets.readings["part_row"] == 2, "flag"].tolist()
    assert "short: from the note" in flags
    assert 3 not in sheets.readings["part_row"].tolist()
    assert sheets.parts["note"].iloc[0] == "reads open; end cap loose"


def test_a_capacitance_in_another_sheet_outweighs_the_note(sheet):
    sheets = sheet("part,rating,notes\nC1,8uF 350V,reads open\n", "part,C_uF\nC1,9\n")
    assert reading(sheets, "C1", "capacitance") == pytest.approx(9e-6)


def test_a_note_on_several_sections_is_not_shared_out(sheet):
    sheets = sheet("part,rating,ESR,notes\nC1,8+8uF 350V,0.5/0.6,reads open\n")
    assert sheets.readings["quantity"].tolist() == ["esr", "esr"]
