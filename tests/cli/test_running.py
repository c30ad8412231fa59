"""The command as a process: what a user can do to it, and how it ends."""

import os
import pty
import select
import signal
import subprocess
import sys
import time

import pytest

from captriage import __version__
from captriage.cli import app

COMMAND = (sys.executable, "-m", "captriage")


def process(*arguments, **more):
    return subprocess.run(
        [*COMMAND, *map(str, arguments)], capture_output=True, timeout=120, check=False, **more
    )


def test_help_names_every_command_and_loads_no_frames():
    done = process("--help")
    assert done.returncode == 0
    assert all(name in done.stdout.decode() for name in app.commands)
    code = (
        "import sys; from captriage.cli import run; run(['--help']);"
        "print(sorted({'pandas', 'numpy', 'rich', 'jinja2', 'matplotlib'} & set(sys.modules)))"
    )
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert loaded.stdout.decode().splitlines()[-1] == "[]"


@pytest.mark.parametrize("name", app.commands)
def test_every_command_explains_itself(captriage, name):
    answer = captriage(name, "--help")
    assert answer.status == 0
    assert answer.out.startswith(f"Usage: captriage {name}")


def test_no_arguments_ask_for_help(captriage):
    assert captriage().out == captriage("--help").out


def test_the_version_is_that_of_the_package(captriage):
    assert __version__ in captriage("--version").out


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("banana",), "captriage: No such command 'banana'"),
        (("judge",), "captriage: Missing argument"),
        (("judge", "a.csv", "--format", "pdf"), "captriage: Invalid value for '--format'"),
        (("judge", "a.csv", "--loud"), "captriage: No such option"),
        (("judge", "missing.csv"), "captriage: missing.csv: no such file"),
        (("judge", "missing.csv", "--policy", "mine"), "captriage: mine: cannot be read"),
        (("check", "."), "captriage: "),
        (("sheet", "missing.csv"), "captriage: missing.csv: no such file"),
    ],
)
def test_what_cannot_be_done_is_one_line_and_status_2(captriage, arguments, message):
    answer = captriage(*arguments)
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.startswith(message)
    assert answer.err.count("\n") == 1


def test_a_pipe_that_closes_early_is_no_trouble():
    read, write = os.pipe()
    os.close(read)
    running = subprocess.Popen([*COMMAND, "rules"], stdout=write, stderr=subprocess.PIPE)
    os.close(write)
    _, error = running.communicate(timeout=60)
    assert error == b""
    assert running.returncode == 141


def test_an_interrupt_is_one_line():
    code = (
        "import signal, sys, time, captriage.cli as cli, captriage.jobs.sheets as jobs\n"
        # A shell that runs the tests in the background has it ignored.
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "def wait(*a, **k): print('waiting', flush=True); time.sleep(60)\n"
        "jobs.check = wait\n"
        "sys.argv = ['captriage', 'check', 'a.csv']\n"
        "cli.main()"
    )
    running = subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert running.stdout.readline() == b"waiting\n"
    running.send_signal(signal.SIGINT)
    _, error = running.communicate(timeout=60)
    assert (running.returncode, error) == (130, b"captriage: stopped\n")


def test_an_ascii_terminal_gets_the_signs_spelt_out(sheet):
    done = process("judge", sheet, env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode == 1
    assert done.stderr == b""
    assert b"32 uF 450 V" in done.stdout


def on_a_terminal(*arguments, **environment):
    """Output of the command on a pseudo-terminal of 80 columns."""
    main, terminal = pty.openpty()
    env = {**os.environ, "TERM": "xterm", "COLUMNS": "80", **environment}
    env = {name: value for name, value in env.items() if value is not None}
    running = subprocess.Popen(
        [*COMMAND, *map(str, arguments)], stdout=terminal, stderr=terminal, env=env
    )
    os.close(terminal)
    told, limit = b"", time.monotonic() + 60
    while time.monotonic() < limit:
        if not select.select([main], [], [], 1)[0]:
            continue
        try:
            piece = os.read(main, 65536)
        except OSError:  # the other end has closed
            break
        if not piece:
            break
        told += piece
    running.wait(timeout=60)
    os.close(main)
    return told.decode()


def test_a_terminal_gets_colour_and_the_same_words(sheet, captriage):
    coloured = on_a_terminal("judge", sheet, NO_COLOR=None)
    assert "\x1b[1;31mreplace" in coloured
    plain = on_a_terminal("judge", sheet, NO_COLOR="1")
    assert "\x1b" not in plain
    assert plain.replace("\r\n", "\n") == captriage("judge", sheet).out


def test_a_closed_output_is_no_traceback(tmp_path):
    sheet = tmp_path / "one.csv"
    sheet.write_text("ref,rating,C_uF\nC1,47 µF 25 V,46\n", encoding="utf-8")
    command = f'"{sys.executable}" -m captriage judge "{sheet}" >&-'
    done = subprocess.run(["sh", "-c", command], capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr
    assert done.returncode == 141
