"""Going on after an unplug."""

import pytest

from bench.wires import TcpMeter
from captriage.bench.clock import SystemClock
from captriage.bench.meter import Meter
from captriage.bench.profiles import load_profile
from captriage.bench.reconnect import reconnect
from captriage.errors import Garbled, Gone, Silent

LCR = "+9.71600E-05,+8.20000E-01,+0"


class Lost:
    """A meter that comes back at a given attempt."""

    name = "bridge"

    def __init__(self, back_at, error):
        self.attempts, self.back_at, self.error = 0, back_at, error

    def reopen(self):
        self.attempts += 1
        if self.attempts < self.back_at:
            raise self.error
        return "bridge"


class Waits:
    """Waits no time, and goes on so many times; calls back at one of them."""

    def __init__(self, most=100, *, at=0, then=None):
        self.seconds, self.most, self.at, self.then = [], most, at, then

    def __call__(self, seconds):
        self.seconds.append(seconds)
        if len(self.seconds) == self.at:
            self.then()
        return len(self.seconds) <= self.most


@pytest.mark.parametrize("error", [Gone("away"), Silent("silent"), Garbled("another meter")])
def test_pauses_double_up_to_five_seconds(error):
    waits, reasons = Waits(), []
    assert reconnect(Lost(9, error), wait=waits, still=reasons.append)
    assert waits.seconds == pytest.approx([0.2, 0.4, 0.8, 1.6, 3.2, 5, 5, 5, 5])
    assert reasons == [error] * 8


def test_it_is_not_tried_any_more_once_the_wait_says_so():
    meter = Lost(1000, Gone("away"))
    assert not reconnect(meter, wait=Waits(3), still=lambda _: None)
    assert meter.attempts == 3


def test_a_real_meter_is_unplugged_and_comes_back():
    with TcpMeter({"*TRG": LCR}) as talker:
        profile = load_profile("lcr_scpi_values_status")
        meter = Meter(profile, talker.address, name="bridge", clock=SystemClock())
        meter.open()
        meter.use("impedance")
        talker.unplug()
        with pytest.raises(Gone):
            meter.read()
        waits, reasons = Waits(at=3, then=talker.plug), []
        assert reconnect(meter, wait=waits, still=reasons.append)
        answer = meter.read()
        meter.close()
    assert answer.raw == LCR
    assert [type(each) for each in reasons] == [Gone] * 2
    assert len(waits.seconds) == 3
