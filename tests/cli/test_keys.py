"""Keys at a pseudo-terminal, lines from a pipe, and nobody there."""

import os
import pty
import signal
import subprocess
import sys
import termios
import threading
import types

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.bench.sitting import ENTER, Ended
from captriage.cli import keys as module
from captriage.cli.keys import ConsoleKeys, Keys, LineKeys, TerminalKeys, first_key, open_keys


@pytest.fixture
def terminal():
    """Both ends of a pseudo-terminal: what the person types into, what the program reads."""
    person, program = pty.openpty()
    yield person, program
    os.close(person)
    os.close(program)


@pytest.fixture
def pipe():
    ends = list(os.pipe())
    yield ends
    for end in ends:
        if end is not None:
            os.close(end)


def flags(file):
    return termios.tcgetattr(file)[3]


def test_each_key_comes_at_once_and_unseen(terminal):
    person, program = terminal
    with TerminalKeys(print, program) as keys:
        assert keys.poll() is None
        os.write(person, b"rS\n")
        assert [keys.next(), keys.next(), keys.next()] == ["r", "s", ENTER]
        assert not flags(program) & (termios.ICANON | termios.ECHO)
        assert flags(program) & termios.ISIG  # Ctrl-C still interrupts


def test_the_terminal_is_put_back_as_it_was(terminal):
    _, program = terminal
    before = termios.tcgetattr(program)
    with pytest.raises(ZeroDivisionError), TerminalKeys(print, program):
        raise ZeroDivisionError
    assert termios.tcgetattr(program) == before


def test_a_line_is_typed_with_the_editing_of_the_terminal(terminal):
    person, program = terminal
    shown = []
    with TerminalKeys(shown.append, program) as keys:
        seen = []
        threading.Timer(0.1, lambda: seen.append(flags(program))).start()
        threading.Timer(0.2, lambda: os.write(person, "bulgee\x7fd, µ\n".encode())).start()
        assert keys.line("note: ") == "bulged, µ"
        assert seen[0] & termios.ECHO
        assert not flags(program) & termios.ICANON
    assert shown == ["note: "]


def test_arrows_and_other_keys_of_many_signs_are_no_keys(terminal):
    person, program = terminal
    with TerminalKeys(print, program) as keys:
        os.write(person, b"\x1b[A\x1b[3~\x1bOPq")
        assert keys.next() == "q"


def test_ctrl_d_ends_the_keys(terminal):
    person, program = terminal
    with TerminalKeys(print, program) as keys:
        os.write(person, b"\x04")
        assert keys.next() is None
        assert keys.ended
        assert keys.line("note: ") is None


def test_a_terminal_that_is_closed_ends_the_keys():
    person, program = pty.openpty()
    with TerminalKeys(print, program) as keys:
        os.close(person)
        assert keys.next() is None
        assert keys.ended
    os.close(program)


def test_a_pipe_gives_lines_and_an_empty_one_is_enter(pipe):
    read, write = pipe
    with LineKeys(print, read) as keys:
        assert keys.poll() is None
        os.write(write, "\nn it hums µ\nq".encode())
        assert [keys.next(), keys.next()] == [ENTER, "n it hums µ"]
        assert keys.poll() is None  # not a whole line yet
        os.close(write)
        pipe[1] = None
        assert keys.next() == "q"
        assert keys.next() is None
        assert keys.ended


def test_a_line_is_asked_for_with_its_prompt(pipe):
    shown = []
    keys = LineKeys(shown.append, pipe[0])
    os.write(pipe[1], b" all discharged \n")
    assert keys.line("Type: ") == "all discharged"
    assert shown == ["Type: "]


def test_a_flood_without_a_line_end_does_not_fill_the_memory(pipe):
    keys = LineKeys(print, pipe[0])
    os.write(pipe[1], b"x" * 5000)
    assert len(keys.next()) <= 5000


