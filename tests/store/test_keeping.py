"""A reply is kept whole, as it came, under the next number; or not at all."""

from datetime import datetime, timedelta, timezone
from math import inf, isnan, nan

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from captriage.bench.measured import Answer, Value
from captriage.errors import BookError
from captriage.store.book import Book
from store.entered import NOON, job_with_parts, reply

NUMBERS = st.floats(allow_nan=False, allow_infinity=False)


def test_a_reply_is_kept_with_all_that_belongs_to_it(book):
    job, (part,), run = job_with_parts(book, "C1")
    value = Value("capacitance", 4.7e-5, 1e-7, 1e-6, 1e-3, 2e-3, "approximate")
    at = {"frequency_hz": 120.0, "voltage_v": 0.5, "temperature_degc": 21.0, "soak_s": 300.0}
    (number,) = book.keep(run, part, Answer((value,), " 4.7E-5\r", NOON, 12.5), conditions=at)
    (row,) = book.readings(job)
    assert (row.id, row.run_id, row.part_id, row.part) == (number, run, part, "C1")
    assert (row.quantity, row.value, row.uncertainty) == ("capacitance", 4.7e-5, 1e-7)
    assert (row.at_least, row.at_most, row.range_high) == (1e-6, 1e-3, 2e-3)
    assert {name: getattr(row, name) for name in at} == at
    assert (row.flag, row.raw) == ("approximate", " 4.7E-5\r")
    assert (row.utc, row.monotonic_s) == ("2026-11-24T12:00:00.000125+00:00", 12.5)


def test_values_of_one_reply_share_its_number_and_the_next_gets_the_next(book):
    job, (part,), run = job_with_parts(book, "C1")
    other = book.begin_run(job, "stream")
    for number in range(1, 4):
        assert len(book.keep(run, part, reply(number))) == 2
    book.keep(other, None, reply(9))
    rows = book.readings(job)
    assert [(row.run_id, row.answer) for row in rows] == [
        *[(run, number) for number in (1, 1, 2, 2, 3, 3)], (other, 1), (other, 1),
    ]  # fmt: skip
    assert rows[-1].part_id is None


def test_no_number_is_kept_as_none_and_comes_back_as_nan(book):
    job, (part,), run = job_with_parts(book, "C1")
    over = Value("leakage_current", nan, at_least=0.02, flag="over range")
    book.keep(run, part, Answer((over,), "9.9E37", NOON, 1.0))
    (row,) = book.readings(job)
    assert isnan(row.value)
    assert isnan(row.uncertainty)
    assert isnan(row.soak_s)
    assert row.at_least == 0.02


@pytest.mark.parametrize(
    ("answer", "conditions", "message"),
    [
        (Answer((Value("esr", inf),), "x", NOON, 1.0), {}, "esr: an infinite number is no"),
        (Answer((Value("esr", 1.0, -inf),), "x", NOON, 1.0), {}, "uncertainty: an infinite"),
        (Answer((Value("esr", nan, at_least=inf),), "x", NOON, 1.0), {}, "at_least: an infinite"),
        (Answer((Value("ears", 1.0),), "x", NOON, 1.0), {}, "quantity: ears; allowed are"),
        (Answer((), "x", NOON, 1.0), {}, "reply 'x': it holds no value; keep an event"),
        (Answer((Value("esr", 1.0),), "x", NOON, nan), {}, "its monotonic time is no number"),
        (Answer((Value("esr", 1.0),), "", NOON, 1.0), {}, "reply '': it is empty"),
        (Answer((Value("esr", 1.0), Value("esr", 2.0)), "x", NOON, 1.0), {}, "esr stands twice"),
        (Answer((Value("esr", 1.0),), "x", datetime(2026, 1, 1), 1.0), {}, "names no zone"),
        (reply(), {"humidity": 0.5}, "conditions: humidity; allowed are frequency_hz"),
        (reply(), {"soak_s": inf}, "soak_s: an infinite number is no reading"),
    ],
)
def test_what_is_no_reading_is_refused_and_leaves_no_hole(book, answer, conditions, message):
    job, (part,), run = job_with_parts(book, "C1")
    book.keep(run, part, reply(1))
    with pytest.raises(BookError, match=message):
        book.keep(run, part, answer, conditions=conditions)
    book.keep(run, part, reply(2))
    assert [row.answer for row in book.readings(job)] == [1, 1, 2, 2]
    assert book.check() == []


def test_a_run_that_is_not_there_keeps_nothing(book):
    _, (part,), _ = job_with_parts(book, "C1")
    with pytest.raises(BookError, match="no run has the number 99"):
        book.keep(99, part, reply())


def test_two_who_write_in_one_run_leave_no_hole(where):
    with Book.open(where, create=True) as one, Book.open(where) as two:
        job, (part,), run = job_with_parts(one, "C1")
        for number in range(5):
            one.keep(run, part, reply(2 * number))
            two.keep(run, part, reply(2 * number + 1))
        assert [row.answer for row in one.readings(job)] == [n for n in range(1, 11) for _ in "ab"]
        assert one.check() == []


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60
)
@given(
    value=st.one_of(NUMBERS, st.just(nan)),
    bound=st.one_of(NUMBERS, st.just(nan)),
    raw=st.text(st.characters(), min_size=1),
    flag=st.text(st.characters()),
    soak=NUMBERS,
    utc=st.datetimes(datetime(1970, 1, 2), datetime(2200, 1, 1)),
    hours=st.integers(-12, 14),
)
def test_any_reply_comes_back_as_it_was(book, value, bound, raw, flag, soak, utc, hours):
    utc = utc.replace(tzinfo=timezone(timedelta(hours=hours)))
    try:
        job, (part,), run = job_with_parts(book, "C1")
    except BookError:  # made for an example before
        job, part = book.job("rack").id, book.parts(book.job("rack").id)[0].id
        run = book.begin_run(job, "typed")
    said = Answer((Value("impedance", value, at_most=bound, flag=flag),), raw, utc, 3.0)
    (number,) = book.keep(run, part, said, conditions={"soak_s": soak})
    row = book.readings(job, part_id=part)[-1]
    assert row.id == number
    assert row.value == value or isnan(row.value) == isnan(value)
    assert row.at_most == bound or isnan(row.at_most) == isnan(bound)
    assert (row.raw, row.flag, row.soak_s) == (raw, flag, soak)
    assert datetime.fromisoformat(row.utc) == utc
