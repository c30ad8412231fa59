"""What proves wrong is struck out with a reason, and stays to be seen."""

import pytest

from captriage.errors import BookError
from store.entered import job_with_parts, reply


def test_a_struck_reading_stays_in_the_list_with_the_reason(book):
    job, (part,), run = job_with_parts(book, "C1")
    first, second = book.keep(run, part, reply())
    number = book.strike("reading", first, "probe slipped")
    rows = {row.id: row for row in book.readings(job)}
    assert rows[first].struck == "probe slipped"
    assert rows[first].value == 4.7e-5
    assert rows[second].struck == ""
    (strike,) = book.strikes(job)
    assert (strike.id, strike.what, strike.row_id) == (number, "reading", first)


def test_a_struck_answer_strikes_all_its_readings_under_one_number(book):
    job, (part,), run = job_with_parts(book, "C1")
    kept = [book.keep(run, part, reply(number)) for number in (1, 2, 3)]
    struck = book.strike_answer(run, 2, "probe slipped")
    assert [row.id for row in struck] == kept[1]
    rows = book.readings(job)
    assert [row.struck for row in rows] == ["", "", "probe slipped", "probe slipped", "", ""]
    assert [strike.row_id for strike in book.strikes(job)] == kept[1]
    assert book.check() == []


def test_one_quantity_of_an_answer_may_be_struck_and_the_rest_later(book):
    job, (part,), run = job_with_parts(book, "C1")
    first, second = book.keep(run, part, reply())
    assert [row.id for row in book.strike_answer(run, 1, "lead", quantity="esr")] == [second]
    assert [row.struck for row in book.readings(job)] == ["", "lead"]
    assert [row.id for row in book.strike_answer(run, 1, "slipped")] == [first]


def test_an_answer_is_not_struck_twice_without_reason_or_at_random(book):
    _, (part,), run = job_with_parts(book, "C1")
    book.keep(run, part, reply())
    with pytest.raises(BookError, match=rf"there is no answer {run}\.2; see 'captriage book list"):
        book.strike_answer(run, 2, "slipped")
    with pytest.raises(BookError, match=r"there is no answer 99\.1"):
        book.strike_answer(99, 1, "slipped")
    with pytest.raises(BookError, match=rf"answer {run}\.1: no reason is given; say why"):
        book.strike_answer(run, 1, " ")
    with pytest.raises(BookError, match=rf"{run}\.1: it has no tan_delta; it has capacitance, esr"):
        book.strike_answer(run, 1, "slipped", quantity="tan_delta")
    book.strike_answer(run, 1, "slipped")
    with pytest.raises(BookError, match=rf"{run}\.1: it is struck out already, because: slipped"):
        book.strike_answer(run, 1, "again")


def test_a_struck_run_strikes_all_it_brought(book):
    job, (part,), run = job_with_parts(book, "C1")
    book.keep(run, part, reply())
    book.look(part, "sound", "ok", run)
    book.strike("run", run, "bridge not zeroed")
    assert [row.struck for row in book.readings(job)] == ["bridge not zeroed"] * 2
    assert [row.struck for row in book.looks(job)] == ["bridge not zeroed"]
    assert [row.struck for row in book.runs(job)] == ["bridge not zeroed"]
    assert [row.part for row in book.parts(job)] == ["C1"]


def test_a_struck_part_is_gone_from_the_parts_and_its_readings_say_so(book):
    job, (part, other), run = job_with_parts(book, "C1", "C2")
    book.keep(run, part, reply())
    book.correct_part(part, {"made": 1959.0}, "read the code again")
    book.strike("part", part, "a film capacitor")
    assert [row.id for row in book.parts(job)] == [other]
    assert [row.struck for row in book.readings(job)] == ["its part is struck out"] * 2
    again = book.add_parts(job, [{"part": "C1"}])
    assert [row.id for row in book.parts(job)] == [other, *again]


def test_a_corrected_part_keeps_its_number_and_its_readings(book):
    job, (part, other), run = job_with_parts(book, "C1", "C2")
    book.keep(run, part, reply())
    for made in (1958.0, 1959.0):
        row = book.correct_part(part, {"made": made, "part": f"C{made:.0f}"}, "misread")
        assert row not in (part, other)
    first, second = book.parts(job)
    assert (first.id, first.row_id, first.part, first.made) == (part, row, "C1959", 1959.0)
    assert second.id == other
    assert [reading.part for reading in book.readings(job)] == ["C1959", "C1959"]
    assert len(book.strikes(job)) == 2
    assert book.check() == []


def test_nothing_is_struck_out_twice_without_reason_or_at_random(book):
    job, (part,), run = job_with_parts(book, "C1")
    (reading, _) = book.keep(run, part, reply())
    book.strike("reading", reading, "slipped")
    with pytest.raises(BookError, match="it is struck out already, because: slipped"):
        book.strike("reading", reading, "again")
    with pytest.raises(BookError, match="there is no reading 99; see 'captriage book"):
        book.strike("reading", 99, "x")
    with pytest.raises(BookError, match="run 1: no reason is given; say why it is struck out"):
        book.strike("run", run, " ")
    with pytest.raises(BookError, match="strike: job; allowed are part, run, reading, look"):
        book.strike("job", job, "x")
    assert len(book.strikes(job)) == 1


def test_no_correction_is_made_without_reason_of_what_is_not_there_or_to_a_name_in_use(book):
    job, (part, other), _ = job_with_parts(book, "C1", "C2")
    with pytest.raises(BookError, match="part 1: no reason is given; say why it is corrected"):
        book.correct_part(part, {"made": 1959.0}, "")
    with pytest.raises(BookError, match="there is no part 99; see 'captriage book list"):
        book.correct_part(99, {"made": 1959.0}, "x")
    with pytest.raises(BookError, match="job rack: there is a part C2 already"):
        book.correct_part(part, {"part": "C2"}, "x")
    with pytest.raises(BookError, match="part C1: colour; a part has part, can"):
        book.correct_part(part, {"colour": "blue"}, "x")
    row = book.correct_part(other, {"made": 1959.0}, "misread")
    with pytest.raises(BookError, match=f"part {row}: it is struck out, or corrects another"):
        book.correct_part(row, {"made": 1960.0}, "x")
    with pytest.raises(BookError, match=f"part {row}: a correction of part {other}; strike that"):
        book.strike("part", row, "x")
    assert [row.made for row in book.parts(job)][1] == 1959.0
