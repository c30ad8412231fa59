"""What is entered at the bench stands in the book as it was entered."""

from datetime import timedelta
from math import isnan

import pandas as pd
import pytest

from captriage.columns import PARTS, empty
from captriage.errors import BookError
from captriage.store.book import Book
from store.entered import NOON, job_with_parts, reply

FULL = {
    "part": "P2 a", "can": "P2", "section": "a", "capacitance_rated": 3.2e-5,
    "voltage_rated": 450.0, "tolerance_low": -0.1, "tolerance_high": 0.5, "made": 1959.0,
    "age_years": 67.0, "idle_years": 17.0, "grade": "long life", "construction": "can",
    "polarity": "polar", "role": "smoothing", "voltage_working": 372.0, "service_hours": 5e3,
    "service_temperature_degc": 55.0, "in_circuit": "no", "reform_outcome": "rising",
    "note": "common −", "flag": "read from the marking", "source_file": "rack.csv", "line": 7,
}  # fmt: skip


def test_a_part_comes_back_as_it_was_entered(book):
    job = book.add_job("rack", "amplifier of 1959", "from the projection room")
    (part,) = book.add_parts(job, [FULL])
    (row,) = book.parts(job)
    assert FULL.keys() == PARTS.keys()
    assert {name: getattr(row, name) for name in FULL} == FULL
    assert (row.id, row.row_id) == (part, part)
    (listed,) = book.jobs()
    assert listed == book.job("rack")
    assert (listed.machine, listed.note) == ("amplifier of 1959", "from the projection room")
    assert (listed.parts, listed.readings) == (1, 0)


def test_what_is_not_said_of_a_part_is_not_known(book):
    job = book.add_job("rack")
    book.add_parts(job, [{"part": "C1", "made": float("nan"), "voltage_rated": None}])
    (row,) = book.parts(job)
    assert isnan(row.made)
    assert isnan(row.voltage_rated)
    assert isnan(row.capacitance_rated)
    assert (row.can, row.role, row.line) == ("", "", 0)


def test_a_frame_of_parts_is_taken_as_well(book):
    job = book.add_job("rack")
    frame = pd.concat([empty(PARTS), pd.DataFrame([FULL])]).astype(PARTS)
    (part,) = book.add_parts(job, frame)
    assert book.parts(job)[0].voltage_rated == 450.0
    assert book.add_parts(job, []) == []
    assert [row.id for row in book.parts(job)] == [part]


def test_parts_keep_the_order_they_were_entered_in(book):
    job = book.add_job("rack")
    names = [f"C{number}" for number in range(120, 0, -1)]
    ids = book.add_parts(job, [{"part": name} for name in names])
    assert ids == sorted(ids)
    assert [row.part for row in book.parts(job)] == names


@pytest.mark.parametrize(
    ("parts", "message"),
    [
        ([{"part": " "}], "part: it has no name; give each the name on the list"),
        ([{"can": "P2"}], "part: it has no name"),
        ([{"part": "C1", "colour": "blue"}], "part C1: colour; a part has part, can"),
        ([{"part": "C1", "made": float("inf")}], "part C1: made is infinite; give a number"),
        ([{"part": "C2"}, {"part": "C2"}], "job rack: there is a part C2 already"),
        ([{"part": "C9"}], "job rack: there is a part C9 already; give each part a name"),
    ],
)
def test_a_part_that_cannot_be_told_is_refused_with_all_beside_it(book, parts, message):
    job, _, _ = job_with_parts(book, "C9")
    with pytest.raises(BookError, match=message):
        book.add_parts(job, [{"part": "C3"}, *parts])
    assert [row.part for row in book.parts(job)] == ["C9"]


def test_parts_of_one_name_may_be_in_two_jobs(book):
    first, (here,), _ = job_with_parts(book, "C1", job="rack")
    second, (there,), _ = job_with_parts(book, "C1", job="foyer")
    assert here != there
    assert [row.id for row in book.parts(first)] == [here]
    assert [row.id for row in book.parts(second)] == [there]


def test_a_job_has_a_name_of_its_own(book):
    book.add_job("rack")
    with pytest.raises(BookError, match="there is a job rack already; go on with it"):
        book.add_job("rack")
    with pytest.raises(BookError, match="a job needs a name, such as 'rack 3'"):
        book.add_job("  ")
    with pytest.raises(BookError, match="no job rakc; there is rack"):
        book.job("rakc")
    assert [job.name for job in book.jobs()] == ["rack"]


