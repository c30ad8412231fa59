"""When a part was made: years, dates, EIA source-date codes, IEC 60062 letters, year and week.

A code that fits several years gives all of them as candidates and no year: the decade is
for the person who has the part in hand.

References
----------
EIA source-date code: maker code, then one or two digits of year, then two of week; the
form with two digits of year spread from about 1961 (vintagerocker.com/potinfo.php;
stereophile.com, "Listening #61"). IEC 60062 date letters: as reported by an encyclopaedia
for 2003 to 2015; the 20-year cycle from 1970 is from memory and agrees with these.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from captriage.errors import MarkingError
from captriage.readers.cell_words import NOT_MEASURED, word_flag
from captriage.readers.umlauts import both_spellings
from captriage.units import normalise, unwrap

FIRST_YEAR: Final = 1880
FIRST_ELECTROLYTIC: Final = 1920  # two digits are never taken as a year before this
FIRST_CODE: Final = 1940  # nor the year of a date code as one before this
LAST_WEEK: Final = 53
SINGLE_DIGIT_DECADES: Final = (1940, 1950, 1960, 1970)
YEAR_LETTERS: Final = "ABCDEFHJKLMNPRSTUVWX"  # 20-year cycle, A = 1970
MONTH_SIGNS: Final = "123456789OND"
FORMS: Final = ("year", "eia", "iec", "yyww")

_MONTHS: Final = (
    "jan|janv|janvier|january|januar|januari|ene|enero|gen|gennaio",
    "feb|fév|fev|février|february|februar|februari|febrero|febbraio",
    "mar|mär|mars|march|märz|maart|mrt|marzo",
    "apr|avr|avril|april|abr|abril|aprile",
    "may|mai|mei|mayo|mag|maggio",
    "jun|juin|june|juni|junio|giu|giugno",
    "jul|juil|juillet|july|juli|julio|lug|luglio",
    "aug|août|aout|august|augustus|ago|agosto",
    "sep|sept|septembre|september|septiembre|set|settembre",
    "oct|okt|octobre|october|oktober|octubre|ott|ottobre",
    "nov|novembre|november|noviembre",
    "dec|déc|dez|décembre|december|dezember|dic|diciembre|dicembre",
)
_MONTH_OF: Final = {
    name: i for i, names in enumerate(_MONTHS, 1) for name in both_spellings(names.split("|"))
}
_ABOUT: Final = re.compile(
    r"^(?:c\.|c(?=\s*(?:1[89]|20)\d\d)|ca\.?|circa|~|≈|about|around|approx\.?|um|env\.?|environ|vers|aprox\.?|hacia|verso"
    r"|ongeveer|rond)\s*(?=['\d]|early|mid|late)|\?+$|\s*\(\?\)$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Made:
    """When a part was made.

    Parameters
    ----------
    year : float
        Calendar year; NaN where unknown or where several candidates fit.
    week : float
        Week of the year; NaN where not given.
    flag : str
        What had to be taken as something, or is ambiguous; "" where nothing is.
    candidates : tuple of int
        All years that fit, the likelier first.
    """

    year: float
    week: float = math.nan
    flag: str = ""
    candidates: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class _Sense:
    """One way to read the text: the years that fit, the week, and what it was taken as."""

    years: tuple[int, ...]
    week: float = math.nan
    said: str = ""
    plain_year: bool = False


def parse_made(text: str, *, today_year: int, form: str | None = None) -> Made:
    """Year of making from a year, a date or a date code.

    Parameters
    ----------
    text : str
        "1959", "'59", "c.1960", "1962-03", "03/1962", "1377429", "235-7051", "606-4-21",
        "C5", "1208", "1960s".
    today_year : int
        The present year; nothing was made after it.
    form : str, optional
        One of :data:`FORMS`, where it is known how the text is meant.

    Returns
    -------
    Made

    Raises
    ------
    MarkingError
        Where the text is no date, or only fits years before 1880 or still to come.
    """
    if form is not None and form not in FORMS:
        raise MarkingError(f"date code form: '{form}'; allowed are {', '.join(FORMS)}")
    plain = unwrap(normalise(text)) if not text.strip().startswith("'") else normalise(text).strip()
    if word_flag(plain).startswith(NOT_MEASURED):
        return Made(math.nan, flag="not known")
    bare = _ABOUT.sub("", plain).strip()
    senses = [sense for name, read in _READERS if form in (None, name) for sense in read(bare)]
    if any(sense.plain_year and sense.years[0] > today_year for sense in senses):
        raise MarkingError(_refusal(text, senses[:1], today_year))
    possible = [_past(sense, today_year) for sense in senses]
    possible = [sense for sense in possible if sense.years]
    if not possible:
        raise MarkingError(_refusal(text, senses, today_year))
    return _told(bare, possible, approximate=bare != plain)


def _refusal(text: str, senses: list[_Sense], today_year: int) -> str:
    allowed = f"allowed are the years {FIRST_YEAR} to {today_year}"
    if senses:
        codes = [sense for sense in senses if sense.said.startswith("week")]
        years = ", ".join(str(year) for sense in senses for year in sense.years)
        years = codes[0].said if codes and len(senses) == len(codes) else years
        return f"date of making '{text.strip()}': {years} is not possible; {allowed}"
    return (
        f"date of making '{text.strip()}': no year, date or date code; write a year such as 1959, "
        f"or a code such as 235-7051"
    )


def _past(sense: _Sense, today_year: int) -> _Sense:
    years = tuple(year for year in sense.years if FIRST_YEAR <= year <= today_year)
    return replace(sense, years=years)


def _told(bare: str, senses: list[_Sense], *, approximate: bool) -> Made:
    """One year where one fits, or a plain year is also a code; else the candidates."""
    candidates = tuple(dict.fromkeys(year for sense in senses for year in sense.years))
    first = senses[0]
    weeks = {sense.week for sense in senses if not math.isnan(sense.week)}
    week = weeks.pop() if len(weeks) == 1 and len(senses) == 1 else math.nan
    flags = ["approximate"] if approximate else []
    if len(candidates) == 1:
        if first.said:
            flags.append(first.said)
        return Made(float(candidates[0]), first.week, "; ".join(flags), candidates)
    if first.plain_year:
        other = senses[1]
        flags.append(
            f"{bare} taken as the year; as year and week it would be week {other.week:.0f} "
            f"of {other.years[0]}"
        )
        return Made(float(first.years[0]), math.nan, "; ".join(flags), candidates)
    years = " or ".join(map(str, candidates))
    what = " or ".join(dict.fromkeys(sense.said for sense in senses if sense.said))
    flags.insert(0, f"ambiguous: {years}" + (f" ({what})" if what else ""))
    return Made(math.nan, week, "; ".join(flags), candidates)


def _of_two_digits(digits: str, *, first: int = FIRST_ELECTROLYTIC) -> tuple[int, ...]:
    """Years two digits can mean, this century's only beside a possible last century's."""
    years = [century + int(digits) for century in (1900, 2000)]
    return tuple(year for year in years if year >= first)


def _week(digits: str) -> float:
    return float(digits) if 1 <= int(digits) <= LAST_WEEK else math.nan


def _read_year(text: str) -> list[_Sense]:
    """Years, decades, spans and calendar dates."""
    if re.fullmatch(r"\d{4}(?:\.0)?", text):
        return (
            [_Sense((int(text[:4]),), plain_year=True)]
            if FIRST_YEAR <= int(text[:4]) < 2100
            else []
        )
    if match := re.fullmatch(r"'?(\d\d)", text):
        years = _of_two_digits(match.group(1))
        return [_Sense((year,), said=f"{text} taken as {year}") for year in years]
    if match := re.fullmatch(r"(?:(early|mid|late)[\s-]*)?(?:'|(1[89]|20))?(\d)0'?s", text, re.I):
        part, century, decade = match.groups()
        year = int(century or 19) * 100 + int(decade) * 10
        year += {"early": 2, "mid": 5, "late": 8}.get((part or "mid").lower(), 5)
        return [_Sense((year,), said=f"{text}: {year} taken")]
    if match := re.fullmatch(r"((?:1[89]|20)\d\d)\s*[-/]\s*((?:1[89]|20)?\d\d)", text):
        first, last = int(match.group(1)), match.group(2)
        end = int(last) if len(last) == 4 else first // 100 * 100 + int(last)
        if 0 < end - first <= 20 and not (len(last) == 2 and int(last) <= 12):
            middle = (first + end) // 2
            return [_Sense((middle,), said=f"{text}: {middle} taken")]
    return _read_calendar(text)


def _read_calendar(text: str) -> list[_Sense]:
    """Dates with a month or a week of a year."""
    named = re.fullmatch(r"(?:\d{1,2}\.?\s*)?([^\W\d_]+)\.?[\s,./'-]*(\d{4}|\d\d)", text)
    if named and named.group(1).lower() in _MONTH_OF:
        return _years_of(named.group(2), text)
    if match := re.fullmatch(
        r"(?:wk|week|kw|w|sem\.?|semaine|semana)\.?\s*(\d\d?)[\s/,-]+'?(\d{4}|\d\d)", text, re.I
    ):
        return _years_of(match.group(2), text, week=_week(match.group(1)))
    if match := re.fullmatch(r"(\d{4})[\s-]*(?:wk|week|kw|w)\s*(\d\d?)", text, re.I):
        return _years_of(match.group(1), text, week=_week(match.group(2)))
    if match := re.fullmatch(r"((?:18|19|20)\d\d)(?:0[1-9]|1[0-2])(?:[0-2]\d|3[01])?", text):
        return _years_of(match.group(1), text)
    if match := re.fullmatch(r"(\d{4})[-/.](\d\d?)(?:[-/.](\d\d?)(?:[ T].*)?)?", text):
        year, month, day = match.group(1), int(match.group(2)), int(match.group(3) or 1)
        return _years_of(year, text) if 1 <= month <= 12 and 1 <= day <= 31 else []
    if match := re.fullmatch(r"(?:(\d\d?)[-/.])?(\d\d?)[-/.](\d{4})", text):
        day, month = int(match.group(1) or 1), int(match.group(2))
        day_first = 1 <= month <= 12 and 1 <= day <= 31
        month_first = match.group(1) is not None and 1 <= day <= 12 and 1 <= month <= 31
        return _years_of(match.group(3), text) if day_first or month_first else []
    if match := re.fullmatch(r"(\d\d?)[-/.](\d\d)", text):
        head, tail = match.groups()
        senses = _years_of(tail, text) if 1 <= int(head) <= 12 else []
        return senses + (_years_of(head, text) if 1 <= int(tail) <= 12 and len(head) == 2 else [])
    return []


def _years_of(digits: str, text: str, *, week: float = math.nan) -> list[_Sense]:
    if len(digits) == 4:
        return [_Sense((int(digits),), week)]
    years = _of_two_digits(digits)
    return [_Sense((year,), week, f"{text} taken as {year}") for year in years]


def _read_yyww(text: str) -> list[_Sense]:
    """Two digits of year and two of week: "1208" is week 08 of 2012."""
    if not re.fullmatch(r"\d{4}", text) or math.isnan(_week(text[2:])):
        return []
    years = _of_two_digits(text[:2], first=FIRST_CODE)
    return [_Sense((y,), _week(text[2:]), f"week {text[2:]} of {y}") for y in years]


def _read_eia(text: str) -> list[_Sense]:
    """Maker code, one or two digits of year, two digits of week."""
    code = re.sub(r"^EIA[\s:-]*", "", text, flags=re.IGNORECASE)
    match = re.fullmatch(r"(\d{3})[ -]?(\d\d?)(\d\d)", code)
    match = match or re.fullmatch(r"(\d{2,4})-(\d\d?)-(\d\d)", code)
    if match is None or math.isnan(_week(match.group(3))):
        return []
    maker, year, week = match.groups()
    if re.fullmatch(r"(?:18|19|20)\d\d-\d\d?-\d\d", code):  # 1990-05-01 is a date
        return []
    said = f"maker code {maker}, week {week}"
    if len(year) == 1:
        return [_Sense(tuple(d + int(year) for d in SINGLE_DIGIT_DECADES), _week(week), said)]
    return [_Sense(_of_two_digits(year, first=FIRST_CODE), _week(week), said)]


def _read_iec(text: str) -> list[_Sense]:
    """Year letter and month sign of IEC 60062: "C5" is May of 1972, 1992 or 2012."""
    match = re.fullmatch(rf"([{YEAR_LETTERS}])([{MONTH_SIGNS}])", text)
    if match is None:
        return []
    first = 1970 + YEAR_LETTERS.index(match.group(1))
    month = MONTH_SIGNS.index(match.group(2)) + 1
    return [_Sense(tuple(range(first, 2100, 20)), said=f"month {month}, letter of a 20-year cycle")]


_READERS: Final[tuple[tuple[str, Callable[[str], list[_Sense]]], ...]] = (
    ("year", _read_year),
    ("yyww", _read_yyww),
    ("eia", _read_eia),
    ("iec", _read_iec),
)
