"""Commands that steer a rehearsal: over their channel, and what of them is refused."""

from __future__ import annotations

import os
from contextlib import ExitStack

import pytest

from bench.rehearsal.wires import Caller
from captriage.bench.rehearsal.control import COMMANDS, LONGEST_LINE, MOST_CALLERS
from captriage.errors import MeterError


@pytest.fixture
def control(bench):
    with Caller(bench.control_address) as caller:
        yield caller


def test_a_line_in_and_a_line_out(bench, control):
    assert control.ask("clip D3") == "D3 is in the clips"
    assert control.ask("  CLIP D4 ") == "D4 is in the clips"
    assert control.ask("off") == "the clips are empty"
    assert control.ask("jig D3") == "D3 is in the jig"
    assert control.ask("jig off") == "the jig is empty"
    assert control.ask("") == ""
    state = control.ask("state")
    assert state == bench.state()
    assert state.startswith("clips: empty; jig: empty; hand: by command, ")
    assert state.endswith("faults: none; unplugged: none")


def test_what_is_refused_is_told_on_one_line(control):
    assert control.ask("jump").startswith("refused: rehearsal: 'jump' is no command; clip, off")
    assert control.ask("clip D99").startswith("refused: drawer: there is no part 'D99'")
    os.write(control.fd, b"\xff\n")
    assert control.line().startswith(b"refused: ")
    assert control.ask("off") == "the clips are empty"


def test_next_caller_is_answered_when_the_first_has_left(bench):
    for _ in range(3):
        with Caller(bench.control_address) as caller:
            assert caller.ask("off") == "the clips are empty"


def test_caller_who_leaves_without_reading_is_no_harm(bench):
    with Caller(bench.control_address) as rude:
        for _ in range(200):
            rude.say("help")
    with Caller(bench.control_address) as caller:
        assert caller.ask("off") == "the clips are empty"


def test_callers_who_say_nothing_keep_nobody_waiting(bench):
    with ExitStack() as idle:
        for _ in range(MOST_CALLERS + 3):
            idle.enter_context(Caller(bench.control_address))
            with Caller(bench.control_address) as caller:
                assert caller.ask("off") == "the clips are empty"


def test_of_too_many_callers_the_first_is_hung_up_on(bench):
    with ExitStack() as open_ones:
        callers = [
            open_ones.enter_context(Caller(bench.control_address)) for _ in range(MOST_CALLERS)
        ]
        for caller in callers:
            assert caller.ask("off") == "the clips are empty"
        with Caller(bench.control_address) as one_more:
            assert one_more.ask("off") == "the clips are empty"
            assert os.read(callers[0].fd, 1) == b""
            assert callers[1].ask("off") == "the clips are empty"


def test_a_line_that_never_ends_is_refused(bench):
    with Caller(bench.control_address) as endless, Caller(bench.control_address) as other:
        os.write(endless.fd, b"x" * LONGEST_LINE)
        assert endless.line().startswith(b"refused: the line is too long")
        assert other.ask("off") == "the clips are empty"


def test_every_command_is_named_in_the_help(bench):
    told = bench.command("help").split("; ")
    assert told == list(COMMANDS) == list(bench.commands)
    words = {form.split()[0] for form in COMMANDS}
    with pytest.raises(MeterError) as refusal:
        bench.command("jump")
    assert words == set(str(refusal.value).partition("; ")[2].split(", "))


def test_stop_is_heard(bench, control):
    assert not bench.stopped.is_set()
    assert control.ask("stop") == "stopping"
    assert bench.stopped.is_set()


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("jump", r"rehearsal: 'jump' is no command; clip, off, next, jig, slip, resistor, knob, "),
        ("clip", r"clip: nothing follows; it takes the name of a part"),
        ("clip D1 D2", r"clip: D1 D2 follows; it takes the name of a part"),
        ("jig", r"jig: nothing follows; it takes the name of a part, or off"),
        ("knob", r"knob: nothing follows; it takes volts"),
        ("knob high", r"knob: 'high'; volts from 0 to 500"),
        ("knob 501", r"knob: '501'; volts from 0 to 500"),
        ("knob nan", r"knob: 'nan'; volts from 0 to 500"),
        ("slip perhaps", r"slip: 'perhaps'; on or off"),
        ("slip", r"slip: nothing follows; it takes on or off"),
        ("resistor 0", r"resistor: '0'; ohms from 1 to 1e\+07"),
        ("resistor ten", r"resistor: 'ten'; ohms from 1 to 1e\+07"),
        ("automatic perhaps", r"automatic: 'perhaps'; on or off"),
        ("fault toaster late", r"rehearsal: no meter 'toaster'; bridge, voltmeter, ammeter"),
        ("fault", r"rehearsal: no meter ''; bridge"),
        ("unplug toaster", r"rehearsal: no meter 'toaster'; bridge"),
        ("replug", r"replug: nothing follows; it takes the name of a meter"),
        ("fault voltmeter bad-status", r"voltmeter: cannot have the fault 'bad-status'; it can: "),
    ],
)
def test_line_that_cannot_be_obeyed_is_refused(line, message, bench):
    with pytest.raises(MeterError, match=message):
        bench.command(line)
