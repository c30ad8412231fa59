"""What comes from below, in words that a user can act on."""

import gc
import logging
import os
import re
import subprocess
import sys
import termios
import warnings

import pytest

from bench.wires import PtyMeter
from captriage.bench.clock import SystemClock
from captriage.bench.profile import Transport
from captriage.bench.refusals import gone
from captriage.bench.wire import Wire
from captriage.errors import Gone

PORT = "ASRL/dev/ttyUSB7::INSTR"
USB = "USB0::0x1234::0x5678::SN::INSTR"
NET = "TCPIP::192.0.2.1::5025::SOCKET"


def opening(address, **settings):
    Wire(address, Transport(timeout_s=0.3), clock=SystemClock(), **settings).open()


def refusal(address, monkeypatch):
    """What opening says; the backend leaves refused sockets to the garbage collector."""
    said = ""
    monkeypatch.setattr(logging.getLogger("pyvisa"), "disabled", True)  # it keeps them longer
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)
        try:
            opening(address)
        except Gone as error:
            said = str(error)
        gc.collect()
    return said


# As they happen


@pytest.mark.parametrize(
    ("address", "message"),
    [
        (PORT, "there is no port /dev/ttyUSB7; plug the meter in"),
        ("ASRL/dev/null::INSTR", "/dev/null is not a serial port"),
        ("TCPIP::127.0.0.1::1::SOCKET", "connection refused.*correct the port"),
        ("TCPIP::127.0.0.1::inst0::INSTR", "connection refused"),
        ("TCPIP::127.0.0.1::hislip0,1::INSTR", "connection refused"),
        (USB, "no such meter on USB; plug it in|libusb is missing"),
        ("NONSENSE", "'NONSENSE' is no VISA name; write TCPIP::HOST::PORT::SOCKET"),
        ("TCPIP::no-such-host.invalid::5025::SOCKET", "this network name is not known"),
        ("GPIB0::7::INSTR", "this connection needs"),
    ],
)
def test_what_cannot_be_opened_says_why(address, message, monkeypatch):
    assert re.search(message, refusal(address, monkeypatch))


@pytest.mark.parametrize("backend", ["@none", "/no/such/visa.so@ivi"])
def test_a_backend_that_is_missing_is_named(backend):
    with pytest.raises(Gone, match=r"no VISA backend .*; install it, or leave --backend out"):
        opening(NET, backend=backend)


def test_a_port_that_another_program_has_is_busy(tmp_path):
    with PtyMeter(tmp_path) as talker:
        code = (
            "import fcntl, os, sys, time\n"
            f"fcntl.flock(os.open({os.path.realpath(talker.link)!r}, os.O_RDWR), fcntl.LOCK_EX)\n"
            "print('has it', flush=True)\n"
            "time.sleep(60)"
        )
        other = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
        try:
            assert other.stdout.readline() == "has it\n"
            with pytest.raises(Gone, match="is busy; close the other program that has it open"):
                opening(talker.address)
        finally:
            other.kill()
            other.communicate()


def test_a_port_that_may_not_be_used_names_the_group(tmp_path):
    code = (
        "import os, sys\n"
        "from captriage.bench import clock, connecting, profile\n"
        "import pyvisa_py, pyvisa.rname, captriage.bench.refusals, pwd, grp, encodings.idna\n"
        "os.getuid() or os.setuid(65534)\n"
        "try:\n"
        "    connecting.connect('dmm', sys.argv[1], profile.Transport(), backend='@py')\n"
        "except Exception as error:\n"
        "    print(error)\n"
    )
    with PtyMeter(tmp_path) as talker:
        port = talker.link.resolve()
        port.chmod(0)
        ran = subprocess.run(
            [sys.executable, "-c", code, f"ASRL{port}::INSTR"],
            capture_output=True,
            text=True,
            check=False,
        )
    assert "no permission to use /dev/pts/" in ran.stdout, ran.stdout + ran.stderr
    assert re.search("it belongs to (the group tty|root alone)", ran.stdout)


# As they cannot be made to happen here


@pytest.mark.parametrize(
    ("address", "error", "message"),
    [
        (PORT, OSError(16, "busy"), "busy; close the other program"),
        (PORT, PermissionError(13, "x"), "it belongs to the group dialout: 'sudo usermod"),
        (PORT, OSError(5, "Input/output error"), "was it unplugged"),
        (PORT, termios.error(22, "Invalid argument"), "cannot do these settings"),
        (PORT, termios.error(5, "Input/output error"), "was it unplugged"),
        (PORT, Exception("device reports readiness but returned no data"), "was it unplugged"),
        (PORT, ValueError("odd"), r"the port failed \(odd\); plug it in again"),
        (USB, ValueError("PyUSB does not seem to be properly installed"), "libusb is missing"),
        (USB, ValueError("No device found."), "no such meter on USB"),
        (USB, OSError(13, "Access denied"), "no permission.*60-meters.rules: SUBSYSTEM"),
        (USB, OSError(16, "Resource busy"), "busy; close the other program"),
        (USB, OSError(32, "Pipe error"), r"USB failed \(.*Pipe error\); plug it in again"),
        (NET, OSError(113, "No route to host"), "no way to this network address"),
        (NET, TimeoutError(110, "timed out"), "nothing answers at this network address"),
        (NET, Exception("could not connect: error_timeout"), "nothing answers at this network"),
        (NET, BrokenPipeError(32, "Broken pipe"), "the meter closed the connection"),
        (NET, Exception("VI_ERROR_RSRC_NFOUND"), "no meter of this kind answers"),
        (NET, KeyError("x"), r"the connection failed \('x'\); check cable"),
    ],
)
def test_an_error_from_below_says_what_to_do(address, error, message):
    said = gone("dmm", address, error)
    assert isinstance(said, Gone)
    with pytest.raises(Gone, match=rf"^dmm: .*{message}"):
        raise said


def test_the_number_of_an_error_is_found_behind_others():
    outer = RuntimeError("could not connect")
    outer.__cause__ = ConnectionRefusedError(111, "refused")
    assert "connection refused" in str(gone("dmm", NET, outer))