@pytest.mark.parametrize("ask", ["poll", "next"])
def test_told_to_stop_every_question_raises(pipe, ask):
    keys = LineKeys(print, pipe[0])
    keys.stop("stopped by Ctrl-C")
    with pytest.raises(Ended, match="stopped by Ctrl-C"):
        getattr(keys, ask)()


def test_told_to_stop_a_wait_for_a_key_ends(pipe):
    keys = LineKeys(print, pipe[0])
    threading.Timer(0.1, lambda: keys.stop("stopped by a signal")).start()
    with pytest.raises(Ended, match="stopped by a signal"):
        keys.next()


def test_told_to_stop_a_line_that_is_being_typed_ends(terminal):
    _, program = terminal
    with TerminalKeys(lambda _: None, program) as keys:
        threading.Timer(0.1, lambda: keys.stop("stopped by Ctrl-C")).start()
        with pytest.raises(Ended, match="stopped by Ctrl-C"):
            keys.line("note: ")


def test_with_nobody_there_no_key_comes():
    keys = Keys(lambda _: None)
    assert (keys.poll(), keys.next(), keys.line("note: ")) == (None, None, None)
    assert keys.ended


def test_standard_input_decides_which_keys_there_are(monkeypatch, pipe, terminal):
    class Input:
        def __init__(self, file):
            self.file = file

        def fileno(self):
            if self.file is None:
                raise ValueError("closed")
            return self.file

    for file, kind in ((pipe[0], LineKeys), (terminal[1], TerminalKeys), (None, Keys)):
        monkeypatch.setattr(sys, "stdin", Input(file))
        with open_keys(print) as keys:
            assert type(keys) is kind
    monkeypatch.setattr(sys, "stdin", None)
    assert type(open_keys(print)) is Keys


def test_at_a_windows_console_keys_come_singly(monkeypatch):
    typed = list("\xe0Hx\rab\bc\r")
    console = types.SimpleNamespace(kbhit=lambda: bool(typed), getwch=lambda: typed.pop(0))
    monkeypatch.setitem(sys.modules, "msvcrt", console)
    shown = []
    with ConsoleKeys(shown.append) as keys:
        assert [keys.next(), keys.next()] == ["x", ENTER]
        assert keys.line("note: ") == "ac"
        assert keys.poll() is None
    assert "".join(shown) == "note: ab\b \bc\n"


def test_windows_without_a_console_has_no_keys(monkeypatch, pipe):
    monkeypatch.setattr(module.os, "name", "nt")
    monkeypatch.setattr(sys, "stdin", types.SimpleNamespace(fileno=lambda: pipe[0]))
    assert type(open_keys(print)) is Keys


@given(st.binary(min_size=1, max_size=20))
def test_whatever_is_typed_each_key_takes_something_away(typed):
    while typed:
        _, rest = first_key(typed)
        assert len(rest.decode("utf-8", "replace")) < len(typed.decode("utf-8", "replace"))
        typed = rest


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP, signal.SIGQUIT])
def test_a_signal_puts_the_terminal_back(terminal, number):
    person, program = terminal
    before = termios.tcgetattr(program)
    code = (
        "import time\n"
        "from captriage.cli.at_the_bench import at_the_bench\n"
        "from captriage.bench.sitting import Ended\n"
        "with at_the_bench() as (keys, screen):\n"
        "    screen.line('ready')\n"
        "    try:\n        keys.next()\n"
        "    except Ended as why:\n        screen.line(str(why))\n"
    )
    running = subprocess.Popen(
        [sys.executable, "-c", code], stdin=program, stdout=subprocess.PIPE, text=True
    )
    assert running.stdout.readline() == "ready\n"
    assert not flags(program) & termios.ICANON
    running.send_signal(number)
    said, _ = running.communicate(timeout=20)
    assert said.startswith("stopped by ")
    assert running.returncode == 0
    assert termios.tcgetattr(program) == before
    del person
