"""Each fault, seen on the wire; and what of a fault's words is refused."""

from __future__ import annotations

import time

import pytest

from bench.rehearsal.wires import Caller, Terminal, wait_until
from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.bench.rehearsal.faults import FAULTS, Fault, Faults, parse_fault
from captriage.bench.rehearsal.terminals import has_terminals
from captriage.errors import MeterError

IDENTITY = "CAPTRIAGE,REHEARSAL BRIDGE,SIMULATED,1"
OVERLOAD = "+9.90000E+37,+9.90000E+37,+1"


@pytest.fixture
def clipped(bench):
    """A sound part, in firm contact."""
    bench.command("clip D1")
    wait_until(lambda: bench.wiring.clock() - bench.wiring.clipped_at_s > bench.wiring.settling_s)
    return bench


def test_silence_answers_nothing_but_does_what_it_is_told(bench, bridge):
    bench.command("fault bridge silence")
    bridge.say("*IDN?")
    bridge.say("FREQ 1000")
    assert bridge.line(within_s=0.2) == b""
    bench.command("fault bridge none")
    assert float(bridge.ask("FREQ?")) == 1000.0


def test_late_answer_comes_after_its_time_and_before_the_next(bench, bridge):
    bench.command("fault bridge late 0.3 once")
    asked = time.monotonic()
    bridge.say("*IDN?")
    bridge.say("FREQ?")
    assert bridge.line(within_s=0.15) == b""
    assert bridge.line() == IDENTITY.encode() + b"\n"
    assert 0.3 <= time.monotonic() - asked < 2.0
    assert bridge.line() == b"1.200000E+02\n"


def test_garbage_is_bytes_that_mean_nothing(bench, bridge):
    bench.command("fault bridge garbage seed=5")
    seen = []
    for _ in range(5):
        bridge.say("*IDN?")
        seen.append(bridge.line())
    assert all(line.endswith(b"\n") and b"CAPTRIAGE" not in line for line in seen)
    assert len(set(seen)) == 5
    assert any(byte > 127 for byte in b"".join(seen))


def test_echo_sends_the_question_back_first(bench, bridge):
    bench.command("fault bridge echo")
    bridge.say("*IDN?")
    assert (bridge.line(), bridge.line()) == (b"*IDN?\n", IDENTITY.encode() + b"\n")


