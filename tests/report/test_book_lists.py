"""Lists of the book fit a terminal, hide nothing struck out, and steer nothing."""

import io
import json
from dataclasses import asdict
from math import nan

import pytest

from captriage.report import BOOK_FORMATS
from captriage.report.book_lists import BookList, JobList
from captriage.report.terminal import text_width
from captriage.store.rows import (
    EventRow,
    JobRow,
    LookRow,
    PartRow,
    ReadingRow,
    RunRow,
    StrikeRow,
    VerdictRow,
)

AT = "2026-11-24T12:00:05.000125+00:00"


def reading(number, **changes):
    values = {
        "id": number, "run_id": 1, "part_id": 1, "part": "C1", "answer": 1,
        "quantity": "capacitance", "value": 4.7e-5, "at_least": nan, "at_most": nan,
        "uncertainty": 1e-7, "range_high": nan, "frequency_hz": 120.0, "voltage_v": nan,
        "temperature_degc": nan, "soak_s": nan, "flag": "", "raw": "47", "utc": AT,
        "monotonic_s": 1.0, "taken_at": "", "meter": "", "struck": "",
    } | changes  # fmt: skip
    return asdict(ReadingRow(**values))


def job_list(readings=(), **changes):
    verdict = VerdictRow(1, 1, "C1", "replace", 0.9, "rule", "why", "own", "0.1.0", AT)
    lists = {
        "book": "bench.book",
        "job": asdict(JobRow(1, "rack", "amplifier of 1959", "from the attic", AT)),
        "parts": [asdict(PartRow(1, "C1", capacitance_rated=4.7e-5, voltage_rated=63.0))],
        "runs": [
            asdict(RunRow(1, "part by part", "bridge", "lcr", "ASRL1", "a bridge", {}, "0.1", AT))
        ],
        "readings": readings,
        "looks": [asdict(LookRow(1, 1, 1, "C1", "leaked", "wet", AT, "flux"))],
        "events": [asdict(EventRow(1, 1, None, "", "gap", "the cable was pulled", AT))],
        "strikes": [asdict(StrikeRow(1, "look", 1, "flux", AT))],
        "verdicts": [asdict(verdict)],
    }
    return JobList(**(lists | changes))


def printed(found, format_="table"):
    out = io.StringIO()
    BOOK_FORMATS[format_](found, out)
    return out.getvalue()


def test_a_line_tells_a_job():
    jobs = [asdict(JobRow(1, "rack", "amplifier of 1959", "", AT, 17, 47))]
    text = printed(BookList("bench.book", jobs))
    assert text.splitlines() == [
        "job   parts  readings  begun       machine",
        "rack     17        47  2026-11-24  amplifier of 1959",
    ]


def test_an_empty_book_says_how_to_begin():
    text = printed(BookList("bench.book", []))
    assert text == "bench.book: no job yet. Begin one: captriage book new JOB\n"


@pytest.mark.parametrize(
    ("changes", "cells"),
    [
        ({}, "1.1 C1 capacitance 47 µF ± 0.1 µF 120 Hz 2026-11-24 12:00"),
        ({"run_id": 12, "answer": 345}, "12.345 C1 capacitance 47 µF ± 0.1 µF 120 Hz "
                                        "2026-11-24 12:00"),
        ({"value": nan, "at_least": 0.02, "quantity": "leakage_current", "uncertainty": nan,
          "frequency_hz": nan, "voltage_v": 450.0, "soak_s": 300.0},
         "1.1 C1 leakage > 20 mA 450 V, 5 min 2026-11-24 12:00"),
        ({"value": nan, "at_most": 1e-6, "quantity": "leakage_current", "frequency_hz": 0.0},
         "1.1 C1 leakage < 1 µA DC 2026-11-24 12:00"),
        ({"value": nan, "raw": "open"}, "1.1 C1 capacitance no number 120 Hz 2026-11-24 12:00"),
        ({"part_id": None, "part": "", "quantity": "voltage", "value": 12.0, "uncertainty": nan,
          "frequency_hz": nan, "taken_at": "2020-01-02T03:04:05.000000"},
         "1.1 – voltage 12 V 2020-01-02 03:04"),
    ],
)  # fmt: skip
def test_a_line_tells_a_reading(changes, cells):
    lines = printed(job_list([reading(7, **changes)])).splitlines()
    assert cells in [" ".join(line.split()) for line in lines]


