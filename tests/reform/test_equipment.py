import math

import pytest

from captriage.errors import CapTriageError
from captriage.reform.equipment import (
    Equipment,
    OwnedResistor,
    Supply,
    checked_resistor,
    checked_supply,
    current_floor,
    parse_resistors,
    volts_borne,
)

UNTOLD = OwnedResistor(47e3, 0.25, 250, watt_told=False)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("10k 2W 350V", [OwnedResistor(10e3, 2, 350)]),
        ("10k 2W 350V, 47k", [OwnedResistor(10e3, 2, 350), UNTOLD]),
        ("4x 56k 1W; 100 Ω 1/2 W", [OwnedResistor(56e3, 1, 350, 4), OwnedResistor(100, 0.5, 350)]),
        ("4k7 5W, 2 × 1 MΩ 0,5W", [OwnedResistor(4.7e3, 5, 500), OwnedResistor(1e6, 0.5, 350, 2)]),
        ("470 k 2 W", [OwnedResistor(470e3, 2, 500)]),
    ],
)
def test_a_list_of_resistors_is_read(text, found):
    read = parse_resistors(text)
    assert list(read) == found


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("banana", r"resistors: 'banana' is not understood; write ohms, watts and volts"),
        ("10k,47k", r"resistors: '10k,47k' is not understood"),
        ("10k, 2W", r"resistors: '2W' is not understood"),
        ("0 2W", r"resistors: '0 2W': 0 Ω; above 0 and up to 1e\+08 Ω"),
        ("10k 0W", r"'10k 0W': 0 W; above 0 and up to 1000 W"),
        ("10k 2W 0V", r"'10k 2W 0V': 0 V; above 0 and up to 100000 V"),
        ("0x 10k", r"'0x 10k': 0 pieces; above 0 and up to 1000 pieces"),
        (" , ", r"resistors: none is listed; write some"),
    ],
)
def test_what_is_no_resistor_is_refused(text, message):
    with pytest.raises(CapTriageError, match=message):
        parse_resistors(text)


def test_volts_of_a_resistor_grow_with_its_size():
    # from memory: 250 V for ¼ W, 350 to 500 V for 1 to 2 W
    assert [volts_borne(watt) for watt in (0.25, 0.5, 1, 2, 10)] == [250, 350, 350, 500, 500]


@pytest.mark.parametrize(
    ("supply", "message"),
    [
        (Supply(voltage_most=0), r"supply: highest voltage 0; above 0 is wanted"),
        (Supply(voltage_step=-1), r"supply: voltage step -1; above 0"),
        (Supply(current_most=0), r"supply: current limit 0; above 0"),
        (Supply(power_most=0), r"supply: power 0; above 0"),
        (Supply(voltage_least=9, voltage_most=5), r"supply: lowest voltage 9; from 0 to its high"),
        (Supply(current_least=-1), r"supply: lowest current limit -1; from 0 to its highest"),
    ],
)
def test_a_supply_that_cannot_be_is_refused(supply, message):
    with pytest.raises(CapTriageError, match=message):
        checked_supply(supply)


def test_a_supply_and_a_resistor_that_can_be_are_taken():
    supply, resistor = Supply(30, 500, 1, 1e-3, 0.1, 50), OwnedResistor(10e3, 2, 350, 3)
    assert checked_supply(supply) == supply
    assert checked_resistor(resistor, "here") == resistor


def test_step_of_a_supply_that_nobody_tells_is_finer_for_low_voltages():
    assert Supply().step_up_to(450) == 1.0
    assert Supply().step_up_to(6.3) == 0.1
    assert Supply(voltage_step=5).step_up_to(6.3) == 5


def test_floor_of_a_meter_as_a_current():
    # 10 mV across 100 kΩ: 0.1 µA, by hand
    assert current_floor(Equipment(meter_floor=0.01), 100e3) == pytest.approx(0.1e-6)
    assert current_floor(Equipment(meter="ammeter", meter_floor=1e-6), 100e3) == 1e-6
    assert math.isinf(current_floor(Equipment(meter="none", meter_floor=math.inf), 100e3))
