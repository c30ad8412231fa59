"""A meter that speaks HiSLIP, the LAN protocol of IVI-6.1: enough of it for one caller.

A session is two connections, one for messages and one for what may overtake them. Every
message has a header of 16 bytes: "HS", type, control code, parameter, length of what follows.
"""

from __future__ import annotations

import socket
import struct
from enum import IntEnum
from typing import Final

from captriage.bench.rehearsal.conversation import Conversation, Outgoing
from captriage.bench.rehearsal.instrument import Instrument
from captriage.bench.rehearsal.ports import CHUNK, LOOPBACK, Port, listen

HEADER: Final = struct.Struct(">2sBBIQ")
VERSION: Final = 0x0100
VENDOR: Final = 0x5858  # "XX": none that is registered
SESSION: Final = 1
LARGEST_MESSAGE: Final = 1 << 16
TOO_MANY_CLIENTS: Final = 4
UNKNOWN_MESSAGE: Final = 1


class Kind(IntEnum):
    """Types of message, as numbered in IVI-6.1."""

    INITIALIZE = 0
    INITIALIZE_RESPONSE = 1
    FATAL_ERROR = 2
    ERROR = 3
    ASYNC_LOCK = 4
    ASYNC_LOCK_RESPONSE = 5
    DATA = 6
    DATA_END = 7
    DEVICE_CLEAR_COMPLETE = 8
    DEVICE_CLEAR_ACKNOWLEDGE = 9
    ASYNC_REMOTE_LOCAL_CONTROL = 10
    ASYNC_REMOTE_LOCAL_RESPONSE = 11
    TRIGGER = 12
    ASYNC_MAX_SIZE = 15
    ASYNC_MAX_SIZE_RESPONSE = 16
    ASYNC_INITIALIZE = 17
    ASYNC_INITIALIZE_RESPONSE = 18
    ASYNC_DEVICE_CLEAR = 19
    ASYNC_STATUS_QUERY = 21
    ASYNC_STATUS_RESPONSE = 22
    ASYNC_DEVICE_CLEAR_ACKNOWLEDGE = 23


ANSWERED_PLAINLY: Final = {
    # type: type, control code and body of the answer
    Kind.ASYNC_LOCK: (Kind.ASYNC_LOCK_RESPONSE, 1, b""),
    Kind.ASYNC_REMOTE_LOCAL_CONTROL: (Kind.ASYNC_REMOTE_LOCAL_RESPONSE, 0, b""),
    Kind.ASYNC_MAX_SIZE: (Kind.ASYNC_MAX_SIZE_RESPONSE, 0, struct.pack(">Q", LARGEST_MESSAGE)),
    Kind.ASYNC_DEVICE_CLEAR: (Kind.ASYNC_DEVICE_CLEAR_ACKNOWLEDGE, 0, b""),
    Kind.ASYNC_STATUS_QUERY: (Kind.ASYNC_STATUS_RESPONSE, 0, b""),
}


class HislipPort(Port):
    """A meter on loopback HiSLIP; it has one session at a time."""

    def __init__(
        self, instrument: Instrument, conversation: Conversation, *, port: int = 0
    ) -> None:
        super().__init__(instrument, conversation)
        self._port = port
        self._listener: socket.socket | None = None
        self._callers: dict[socket.socket, bytes] = {}  # each with what is half received
        self._messages: socket.socket | None = None  # the caller that sends messages
        self._text = b""  # of a message that comes in several pieces

    @property
    def address(self) -> str:
        """VISA name of the meter."""
        return f"TCPIP::{LOOPBACK}::hislip0,{self._port}::INSTR"

    @property
    def in_use(self) -> bool:
        """Whether someone has a session."""
        return self._messages is not None

    def _plug_in(self) -> None:
        self._listener = listen(self.instrument.name, self._port)
        self._port = self._listener.getsockname()[1]

    def _pull_out(self) -> None:
        self._drop()
        if self._listener:
            self._listener.close()
            self._listener = None

    def _drop(self) -> None:
        for caller in list(self._callers):
            self._hang_up(caller)

    def _hang_up(self, caller: socket.socket) -> None:
        self._callers.pop(caller, None)
        if caller is self._messages:
            self._messages = None
            self._text = b""
            self.conversation.forget()
        caller.close()

    def _listening(self) -> list[socket.socket | int]:
        wires: list[socket.socket | int] = list(self._callers)
        return [*wires, self._listener] if self._listener else wires

    def _serve(self, wire: socket.socket | int) -> None:
        if wire is self._listener:
            caller, _ = self._listener.accept()
            caller.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            self._callers[caller] = b""
        elif isinstance(wire, socket.socket) and wire in self._callers:
            self._hear(wire)

    def _hear(self, caller: socket.socket) -> None:
        try:
            data = caller.recv(CHUNK)
        except OSError:
            data = b""
        if not data:
            self._hang_up(caller)
            return
        self._callers[caller] += data
        while caller in self._callers and self._take_message(caller):
            pass

    def _take_message(self, caller: socket.socket) -> bool:
        """Do the first whole message that a caller has sent; False where there is none."""
        heard = self._callers[caller]
        if len(heard) < HEADER.size:
            return False
        mark, kind, control, parameter, length = HEADER.unpack_from(heard)
        if mark != b"HS" or length > LARGEST_MESSAGE:
            self._hang_up(caller)
            return False
        end = HEADER.size + length
        if len(heard) < end:
            return False
        self._callers[caller] = heard[end:]
        self._obey_message(caller, kind, control, parameter, heard[HEADER.size : end])
        return True

    def _obey_message(
        self, caller: socket.socket, kind: int, control: int, parameter: int, body: bytes
    ) -> None:
        match kind:
            case Kind.INITIALIZE if self._messages is not None:
                self._reply(caller, Kind.FATAL_ERROR, TOO_MANY_CLIENTS, 0, b"one caller at a time")
                self._hang_up(caller)
            case Kind.INITIALIZE:
                self._messages = caller
                self._reply(caller, Kind.INITIALIZE_RESPONSE, 0, VERSION << 16 | SESSION, b"")
            case Kind.ASYNC_INITIALIZE:
                self._reply(caller, Kind.ASYNC_INITIALIZE_RESPONSE, 0, VENDOR, b"")
            case Kind.DATA:
                self._text += body
            case Kind.DATA_END:
                text, self._text = self._text + body, b""
                self.conversation.hear(text.rstrip(b"\r\n") + b"\n", tag=parameter)
            case Kind.TRIGGER:
                self.conversation.hear(b"*TRG\n", tag=parameter)
            case Kind.DEVICE_CLEAR_COMPLETE:
                self.conversation.forget()
                self._reply(caller, Kind.DEVICE_CLEAR_ACKNOWLEDGE, control, 0, b"")
            case _ if kind in ANSWERED_PLAINLY:
                answer, code, content = ANSWERED_PLAINLY[Kind(kind)]
                self._reply(caller, answer, code, 0, content)
            case _:
                self._reply(caller, Kind.ERROR, UNKNOWN_MESSAGE, 0, b"not known here")

    def _send(self, outgoing: Outgoing) -> None:
        if self._messages is None:
            return
        kind = Kind.DATA if outgoing.drops else Kind.DATA_END
        self._reply(self._messages, kind, 0, outgoing.tag, outgoing.data)

    def _reply(
        self, caller: socket.socket, kind: Kind, control: int, parameter: int, body: bytes
    ) -> None:
        try:
            caller.sendall(HEADER.pack(b"HS", kind, control, parameter, len(body)) + body)
        except OSError:  # the caller has gone
            self._hang_up(caller)
