"""Looking for instruments: only what is said is sent. No test broadcasts anything."""

import warnings
from types import SimpleNamespace

import pytest
import usb.core

from bench.wires import IDENTITY, TcpMeter
from captriage.bench import scan
from captriage.bench.clock import SystemClock
from captriage.bench.scan import Found
from captriage.errors import Gone


@pytest.fixture
def ports(monkeypatch):
    """Serial ports of a computer, as the system lists them."""
    listed = []
    monkeypatch.setattr("serial.tools.list_ports.comports", lambda: listed)
    return listed


@pytest.fixture
def devices(monkeypatch):
    """USB devices of a computer."""
    listed = []
    monkeypatch.setattr(usb.core, "find", lambda **_: iter(listed))
    return listed


@pytest.fixture
def network(monkeypatch):
    """What the backend's discovery finds, in place of sending it."""
    listed = []

    def list_resources(query):
        assert query == "TCPIP?*"
        warnings.warn("discovery is limited to one network. Install psutil.", stacklevel=1)
        return tuple(listed)

    manager = SimpleNamespace(list_resources=list_resources)
    monkeypatch.setattr(scan, "manager", lambda *_: manager)
    return listed


def port(device, description="n/a"):
    return SimpleNamespace(device=str(device), description=description)


def test_a_port_is_named_by_the_link_that_lasts(ports, tmp_path):
    for name in ("ttyUSB0", "ttyUSB1"):
        (tmp_path / name).touch()
    by_id = tmp_path / "by-id"
    by_id.mkdir()
    (by_id / "usb-bridge").symlink_to(tmp_path / "ttyUSB1")
    ports += [port(tmp_path / "ttyUSB1", "USB bridge"), port(tmp_path / "ttyUSB0")]
    assert scan.serial_ports(by_id) == [
        Found(f"ASRL{tmp_path}/ttyUSB0::INSTR", "serial port"),
        Found(f"ASRL{by_id}/usb-bridge::INSTR", "USB bridge"),
    ]


def test_ports_without_lasting_names_are_named_as_they_are(ports, tmp_path):
    ports.append(port("/dev/ttyS0"))
    assert scan.serial_ports(tmp_path / "none") == [Found("ASRL/dev/ttyS0::INSTR", "serial port")]


class Device:
    """A USB device with one interface."""

    idVendor, idProduct, product = 0x1234, 0x5, "bridge"  # noqa: N815

    def __init__(self, face, serial="SN1"):
        self.face, self.serial = face, serial

    def __iter__(self):
        face = SimpleNamespace(bInterfaceClass=self.face[0], bInterfaceSubClass=self.face[1])
        return iter([[face]])

    @property
    def serial_number(self):
        if self.serial is None:
            raise ValueError("The device has no langid (permission issue, no string descriptors)")
        return self.serial


def test_usb_devices_that_measure_are_listed_and_others_not(devices):
    devices += [Device((3, 1)), Device((0xFE, 3))]
    assert scan.usb_meters() == [Found("USB0::0x1234::0x0005::SN1::INSTR", "bridge")]


def test_a_usb_device_that_may_not_be_asked_is_said(devices):
    devices.append(Device((0xFE, 3), serial=None))
    (found,) = scan.usb_meters()
    assert found.address == ""
    assert found.what.startswith("USB0::0x1234::0x0005: no permission to use this USB meter")


def test_usb_without_its_library_is_said(monkeypatch):
    def find(**_):
        raise usb.core.NoBackendError("No backend available")

    monkeypatch.setattr(usb.core, "find", find)
    assert "libusb is missing" in scan.usb_meters()[0].what


@pytest.mark.usefixtures("ports", "devices")
def test_nothing_is_asked_unless_told_to(network):
    with TcpMeter() as talker:
        network.append(talker.address)
        found = list(scan.scan(clock=SystemClock()))
        assert found == [
            Found(talker.address, "network instrument"),
            Found("", "network: discovery is limited to one network."),
        ]
        assert talker.heard == []


@pytest.mark.usefixtures("ports", "devices")
def test_what_is_found_is_asked_who_it_is_when_told_to(network):
    with TcpMeter() as talker:
        network += [talker.address, "TCPIP::127.0.0.1::1::SOCKET"]
        first, second, *_ = scan.scan(clock=SystemClock(), ask=True)
        assert first.identity == IDENTITY
        assert talker.heard == ["*IDN?"]
    assert (second.identity, "connection refused" in second.what) == ("", True)


@pytest.mark.usefixtures("ports", "devices")
def test_a_scan_by_a_backend_that_is_missing_is_refused():
    with pytest.raises(Gone, match="there is no VISA backend '@none'"):
        list(scan.scan(clock=SystemClock(), backend="@none"))


def test_it_is_said_what_is_sent():
    said = " ".join(scan.SENT)
    assert "broadcast (UDP port 111" in said
    assert "nothing is sent to them" in said
    assert "*IDN?" in scan.SENT_TO_ASK
