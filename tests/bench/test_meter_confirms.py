"""A meter is asked whether it took what it was told; one that did not is not read."""

from dataclasses import replace

import pytest

from bench.wires import IDENTITY, TcpMeter
from captriage.bench.clock import SystemClock
from captriage.bench.meter import Meter
from captriage.bench.profiles import load_profile
from captriage.errors import Gone, ProfileError, Silent, Unset

LCR = "+9.71600E-05,+8.20000E-01,+0"
REFUSED = '-222,"Data out of range"'


@pytest.fixture
def bridge():
    with TcpMeter({"*TRG": LCR}) as talker:
        yield talker


@pytest.fixture
def supply():
    with TcpMeter() as talker:
        yield talker


@pytest.fixture
def opened():
    """Opens meters, closed at the end."""
    made = []

    def make(talker, profile="lcr_scpi_values_status", **changes):
        profile = load_profile(profile)
        transport = replace(profile.transport, timeout_s=0.2)
        profile = replace(profile, **{"transport": transport, **changes})
        made.append(Meter(profile, talker.address, name="bridge", clock=SystemClock()))
        made[-1].open()
        return made[-1]

    yield make
    for meter in made:
        meter.close()


def test_the_settings_are_those_that_the_meter_says_it_has(bridge, opened):
    bridge.answers.update({"FREQ?": "1.19904E+02", "VOLT?": "499.8mV"})
    meter = opened(bridge)
    meter.use("impedance", frequency_hz=120, level_v=0.5)
    assert meter.settings == {"frequency_hz": 119.904, "level_v": pytest.approx(0.4998)}
    assert meter.unread == ()
    assert meter.read().raw == LCR


@pytest.mark.parametrize(
    ("question", "answer", "said"),
    [
        ("FREQ?", "1000", r"^bridge: asked for 120 Hz, FREQ\? says 1000 Hz; see that its keys are"),
        ("VOLT?", "+1.0E+00", r"^bridge: asked for 0\.5 V, VOLT\? says 1 V; see"),
        ("FUNC:IMP?", "CPD", r"^bridge: asked for CSRS, FUNC:IMP\? says CPD; see"),
        ("TRIG:SOUR?", "INT", r"^bridge: asked for BUS, TRIG:SOUR\? says INT; see"),
        ("BIAS:STAT?", "1", r"^bridge: asked for OFF, BIAS:STAT\? says 1; see"),
    ],
)
def test_a_meter_that_goes_on_as_it_was_is_not_read(bridge, opened, question, answer, said):
    bridge.answers[question] = answer
    meter = opened(bridge)
    with pytest.raises(Unset, match=said):
        meter.use("impedance", frequency_hz=120)
    with pytest.raises(ProfileError, match="not set up"):
        meter.read()
    assert "*TRG" not in bridge.heard


def test_a_meter_that_tells_an_error_is_not_read(bridge, opened):
    errors = iter(['-113,"of before"', '0,"No error"', REFUSED, '-224,"Illegal parameter value"'])
    bridge.answers["SYST:ERR?"] = lambda _: next(errors, '0,"No error"')
    meter = opened(bridge)
    with pytest.raises(
        Unset,
        match=r"^bridge: answers BIAS:STAT 0, FUNC:IMP CSRS, FREQ 120, .* with -222,\"Data out of "
        r"range\"; -224,\"Illegal parameter value\"; see that its keys are not locked",
    ):
        meter.use("impedance")
    assert "*TRG" not in bridge.heard


def test_errors_of_before_are_not_held_against_a_meter(bridge, opened):
    errors = iter([REFUSED, REFUSED])
    bridge.answers["SYST:ERR?"] = lambda _: next(errors, '+0,"No error"')
    meter = opened(bridge)
    meter.use("impedance")
    assert meter.read().raw == LCR


def test_a_meter_that_does_not_know_the_question_is_told_from_one_that_is_dead(bridge, opened):
    bridge.answers["SYST:ERR?"] = None
    meter = opened(bridge)
    said = (
        r"no answer to 'SYST:ERR\?' .*; if it does not know the question, take that out of its pr"
    )
    with pytest.raises(Silent, match=said):
        meter.use("impedance")


def test_what_no_profile_has_read_back_is_named(bridge, opened):
    functions = load_profile("lcr_scpi_values_status").functions
    frequency = tuple(each for each in functions["impedance"].confirm if each.ask == "FREQ?")
    for confirms, unread in (
        (frequency, ("level_v",)),
        ((), ("function", "frequency_hz", "level_v")),
    ):
        changed = replace(functions["impedance"], confirm=confirms)
        meter = opened(bridge, functions={"impedance": changed})
        meter.use("impedance", frequency_hz=100)
        assert (meter.unread, meter.settings["frequency_hz"]) == (unread, 100)
        meter.close()


