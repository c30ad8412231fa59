"""Dates of making: published date-code examples, and what people write."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.errors import MarkingError
from captriage.readers.datecodes import FORMS, parse_made

PUBLISHED = [
    # EIA source-date codes as printed on vintagerocker.com/potinfo.php and in
    # stereophile.com, "Listening #61"
    pytest.param("1377429", 1974, 29, id="maker 137, 1974 week 29"),
    pytest.param("235-7051", 1970, 51, id="maker 235, 1970 week 51"),
    pytest.param("834-7305", 1973, 5, id="maker 834, 1973 week 05"),
    # IEC 60062 year and week, as reported by an encyclopaedia: "1208" = 2012 week 08
    pytest.param("1208", 2012, 8, id="IEC 60062 year and week"),
]


@pytest.mark.parametrize(("code", "year", "week"), PUBLISHED)
def test_a_published_code_gives_the_published_date(code, year, week):
    made = parse_made(code, today_year=2026)
    assert (made.year, made.week) == (year, week)


@pytest.mark.parametrize(
    ("code", "week", "published_year"),
    [
        # One digit of year: the source names a year, the code alone only its last digit.
        ("304420", 20, 1954),
        ("606-4-21", 21, 1964),
        ("137634", 34, 1966),  # source: year ending 6, decade ambiguous
    ],
)
def test_a_single_digit_of_year_gives_every_decade_and_no_year(code, week, published_year):
    made = parse_made(code, today_year=2026)
    assert math.isnan(made.year)
    assert made.week == week
    assert published_year in made.candidates
    assert len({year % 10 for year in made.candidates}) == 1
    assert made.flag.startswith("ambiguous")


def test_iec_letters_give_every_cycle():
    # IEC 60062: "C5" = May 2012, as reported by an encyclopaedia; 20-year cycle from memory
    made = parse_made("C5", today_year=2026)
    assert math.isnan(made.year)
    assert made.candidates == (1972, 1992, 2012)
    assert "month 5" in made.flag


@pytest.mark.parametrize("year", range(2003, 2016))
def test_iec_letters_from_2003_to_2015_are_as_reported(year):
    letter = "RSTUVWXABCDEF"[year - 2003]
    assert year in parse_made(f"{letter}1", today_year=2026, form="iec").candidates


@pytest.mark.parametrize(
    ("text", "year", "flag"),
    [
        ("1959", 1959, ""),
        ("1959.0", 1959, ""),
        ("'59", 1959, "taken as 1959"),
        ("59", 1959, "taken as 1959"),
        ("c.1960", 1960, "approximate"),
        ("ca. 1960", 1960, "approximate"),
        ("1959?", 1959, "approximate"),
        ("1962-03", 1962, ""),
        ("03/1962", 1962, ""),
        ("15.03.1962", 1962, ""),
        ("1962-03-15 00:00:00", 1962, ""),
        ("12/62", 1962, "taken as 1962"),
        ("März 1962", 1962, ""),
        ("KW 12/73", 1973, "taken as 1973"),
        ("1960s", 1965, "1965 taken"),
        ("late 50s", 1958, "1958 taken"),
        ("1958-1960", 1959, "1959 taken"),
        ("7305", 1973, "week 05"),
    ],
)
def test_years_and_dates_are_read_as_people_write_them(text, year, flag):
    made = parse_made(text, today_year=2026)
    assert made.year == year
    assert flag in made.flag
    assert (made.flag == "") == (flag == "")


def test_four_digits_that_are_a_year_and_a_week_are_the_year_and_say_so():
    made = parse_made("1952", today_year=2026)
    assert (made.year, made.candidates) == (1952, (1952, 2019))
    assert "week 52 of 2019" in made.flag
    assert parse_made("1952", today_year=2026, form="yyww").year == 2019
    assert parse_made("1959", today_year=2026).flag == ""  # there is no week 59


@pytest.mark.parametrize(("text", "years"), [("25", (1925, 2025)), ("05/12", (2012, 2005))])
def test_two_digits_that_fit_two_years_give_no_year(text, years):
    made = parse_made(text, today_year=2026)
    assert math.isnan(made.year)
    assert made.candidates == years
    assert made.flag.startswith("ambiguous")


@pytest.mark.parametrize("text", ["n/a", "?", "unbekannt"])
def test_an_unknown_date_is_unknown_and_no_error(text):
    made = parse_made(text, today_year=2026)
    assert math.isnan(made.year)
    assert made.flag == "not known"


@pytest.mark.parametrize("text", ["1377454", "1377400", "235-7099", "foo", "99999", "0", "1700"])
def test_weeks_beyond_53_and_other_text_are_no_date(text):
    with pytest.raises(MarkingError, match="no year, date or date code"):
        parse_made(text, today_year=2026)


@pytest.mark.parametrize("text", ["2030", "1850-01", "03/2031"])
def test_years_to_come_or_before_1880_are_refused(text):
    with pytest.raises(MarkingError, match="not possible; allowed are the years 1880 to 2026"):
        parse_made(text, today_year=2026)


def test_an_unknown_form_is_refused():
    with pytest.raises(MarkingError, match="allowed are year, eia, iec, yyww"):
        parse_made("1959", today_year=2026, form="roman")


@given(st.text(max_size=20), st.sampled_from([None, *FORMS]))
def test_any_text_gives_a_date_or_a_marking_error(text, form):
    try:
        made = parse_made(text, today_year=2026, form=form)
    except MarkingError:
        return
    if not math.isnan(made.year):
        assert 1880 <= made.year <= 2026
        assert made.year in made.candidates


@given(st.integers(0, 99), st.integers(1, 53), st.integers(100, 999))
def test_every_seven_digit_code_gives_back_its_year_and_week(year, week, maker):
    full = 1900 + year if year >= 40 else 2000 + year
    text = f"{maker}-{year:02d}{week:02d}"
    if full > 2026:
        with pytest.raises(MarkingError):
            parse_made(text, today_year=2026, form="eia")
    else:
        made = parse_made(text, today_year=2026, form="eia")
        assert (made.year, made.week) == (full, week)


@pytest.mark.parametrize("text", ["1990-05-01", "1990-05-01 00:00:00", "1962-3-21"])
def test_a_calendar_date_is_its_year_and_never_a_maker_code(text):
    made = parse_made(text, today_year=2026)
    assert made.candidates == (int(text[:4]),)
    assert made.flag == ""


def test_a_year_that_is_refused_says_what_was_found_and_how_it_was_read():
    with pytest.raises(MarkingError, match=r"'3020': week 20 of 2030 is not possible"):
        parse_made("3020", today_year=2026)