def test_dropped_line_closes_in_the_middle_and_answers_again_on_a_new_one(bench, bridge):
    bench.command("fault bridge dropped once")
    bridge.say("*IDN?")
    assert bridge.line() == IDENTITY.encode()[: len(IDENTITY) // 2]
    assert bridge.is_closed()
    with Caller(bench.addresses["bridge"]) as again:
        assert again.ask("*IDN?") == IDENTITY


def test_wrong_terminator_is_a_carriage_return_alone(bench, bridge):
    bench.command("fault bridge terminator")
    bridge.say("*IDN?")
    assert bridge.line(end=b"\r") == IDENTITY.encode() + b"\r"
    assert bridge.line(within_s=0.1) == b""


def test_over_range_is_that_of_a_part_too_small_or_large(clipped, bridge):
    clipped.command("fault bridge over-range once")
    assert bridge.ask("*TRG") == OVERLOAD
    assert bridge.ask("*TRG").endswith(",+0")


def test_bad_status_comes_with_a_number_that_looks_real(clipped, bridge):
    clipped.command("fault bridge bad-status")
    capacitance, esr, status = bridge.ask("*TRG").split(",")
    assert status == "+3"
    assert 1e-6 < float(capacitance) < 1e-3
    assert float(esr) > 0


def test_noise_is_fifty_times_the_usual(clipped, bridge):
    def spread():
        values = [float(bridge.ask("*TRG").split(",")[0]) for _ in range(200)]
        mean = sum(values) / len(values)
        return (sum((v - mean) ** 2 for v in values) / len(values)) ** 0.5

    usual = spread()
    clipped.command("fault bridge noise")
    assert 25 < spread() / usual < 100


def test_stranger_says_that_it_is_another_meter(bench, bridge):
    bench.command("fault bridge stranger")
    assert bridge.ask("*IDN?") == "SOMEONE,ELSE,0,9"
    assert bridge.ask("*TRG") == OVERLOAD


def test_deaf_meter_stays_as_it_was_and_answers_as_ever(clipped, bridge):
    clipped.command("fault bridge deaf")
    for command in ("FREQ 1000", "FUNC:IMP CSD", "VOLT 1", "TRIG:SOUR INT", "BIAS:STAT 1", "*RST"):
        bridge.say(command)
    assert bridge.ask("FREQ?;FUNC:IMP?;VOLT?") == "1.200000E+02;CSRS;5.000000E-01"
    assert bridge.ask("TRIG:SOUR?;BIAS:STAT?;SYST:ERR?") == 'BUS;0;0,"No error"'
    assert bridge.ask("FREQ 1000;*TRG").endswith(",+0")
    clipped.command("fault bridge none")
    bridge.say("FREQ 1000")
    assert bridge.ask("FREQ?") == "1.000000E+03"


def test_deaf_meter_beeps_and_works_all_the_same(clipped, bridge):
    clipped.command("fault bridge deaf once")
    bridge.say("TRIG")
    bridge.say("*CLS")
    bridge.say("SYST:REM")
    assert bridge.ask("FETC?").endswith(",+0")
    beeps = []
    clipped.ports["bridge"].instrument.on_beep = lambda: beeps.append("beep")
    assert bridge.ask("SYST:BEEP;*OPC?") == "1"
    assert beeps == ["beep"]
    assert "bridge deaf" in clipped.state()


def test_deaf_once_ignores_one_command(bench, bridge):
    bench.command("fault bridge deaf once")
    bridge.say("FREQ 1000")
    bridge.say("VOLT 0.25")
    assert bridge.ask("FREQ?;VOLT?") == "1.200000E+02;2.500000E-01"
    assert "faults: none" in bench.state()


def test_deaf_supply_is_not_switched_off(bench, call):
    supply = call("supply")
    supply.say("VOLT 100;OUTP ON")
    assert supply.ask("OUTP?") == "1"
    bench.command("fault supply deaf")
    supply.say("OUTP OFF")
    assert supply.ask("OUTP?") == "1"


def test_another_meter_can_come_back_after_an_unplug(bench, bridge):
    bench.command("unplug bridge")
    assert bridge.is_closed()
    with pytest.raises(ConnectionRefusedError):
        Caller(bench.addresses["bridge"])
    bench.command("fault bridge stranger")
    bench.command("replug bridge")
    with Caller(bench.addresses["bridge"]) as again:
        assert again.ask("*IDN?") == "SOMEONE,ELSE,0,9"


@pytest.mark.parametrize("meter", ["voltmeter", "ammeter"])
def test_multimeter_has_faults_of_its_own(meter, bench, call):
    caller = call(meter)
    bench.command(f"fault {meter} over-range")
    assert caller.ask("MEAS:VOLT?") == "+9.90000000E+37"
    bench.command(f"fault {meter} noise")
    values = [float(caller.ask("READ?")) for _ in range(50)]
    assert 1e-5 < max(values) - min(values) < 1e-3  # usually half a microvolt in the 0.1 V range


def test_supply_has_faults_of_its_own(bench, call):
    supply = call("supply")
    bench.command("fault supply over-range")
    assert supply.ask("MEAS:VOLT?") == "+9.90E+37"
    assert supply.ask("VOLT?") == "0.000"
    bench.command("fault supply noise")
    assert max(abs(float(supply.ask("MEAS:VOLT?"))) for _ in range(30)) > 0.3


@pytest.mark.skipif(not has_terminals(), reason="this system has no pseudo-terminals")
def test_streaming_meter_has_faults_of_its_own():
    with (
        RehearsalBench(automatic=False, stream_every_s=0.02) as bench,
        Terminal(bench.addresses["stream"]) as stream,
    ):
        bench.command("fault stream over-range")
        wait_until(lambda: stream.line() == b"DC OL A\r\n")
        bench.command("fault stream garbage")
        wait_until(lambda: not stream.line().startswith(b"DC"))
        bench.command("fault stream none")
        wait_until(lambda: stream.line().startswith((b"DC 0.0", b"DC -0.0")))


def test_fault_once_after_so_many_strikes_that_very_answer(bench, bridge):
    bench.command("fault bridge garbage once after=3")
    whole = []
    for _ in range(6):
        bridge.say("*IDN?")
        whole.append(bridge.line() == IDENTITY.encode() + b"\n")
    assert whole == [True, True, True, False, True, True]


def test_fault_of_a_reading_waits_for_one(clipped, bridge):
    clipped.command("fault bridge over-range once")
    assert bridge.ask("*IDN?") == IDENTITY
    assert bridge.ask("*TRG") == OVERLOAD
    assert bridge.ask("*TRG") != OVERLOAD


def test_fault_by_chance_strikes_its_share_the_same_for_the_same_seed(bench, bridge):
    def struck(seed):
        bench.command(f"fault bridge echo p=0.3 seed={seed}")
        seen = []
        for _ in range(200):
            bridge.say("*IDN?")
            seen.append(bridge.line() == b"*IDN?\n")
            if seen[-1]:
                bridge.line()
        return seen

    first, again, other = struck(1), struck(1), struck(2)
    assert first == again
    assert first != other
    assert 0.2 < sum(first) / 200 < 0.4


def test_command_without_an_answer_uses_no_fault_up(bench, bridge):
    bench.command("fault bridge garbage once")
    bridge.say("FREQ 1000")
    bridge.say("*IDN?")
    assert bridge.line() != IDENTITY.encode() + b"\n"


def test_which_faults_a_meter_can_have_is_told(bench):
    told = bench.command("fault bridge") + bench.command("fault supply")
    assert all(f"{kind}: {explained}" in told for kind, explained in FAULTS.items())
    assert "bad-status" not in bench.command("fault voltmeter")


def test_fault_is_named_in_the_state_until_it_is_over(bench, bridge):
    bench.command("fault bridge late 0.01 once")
    assert "faults: bridge late" in bench.state()
    bridge.ask("*IDN?")
    assert "faults: none" in bench.state()


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("late", Fault("late", late_s=3.0)),
        ("late 0.5", Fault("late", late_s=0.5)),
        ("late 4 once after=2 p=0.5", Fault("late", late_s=4.0, once=True, after=2, chance=0.5)),
        ("none", None),
    ],
)
def test_words_of_a_fault(words, expected):
    assert parse_fault([*words.split(), "seed=9"])[0] == expected


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ("", r"fault: there is none called ''; silence, late, .* or none"),
        ("smoke", r"fault: there is none called 'smoke'; silence, late"),
        ("late soon", r"fault: 'soon' is not understood; seconds, once, after=N, p=0\.\.1"),
        ("late -1", r"fault: '-1' is not understood"),
        ("echo p=2", r"fault: 'p=2' is not understood"),
        ("echo after=x", r"fault: 'after=x' is not understood"),
        ("echo after=-1", r"fault: 'after=-1' is not understood"),
        ("echo seed=x", r"fault: 'seed=x' is not understood"),
    ],
)
def test_words_that_are_no_fault_are_refused(words, message):
    with pytest.raises(MeterError, match=message):
        parse_fault(words.split())


def test_fault_that_a_meter_cannot_have_is_refused():
    faults = Faults("voltmeter", ("silence", "late"))
    with pytest.raises(
        MeterError, match="voltmeter: cannot have the fault 'bad-status'; it can: silence, late"
    ):
        faults.set(Fault("bad-status"))
    assert faults.kind == ""
