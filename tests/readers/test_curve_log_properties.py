"""Whatever a log holds: never a crash, and no reading is lost, changed or told twice."""

from __future__ import annotations

import csv
import io
import math
import tempfile
from pathlib import Path

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from captriage.columns import SET_ASIDE
from captriage.errors import ReadingsError
from captriage.readers.curve_logs import read_curve_log

CELLS = st.one_of(
    st.sampled_from(
        ["", "0", "5", "10", "1.5", "1,5", "OL", "----", "> 20 mA", "<1 µA", "1.2 mA", "900 µA",
         "450 V", "-0.001", "00:00:05", "23:59:59", "2026-11-03 14:00:00", "Mean", "# x", "1e-3",
         "9.9E37", "abc", "10 s", "1:30", "nan", "inf"]
    ),
    st.text(st.characters(codec="utf-8", exclude_characters="\x00\r", exclude_categories=("Cs",)),
            max_size=8),
)  # fmt: skip
HEADINGS = st.sampled_from(
    ["time (s)", "t", "timestamp", "elapsed", "I (mA)", "current", "drop (V)", "supply (V)", "V",
     "part V", "note", "part", "rating", "date", "quantity", "value", "unit", "", "wibble"]
)  # fmt: skip


def read(text: str, **told):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        path.write_bytes(text.encode("utf-8"))
        return read_curve_log(path, **told)


def written(rows, delimiter):
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows(rows)
    return out.getvalue()


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data(), st.sampled_from([",", ";", "\t"]), st.booleans())
def test_any_log_is_a_curve_or_refused(data, delimiter, told):
    headings = data.draw(st.lists(HEADINGS, min_size=2, max_size=5))
    row = st.lists(CELLS, min_size=len(headings), max_size=len(headings))
    rows = data.draw(st.lists(row, min_size=1, max_size=12))
    try:
        found = read(written([headings, *rows], delimiter), series_ohm=1e4 if told else math.nan)
    except ReadingsError:
        return  # with what and why: each message has a test of its own
    curve = found.curve
    assert curve.time_s[0] == 0
    assert (np.diff(curve.time_s) > 0).all()
    assert len(curve.current_a) == len(curve.supply_v) == len(curve.part_v) == len(curve.time_s)
    assert not np.isinf(curve.current_a).any()
    assert list(found.set_aside.columns) == list(SET_ASIDE)
    assert (found.set_aside["reason"] != "").all()
    assert (found.set_aside["remedy"] != "").all()


READINGS = st.lists(
    st.tuples(st.integers(0, 10**6), st.integers(1, 10**7), st.integers(0, 4500)),
    min_size=3, max_size=40, unique_by=lambda reading: reading[0],
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(READINGS, st.sampled_from([",", ";", "\t"]), st.sampled_from([("mA", 1e6), ("µA", 1e3)]))
def test_what_was_written_is_read_whatever_the_signs_and_units(readings, delimiter, unit):
    name, scale = unit
    comma = delimiter == ";"
    readings = sorted(readings)
    rows = []
    for t, nanoampere, decivolt in readings:
        cells = [f"{t / 10:.1f}", f"{nanoampere / scale:.6f}", f"{decivolt / 10:.1f}"]
        rows.append([cell.replace(".", ",") if comma else cell for cell in cells])
    found = read(written([["time (s)", f"I ({name})", "supply (V)"], *rows], delimiter))
    time_s = np.array([t / 10 for t, _, _ in readings])
    np.testing.assert_allclose(found.curve.time_s, time_s - time_s[0], atol=1e-6)
    np.testing.assert_allclose(found.curve.current_a, [i * 1e-9 for _, i, _ in readings], rtol=1e-9)
    np.testing.assert_allclose(found.curve.supply_v, [v / 10 for _, _, v in readings], atol=1e-9)
    assert found.set_aside.empty
