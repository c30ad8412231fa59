import math

import pytest

from captriage.errors import CapTriageError, ProfileError
from captriage.jobs.equipment_file import equipment_of, quantity_typed, read_equipment
from captriage.reform.equipment import Equipment, OwnedResistor, Supply

BENCH = """\
[supply]
voltage_least_v = 0
voltage_most_v = 500
voltage_step_v = 1
current_least_a = 1e-3
current_most_a = 0.1
power_most_w = 50

[[resistors]]
ohm = 100e3
watt = 5
volt = 500

[[resistors]]
ohm = 22e3
watt = 2
count = 4

[meter]
kind = "ammeter"
floor = 1e-7
"""


@pytest.fixture
def bench(tmp_path):
    path = tmp_path / "bench.toml"
    path.write_text(BENCH, encoding="utf-8")
    return path


def test_a_file_says_what_is_at_hand(bench):
    assert read_equipment(bench) == Equipment(
        supply=Supply(0, 500, 1, 1e-3, 0.1, 50),
        resistors=(OwnedResistor(100e3, 5, 500), OwnedResistor(22e3, 2, 500, 4)),
        meter="ammeter",
        meter_floor=1e-7,
    )


def test_what_a_file_does_not_say_is_taken_as_usual(tmp_path):
    path = tmp_path / "empty.toml"
    path.write_text("", encoding="utf-8")
    assert read_equipment(path) == Equipment()


def test_an_option_comes_before_the_file(bench):
    found = equipment_of(
        bench,
        {"voltage_most_v": "300 V", "current_most_a": "20mA", "power_most_w": "10W"},
        resistors="47k 2W",
        meter="voltmeter",
        meter_floor="1 mV",
    )
    assert found.supply == Supply(0, 300, 1, 1e-3, 0.02, 10)
    assert found.resistors == (OwnedResistor(47e3, 2, 500),)
    assert (found.meter, found.meter_floor) == ("voltmeter", 1e-3)


def test_without_a_file_and_options_anything_can_be_had():
    assert equipment_of(None, {}) == Equipment()
    assert math.isinf(equipment_of(None, {}, meter="none").meter_floor)


SPOILT = [
    ("[supplies]", r"supplies: unknown key; supply is probably meant"),
    ("[supply]\nvolts = 5", r"supply\.volts: unknown key"),
    ("[supply]\nvoltage_most_v = -5", r"supply\.voltage_most_v: -5; 0 to 1e\+06 is allowed"),
    ('[supply]\nvoltage_most_v = "5"', r"'5'; a finite number is wanted"),
    ("[[resistors]]\nwatt = 2", r"resistors\[1\]\.ohm: missing"),
    ("[[resistors]]\nohm = 10\ncount = 1.5", r"count: 1\.5; a whole number is wanted"),
    ("[[resistors]]\nohm = 10\nmaker = 1", r"resistors\[1\]\.maker: unknown key"),
    ('[meter]\nkind = "lamp"', r"meter\.kind: 'lamp'; one of ammeter, voltmeter, none"),
]


@pytest.mark.parametrize(("text", "message"), SPOILT)
def test_what_may_not_stand_in_the_file_is_refused(tmp_path, text, message):
    path = tmp_path / "bench.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ProfileError, match=message):
        read_equipment(path)


UNUSABLE = [
    ("[supply", r"correct the file"),
    ("[supply]\nvoltage_step_v = 0", r"supply: voltage step 0; above 0 is wanted"),
    ("[[resistors]]\nohm = 0", r"resistors\[1\]: 0 Ω; above 0"),
]


@pytest.mark.parametrize(("text", "message"), UNUSABLE)
def test_a_file_that_is_no_use_is_refused(tmp_path, text, message):
    path = tmp_path / "bench.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(CapTriageError, match=message):
        read_equipment(path)


def test_a_file_that_is_not_there_is_named(tmp_path):
    with pytest.raises(CapTriageError, match=r"none\.toml: No such file.*; name a TOML file"):
        read_equipment(tmp_path / "none.toml")


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"supply": {"voltage_most_v": "lots"}}, r"supply: highest voltage: 'lots' is not unders"),
        ({"supply": {}, "meter_floor": "x"}, r"meter floor: 'x' is not understood; .* as 10 mV"),
        ({"supply": {"voltage_most_v": "-5"}}, r"'-5' is not understood; write it as 385 V"),
        ({"supply": {"power_most_w": "ten"}}, r"supply: power: 'ten' is not understood"),
        ({"supply": {}, "meter": "lamp"}, r"meter: 'lamp'; one of ammeter, voltmeter, none"),
        ({"supply": {}, "meter_floor": "low"}, r"meter floor: 'low' is not understood"),
    ],
)
def test_an_option_that_is_not_understood_is_refused(options, message):
    with pytest.raises(CapTriageError, match=message):
        equipment_of(None, **options)


def test_a_quantity_is_taken_in_its_unit():
    assert quantity_typed("25y", "a", "time") == 25
    assert quantity_typed("4.7k", "Ω", "resistance") == 4700
    assert quantity_typed("10 W", "", "power") == 10


def test_a_resistor_without_watts_is_known_as_one(tmp_path):
    file = tmp_path / "bench.toml"
    file.write_text("[[resistors]]\nohm = 10e3\n\n[[resistors]]\nohm = 22e3\nwatt = 0.25\n")
    assert [kind.watt_told for kind in read_equipment(file).resistors] == [False, True]
