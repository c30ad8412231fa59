"""Where the voltage of a soak is measured, and what is known of what stands before the part."""

from math import isnan

import pytest

from captriage.bench.profiles import load_profile
from captriage.bench.soak_plan import Plan
from captriage.errors import CapTriageError
from captriage.jobs.bench_meters import MeterAt, OpenMeter
from captriage.jobs.soak_limits import at_the_part

ADDRESS = "TCPIP::127.0.0.1::5025::SOCKET"


def meter(name, profile):
    loaded = load_profile(profile)
    return OpenMeter(MeterAt(name, ADDRESS, profile), None, loaded, "EXAMPLE")


ACROSS = meter("voltmeter", "multimeter_scpi")
SUPPLIES = [
    meter("supply", "supply_scpi"),
    meter("meter", "supply_scpi"),  # by its address
    meter("supply", "multimeter_scpi"),  # by its role alone
]


@pytest.mark.parametrize("ohm", [float("nan"), 0.0, 10e3])
def test_a_voltmeter_is_at_the_part_whatever_stands_before_it(ohm):
    plan, doubt = at_the_part(Plan(390.0, series_ohm=ohm), "D1", ACROSS)
    assert (plan.series_ohm, doubt) == (0.0, "")


@pytest.mark.parametrize("supply", SUPPLIES)
def test_a_supply_is_before_the_resistor_which_has_to_be_told(supply):
    with pytest.raises(CapTriageError, match=r"before any series resistor, not that of D1; give"):
        at_the_part(Plan(390.0), "D1", supply)
    for ohm in (0.0, 10e3):
        assert at_the_part(Plan(390.0, series_ohm=ohm), "D1", supply) == (
            Plan(390.0, series_ohm=ohm),
            "",
        )


def test_a_persons_word_is_taken_and_it_is_said_what_it_leaves_open():
    plan, doubt = at_the_part(Plan(390.0), "D1", None)
    assert isnan(plan.series_ohm)
    assert doubt.startswith("390 V is kept as the voltage on D1, as you say; a series resistor")
    assert at_the_part(Plan(390.0, series_ohm=0.0), "D1", None)[1] == ""
