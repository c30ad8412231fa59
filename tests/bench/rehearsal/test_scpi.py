"""The manners of SCPI: long and short headers, the error queue, silence about the unknown."""

from __future__ import annotations

import pytest

from captriage.bench.rehearsal.scpi import (
    QUEUE_LENGTH,
    Language,
    Refused,
    choice,
    number,
    switch,
)


@pytest.fixture
def language():
    known = Language(lambda: "SOMEBODY,METER,1,1")
    known.learn("FUNCtion:IMPedance[:TYPE]?", lambda _: "CSRS")
    known.learn("[SOURce]:VOLTage[:LEVel]", lambda text: number(text, 0, 10, unit="V") and None)
    known.learn("[SOURce]:VOLTage[:LEVel]?", lambda _: "5")
    return known


ONE_THING = [
    "FUNC:IMP?",
    "func:imp?",
    ":FUNC:IMP?",
    "FUNCTION:IMPEDANCE?",
    "FUNC:IMP:TYPE?",
    "Function:Imp:Type?",
]


@pytest.mark.parametrize("said", ONE_THING)
def test_header_is_known_long_and_short(said, language):
    assert language.answer(said) == "CSRS"


@pytest.mark.parametrize("said", ["VOLT?", "SOUR:VOLT?", "SOURCE:VOLTAGE:LEVEL?", "VOLT:LEV?"])
def test_words_in_brackets_can_be_left_out(said, language):
    assert language.answer(said) == "5"


@pytest.mark.parametrize("said", ["FUN:IMP?", "FUNCT:IMP?", "FUNC?", "VOLT:TYPE?", "HELLO"])
def test_what_is_unknown_gets_no_answer_but_an_error(said, language):
    assert language.answer(said) is None
    assert language.answer("SYST:ERR?") == '-113,"Undefined header"'
    assert language.answer("SYST:ERR?") == '0,"No error"'


def test_several_in_one_line_are_answered_in_one(language):
    assert language.answer("*IDN?;VOLT?") == "SOMEBODY,METER,1,1;5"
    assert language.answer("VOLT 3;VOLT 4") is None


def test_errors_are_counted_kept_in_order_and_cleared(language):
    language.answer("VOLT 11")
    language.answer("VOLT")
    language.answer("VOLT high")
    assert language.answer("SYST:ERR:COUN?") == "3"
    assert language.answer("*ESR?") == "32"
    assert language.answer("SYST:ERR?") == '-222,"Data out of range"'
    assert language.answer("SYST:ERR:NEXT?") == '-109,"Missing parameter"'
    assert language.answer("SYSTEM:ERROR?") == '-104,"Data type error"'
    language.answer("HELLO")
    language.answer("*CLS")
    assert language.answer("SYST:ERR?") == '0,"No error"'
    assert language.answer("*ESR?") == "0"


def test_queue_that_is_full_says_so(language):
    for _ in range(QUEUE_LENGTH + 3):
        language.answer("HELLO")
    errors = [language.answer("SYST:ERR?") for _ in range(QUEUE_LENGTH)]
    assert errors[-1] == '-350,"Queue overflow"'
    assert set(errors[:-1]) == {'-113,"Undefined header"'}


@pytest.mark.parametrize(
    ("text", "error"),
    [("", "-109"), ("x", "-104"), ("-1", "-222"), ("10.1", "-222"), ("nan", "-222")],
)
def test_number_is_refused(text, error):
    with pytest.raises(Refused, match=error):
        number(text, 0, 10)


@pytest.mark.parametrize(
    ("text", "value"), [("5", 5), ("5V", 5), ("5 v", 5), ("1E-1", 0.1), ("MIN", 0), ("maximum", 10)]
)
def test_number_is_taken_with_or_without_its_unit(text, value):
    assert number(text, 0, 10, unit="V") == value


def test_word_is_one_of_those_allowed():
    assert choice("bus", ("INT", "BUS")) == "BUS"
    with pytest.raises(Refused, match="-224"):
        choice("SOON", ("INT", "BUS"))
    with pytest.raises(Refused, match="-109"):
        choice("", ("INT", "BUS"))


def test_switch_is_on_or_off():
    assert [switch(text) for text in ("ON", "off", "1", "0")] == [True, False, True, False]
    with pytest.raises(Refused, match="-224"):
        switch("2")