def test_a_book_without_jobs_says_how_to_begin_one(book):
    assert book.jobs() == []
    with pytest.raises(BookError, match="no job rack; begin one with 'captriage book new JOB'"):
        book.job("rack")


def test_a_run_keeps_meter_and_settings(book):
    job = book.add_job("rack")
    settings = {"frequency_hz": 120.0, "level_v": 0.5, "function": "impedance"}
    run = book.begin_run(
        job, "against time", meter="bridge", profile="lcr", address="ASRL1", identity="a bridge, 7",
        settings=settings,
    )  # fmt: skip
    (row,) = book.runs(job)
    assert (row.id, row.kind, row.meter, row.profile) == (run, "against time", "bridge", "lcr")
    assert (row.address, row.identity, row.settings) == ("ASRL1", "a bridge, 7", settings)


def test_a_run_is_of_a_kind_and_a_job_that_are_there(book):
    job = book.add_job("rack")
    with pytest.raises(BookError, match="run: by hand; allowed are part by part, against time"):
        book.begin_run(job, "by hand")
    with pytest.raises(BookError, match="no job has the number 99"):
        book.begin_run(99, "stream")
    assert book.runs(job) == []


def test_events_and_looks_are_kept_with_their_part(book):
    job, (part,), run = job_with_parts(book, "C1")
    book.event(run, "note", "smells of fish")
    book.event(run, "gap", "cable pulled", part_id=part, utc=NOON - timedelta(hours=1))
    book.look(part, "leaked", "wet at the seal", run)
    general, of_part = book.events(job)
    assert (general.kind, general.text, general.part) == ("note", "smells of fish", "")
    assert (of_part.part, of_part.part_id, of_part.utc) == (
        "C1", part, "2026-11-24T11:00:00.000125+00:00",
    )  # fmt: skip
    (look,) = book.looks(job)
    assert (look.part, look.look, look.raw, look.struck) == ("C1", "leaked", "wet at the seal", "")


def test_words_that_are_not_of_the_vocabulary_are_refused(book):
    _, (part,), run = job_with_parts(book, "C1")
    with pytest.raises(BookError, match="event: lunch; allowed are note, gap, fault"):
        book.event(run, "lunch", "")
    with pytest.raises(BookError, match="look: fishy; allowed are sound, bulged"):
        book.look(part, "fishy", "", run)
    with pytest.raises(BookError, match="no run has the number 77"):
        book.event(77, "note", "")


def test_nothing_is_kept_of_a_part_of_another_job(book):
    _, _, run = job_with_parts(book, "C1", job="rack")
    foyer, (stranger,), _ = job_with_parts(book, "C1", job="foyer")
    with pytest.raises(BookError, match="belongs to another job, or is not there"):
        book.look(stranger, "sound", "", run)
    with pytest.raises(BookError, match="belongs to another job, or is not there"):
        book.keep(run, stranger, reply())
    with pytest.raises(BookError, match="belongs to another job, or is not there"):
        book.event(run, "note", "", part_id=999)
    assert book.readings(foyer) == []


def test_what_was_entered_is_there_when_the_book_is_opened_again(where):
    with Book.open(where, create=True) as book:
        job, (part,), run = job_with_parts(book, "C1")
        kept = book.keep(run, part, reply())
    with Book.open(where) as book:
        assert [row.id for row in book.readings(job)] == kept
        assert book.keep(run, part, reply(2))[0] > kept[-1]
        assert [row.answer for row in book.readings(job)] == [1, 1, 2, 2]


def test_done_parts_are_those_with_enough_replies_that_count_in_one_run(book):
    job, (first, second, third), run = job_with_parts(book, "C1", "C2", "C3")
    other = book.begin_run(job, "part by part")
    for number in range(3):
        book.keep(run, first, reply(number))
    struck = book.keep(run, second, reply(4))
    book.keep(other, second, reply(5))
    book.keep(other, third, reply(6))
    assert book.done_parts(job, answers={run: 1}) == {first, second}
    assert book.done_parts(job, answers={run: 3, other: 1}) == {first, second, third}
    assert book.done_parts(job, answers={run: 2, other: 2}) == {first}  # not one of each
    assert book.done_parts(job, answers={}) == set()
    for reading in struck:
        book.strike("reading", reading, "wrong part in the clips")
    assert book.done_parts(job, answers={run: 1}) == {first}
    book.strike("run", other, "at another frequency")
    assert book.done_parts(job, answers={other: 1}) == set()
    book.strike("part", first, "not an electrolytic")
    assert book.done_parts(job, answers={run: 1}) == set()
