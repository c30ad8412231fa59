"""One owner per instrument, whatever its address is spelt like, until the process ends."""

import os
import signal
import subprocess
import sys

import pytest

from captriage.bench import owner
from captriage.errors import Gone

ADDRESS = "TCPIP::127.0.0.1::5025::SOCKET"
HOLD = """
import sys, time
from captriage.bench import owner
sys.argv = ["/usr/bin/captriage", "log", "--book", "x"]
held = owner.take(sys.stdin.readline().strip())
print("held", flush=True)
time.sleep(60)
"""


@pytest.fixture
def holder():
    """Another process that has the instrument at an address."""
    started = []

    def hold(address):
        process = subprocess.Popen(
            [sys.executable, "-c", HOLD], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        started.append(process)
        process.stdin.write(f"{address}\n")
        process.stdin.flush()
        assert process.stdout.readline() == "held\n"
        return process

    yield hold
    for process in started:
        process.kill()
        process.communicate()


def test_the_second_of_two_processes_is_told_which_has_it(holder):
    process = holder(ADDRESS)
    message = (
        rf"^bridge: in use by captriage log \(process {process.pid}, since \d\d:\d\d\); "
        "end that first$"
    )
    with pytest.raises(Gone, match=message):
        owner.take(ADDRESS, where="bridge")


def test_a_process_that_is_killed_has_it_no_longer(holder):
    process = holder(ADDRESS)
    process.send_signal(signal.SIGKILL)
    process.wait()
    owner.take(ADDRESS).release()


def test_the_second_part_of_one_process_is_refused_too():
    mine = owner.take(ADDRESS)
    with pytest.raises(Gone, match=f"process {os.getpid()}"):
        owner.take(ADDRESS)
    mine.release()
    mine.release()
    owner.take(ADDRESS).release()


def test_a_card_that_cannot_be_read_is_somebody():
    mine = owner.take(ADDRESS)
    for card in owner.runtime_folder().glob("*.json"):
        card.write_text("{")
    with pytest.raises(Gone, match="in use by another program"):
        owner.take(ADDRESS)
    mine.release()


SAME = [
    ("TCPIP::LCR.bench::5025::SOCKET", "tcpip0::lcr.BENCH::5025::SOCKET"),
    ("TCPIP::lcr::INSTR", "TCPIP0::LCR::inst0::INSTR"),
    ("USB::0x1AB1::0x09C4::DM3::INSTR", "USB0::6833::2500::DM3::0::INSTR"),
    ("GPIB::7::INSTR", "GPIB0::7"),
    ("nonsense", " NONSENSE "),
]
OTHER = [
    ("TCPIP::lcr::5025::SOCKET", "TCPIP::lcr::5026::SOCKET"),
    ("TCPIP::lcr::hislip0::INSTR", "TCPIP::lcr::hislip1::INSTR"),
    ("USB::0x1AB1::0x09C4::DM3::INSTR", "USB::0x1AB1::0x09C4::DM4::INSTR"),
    ("ASRL/dev/ttyUSB0::INSTR", "ASRL/dev/ttyUSB1::INSTR"),
    ("ASRL1::INSTR", "ASRL2::INSTR"),
]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_two_spellings_of_one_instrument_meet(one, other):
    assert owner.same_name(one) == owner.same_name(other)


@pytest.mark.parametrize(("one", "other"), OTHER)
def test_two_instruments_do_not_meet(one, other):
    assert owner.same_name(one) != owner.same_name(other)


def test_a_link_to_a_serial_port_is_that_port(tmp_path):
    port = tmp_path / "ttyUSB0"
    port.touch()
    link = tmp_path / "by-id"
    link.symlink_to(port)
    mine = owner.take(f"ASRL{link}::INSTR")
    with pytest.raises(Gone, match="in use by"):
        owner.take(f"ASRL{port}")
    mine.release()


def test_a_folder_of_somebody_else_is_not_trusted(monkeypatch, tmp_path):
    monkeypatch.delenv("XDG_RUNTIME_DIR")
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    assert owner.runtime_folder().stat().st_mode & 0o777 == 0o700
    monkeypatch.setattr(os, "getuid", lambda: 12345)
    (tmp_path / "captriage-12345").mkdir()
    with pytest.raises(Gone, match="belongs to somebody else; remove it, or set XDG_RUNTIME_DIR"):
        owner.take(ADDRESS)


def test_a_lock_that_cannot_be_made_is_said(monkeypatch):
    folder = owner.runtime_folder()
    monkeypatch.setattr(owner, "runtime_folder", lambda: folder / "none")
    monkeypatch.setattr("filelock.FileLock.acquire", refuse)
    with pytest.raises(Gone, match=r"cannot be locked in .*No space left.*; free that folder"):
        owner.take(ADDRESS)


def refuse(_):
    raise OSError(28, "No space left on device")
