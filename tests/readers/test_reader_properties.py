"""Whatever a sheet holds: never a crash, and no cell that is not blank is dropped silently."""

from __future__ import annotations

import csv
import io
import tempfile
from pathlib import Path

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from captriage.columns import LOOKS_COLUMNS, PARTS, READINGS, SET_ASIDE
from captriage.errors import ReadingsError
from captriage.readers.headings import parse_heading
from captriage.readers.looks import parse_looks
from captriage.readers.sheets import read_sheets
from captriage.units import unwrap

NUMBERS = st.sampled_from(
    ["47.2", "47,2", "1,234", "1.234,5", "4'700", "4 700", "0R31", "4u7", "47 µF", "310m",
     "12.4%", "-17%", "1e9", "9.9E+37", "−0,3", "<10", ">20 mA", "~47uF",
     "1.2mA @ 400V after 5min", "0", "-5", "47 uF ±5%", "40.6/38.2", "10.24 mF", "5 min", "1:30",
     "00:05:00", "120 Hz", "100k", "20 °C"]
)  # fmt: skip
WORDS = st.sampled_from(
    ["OL", "----", "n/a", "open", "short", "err", "bulged", "ok", "leaked", "yes", "reservoir",
     "Mean", "Total", "2 samples", "# remark", "READ?", "ref", "uF", "C1", "C2", "Can 1", "a",
     "b", "ESR", "C", "32 µF 450 V", "40+40+10/450V", "16+16 uF", "1959", "c.1962", "1985",
     "12/3/2024", "3.11.2025", "2025-10-26 02:59:50", "±20%", "bipolar", "10 V", "'47", '="46.0"',
     'say "x"', "x\ny", "\u00a0", "=", "'", "'=", '=""', '""']
)  # fmt: skip
NOISE = st.text(
    st.characters(codec="utf-8", exclude_characters="\x00\r", exclude_categories=("Cs",)),
    max_size=12,
)
CELLS = st.one_of(st.just(""), NUMBERS, NUMBERS, WORDS, NOISE)
HEADINGS = st.sampled_from(
    ["C (µF)", "C", "ESR", "ESR at 100 kHz (Ω)", "D", "DF (%)", "Q", "PF", "I (mA)", "leakage_uA",
     "rated_uF", "rated_V", "rating", "V", "made", "age", "idle since", "role", "polarity",
     "tolerance", "in circuit", "looks", "note", "frequency", "test voltage", "leakage_minutes",
     "temp (°C)", "status", "uncertainty (%)", "range", "meter", "date", "time", "section", "can",
     "wibble", "", "unit", "quantity", "value", "Kapazität (µF)", "courant de fuite (µA)", "type",
     "working voltage", "reformed", "service hours", "construction", "R (kΩ)", "Z", "ΔC (%)"]
)  # fmt: skip
DELIMITERS = st.sampled_from([",", ";", "\t", "|"])


def written(rows, delimiter):
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows(rows)
    return out.getvalue()


def read(data: bytes):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.csv"
        path.write_bytes(data)
        return read_sheets([path], today_year=2026)


def assert_frames_are_whole(sheets):
    for frame, columns in (
        (sheets.parts, PARTS),
        (sheets.readings, READINGS),
        (sheets.looks, LOOKS_COLUMNS),
        (sheets.set_aside, SET_ASIDE),
    ):
        assert list(frame.columns) == list(columns)
        assert {name: str(frame[name].dtype) for name in columns} == dict(columns)
    assert sheets.parts["part"].is_unique
    assert sheets.readings["part_row"].between(0, len(sheets.parts) - 1).all()
    assert sheets.readings["raw"].notna().all()
    told = sheets.readings["flag"].ne("") | sheets.readings["value"].notna()
    assert told.all(), "a reading without a value says why"


def lines_of(rows):
    """Line on which each row begins, with the line ends inside of cells counted."""
    line = 1
    for row in rows:
        yield line
        line += 1 + sum(cell.count("\n") for cell in row)


def accounted(sheets):
    """Places that are in a frame or set aside, and lines that are set aside whole."""
    cells = set()
    for frame in (sheets.readings, sheets.looks, sheets.set_aside):
        cells |= set(zip(frame["line"].tolist(), frame["column"].tolist(), strict=True))
    return cells


def refused(error):
    """A refusal names what to do behind a semicolon, in one line."""
    assert "; " in str(error)
    assert "\n" not in str(error)


OF_READING = {
    "frequency_hz", "voltage_v", "temperature_degc", "soak_s", "status", "uncertainty",
    "range_high", "meter", "date", "time", "taken_at", "clock", "unit", "capacitance",
    "esr", "tan_delta", "q", "power_factor", "leakage_current", "resistance", "impedance",
    "capacitance_deviation", "quantity", "value",
}  # fmt: skip
OF_PART = {
    # canonical heading: columns of the parts frame one of which has to hold something
    "rating": ("capacitance_rated", "voltage_rated", "polarity"),
    "value": ("capacitance_rated", "voltage_rated", "polarity", "note"),
    "working": ("voltage_working", "voltage_rated"),
    "voltage": ("voltage_rated",),
    "tolerance": ("tolerance_low", "tolerance_high"),
    "family": ("grade", "note"),
    "remark": ("note",),
    "part or note": ("note",),
    "quantity": ("note",),
}
NAMING = {"part", "can", "section"}


