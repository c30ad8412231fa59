"""How a part is discharged, and above which voltage it is not read."""

import re
from math import log

import pytest

from bench.told import PART, Shows, Told
from captriage.bench.asking import Asking
from captriage.bench.discharging import ChargeCheck, how_to_discharge
from captriage.store.rows import PartRow
from published import assert_published

UNTOLD = PartRow(id=2, part="D2")


def refused(volts):
    told = Told()
    across = Shows(told, "voltmeter", "voltage", lambda _: volts)
    check = ChargeCheck(Asking(told.sitting), across, whole_drawer=False)
    return check.refuses(PART), told.said


def seconds_told(part, volts):
    """Time and resistor of the advice."""
    text = how_to_discharge(part, volts)
    found = re.match(r"hold (\d+) (k?)Ω across it for ([\d.]+) s or longer", text)
    return float(found[3]), float(found[1]) * (1e3 if found[2] else 1.0)


# Vishay doc. 28309: reverse voltage "≤ 1 V"; either polarity may be in the clips
@pytest.mark.parametrize("volts", [0.0, 0.9, -0.9, 1.0])
def test_up_to_a_volt_of_either_sign_a_part_is_read(volts):
    assert refused(volts) == ("", [])


@pytest.mark.parametrize("volts", [1.1, -1.1, 2.0, 4.9, 390.0])
def test_above_a_volt_of_either_sign_it_is_not(volts):
    why, said = refused(volts)
    assert why.startswith("it holds ")
    assert "bell" in said
    assert any("do not touch it, nothing is measured" in each for each in said)
    assert any("discharge it: hold " in each for each in said)


def test_a_voltage_that_is_no_number_is_none_to_trust():
    why, said = refused("over range")
    assert why == "the voltage is not known"
    assert any("over range" in each for each in said)


@pytest.mark.parametrize("volts", [25.0, -25.0, 450.0])
def test_the_time_is_enough_for_a_part_half_as_large_again(volts):
    # R C ln(U/1 V), C half as large again as rated: the usual tolerance is up to +50 %
    seconds, ohm = seconds_told(PART, volts)
    assert seconds == pytest.approx(ohm * 1.5 * 32e-6 * log(abs(volts)), rel=0.01)


def test_the_resistor_has_to_stand_what_the_part_gives_at_first():
    text = how_to_discharge(PART, 450.0)
    assert_published(450.0**2 / 10e3, re.search(r"\(([\d.]+ W) at first", text)[1])
    assert "for 450 V, insulated leads" in text


def test_a_part_whose_rating_is_not_told_is_taken_for_a_large_one():
    seconds, ohm = seconds_told(UNTOLD, 450.0)
    assert (ohm, seconds) == (1e3, pytest.approx(1e3 * 1000e-6 * log(450), rel=0.01))


@pytest.mark.parametrize("volts", [0.5, 1.0, 1.01])
def test_no_time_shorter_than_a_second_is_told_nor_none(volts):
    assert seconds_told(PART, volts)[0] == 1.0


def test_the_resistor_is_rated_as_a_plan_of_reforming_rates_it():
    # ½ · 48 µF · 450² V² = 4.86 J; 20.25 W at first, of which a tenth is borne for ever
    text = how_to_discharge(PART, 450.0)
    assert "able to take a pulse of 4.86 J, rated for 2.02 W at least and for 450 V" in text
