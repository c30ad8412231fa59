"""One owner per instrument, whatever its address is spelt like, until the process ends."""

import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from captriage.bench import owner, sameness
from captriage.bench.sameness import things_at
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


def test_what_is_let_go_is_free_though_a_child_has_it_open():
    mine = owner.take(ADDRESS)
    child = os.fork()
    if not child:
        time.sleep(60)
        os._exit(0)
    try:
        mine.release()
        owner.take(ADDRESS).release()
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


@pytest.mark.parametrize("written", ["", "{", "[1]", '{"pid": "x", "command": 1}'])
def test_a_card_that_cannot_be_read_is_somebody(written):
    mine = owner.take(ADDRESS)
    for card in owner.shared_folder().iterdir():
        card.write_text(written)
    with pytest.raises(Gone, match="in use by another program"):
        owner.take(ADDRESS)
    mine.release()


def test_a_card_cannot_play_with_the_terminal():
    mine = owner.take(ADDRESS)
    for card in owner.shared_folder().iterdir():
        card.write_text(json.dumps({"command": "\x1b[2Jx\n", "pid": 7, "since": "12:00"}))
    with pytest.raises(Gone, match=r"in use by \[2Jx \(process 7, since 12:00\)"):
        owner.take(ADDRESS)
    mine.release()


SAME = [
    ("TCPIP::LCR.bench::5025::SOCKET", "tcpip0::lcr.BENCH::5025::SOCKET"),
    ("TCPIP::lcr::INSTR", "TCPIP0::LCR::inst0::INSTR"),
    ("USB::0x1AB1::0x09C4::DM3::INSTR", "USB0::6833::2500::DM3::0::INSTR"),
    ("TCPIP::lcr::hislip0::INSTR", "TCPIP::LCR.::HISLIP0,4880::INSTR"),
    ("TCPIP::localhost::5025::SOCKET", "TCPIP::127.0.0.1::5025::SOCKET"),
    ("TCPIP::127.0.0.1::5025::SOCKET", "TCPIP::127.1::0x13A1::SOCKET"),
    ("TCPIP::0.0.0.0::5025::SOCKET", "TCPIP::127.0.0.1::5025::SOCKET"),
    ("GPIB::7::INSTR", "GPIB0::7"),
    ("nonsense", " NONSENSE "),
]
OTHER = [
    ("TCPIP::lcr::5025::SOCKET", "TCPIP::lcr::5026::SOCKET"),
    ("TCPIP::lcr::hislip0::INSTR", "TCPIP::lcr::hislip1::INSTR"),
    ("TCPIP::127.0.0.1::5025::SOCKET", "TCPIP::127.0.0.2::5025::SOCKET"),
    ("USB::0x1AB1::0x09C4::DM3::INSTR", "USB::0x1AB1::0x09C4::DM4::INSTR"),
    ("ASRL/dev/ttyUSB0::INSTR", "ASRL/dev/ttyUSB1::INSTR"),
    ("ASRL1::INSTR", "ASRL2::INSTR"),
]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_two_spellings_of_one_instrument_meet(one, other):
    mine = owner.take(one)
    with pytest.raises(Gone, match="in use by"):
        owner.take(other)
    mine.release()


@pytest.mark.parametrize(("one", "other"), OTHER)
def test_two_instruments_do_not_meet(one, other):
    mine = owner.take(one)
    owner.take(other).release()
    mine.release()


def test_a_link_to_a_serial_port_is_that_port(tmp_path):
    port = tmp_path / "ttyUSB0"
    port.touch()
    link = tmp_path / "by-id"
    link.symlink_to(port)
    mine = owner.take(f"ASRL{link}::INSTR")
    with pytest.raises(Gone, match="in use by"):
        owner.take(f"ASRL{port}")
    mine.release()


def test_a_pseudo_terminal_is_known_by_its_device():
    ours, theirs = os.openpty()
    device = os.fstat(theirs).st_rdev
    other = f"/dev/char/{os.major(device)}:{os.minor(device)}"
    keys = things_at(f"ASRL{os.ttyname(theirs)}::INSTR")
    assert keys == (f"serial {os.ttyname(theirs)}", f"serial device {device}")
    if Path(other).exists():
        assert set(things_at(f"ASRL{other}::INSTR")) & set(keys)
    os.close(ours)
    os.close(theirs)


