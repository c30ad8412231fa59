"""A meter that speaks VXI-11 (over Sun RPC) on a loopback port, without a port mapper."""

import queue
import socket
import struct
from contextlib import suppress

from bench.wires import Talker, TcpMeter

CREATE_LINK, WRITE, READ, DESTROY_LINK = 10, 11, 12, 23
TIMED_OUT, END = 15, 4


class Vxi11Meter(Talker):
    """One link at a time; answers wait in a queue until they are read."""

    def __init__(self, *arguments, **settings):
        super().__init__(*arguments, **settings)
        self.port = 0
        self._live = []

    @property
    def address(self):
        return f"TCPIP::127.0.0.1,{self.port}::inst0::INSTR"

    plug = TcpMeter.plug
    unplug = TcpMeter.unplug
    _accept = TcpMeter._accept

    def _serve(self, connection):
        questions, answers = queue.Queue(), queue.Queue()
        self.start(self._think, questions, answers)
        with suppress(OSError, EOFError):
            while True:
                xid, procedure, arguments = self._call(connection)
                result = self._result(procedure, arguments, questions, answers)
                if result is None:
                    connection.shutdown(socket.SHUT_RDWR)
                    return
                reply = struct.pack(">6I", xid, 1, 0, 0, 0, 0) + result
                connection.sendall(struct.pack(">I", 0x80000000 | len(reply)) + reply)
        questions.put(None)

    def _think(self, questions, answers):
        while (question := questions.get()) is not None:
            if not self.do(question, answers.put):
                answers.put(None)

    def _result(self, procedure, arguments, questions, answers):
        if procedure == CREATE_LINK:
            return struct.pack(">iiII", 0, 1, 0, 4096)
        if procedure == DESTROY_LINK:
            return struct.pack(">i", 0)
        if procedure == WRITE:
            (size,) = struct.unpack_from(">I", arguments, 16)
            questions.put(arguments[20 : 20 + size].decode("latin-1").strip())
            return struct.pack(">iI", 0, size)
        if procedure == READ:
            (timeout_ms,) = struct.unpack_from(">I", arguments, 8)
            try:
                data = answers.get(timeout=timeout_ms / 1000)
            except queue.Empty:
                return struct.pack(">iiI", TIMED_OUT, 0, 0)
            if data is None:
                return None
            padded = data + bytes(-len(data) % 4)
            return struct.pack(">iiI", 0, END, len(data)) + padded
        return struct.pack(">i", 8)  # operation not supported

    def _call(self, connection):
        (length,) = struct.unpack(">I", self._exactly(connection, 4))
        call = self._exactly(connection, length & 0x7FFFFFFF)
        xid, _, _, _, _, procedure = struct.unpack_from(">6I", call)
        at = 24
        for _ in range(2):  # credentials and verifier
            (size,) = struct.unpack_from(">I", call, at + 4)
            at += 8 + size
        return xid, procedure, call[at:]

    def _exactly(self, connection, length):
        data = b""
        while len(data) < length:
            more = connection.recv(length - len(data))
            if not more:
                raise EOFError
            data += more
        return data
