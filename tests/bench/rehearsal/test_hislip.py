"""The bridge over HiSLIP, message by message, as IVI-6.1 lays them out."""

from __future__ import annotations

import socket
import struct
import time

import pytest

from captriage.bench.rehearsal.bench import RehearsalBench

HEADER = struct.Struct(">2sBBIQ")


class Channel:
    """One of the two connections of a session."""

    def __init__(self, port: int) -> None:
        self.socket = socket.create_connection(("127.0.0.1", port), timeout=5.0)

    def send(self, kind, control=0, parameter=0, body=b"") -> None:
        self.socket.sendall(HEADER.pack(b"HS", kind, control, parameter, len(body)) + body)

    def take(self):
        header = self._exactly(16)
        mark, kind, control, parameter, length = HEADER.unpack(header)
        assert mark == b"HS"
        return kind, control, parameter, self._exactly(length)

    def _exactly(self, count) -> bytes:
        got = b""
        while len(got) < count:
            data = self.socket.recv(count - len(got))
            assert data, "hung up"
            got += data
        return got

    def is_closed(self) -> bool:
        try:
            return self.socket.recv(1) == b""
        except ConnectionResetError:
            return True


@pytest.fixture
def bench():
    with RehearsalBench(automatic=False, hislip=True) as running:
        yield running


@pytest.fixture
def channel(bench):
    opened = []

    def connect() -> Channel:
        port = int(bench.addresses["bridge"].split(",")[1].split("::")[0])
        opened.append(Channel(port))
        return opened[-1]

    yield connect
    for one in opened:
        one.socket.close()


@pytest.fixture
def session(channel):
    """Two channels of one session, past their greeting."""
    messages, urgent = channel(), channel()
    messages.send(0, parameter=0x0100 << 16 | 0x4142, body=b"hislip0")
    kind, _, parameter, _ = messages.take()
    assert (kind, parameter >> 16) == (1, 0x0100)
    urgent.send(17, parameter=parameter & 0xFFFF)
    assert urgent.take()[0] == 18
    return messages, urgent


def test_address_names_the_protocol(bench):
    assert bench.addresses["bridge"].startswith("TCPIP::127.0.0.1::hislip0,")


def test_question_is_answered_with_the_number_of_its_message(session):
    messages, _ = session
    messages.send(7, parameter=0xFFFFFF00, body=b"*IDN?\n")
    kind, _, parameter, body = messages.take()
    assert (kind, parameter) == (7, 0xFFFFFF00)
    assert body == b"CAPTRIAGE,REHEARSAL BRIDGE,SIMULATED,1\n"


def test_question_may_come_in_pieces_and_without_a_line_end(session):
    messages, _ = session
    messages.send(6, parameter=2, body=b"*ID")
    messages.send(7, parameter=4, body=b"N?")
    assert messages.take()[2:] == (4, b"CAPTRIAGE,REHEARSAL BRIDGE,SIMULATED,1\n")


def test_late_answer_carries_the_number_of_its_own_question(bench, session):
    messages, _ = session
    bench.command("fault bridge late 0.2 once")
    messages.send(7, parameter=2, body=b"*OPC?")
    messages.send(7, parameter=4, body=b"*IDN?")
    assert messages.take()[2:] == (2, b"1\n")
    assert messages.take()[2] == 4


def test_trigger_message_measures(session):
    messages, _ = session
    messages.send(12, parameter=2)
    assert messages.take()[3].count(b",") == 2


def test_device_clear_forgets_what_was_to_be_sent(bench, session):
    messages, urgent = session
    bench.command("fault bridge late 0.2 once")
    messages.send(7, parameter=2, body=b"*OPC?")
    urgent.send(19)
    assert urgent.take()[0] == 23
    messages.send(8, control=0)
    assert messages.take()[0] == 9
    time.sleep(0.3)
    messages.send(7, parameter=4, body=b"*IDN?")
    assert messages.take()[2] == 4


@pytest.mark.parametrize(("asked", "answered"), [(4, 5), (10, 11), (15, 16), (21, 22)])
def test_what_may_overtake_is_answered(asked, answered, session):
    _, urgent = session
    urgent.send(asked, body=struct.pack(">Q", 4096) if asked == 15 else b"")
    kind, _, _, body = urgent.take()
    assert kind == answered
    assert len(body) == (8 if asked == 15 else 0)


def test_unknown_message_is_an_error_not_the_end(session):
    messages, _ = session
    messages.send(99)
    assert messages.take()[:2] == (3, 1)
    messages.send(7, parameter=2, body=b"*OPC?")
    assert messages.take()[3] == b"1\n"


def test_second_session_is_refused(channel, session):
    other = channel()
    other.send(0, parameter=0x0100 << 16, body=b"hislip0")
    assert other.take()[:2] == (2, 4)
    assert other.is_closed()
    messages, _ = session
    messages.send(7, parameter=2, body=b"*OPC?")
    assert messages.take()[3] == b"1\n"


@pytest.mark.parametrize("sent", [b"GET / HTTP/1.1\r\n\r\n", HEADER.pack(b"HS", 7, 0, 0, 1 << 40)])
def test_what_is_no_message_is_hung_up_on(sent, channel):
    stranger = channel()
    stranger.socket.sendall(sent)
    assert stranger.is_closed()


def test_dropped_line_ends_before_the_message_does(bench, session):
    messages, urgent = session
    bench.command("fault bridge dropped once")
    messages.send(7, parameter=2, body=b"*IDN?")
    kind, _, _, body = messages.take()
    assert kind == 6  # data to be continued
    assert b"CAPTRIAGE,REHEARSAL BRIDGE".startswith(body)
    assert messages.is_closed()
    assert urgent.is_closed()
    assert not bench.ports["bridge"].in_use


def test_unplug_closes_the_session_and_replug_takes_another(bench, channel, session):
    messages, _ = session
    assert bench.ports["bridge"].in_use
    bench.command("unplug bridge")
    assert messages.is_closed()
    with pytest.raises(ConnectionRefusedError):
        channel()
    bench.command("replug bridge")
    again = channel()
    again.send(0, parameter=0x0100 << 16, body=b"hislip0")
    assert again.take()[0] == 1
