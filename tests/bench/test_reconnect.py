"""Going on after an unplug."""

import threading

import pytest

from bench.wires import TcpMeter
from captriage.bench.clock import SystemClock
from captriage.bench.meter import Meter
from captriage.bench.profiles import load_profile
from captriage.bench.reconnect import patiently
from captriage.errors import Garbled, Gone, Silent

LCR = "+9.71600E-05,+8.20000E-01,+0"


class Hurried:
    """A clock that passes as soon as it is waited on; calls back at given waits."""

    def __init__(self, **at):
        self.now, self.waits, self.at = 0.0, [], at

    def monotonic(self):
        return self.now

    def sleep(self, seconds):
        self.waits.append(seconds)
        self.now += seconds
        self.at.get(f"wait{len(self.waits)}", lambda: None)()


AWAY = Gone("bridge: away; plug it in")


class Lost:
    """A meter that comes back at a given attempt."""

    name = "bridge"

    def __init__(self, back_at, error=AWAY):
        self.attempts, self.back_at, self.error = 0, back_at, error

    def reopen(self):
        self.attempts += 1
        if self.attempts < self.back_at:
            raise self.error
        return "bridge"

    def read(self):
        if self.attempts < self.back_at:
            raise self.error
        return 47e-6


@pytest.mark.parametrize("error", [Gone("away"), Silent("silent")])
def test_pauses_double_up_to_five_seconds(error):
    meter, clock, told = Lost(9, error), Hurried(), []
    meter.error = Gone("away")
    assert patiently(meter, meter.read, within_s=60, clock=clock, tell=told.append) == 47e-6
    assert clock.waits == pytest.approx([0.2, 0.4, 0.8, 1.6, 3.2, 5, 5, 5, 5])
    assert told == ["away; trying to connect again for 60 s", "bridge: connected again"]


def test_a_meter_that_does_not_come_back_in_time_is_gone():
    meter, clock = Lost(1000), Hurried()
    with pytest.raises(Gone, match=r"bridge: did not come back within 12 s; .*: bridge: away"):
        patiently(meter, meter.read, within_s=12, clock=clock, tell=print)
    assert clock.now == pytest.approx(12)


@pytest.mark.parametrize("error", [Silent("silent"), Garbled("garbled")])
def test_a_meter_that_is_there_is_not_reopened(error):
    meter = Lost(5, error)
    with pytest.raises(type(error), match=str(error)):
        patiently(meter, meter.read, within_s=60, clock=Hurried(), tell=print)
    assert meter.attempts == 0


def test_a_real_meter_is_unplugged_and_comes_back(capsys):
    with TcpMeter({"*TRG": LCR}) as talker:
        profile = load_profile("lcr_scpi_values_status")
        meter = Meter(profile, talker.address, name="bridge", clock=SystemClock())
        meter.open()
        meter.use("impedance")
        talker.unplug()
        clock = Hurried(wait3=talker.plug)
        answer = patiently(meter, meter.read, within_s=30, clock=clock, tell=print)
        meter.close()
    assert answer.raw == LCR
    assert len(clock.waits) == 3
    assert "connected again" in capsys.readouterr().out


def test_the_action_is_done_again_each_time_the_meter_is_lost():
    meter, done = Lost(1), []

    def twice_lost():
        done.append(1)
        if len(done) < 3:
            raise Gone("away")
        return threading.current_thread().name

    assert patiently(meter, twice_lost, within_s=9, clock=Hurried(), tell=print) == "MainThread"
    assert meter.attempts == 2
