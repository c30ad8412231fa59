"""A voltage is noticed by a jump that lasts, and by nothing else."""

from datetime import UTC, datetime
from math import inf, isnan, nan

import pytest

from captriage.bench.measured import Answer, Value
from captriage.bench.rising import Rise, rises_of, shown

NOON = datetime(1959, 5, 1, 12, tzinfo=UTC)
OVER = "over range"


def noticed(*readings, least=1.0):
    """Moments told for readings a second apart; a text is the flag of a reading without number."""
    rise = Rise(None, "current", lambda _: least)
    told = []
    for second, reading in enumerate(readings):
        if reading is None:
            rise.forget()
            continue
        flag, number = (reading, nan) if isinstance(reading, str) else ("", reading)
        values = (Value("current", number, flag=flag),)
        told.append(rise.began_s(Answer(values, "", NOON, float(second))))
    return [moment for moment in told if not isnan(moment)], rise.slipped


def test_it_began_with_the_first_reading_of_a_jump_that_lasts():
    assert noticed(0.0, 0.1, 0.0, 5.0, 4.0)[0] == [3.0]
    assert noticed(0.0, 0.1, 0.0, -5.0, -4.0)[0] == [3.0]


def test_a_jump_of_one_reading_is_a_slip_and_told_as_one():
    assert noticed(0.0, 0.1, 0.0, 5.0, 0.1) == ([], True)
    assert noticed(0.0, 0.1, 0.0, 5.0, 0.1, 0.0) == ([], False)


def test_over_range_alone_is_no_voltage_but_may_be_where_it_begins():
    assert noticed(0.0, 0.0, 0.0, OVER, OVER, OVER, 0.0) == ([], True)
    assert noticed(0.0, 0.0, 0.0, OVER, OVER, 5.0)[0] == [3.0]


def test_a_jump_is_seen_only_against_calm_that_nothing_interrupted():
    assert noticed(0.0, 0.0, 5.0, 5.0)[0] == []
    assert noticed(0.0, 0.0, 0.0, None, 5.0, 5.0)[0] == []
    assert noticed(0.0, 0.0, 0.0, 5.0, None, 5.0)[0] == []


def test_less_than_the_least_rise_and_no_number_are_no_jump():
    assert noticed(0.0, 0.0, 0.0, 0.9, 0.9) == ([], False)
    assert noticed(0.0, 0.0, 0.0, "no reading", "no reading") == ([], False)
    rise = Rise(None, "current", lambda _: 1.0)
    assert isnan(rise.began_s(Answer((), "", NOON, 0.0)))


NOISE = 2e-7  # of the ammeter [A]


def jumped(meter, quantity, *, calm, to, noise=NOISE):
    """Whether a jump of this meter from one reading to another is taken for 390 V."""
    both = rises_of("ammeter", "voltmeter", voltage_v=390.0, noise=lambda *_: noise)
    (rise,) = (each for each in both if each.meter == meter)
    answers = [Value(quantity, number) for number in (calm, calm, calm, to, to)]
    told = [
        rise.began_s(Answer((value,), "", NOON, float(second)))
        for second, value in enumerate(answers)
    ]
    return not isnan(told[-1])


@pytest.mark.parametrize(
    ("noise", "rise", "taken"),
    [
        (nan, 0.9e-6, False),  # a microampere at least
        (nan, 1.1e-6, True),
        (1e-9, 0.9e-6, False),
        (1e-9, 1.1e-6, True),
        (2e-7, 1.9e-6, False),  # and ten times the noise
        (2e-7, 2.1e-6, True),
    ],
)
def test_a_current_jumps_by_more_than_the_ammeter_wanders(noise, rise, taken):
    assert jumped("ammeter", "current", calm=1e-5, to=1e-5 + rise, noise=noise) == taken


@pytest.mark.parametrize(("to", "taken"), [(40.0, False), (44.0, True), (-44.0, True)])
def test_a_voltage_jumps_by_a_tenth_of_what_is_wanted(to, taken):
    assert jumped("voltmeter", "voltage", calm=3.0, to=to) == taken


def test_the_voltmeter_is_asked_first_and_may_be_missing():
    both = rises_of("ammeter", "voltmeter", voltage_v=390.0, noise=lambda *_: nan)
    assert [rise.meter for rise in both] == ["voltmeter", "ammeter"]
    one = rises_of("ammeter", None, voltage_v=390.0, noise=lambda *_: nan)
    assert [rise.meter for rise in one] == ["ammeter"]


@pytest.mark.parametrize(
    ("flag", "number"),
    [("over range", inf), ("over range, at least 5", inf), ("over range negative", -inf)],
)
def test_over_range_is_more_than_any_number_on_its_side(flag, number):
    assert shown(Value("voltage", nan, flag=flag)) == number
    assert shown(Value("voltage", -3.0)) == -3.0


def test_no_number_shows_nothing():
    assert isnan(shown(None))
    assert isnan(shown(Value("voltage", nan, flag="no reading")))