def test_a_name_that_is_told_too_late_is_kept_as_it_is_written(monkeypatch):
    told = threading.Event()

    def slow(_name, _port, *, flags, **_):
        if not flags:
            told.wait(30)
        raise socket.gaierror(-2, "not known")

    monkeypatch.setattr(sameness, "RESOLVE_S", 0.05)
    monkeypatch.setattr(socket, "getaddrinfo", slow)
    began = time.monotonic()
    keys = things_at("TCPIP::LCR.bench.::5025::SOCKET")
    assert time.monotonic() - began < 5
    told.set()
    assert keys == ("network lcr.bench port 5025",)


def test_a_name_meets_each_address_that_it_leads_to(monkeypatch):
    leads = {"lcr.bench": ["192.0.2.7", "::ffff:192.0.2.8", "::"]}

    def known(name, _port, *, flags, **_):
        numeric = name[0].isdigit()
        found = [name] if numeric else [] if flags else leads[name]
        if not found:
            raise socket.gaierror(-2, "not known")
        return [(0, 0, 0, "", (each, 0)) for each in found]

    monkeypatch.setattr(socket, "getaddrinfo", known)
    mine = owner.take("TCPIP::LCR.bench::5025::SOCKET")
    for other in ("192.0.2.7", "192.0.2.8", "lcr.BENCH."):
        with pytest.raises(Gone, match="in use by"):
            owner.take(f"TCPIP::{other}::5025::SOCKET")
    owner.take("TCPIP::192.0.2.9::5025::SOCKET").release()
    mine.release()
    owner.take("TCPIP::192.0.2.7::5025::SOCKET").release()


def test_what_was_taken_of_one_that_is_in_use_is_let_go(monkeypatch):
    monkeypatch.setattr(owner, "things_at", lambda address: address.split())
    mine = owner.take("b")
    with pytest.raises(Gone, match="in use by"):
        owner.take("a b")
    owner.take("a").release()
    mine.release()


def test_all_users_of_the_computer_share_a_sticky_folder_of_the_system(monkeypatch, tmp_path):
    monkeypatch.delenv(owner.FOLDER_VARIABLE)
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    found = owner.shared_folder()
    assert str(found) in owner.SHARED
    assert found.stat().st_mode & 0o1777 == 0o1777
    monkeypatch.setattr(owner, "SHARED", (str(tmp_path / "none"), str(tmp_path)))
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "mine"))
    assert owner.shared_folder() == tmp_path / "mine"


def test_a_folder_that_is_none_is_said(monkeypatch, tmp_path):
    monkeypatch.setenv(owner.FOLDER_VARIABLE, str(tmp_path / "none"))
    with pytest.raises(
        Gone, match=r"CAPTRIAGE_LOCKS: '.*none' is no folder; name one, or unset it"
    ):
        owner.take(ADDRESS)


def lock_file():
    owner.take(ADDRESS).release()
    (found,) = owner.shared_folder().iterdir()
    return found


def test_another_user_may_lock_what_this_one_made():
    before = os.umask(0o077)
    assert lock_file().stat().st_mode & 0o777 == 0o666
    os.umask(before)


def link(path, precious):
    path.symlink_to(precious)


def second_name(path, precious):
    path.hardlink_to(precious)


def pipe(path, _precious):
    os.mkfifo(path)


def folder(path, _precious):
    path.mkdir()


@pytest.mark.parametrize("laid", [link, second_name, pipe, folder])
def test_what_another_laid_in_its_place_is_not_written_to(laid, tmp_path):
    path = lock_file()
    path.unlink()
    precious = tmp_path / "precious"
    precious.write_text("mine")
    laid(path, precious)
    with pytest.raises(Gone, match=r"cannot be locked in .*; free that folder, or set CAPTRIAGE"):
        owner.take(ADDRESS)
    assert precious.read_text() == "mine"


def test_a_lock_file_that_is_tidied_away_and_made_anew_is_not_held_twice(monkeypatch):
    path = lock_file()
    honest = owner._lock

    def tidied(file):
        honest(file)
        path.unlink()
        path.touch()

    monkeypatch.setattr(owner, "_lock", tidied)
    with pytest.raises(Gone, match="in use by another program"):
        owner.take(ADDRESS)


def test_a_lock_that_cannot_be_made_is_said(monkeypatch):
    monkeypatch.setattr(os, "fchmod", refuse)
    with pytest.raises(Gone, match=r"cannot be locked in .*No space left.*; free that folder"):
        owner.take(ADDRESS)


def refuse(*_):
    raise OSError(28, "No space left on device")
