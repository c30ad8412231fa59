"""However the address of an instrument is spelt, it is that instrument."""

import os
import socket
import threading
import time
from pathlib import Path

import pytest

from captriage.bench import owner, sameness
from captriage.bench.sameness import things_at
from captriage.errors import Gone

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
