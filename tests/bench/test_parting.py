"""What a meter is told on the way out: a supply that was only read stays as it was found."""

from dataclasses import replace

import pytest

from bench.wires import TcpMeter
from captriage.bench.clock import SystemClock
from captriage.bench.meter import Meter, parting_words
from captriage.bench.profiles import load_profile
from captriage.bench.trying import try_meter

SWITCHED_OFF = "supply was set up or switched, and is told OUTP OFF now"


class Supply:
    """A supply that feeds something, the meter that reads it, and what it was told."""

    def __init__(self, talker, *, setup=()):
        profile = load_profile("supply_scpi")
        read = replace(profile.functions["dc_voltage"], setup=setup)
        profile = replace(profile, functions={"dc_voltage": read})
        self._talker = talker
        self.meter = Meter(profile, talker.address, name="supply", clock=SystemClock())

    def told(self):
        """All but who it is, and whether it did; the supply has then taken every line."""
        self.meter.close()
        self._talker.unplug()
        asked = ("*IDN?", "SYST:ERR?", "OUTP?")
        heard = [line for line in self._talker.heard if line not in asked]
        self._talker.plug()
        return heard


@pytest.fixture
def talker():
    with TcpMeter({"MEAS:VOLT?": "390.04"}) as on_a_wire:
        yield on_a_wire


def test_a_supply_that_was_only_read_is_left_as_it_was_found(talker):
    supply = Supply(talker)
    supply.meter.open()
    supply.meter.use("dc_voltage")
    assert supply.meter.read().of("voltage").value == 390.04
    assert (supply.meter.parting, parting_words(supply.meter)) == ((), "")
    assert supply.told() == ["MEAS:VOLT?"]


def test_a_supply_that_this_program_switched_on_is_switched_off_and_that_is_told(talker):
    supply = Supply(talker)
    supply.meter.open()
    supply.meter.act("on")
    assert parting_words(supply.meter) == SWITCHED_OFF
    assert supply.told() == ["OUTP ON", "OUTP OFF"]


def test_so_is_one_that_was_set_up(talker):
    supply = Supply(talker, setup=("VOLT 10",))
    supply.meter.open()
    supply.meter.use("dc_voltage")
    assert parting_words(supply.meter) == SWITCHED_OFF
    assert supply.told() == ["VOLT 10", "OUTP OFF"]


@pytest.mark.parametrize(
    ("setup", "told", "said"),
    [
        ((), ["MEAS:VOLT?"], []),
        (("VOLT 10",), ["VOLT 10", "MEAS:VOLT?", "OUTP OFF"], [SWITCHED_OFF]),
    ],
)
def test_trying_a_supply_does_the_same(talker, setup, told, said):
    supply, lines = Supply(talker, setup=setup), []
    assert try_meter(supply.meter, readings=1, tell=lines.append).problem == ""
    assert (supply.told(), lines) == (told, said)


def test_of_a_meter_that_feeds_nothing_no_words_are_made(talker):
    meter = Meter(
        load_profile("lcr_scpi_values_status"), talker.address, name="bridge", clock=SystemClock()
    )
    meter.open()
    meter.use("impedance")
    assert (meter.parting, parting_words(meter)) == (("BIAS:STAT 0",), "")
    meter.close()
