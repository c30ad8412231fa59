"""A job comes out as frames that the rules judge like those of sheets."""

from datetime import timedelta
from math import isnan, nan

import numpy as np
import pandas as pd

from captriage.bench.measured import Answer, Value
from captriage.columns import LOOKS_COLUMNS, PARTS, READINGS, SET_ASIDE, empty
from captriage.judging.policy import load_policy
from captriage.judging.verdicts import judge_parts
from store.entered import NOON, job_with_parts, reply


def test_what_the_bench_kept_has_the_columns_and_kinds_of_a_sheet(book):
    job, (first, second), run = job_with_parts(book, "C1", "C2")
    book.keep(run, second, reply(1), conditions={"frequency_hz": 120.0, "temperature_degc": 20.0})
    book.keep(run, first, reply(2, capacitance=1e-5))
    book.look(first, "leaked", "wet", run)
    found = book.sheets(job)
    kinds = ((found.parts, PARTS), (found.readings, READINGS), (found.looks, LOOKS_COLUMNS))
    for frame, columns in kinds:
        assert frame.dtypes.astype(str).to_dict() == columns
    readings = found.readings
    assert readings["part_row"].tolist() == [0, 0, 1, 1]
    assert readings["quantity"].tolist() == ["capacitance", "esr"] * 2
    assert readings["value"].tolist() == [1e-5, 1.2, 4.7e-5, 1.2]
    assert readings["meter"].tolist() == ["bridge"] * 4
    assert readings["taken_at"].iloc[2] == pd.Timestamp(NOON + timedelta(seconds=1)).tz_localize(
        None
    )
    assert readings["frequency_hz"].iloc[3] == 120.0
    assert isnan(readings["frequency_hz"].iloc[0])


def test_each_reading_comes_with_the_instant_it_was_kept_at(book):
    job, (first, second), run = job_with_parts(book, "C1", "C2")
    struck = book.keep(run, first, reply(3))
    book.keep(run, second, reply(1))
    book.keep(run, first, reply(2))
    book.strike_answer(run, 1, "slipped")
    assert len(struck) == 2
    sheets, kept_at = book.dated_sheets(job)
    assert sheets.readings["part_row"].tolist() == [0, 0, 1, 1]
    noon = np.datetime64(NOON.replace(tzinfo=None), "us")
    assert (kept_at - noon).astype("timedelta64[s]").astype(int).tolist() == [2, 2, 1, 1]
    assert kept_at.tolist() == sheets.readings["taken_at"].to_numpy("datetime64[us]").tolist()


def test_a_reading_of_the_bench_is_found_again_by_its_number(book):
    job, (part,), run = job_with_parts(book, "C1")
    kept = book.keep(run, part, reply())
    found = book.sheets(job)
    assert found.readings["line"].tolist() == kept
    assert found.parts["line"].tolist() == [part]
    name = found.parts["source_file"].iloc[0]
    assert name in ("bench.book", "postgres")
    assert found.readings["source_file"].tolist() == [name, name]


def test_a_meter_whose_accuracy_is_common_practice_is_called_so(book):
    job, (part,), run = job_with_parts(book, "C1")
    book.keep(run, part, reply())
    for source in ("common practice", "its manual, page 31", ""):
        other = book.begin_run(job, "part by part", meter="lcr", settings={"accuracy_from": source})
        book.keep(other, part, reply())
    meters = book.sheets(job).readings["meter"].tolist()
    named = ["bridge", "lcr, accuracy by common practice", "lcr", "lcr"]
    assert meters == [name for name in named for _ in range(2)]


def test_an_empty_job_has_empty_frames_of_the_same_kinds(book):
    found = book.sheets(book.add_job("rack"))
    for frame, columns in (
        (found.parts, PARTS),
        (found.readings, READINGS),
        (found.looks, LOOKS_COLUMNS),
        (found.set_aside, SET_ASIDE),
    ):
        assert len(frame) == 0
        assert frame.dtypes.astype(str).to_dict() == empty(columns).dtypes.astype(str).to_dict()


def test_what_no_part_has_is_left_out(book):
    job, (part,), run = job_with_parts(book, "C1")
    book.keep(run, None, reply())
    values = (Value("voltage", 450.0), Value("leakage_current", nan, flag="open"))
    book.keep(run, part, Answer(values, "x", NOON, 3.0))
    assert book.sheets(job).readings["quantity"].tolist() == ["leakage_current"]


def test_few_parts_may_be_asked_for(book):
    job, parts, run = job_with_parts(book, *(f"C{n}" for n in range(200)))
    for part in (parts[7], parts[150]):
        book.keep(run, part, reply())
        book.look(part, "sound", "ok", run)
    few = book.sheets(job, part_ids=[parts[150], parts[3]])
    assert few.parts["part"].tolist() == ["C3", "C150"]
    assert few.readings["part_row"].tolist() == [1, 1]
    assert few.looks["part_row"].tolist() == [1]
    assert book.sheets(job).readings["part_row"].tolist() == [7, 7, 150, 150]


def test_what_is_struck_out_is_not_judged(book):
    job, parts, run = job_with_parts(book, "C1", "C2", "C3")
    one = [book.keep(run, part, reply(part)) for part in parts]
    gone = book.begin_run(job, "stream")
    book.keep(gone, parts[0], reply(9))
    book.look(parts[0], "leaked", "wet", gone)
    look = book.look(parts[2], "bulged", "domed", run)
    book.strike("reading", one[0][1], "probe slipped")
    book.strike("part", parts[1], "a film capacitor")
    book.strike("run", gone, "wrong range")
    book.strike("look", look, "it was flux")
    found = book.sheets(job)
    assert found.parts["part"].tolist() == ["C1", "C3"]
    assert found.readings["line"].tolist() == [one[0][0], *one[2]]
    assert found.looks.empty
    assert len(book.readings(job)) == 8  # all stay to be seen


def test_a_job_is_judged_as_its_sheets_are(book):
    job = book.add_job("rack")
    (part,) = book.add_parts(job, [{
        "part": "C1", "capacitance_rated": 4.7e-5, "voltage_rated": 63.0, "made": 2001.0,
        "tolerance_low": -0.2, "tolerance_high": 0.2,
    }])  # fmt: skip
    run = book.begin_run(job, "part by part", meter="bridge")
    book.keep(run, part, reply(), conditions={"frequency_hz": 120.0, "temperature_degc": 20.0})
    book.look(part, "bulged", "domed", run)
    policy = load_policy("ordinary-service")
    judged = judge_parts(book.sheets(job), policy=policy, today_year=2026)
    assert judged.verdicts["verdict"].tolist() == ["replace"]
