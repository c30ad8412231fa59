"""A profile and a wire make a meter."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from bench.wires import IDENTITY, PtyMeter, TcpMeter
from captriage.bench.choosing import open_meter
from captriage.bench.clock import SystemClock
from captriage.bench.meter import Meter
from captriage.bench.profiles import load_profile
from captriage.bench.typed import TypedMeter
from captriage.errors import Garbled, Gone, ProfileError, Silent

LCR = "+9.71600E-05,+8.20000E-01,+0"


@pytest.fixture
def bridge():
    with TcpMeter({"*TRG": LCR}) as talker:
        yield talker


@pytest.fixture
def meter_at():
    """Makes meters, closed at the end."""
    made = []

    def make(talker, profile="lcr_scpi_values_status", *, clock=None, **changes):
        profile = load_profile(profile)
        transport = replace(profile.transport, timeout_s=0.2)
        profile = replace(profile, **{"transport": transport, **changes})
        meter = Meter(profile, talker.address, name="bridge", clock=clock or SystemClock())
        made.append(meter)
        return meter

    yield make
    for meter in made:
        meter.close()


def test_a_meter_is_set_up_read_and_left_safe(bridge, meter_at):
    meter = meter_at(bridge)
    assert meter.open() == IDENTITY
    meter.use("impedance", frequency_hz=100)
    assert meter.settings == {"frequency_hz": 100, "level_v": 0.5}
    answer = meter.read()
    meter.close()
    assert (answer.of("capacitance").value, answer.of("esr").value) == (9.716e-5, 0.82)
    assert answer.of("capacitance").uncertainty > 0
    assert answer.raw == meter.last_reply == LCR
    bridge.unplug()
    assert bridge.heard == [
        "*IDN?", "*IDN?", "SYST:ERR?",
        "BIAS:STAT 0", "FUNC:IMP CSRS", "FREQ 100", "VOLT 0.5", "TRIG:SOUR BUS", "SYST:ERR?",
        "BIAS:STAT?", "FUNC:IMP?", "FREQ?", "VOLT?", "TRIG:SOUR?",
        "*TRG", "BIAS:STAT 0",
    ]  # fmt: skip
    bridge.plug()


def test_an_answer_has_the_time_of_its_receipt(bridge, meter_at):
    class Clock(SystemClock):
        def utc(self):
            return datetime(2024, 5, 1, 12, tzinfo=UTC)

        def monotonic(self):
            return 1234.5

    meter = meter_at(bridge, clock=Clock())
    meter.open()
    meter.use("impedance")
    answer = meter.read()
    assert (answer.utc, answer.monotonic_s) == (Clock().utc(), 1234.5)


@pytest.mark.parametrize(
    ("function", "settings", "message"),
    [
        ("dc_current", {}, "bridge: dc_current: no function of lcr_scpi_values_status; it has imp"),
        ("impedance", {"frequency_hz": 10}, "frequency_hz: 10; 20 to 1e"),
        ("impedance", {"frequency_hz": float("nan")}, "frequency_hz: nan"),
        ("impedance", {"bias_v": 1}, "bias_v: no such setting; it has frequency_hz, level_v"),
    ],
)
def test_what_a_meter_cannot_do_is_refused_and_nothing_is_sent(
    function, settings, message, bridge, meter_at
):
    meter = meter_at(bridge)
    meter.open()
    heard = len(bridge.heard)
    with pytest.raises(ProfileError, match=message):
        meter.use(function, **settings)
    assert len(bridge.heard) == heard


def test_a_meter_that_was_not_set_up_is_not_read(bridge, meter_at):
    meter = meter_at(bridge)
    meter.open()
    with pytest.raises(ProfileError, match="bridge: not set up; choose one of its functions"):
        meter.read()


def test_a_reply_of_another_shape_is_garbled_and_kept_to_be_seen(bridge, meter_at):
    bridge.answers["*TRG"] = "+1,+2"
    meter = meter_at(bridge)
    meter.open()
    meter.use("impedance")
    with pytest.raises(Garbled, match="fields"):
        meter.read()
    assert meter.last_reply == "+1,+2"
    bridge.answers["*TRG"] = LCR
    assert meter.read().raw == LCR


def test_actions_are_sent_and_unknown_ones_are_nothing(bridge, meter_at):
    meter = meter_at(bridge)
    meter.open()
    meter.act("beep")
    meter.act("on")
    meter.use("impedance")
    meter.read()
    assert [said for said in bridge.heard if "BEEP" in said] == ["SYST:BEEP"]


def test_settings_of_an_action_stay_within_limits(meter_at):
    with TcpMeter() as supply:
        meter = meter_at(supply, "supply_scpi")
        meter.open()
        low, high = meter.profile.limits["voltage_v"]
        with pytest.raises(ProfileError, match="voltage_v"):
            meter.act("set_voltage", voltage_v=high * 2)
        meter.act("set_voltage", voltage_v=low)


def test_a_command_that_is_a_question_takes_its_answer(bridge, meter_at):
    bridge.answers["*OPC?"] = "1"
    meter = meter_at(bridge, wake=("*OPC?",))
    meter.open()
    meter.use("impedance")
    assert meter.read().raw == LCR
    assert bridge.heard[0] == "*OPC?"


def test_a_streaming_meter_is_never_written_to(tmp_path, meter_at):
    with PtyMeter(tmp_path, stream=lambda n: b"DC %d.5 mA\r\n" % n) as talker:
        meter = meter_at(talker, "serial_stream")
        assert meter.open() == ""
        meter.use("dc_current")
        assert meter.read().of("current").value > 0
        meter.close()
        assert talker.heard == []


def test_a_meter_that_fails_to_open_is_let_go(bridge, meter_at):
    bridge.answers["*IDN?"] = None
    meter = meter_at(bridge)
    with pytest.raises(Silent):
        meter.open()
    assert not meter.wire.is_open
    bridge.answers["*IDN?"] = IDENTITY
    assert meter_at(bridge).open() == IDENTITY


def test_a_meter_of_another_kind_is_refused(bridge, meter_at):
    meter = meter_at(bridge, identity="EXAMPLE,SUPPLY.*")
    with pytest.raises(Gone, match="answers there, and the profile is for 'EXAMPLE,SUPPLY"):
        meter.open()
    assert meter.wire.identity == IDENTITY


def test_two_meters_at_one_address_are_refused(bridge, meter_at):
    first = meter_at(bridge)
    first.open()
    with pytest.raises(Gone, match=r"bridge \(.*\): in use by .*; end that first"):
        meter_at(bridge).open()
    first.close()
    meter_at(bridge).open()


# Reopening


@pytest.fixture(params=["socket", "serial"])
def unplugged(request, tmp_path, meter_at):
    """A bridge, and a meter that has lost it."""
    talker = TcpMeter() if request.param == "socket" else PtyMeter(tmp_path)
    talker.answers["*TRG"] = LCR
    with talker:
        meter = meter_at(talker)
        meter.open()
        meter.use("impedance", frequency_hz=1000)
        meter.read()
        talker.unplug()
        with pytest.raises(Gone):
            meter.read()
        yield talker, meter
        if talker._stop.is_set():
            talker.plug()


def test_a_meter_that_comes_back_is_set_up_as_it_was(unplugged):
    talker, meter = unplugged
    talker.heard.clear()
    talker.plug()
    assert meter.reopen() == IDENTITY
    assert meter.read().raw == LCR
    assert "FREQ 1000" in talker.heard


@pytest.mark.parametrize("missed", [None, "nonsense"])
def test_after_a_missing_answer_it_is_set_up_anew(bridge, meter_at, missed):
    # It may have been switched off and on between two questions, and forgotten its settings.
    replies = iter([missed])
    bridge.answers["*TRG"] = lambda _: next(replies, LCR)
    meter = meter_at(bridge)
    meter.open()
    meter.use("impedance", frequency_hz=1000)
    with pytest.raises(Garbled if missed else Silent):
        meter.read()
    bridge.heard.clear()
    assert meter.read().raw == LCR
    assert bridge.heard.index("FREQ 1000") < bridge.heard.index("*TRG")


def test_a_meter_that_is_not_back_is_gone(unplugged):
    talker, meter = unplugged
    with pytest.raises(Gone, match=r"connection refused|there is no port"):
        meter.reopen()
    talker.plug()


def test_another_meter_in_its_place_is_refused(unplugged):
    talker, meter = unplugged
    talker.answers["*IDN?"] = IDENTITY.replace("1", "2")
    talker.plug()
    with pytest.raises(Gone, match="no other meter took its place"):
        meter.reopen()
    with pytest.raises(Gone, match="not connected"):
        meter.read()


def test_the_owner_is_kept_while_a_meter_is_away(unplugged, meter_at):
    talker, meter = unplugged
    talker.plug()
    with pytest.raises(Gone, match="in use by"):
        meter_at(talker).open()
    meter.reopen()


def test_closing_a_meter_that_is_away_does_not_raise(unplugged):
    talker, meter = unplugged
    meter.close()
    meter.close()
    talker.plug()


def test_reopening_before_opening_opens(bridge, meter_at):
    assert meter_at(bridge).reopen() == IDENTITY


# Choosing


def test_the_meter_fits_profile_and_address():
    clock = SystemClock()
    wired = open_meter("multimeter_scpi", "TCPIP::h::1::SOCKET", name="dmm", clock=clock)
    assert isinstance(wired, Meter)
    typed = open_meter("typed", "keyboard", name="me", clock=clock, prompt=str)
    assert isinstance(typed, TypedMeter)


@pytest.mark.parametrize(
    ("profile", "address", "message"),
    [
        ("typed", "TCPIP::h::1::SOCKET", "typed at TCPIP::h::1::SOCKET; a profile of the kind"),
        ("multimeter_scpi", "keyboard", "multimeter_scpi at keyboard; a profile of the kind"),
        ("typed", "keyboard", "there is nobody to type here; give the address of a meter"),
        ("none", "TCPIP::h::1::SOCKET", "'none' is not known"),
    ],
)
def test_what_does_not_go_together_is_refused(profile, address, message):
    with pytest.raises(ProfileError, match=message):
        open_meter(profile, address, name="dmm", clock=SystemClock())


def test_a_class_of_another_package_is_found(monkeypatch):
    class Tap:
        name = "tap"

        def __init__(self, address, clock):
            self.address, self.clock = address, clock

    monkeypatch.setattr("captriage.bench.plugins.meter_plugins", lambda: {"tap": None})
    monkeypatch.setattr("captriage.bench.plugins.load_meter_class", lambda _: Tap)
    made = open_meter("tap", "/shared/log.txt", name="ammeter", clock=SystemClock())
    assert (made.name, made.address) == ("ammeter", "/shared/log.txt")