def has_trace(sheets, line, names, column):
    """Whether a part named on this line, or read from it, holds something of this column."""
    parts = sheets.parts
    mine = parts["line"].eq(line) | parts["part"].isin(names) | parts["can"].isin(names)
    mine |= parts["part"].str.startswith(tuple(name for name in names if name) or ("\x00",))
    wanted = [c for c in OF_PART.get(column, (column,)) if c in PARTS]
    held = parts.loc[mine, [*wanted, "flag"]]
    return bool((held.notna() & held.ne("")).to_numpy().any())


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    headings=st.lists(HEADINGS, min_size=1, max_size=7),
    body=st.lists(st.lists(CELLS, min_size=7, max_size=7), min_size=1, max_size=6),
    names=st.lists(st.sampled_from(["C1", "C2", "Can 1", "", "R9"]), min_size=6, max_size=6),
    delimiter=DELIMITERS,
)
def test_no_cell_is_dropped_silently(headings, body, names, delimiter):
    head = ["ref", "C_uF", *headings]
    rows = [head] + [[name, *row[: len(head) - 1]] for name, row in zip(names, body, strict=False)]
    lines = list(lines_of(rows))
    try:
        sheets = read(written(rows, delimiter).encode())
    except ReadingsError:
        return
    assert_frames_are_whole(sheets)
    places = accounted(sheets)
    used_lines = set(sheets.readings["line"].tolist())
    filled_down, name = {}, ""
    for line, row in zip(lines[1:], rows[1:], strict=True):
        name = row[0] or name
        filled_down[line] = name
    for line, row in zip(lines[1:], rows[1:], strict=True):
        if "ref" in row[1:]:
            continue  # with "uF" or "I" beside it, headings of another table
        for j, cell in enumerate(row, 1):
            if not unwrap(cell) or (line, 0) in places or (line, j) in places:
                continue
            column = parse_heading(head[j - 1].strip()).column
            if column in NAMING:
                continue
            if column == "looks" and parse_looks(cell) == ((), ""):
                continue  # dashes: nothing was seen, or nobody looked
            if column == "unit" and any((line, k) in places for k in range(1, j)):
                continue  # it went aside behind the value that it is the unit of
            of_reading = column in OF_READING or column == "voltage"
            if of_reading and line in used_lines:
                continue
            name = filled_down[line]
            assert has_trace(sheets, line, [name], column), (line, j, head[j - 1], cell)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    rows=st.lists(st.lists(st.one_of(CELLS, HEADINGS), max_size=6), max_size=8),
    delimiter=DELIMITERS,
)
def test_any_grid_is_read_or_refused_in_words(rows, delimiter):
    try:
        assert_frames_are_whole(read(written(rows, delimiter).encode()))
    except ReadingsError as error:
        refused(error)


@settings(max_examples=200, deadline=None)
@given(data=st.binary(max_size=400))
def test_any_bytes_are_read_or_refused_in_words(data):
    try:
        assert_frames_are_whole(read(data))
    except ReadingsError as error:
        refused(error)


@settings(max_examples=100, deadline=None)
@given(
    tail=st.text(st.sampled_from('C1,;\t|"\n\r 47.µFΩ#'), max_size=80),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-be", "cp1252", "mac_roman"]),
)
def test_any_tail_behind_good_headings_is_read_or_refused(tail, encoding):
    data = ("ref,C_uF,ESR\nC7,47,0.3\n" + tail).encode(encoding, errors="replace")
    try:
        assert_frames_are_whole(read(data))
    except ReadingsError as error:
        refused(error)


@settings(max_examples=60, deadline=None)
@given(
    values=st.lists(
        st.tuples(st.floats(1.0, 9e4), st.floats(1e-3, 1e4), st.floats(1e-3, 1.4)),
        min_size=1,
        max_size=20,
    ),
    delimiter=st.sampled_from([";", "\t"]),
    comma=st.booleans(),
)
def test_what_is_written_is_read_back(values, delimiter, comma):
    """A sheet of plain numbers with four decimals gives these numbers, in either locale."""
    rows = [["ref", "C (µF)", "ESR (Ω)", "D"]]
    rows += [[f"C{i}", *(f"{x:.4f}" for x in row)] for i, row in enumerate(values)]
    if comma:
        rows = [rows[0], *[[cell.replace(".", ",") for cell in row] for row in rows[1:]]]
    sheets = read(written(rows, delimiter).encode())
    for k, quantity in enumerate(("capacitance", "esr", "tan_delta")):
        got = sheets.readings.loc[sheets.readings["quantity"] == quantity, "value"].to_numpy()
        scale = 1e-6 if quantity == "capacitance" else 1.0
        wanted = np.array([round(row[k], 4) for row in values]) * scale
        np.testing.assert_allclose(got, wanted, rtol=1e-12)
    assert sheets.set_aside.empty


def test_a_dropped_cell_would_be_noticed():
    """The trace demanded of a part's cell is missing where the sheet has no such cell."""
    sheets = read(b"ref,C_uF\nC1,47\n")
    assert not has_trace(sheets, 2, ["C1"], "capacitance_rated")
    assert (2, 2) in accounted(sheets)
    assert (2, 3) not in accounted(sheets)
