r"""Ctrl-Z, fg and bg, and Ctrl-\, at a terminal with a small shell of our own."""

import os
import pty
import select
import signal
import sys
import termios
import time

import pytest

SHELL = """
import os, signal, sys

signal.signal(signal.SIGTTOU, signal.SIG_IGN)
child = os.fork()
if not child:
    os.setpgid(0, 0)
    os.tcsetpgrp(0, os.getpgrp())
    signal.signal(signal.SIGTTOU, signal.SIG_DFL)
    os.execv(sys.executable, [sys.executable, "-u", "-c", sys.argv[1]])
while True:
    _, status = os.waitpid(child, os.WUNTRACED)
    os.tcsetpgrp(0, os.getpgrp())
    if not os.WIFSTOPPED(status):
        print("ended", os.waitstatus_to_exitcode(status), flush=True)
        break
    print("suspended", flush=True)
    while (command := sys.stdin.readline().strip()) != "fg":
        if command == "bg":
            os.killpg(child, signal.SIGCONT)
        print("did", command, flush=True)
    os.tcsetpgrp(0, child)
    os.killpg(child, signal.SIGCONT)
"""
PROGRAM = """
from captriage.bench.sitting import Ended
from captriage.cli.at_the_bench import at_the_bench
with at_the_bench() as (keys, screen):
    screen.line("ready")
    try:
        while True:
            key = keys.next()
            if key == "n":
                screen.line("typed " + str(keys.line("note: ")))
            elif key is not None:
                screen.line("key " + key)
    except Ended as why:
        screen.line(str(why))
"""


class Person:
    """Who sits at the terminal of the shell."""

    def __init__(self):
        self.shell, self.terminal = pty.fork()
        if not self.shell:
            os.execv(sys.executable, [sys.executable, "-c", SHELL, PROGRAM])
        self.said = b""

    def type(self, text):
        os.write(self.terminal, text.encode())

    def sees(self, wanted, within_s=20.0):
        until = time.monotonic() + within_s
        while wanted.encode() not in self.said:
            assert time.monotonic() < until, self.said
            if select.select([self.terminal], [], [], 0.2)[0]:
                self.said += os.read(self.terminal, 65536)
        self.said = self.said.partition(wanted.encode())[2]

    def is_cooked(self):
        wanted = termios.ICANON | termios.ECHO
        return termios.tcgetattr(self.terminal)[3] & wanted == wanted

    def becomes_single(self, within_s=20.0):
        until = time.monotonic() + within_s
        while self.is_cooked():
            assert time.monotonic() < until
            time.sleep(0.02)


@pytest.fixture
def person():
    someone = Person()
    someone.sees("ready")
    yield someone
    os.kill(someone.shell, signal.SIGKILL)
    os.waitpid(someone.shell, 0)
    os.close(someone.terminal)


def test_suspended_the_terminal_is_the_shells_and_then_single_keys_again(person):
    for _ in range(2):
        assert not person.is_cooked()
        person.type("\x1a")
        person.sees("suspended")
        assert person.is_cooked()
        person.type("fg\n")
        person.becomes_single()
        person.type("r")
        person.sees("key r")


def test_in_the_background_what_is_typed_is_the_shells(person):
    person.type("\x1a")
    person.sees("suspended")
    person.type("bg\n")
    person.sees("did bg")
    time.sleep(0.5)
    assert person.is_cooked()
    person.type("echo\n")
    person.sees("did echo")
    person.type("fg\n")
    person.becomes_single()
    person.type("s")
    person.sees("key s")


def test_suspended_in_a_line_it_is_a_line_still(person):
    person.type("n")
    person.sees("note: ")
    person.type("\x1a")
    person.sees("suspended")
    person.type("fg\n")
    time.sleep(0.3)
    assert person.is_cooked()
    person.type("bulged\n")
    person.sees("typed bulged")
    person.becomes_single()


def test_what_is_stopped_from_outside_takes_the_terminal_again(person):
    person.type("\x1a")
    person.sees("suspended")
    person.type("fg\n")
    person.becomes_single()
    front = os.tcgetpgrp(person.terminal)
    os.kill(front, signal.SIGSTOP)
    person.sees("suspended")
    attributes = termios.tcgetattr(person.terminal)
    attributes[3] |= termios.ICANON | termios.ECHO  # as many shells do
    termios.tcsetattr(person.terminal, termios.TCSANOW, attributes)
    person.type("fg\n")
    person.becomes_single()


@pytest.mark.parametrize(("key", "name"), [("\x03", "Ctrl-C"), ("\x1c", "Ctrl-\\")])
def test_a_key_that_ends_it_puts_the_terminal_back(person, key, name):
    person.type(key)
    person.sees(f"stopped by {name}")
    person.sees("ended 0")
    assert person.is_cooked()
