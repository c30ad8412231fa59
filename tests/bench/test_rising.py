"""A voltage is noticed by a jump that lasts, and by nothing else."""

from datetime import UTC, datetime
from math import isnan, nan

from captriage.bench.measured import Answer, Value
from captriage.bench.rising import Rise

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
