"""Sheets go into a book whole or not at all, and come out as they were."""

from itertools import count

import pytest
from hypothesis import HealthCheck, given, settings

from captriage.columns import LOOKS_COLUMNS as LOOKS
from captriage.columns import PARTS, READINGS, SET_ASIDE, Sheets, empty
from captriage.errors import BookError
from captriage.jobs.sheets import check, demo_sheets
from captriage.store.importing import Source
from store.entered import reply
from store.made_sheets import assert_same, frame, sheets

numbers = count()
BLANK = {"str": "", "float64": float("nan"), "int64": 1}
DRAWER = Source("drawer.csv", "0" * 64)
LATER = Source("later.csv", "1" * 64)


def listed(*parts, readings=()):
    """Sheets with these parts, and a capacitance of some of them by their row."""
    rows = [{name: BLANK[kind] for name, kind in PARTS.items()} | part for part in parts]
    read = {name: BLANK.get(kind, "") for name, kind in READINGS.items()}
    read |= {"quantity": "capacitance", "taken_at": None, "source_file": "drawer.csv"}
    values = [read | {"part_row": row, "value": 1e-6 * (row + 1)} for row in readings]
    return Sheets(frame(rows, PARTS), frame(values, READINGS), empty(LOOKS), empty(SET_ASIDE))


@pytest.mark.parametrize("which", [slice(0, 2), slice(2, 3), slice(3, 4), slice(4, 5)])
def test_the_sheets_of_the_demonstration_come_out_as_they_were_read(book, which):
    found = check(demo_sheets()[which])
    job = book.add_job("rack")
    taken = book.import_sheets(job, found, files=[DRAWER])
    assert_same(book.sheets(job), found)
    assert (taken.new_parts, taken.known_parts) == (len(found.parts), 0)
    assert (taken.readings, taken.looks) == (len(found.readings), len(found.looks))
    assert taken.set_aside == len(found.set_aside)
    assert book.check() == []


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=20
)
@given(found=sheets())
def test_any_sheets_come_out_as_they_were(book, found):
    job = book.add_job(f"job {next(numbers)}")
    book.import_sheets(job, found, files=[DRAWER])
    assert_same(book.sheets(job), found)


def test_a_sheet_is_not_taken_in_twice_but_after_it_was_struck_out(book):
    job = book.add_job("rack")
    first = book.import_sheets(job, listed({"part": "C1"}, readings=[0]), files=[DRAWER])
    with pytest.raises(
        BookError, match=r"drawer.csv: job rack holds this sheet already, from import 1; to take"
    ):
        book.import_sheets(job, listed({"part": "C1"}), files=[LATER, DRAWER])
    assert len(book.runs(job)) == 1
    book.strike("run", first.run_id, "taken from another machine")
    assert book.sheets(job).parts.empty
    book.import_sheets(job, listed({"part": "C1"}), files=[DRAWER])
    assert book.sheets(job).parts["part"].tolist() == ["C1"]


def test_a_sheet_of_a_book_that_knows_no_text_of_it_is_found_by_its_bytes(book):
    """Books of before knew the bytes alone: those of a plain sheet are those of its text."""
    job = book.add_job("rack")
    book.import_sheets(job, listed({"part": "C1"}), files=[DRAWER])
    saved_anew = Source("drawer.csv", "2" * 64, DRAWER.sha256)
    with pytest.raises(BookError, match="holds this sheet already, saved with other line ends or"):
        book.import_sheets(job, listed({"part": "C1"}), files=[saved_anew])


def test_a_later_sheet_adds_to_parts_that_are_there(book):
    job = book.add_job("rack")
    (part,) = book.add_parts(job, [{"part": "C1", "voltage_rated": 450.0, "note": "top left"}])
    more = listed(
        {"part": "C1", "capacitance_rated": 3.2e-5, "voltage_rated": 450.0, "note": "warm"},
        {"part": "C2"},
        readings=[0, 1],
    )
    taken = book.import_sheets(job, more, files=[DRAWER])
    assert (taken.new_parts, taken.known_parts, taken.changed_parts) == (1, 1, 1)
    first, second = book.parts(job)
    assert (first.id, first.capacitance_rated, first.voltage_rated) == (part, 3.2e-5, 450.0)
    assert first.note == "top left; warm"
    assert book.readings(job, part_id=part)[0].value == 1e-6
    assert book.readings(job, part_id=second.id)[0].value == 2e-6
    same = book.import_sheets(job, more, files=[LATER])
    assert (same.new_parts, same.known_parts, same.changed_parts) == (0, 2, 0)


def test_a_rating_that_differs_is_refused_until_a_reason_is_given(book):
    job = book.add_job("rack")
    (part,) = book.add_parts(job, [{"part": "C1", "voltage_rated": 450.0, "role": "smoothing"}])
    other = listed({"part": "C1", "voltage_rated": 350.0}, {"part": "C2"}, readings=[0])
    with pytest.raises(
        BookError, match="C1: voltage_rated is 450, the sheet has 350; correct the sheet, or say"
    ):
        book.import_sheets(job, other, files=[DRAWER])
    assert [row.part for row in book.parts(job)] == ["C1"]
    assert book.readings(job) == []
    taken = book.import_sheets(job, other, files=[DRAWER], because="the 4 was a 3")
    corrected = book.parts(job)[0]
    assert (corrected.id, corrected.voltage_rated, corrected.role) == (part, 350.0, "smoothing")
    (strike,) = book.strikes(job)
    assert (strike.what, strike.row_id, strike.reason) == ("part", part, "the 4 was a 3")
    book.strike("run", taken.run_id, "wrong drawer")
    assert book.parts(job)[0].voltage_rated == 350.0  # a correction stands by itself


def test_many_ratings_that_differ_are_counted(book):
    job = book.add_job("rack")
    book.add_parts(job, [{"part": f"C{n}", "made": 1959.0} for n in range(8)])
    other = listed(*({"part": f"C{n}", "made": 1960.0} for n in range(8)))
    with pytest.raises(BookError, match="C4: made is 1959, the sheet has 1960 and 3 more; correct"):
        book.import_sheets(job, other, files=[DRAWER])


def test_an_infinite_number_keeps_the_whole_sheet_out(book):
    job = book.add_job("rack")
    found = listed({"part": "C1"}, readings=[0])
    found.readings["value"] = float("inf")
    with pytest.raises(BookError, match="value: an infinite number is no reading; leave it blank"):
        book.import_sheets(job, found, files=[DRAWER])
    assert book.parts(job) == []
    assert book.runs(job) == []


def test_a_job_that_is_not_there_takes_nothing(book):
    with pytest.raises(BookError, match="no job has the number 7"):
        book.import_sheets(7, listed({"part": "C1"}), files=[DRAWER])


def test_parts_that_were_read_since_are_not_struck_out_with_their_import(book):
    job = book.add_job("rack")
    taken = book.import_sheets(job, listed({"part": "C1"}), files=[DRAWER])
    (part,) = book.parts(job)
    run = book.begin_run(job, "part by part")
    book.keep(run, part.id, reply())
    with pytest.raises(BookError, match="part C1 came with it and was read since; correct the"):
        book.strike("run", taken.run_id, "wrong list")
    book.strike("run", run, "wrong machine")
    book.strike("run", taken.run_id, "wrong list")
    assert book.parts(job) == []