def test_a_meter_that_is_only_asked_is_not_asked_more(supply, opened):
    supply.answers["MEAS:VOLT?"] = "12.5"
    meter = opened(supply, "supply_scpi")
    meter.use("dc_voltage")
    assert meter.read().of("voltage").value == 12.5
    assert (supply.heard, meter.unread) == (["*IDN?", "*IDN?", "MEAS:VOLT?"], ())


def test_once_it_is_set_up_each_reading_is_one_question(bridge, opened):
    meter = opened(bridge)
    meter.use("impedance")
    before = len(bridge.heard)
    for _ in range(3):
        meter.read()
    assert bridge.heard[before:] == ["*TRG"] * 3


def test_a_meter_that_comes_back_and_is_deaf_is_not_read(bridge, opened):
    meter = opened(bridge)
    meter.use("impedance", frequency_hz=1000)
    bridge.unplug()
    with pytest.raises(Gone):
        meter.read()
    bridge.answers["FREQ?"] = "120"  # switched off and on, and locked
    bridge.plug()
    for _ in range(2):
        with pytest.raises(Unset, match=r"asked for 1000 Hz, FREQ\? says 120 Hz"):
            meter.reopen()
    with pytest.raises(Unset, match=r"asked for 1000 Hz, FREQ\? says 120 Hz"):
        meter.read()
    assert "*TRG" not in bridge.heard
    del bridge.answers["FREQ?"]
    assert meter.read().raw == LCR
    assert meter.reopen() == IDENTITY


def test_it_is_set_up_anew_as_it_was_told_and_not_as_it_rounded(bridge, opened):
    bridge.answers["FREQ?"] = "119"
    meter = opened(bridge)
    meter.use("impedance", frequency_hz=120)
    assert meter.settings["frequency_hz"] == 119
    bridge.heard.clear()
    meter.reopen()
    assert "FREQ 120" in bridge.heard
    assert "FREQ 119" not in bridge.heard


# Actions


def test_an_action_gives_what_the_meter_says_it_now_is(supply, opened):
    supply.answers["VOLT?"] = "390.012"
    meter = opened(supply, "supply_scpi")
    assert meter.perform("set_voltage", voltage_v=390) == {"voltage_v": 390.012}
    assert meter.perform("set_current_limit", current_a=5e-3) == {"current_a": 5e-3}
    assert meter.perform("protect_voltage", protection_v=440) == {"protection_v": 440}
    assert meter.perform("on") == meter.perform("protect_current") == {}
    assert {"VOLT 390", "CURR 0.005", "VOLT:PROT 440", "OUTP ON"} < set(supply.heard)


@pytest.mark.parametrize(
    ("action", "settings", "question", "answer", "said"),
    [
        ("on", {}, "OUTP?", "0", r"asked for ON, OUTP\? says 0"),
        ("off", {}, "OUTP?", "1", r"asked for OFF, OUTP\? says 1"),
        ("set_voltage", {"voltage_v": 390}, "VOLT?", "0.0", r"asked for 390 V, VOLT\? says 0 V"),
        ("set_current_limit", {"current_a": 5e-3}, "CURR?", ".1", r"for 0\.005 A, .* says 0\.1 A"),
        ("protect_voltage", {"protection_v": 440}, "VOLT:PROT?", "550", r"440 V, .* says 550 V"),
        ("protect_current", {}, "CURR:PROT:STAT?", "0", r"asked for ON, CURR:PROT:STAT\? says 0"),
    ],
)
@pytest.mark.parametrize("how", ["perform", "act"])
def test_an_action_that_was_not_taken_is_told(
    supply, opened, action, settings, question, answer, said, how
):
    supply.answers[question] = answer
    meter = opened(supply, "supply_scpi")
    with pytest.raises(Unset, match=said):
        getattr(meter, how)(action, **settings)


def test_an_action_with_an_error_is_told(supply, opened):
    errors = iter(['0,"No error"', REFUSED])
    supply.answers["SYST:ERR?"] = lambda _: next(errors, '0,"No error"')
    meter = opened(supply, "supply_scpi")
    with pytest.raises(Unset, match=r"answers VOLT 390 with -222,\"Data out of range\"; see that"):
        meter.perform("set_voltage", voltage_v=390)


@pytest.mark.parametrize("action", ["beep", "stand on its head"])
def test_an_action_that_cannot_be_confirmed_is_not_begun(bridge, opened, action):
    meter = opened(bridge)
    before = list(bridge.heard)
    said = (
        f"^bridge: {action}: no action of lcr_scpi_values_status that is confirmed; there are: no"
    )
    with pytest.raises(ProfileError, match=said):
        meter.perform(action)
    assert bridge.heard == before


def test_an_action_beyond_its_limits_is_not_begun(supply, opened):
    meter = opened(supply, "supply_scpi")
    before = list(supply.heard)
    with pytest.raises(ProfileError, match=r"voltage_v: 1e.06; 0 to 600 is what it can do"):
        meter.perform("set_voltage", voltage_v=1e6)
    assert supply.heard == before
