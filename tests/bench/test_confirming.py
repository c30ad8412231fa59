"""What a meter says it is set to, and whether that is what it was told."""

from __future__ import annotations

from math import isnan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.bench.confirming import MOST_ERRORS, errors_of, number_in, read_back, says
from captriage.bench.profile import NO_ERROR, Confirm
from captriage.errors import Unset

CONFIRMS = (
    Confirm("FUNC?", ("CSRS",)),
    Confirm("FREQ?", setting="frequency_hz"),
    Confirm("VOLT?", setting="level_v"),
)
SETTINGS = {"frequency_hz": 120.0, "level_v": 0.5, "unused_s": 3.0}
GOOD = {"FUNC?": "CSRS", "FREQ?": "+1.199040E+02", "VOLT?": "0.5"}


def told(answers):
    return read_back(CONFIRMS, SETTINGS, ask=answers.__getitem__, where="bridge")


def test_what_the_meter_says_is_what_comes_back():
    assert told(GOOD) == {"frequency_hz": 119.904, "level_v": 0.5}


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        ({"FREQ?": "1000"}, "^bridge: asked for 120 Hz, FREQ. says 1000 Hz; see that its keys"),
        ({"FREQ?": "100 HZ"}, "asked for 120 Hz, FREQ. says 100 Hz; see"),
        ({"FREQ?": "1.2kHz"}, "asked for 120 Hz, FREQ. says 1200 Hz; see"),
        ({"FREQ?": "0"}, "asked for 120 Hz, FREQ. says 0 Hz; see"),
        ({"FREQ?": "-120"}, "asked for 120 Hz, FREQ. says -120 Hz; see"),
        ({"FREQ?": "120 V"}, "asked for 120 Hz, FREQ. says 120 V; see"),
        ({"FREQ?": "nan"}, "asked for 120 Hz, FREQ. says nan; see"),
        ({"FREQ?": "1.2E2,1.2E2"}, r"asked for 120 Hz, FREQ. says 1\.2E2,1\.2E2; see"),
        ({"FUNC?": "CPD"}, "asked for CSRS, FUNC. says CPD; see"),
        (
            {"FUNC?": "CPD", "FREQ?": "1000", "VOLT?": "1"},
            "CSRS, FUNC. says CPD; asked for 120 Hz, FREQ. says 1000 Hz; asked for 0.5 V, VOLT. s",
        ),
    ],
)
def test_a_meter_that_is_set_otherwise_is_told_word_for_word(answers, said):
    with pytest.raises(Unset, match=said):
        told({**GOOD, **answers})


@pytest.mark.parametrize(
    ("answer", "wanted"),
    [
        ("CSRS", "CSRS"), ("csrs", "CSRS"), ('"CURR:DC"', "CURR:DC"), ("'CURR'", "CURR"),
        ("CURRENT:DC", "CURR:DC"), ("CURR", "CURRENT"), (":RESISTANCE", "RES"),
        ("TEMPERATURE", "TEMP"), ("INTERNAL", "INT"), ("1", "ON"), ("+0", "OFF"), ("OFF", "0"),
        ("ON", "1"), ("0.00", "0"), ("1.0E+00", "1"), ("BUS", "BUS"), (" BUS ", "BUS"),
        ("LONG, 1", "LONG,1"), ("LONG,+1", "LONG,1"),
    ],
)  # fmt: skip
def test_an_answer_may_be_spelt_in_any_way_that_means_the_same(answer, wanted):
    assert says(answer, wanted)


@pytest.mark.parametrize(
    ("answer", "wanted"),
    [
        ("CSD", "CSRS"), ("CPRP", "CSRS"), ("1", "OFF"), ("0", "ON"), ("2", "ON"), ("", "ON"),
        ("VOLT", "CURR"), ("CURR:AC", "CURR:DC"), ("CURR", "CURR:DC"), ("CURR:DC", "CURR"),
        ("VOLTMETER", "VOLTAGE"), ("CUR", "CURR"), ("CURRE", "CURRENT"), ("BUS,1", "BUS"),
        ("EXT", "BUS"), ("1", "0"), ("nan", "0"), ("0.001", "0"), ("ONE", "ON"),
    ],
)  # fmt: skip
def test_an_answer_that_means_something_else_is_no_confirmation(answer, wanted):
    assert not says(answer, wanted)


@given(
    asked=st.floats(1e-6, 1e6),
    off=st.floats(-0.5, 0.5).filter(lambda off: abs(abs(off) - 0.01) > 1e-4),
    form=st.sampled_from(["{:.9g}", "{:+.8E}", "{:.9g} Hz", "{:.9g}HZ"]),
)
def test_a_setting_is_confirmed_by_a_number_within_one_in_a_hundred(asked, off, form):
    def ask(_):
        return form.format(asked * (1 + off))

    confirms = (Confirm("FREQ?", setting="frequency_hz"),)
    settings = {"frequency_hz": asked}
    if abs(off) < 0.01:
        found = read_back(confirms, settings, ask=ask, where="bridge")["frequency_hz"]
        assert found == pytest.approx(asked * (1 + off), rel=1e-7)
    else:
        with pytest.raises(Unset, match=r"asked for .* Hz, FREQ\? says .* Hz"):
            read_back(confirms, settings, ask=ask, where="bridge")


@given(st.text(max_size=20))
def test_no_answer_breaks_the_comparison(answer):
    assert isinstance(says(answer, "CURR:DC"), bool)
    number = number_in(answer, "Hz")
    assert isnan(number) or any(sign.isdigit() for sign in answer)


def test_nought_is_only_nought():
    confirms = (Confirm("VOLT?", setting="voltage_v"),)

    def back(answer):
        return read_back(confirms, {"voltage_v": 0.0}, ask=lambda _: answer, where="supply")

    assert back("0.000") == back("-0") == {"voltage_v": 0.0}
    with pytest.raises(Unset, match=r"asked for 0 V, VOLT\? says 0\.1 V"):
        back("0.1")


@pytest.mark.parametrize(
    "none", ['0,"No error"', '+0,"No error"', "0,No error", "0", "+0", "-0,\"\""]
)  # fmt: skip
def test_errors_are_taken_until_there_is_none(none):
    answers = iter(['-113,"Undefined header"', '-222,"Data out of range"', none, "never asked"])
    found = errors_of(lambda: next(answers), NO_ERROR, where="bridge")
    assert found == ['-113,"Undefined header"', '-222,"Data out of range"']
    assert next(answers) == "never asked"


@pytest.mark.parametrize("answer", ['-100,"Command error"', "00,x", "10", "No error", "-350"])
def test_a_list_of_errors_without_an_end_is_refused(answer):
    asked = []
    with pytest.raises(Unset, match=rf"^bridge: tells {MOST_ERRORS} errors and no end, the last"):
        errors_of(lambda: asked.append(1) or answer, NO_ERROR, where="bridge")
    assert len(asked) == MOST_ERRORS