def test_an_uncertainty_has_two_digits_so_that_the_value_keeps_its_unit():
    assert "18.3 µF ± 0.11 µF" in printed(
        job_list([reading(7, value=1.83e-5, uncertainty=1.0615e-7)])
    )


def test_what_stood_in_place_of_a_number_is_said_below_where_nothing_else_says_it():
    text = printed(job_list([reading(7, value=nan, raw="+1;+2")]))
    assert "\n         it came as '+1;+2'\n" in text
    text = printed(job_list([reading(7, value=nan, raw="+1;+2", flag="no reading")]))
    assert "\n         no reading\n" in text
    assert "+1;+2" not in text


def test_what_is_struck_out_or_flagged_is_said_below():
    text = printed(job_list([reading(7, flag="approximate", struck="the clip had slipped")]))
    assert "         approximate; STRUCK OUT: the clip had slipped\n" in text
    assert "STRUCK OUT: flux" in text
    assert "look 1  2026-11-24 12:00:05  flux" in text


def test_an_answer_is_struck_out_under_the_number_it_is_listed_by():
    rows = [
        reading(number, answer=answer, quantity=quantity)
        for number, answer, quantity in (
            (7, 3, "capacitance"), (8, 3, "esr"), (9, 4, "capacitance"), (10, 4, "esr"),
        )
    ]  # fmt: skip
    strikes = [
        asdict(StrikeRow(n, "reading", row, why, AT))
        for n, (row, why) in enumerate([(7, "slipped"), (8, "slipped"), (10, "lead")], 1)
    ]
    lines = printed(job_list(rows, strikes=strikes)).splitlines()
    at = lines.index("Struck out")
    assert [" ".join(line.split()) for line in lines[at + 2 : at + 4]] == [
        "answer 1.3 2026-11-24 12:00:05 slipped",
        "answer 1.4 (ESR) 2026-11-24 12:00:05 lead",
    ]


def test_parts_events_and_runs_are_told():
    lines = printed(job_list()).splitlines()
    assert lines[0] == "Job rack: amplifier of 1959"
    assert "from the attic" in lines
    assert "1 part, 0 readings. Times are UTC." in lines
    cells = [" ".join(line.split()) for line in lines]
    assert "1 C1 47 µF 63 V replace 2026-11-24 12:00:05" in cells
    assert "2026-11-24 12:00:05 – gap the cable was pulled" in cells
    assert "1 part by part 2026-11-24 12:00:05 bridge, lcr, ASRL1, a bridge" in cells


def test_no_line_is_wider_than_a_terminal_and_none_steers_it():
    long = "\x1b[2J" + "very long words " * 20
    rows = [reading(number, part=long, flag=long, struck=long, raw=long) for number in range(3)]
    events = [asdict(EventRow(1, 1, 1, long, "note", long, AT))]
    text = printed(job_list(rows, events=events))
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "\x1b" not in text


def test_nothing_of_a_long_or_wide_name_is_cut_off():
    name = "左の列の電解コンデンサ " * 3 + 'C1, "left" ' + "x" * 30
    rows = [reading(number, part=name) for number in range(3)]
    lines = printed(job_list(rows)).splitlines()
    at, end = lines.index("Readings"), lines.index("Looks")
    assert max(map(text_width, lines)) <= 80
    told = "".join(lines[at + 2 : end - 1])
    assert (told.count("左"), told.count("x")) == (9, 90)
    assert "47 µF ± 0.1 µF" in lines[at + 2]


def test_a_long_list_is_cut_and_says_how_to_see_the_rest():
    rows = [reading(number) for number in range(250)]
    assert "... and 50 more; --format json lists them all" in printed(job_list(rows))
    assert len(json.loads(printed(job_list(rows), "json"))["readings"]) == 250


def test_json_has_every_column_and_null_for_what_is_not_known():
    found = json.loads(printed(job_list([reading(7)]), "json"))
    assert found["readings"][0] == {
        key: None if value != value else value for key, value in reading(7).items()
    }
    assert found["job"]["name"] == "rack"
    assert found["runs"][0]["settings"] == {}
    jobs = [asdict(JobRow(1, "rack", "", "", AT))]
    assert json.loads(printed(BookList("bench.book", jobs), "json"))["jobs"][0]["name"] == "rack"
