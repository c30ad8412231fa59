"""Small meters on real wires: loopback sockets, pseudo-terminals, HiSLIP; each can misbehave.

What a meter does with a question is a list of steps: bytes are sent, a number is waited [s],
CLOSE hangs up, FLOOD sends without end. A plain str is an answer with its line end. What it was
set to, it says when asked.
"""

import os
import select
import socket
import struct
import threading
import tty
from contextlib import suppress
from pathlib import Path
from typing import ClassVar

CLOSE = object()
FLOOD = object()
IDENTITY = "EXAMPLE,METER,1,1.0"


class Talker:
    """Takes lines, does steps; the wire is a subclass's."""

    def __init__(self, answers=None, *, end=b"\n", echo=False, stream=None, every_s=0.02):
        self.answers = {"*IDN?": IDENTITY, "READ?": "+1.5E-03", **(answers or {})}
        self.end = end
        self.echo = echo
        self.stream = stream  # lines sent unasked: count -> bytes
        self.every_s = every_s
        self.heard = []
        self.set_to = {"SYST:ERR": '0,"No error"'}
        self._stop = threading.Event()
        self._threads = []

    def answer(self, question):
        """What to do with a question; a callable in ``answers`` is called."""
        header, _, value = question.partition(" ")
        if header.startswith("CONF:"):
            header, value = "FUNC", header.removeprefix("CONF:")
        if value:
            self.set_to[header] = value
        steps = self.answers.get(question, self.set_to.get(question.removesuffix("?")))
        if callable(steps):
            steps = steps(question)
        if steps is None:
            return []
        return [steps] if isinstance(steps, str | bytes) else steps

    def do(self, question, send):
        """Do the steps; False where the connection is to be closed."""
        self.heard.append(question)
        if self.echo:
            send(question.encode() + self.end)
        for step in self.answer(question):
            if step is CLOSE:
                return False
            if step is FLOOD:
                while not self._stop.is_set():
                    send(b"7" * 512)
            elif isinstance(step, int | float):
                self._stop.wait(step)
            else:
                send(step.encode() + self.end if isinstance(step, str) else step)
        return not self._stop.is_set()

    def start(self, target, *arguments):
        thread = threading.Thread(target=target, args=arguments, daemon=True)
        thread.start()
        self._threads.append(thread)

    def join(self):
        self._stop.set()
        for thread in self._threads:
            thread.join(5)
            assert not thread.is_alive()
        self._threads.clear()
        self._stop.clear()

    def stream_to(self, send):
        count = 0
        with suppress(OSError):
            while not self._stop.wait(self.every_s):
                send(self.stream(count))
                count += 1

    def __enter__(self):
        self.plug()
        return self

    def __exit__(self, *failure):
        self.unplug()


class TcpMeter(Talker):
    """A meter at a loopback port, which stays the same over unplug and plug."""

    def __init__(self, *arguments, **settings):
        super().__init__(*arguments, **settings)
        self.port = 0
        self._live = []

    @property
    def address(self):
        return f"TCPIP::127.0.0.1::{self.port}::SOCKET"

    def plug(self):
        self._listener = socket.create_server(("127.0.0.1", self.port))
        self.port = self._listener.getsockname()[1]
        self.start(self._accept, self._listener)

    def unplug(self):
        self._stop.set()
        with suppress(OSError):
            self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()
        for connection in self._live:
            with suppress(OSError):
                connection.shutdown(socket.SHUT_RDWR)
        self.join()
        for connection in self._live:
            connection.close()
        self._live.clear()

    def _accept(self, listener):
        with suppress(OSError):
            while True:
                connection, _ = listener.accept()
                connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                self._live.append(connection)
                self.start(self._serve, connection)
                if self.stream:
                    self.start(self.stream_to, connection.sendall)

    def _serve(self, connection):
        received = b""
        with suppress(OSError):
            while data := connection.recv(4096):
                received += data
                while self.end in received:
                    line, received = received.split(self.end, 1)
                    if not self.do(line.decode("latin-1"), connection.sendall):
                        connection.shutdown(socket.SHUT_RDWR)
                        return


class PtyMeter(Talker):
    """A meter on a pseudo-terminal, behind a link whose name stays over unplug and plug."""

    def __init__(self, folder, *arguments, **settings):
        super().__init__(*arguments, **settings)
        self.link = Path(folder) / "ttyMETER"

    @property
    def address(self):
        return f"ASRL{self.link}::INSTR"

    def plug(self):
        self._meter, self._computer = os.openpty()
        tty.setraw(self._computer)
        self.link.unlink(missing_ok=True)
        self.link.symlink_to(os.ttyname(self._computer))
        self.start(self._serve, self._meter)
        if self.stream:
            self.start(self.stream_to, self.send)

    def send(self, data):
        """Write to the computer, waiting until it can be taken or the meter is unplugged."""
        while data:
            if self._stop.is_set():
                raise OSError("unplugged")
            if select.select([], [self._meter], [], 0.02)[1]:
                os.set_blocking(self._meter, False)
                with suppress(BlockingIOError):
                    data = data[os.write(self._meter, data) :]

    def unplug(self):
        self.join()
        os.close(self._meter)
        os.close(self._computer)
        self.link.unlink(missing_ok=True)

    def _serve(self, meter):
        received = b""
        with suppress(OSError):
            while not self._stop.is_set():
                if not select.select([meter], [], [], 0.02)[0]:
                    continue
                received += os.read(meter, 4096)
                while self.end in received:
                    line, received = received.split(self.end, 1)
                    self.do(line.decode("latin-1"), self.send)


class HislipMeter(Talker):
    """A meter that speaks HiSLIP (IVI-6.1), synchronised mode, as far as a question needs it."""

    HEAD = struct.Struct(">2sBBIQ")
    # what is received: what is sent for it (type, control code, parameter, payload)
    REPLIES: ClassVar = {
        0: (1, 0, (0x0100 << 16) | 1, b""),  # Initialize
        17: (18, 0, 0x5858, b""),  # AsyncInitialize
        15: (16, 0, 0, struct.pack(">Q", 1 << 20)),  # AsyncMaxMsgSize
        19: (23, 0, 0, b""),  # AsyncDeviceClear
        8: (9, 0, 0, b""),  # DeviceClearComplete
    }

    def __init__(self, *arguments, **settings):
        super().__init__(*arguments, **settings)
        self.port = 0
        self._live = []

    @property
    def address(self):
        return f"TCPIP::127.0.0.1::hislip0,{self.port}::INSTR"

    plug = TcpMeter.plug
    unplug = TcpMeter.unplug
    _accept = TcpMeter._accept

    def _serve(self, connection):
        with suppress(OSError, EOFError):
            while True:
                _, kind, _, parameter, length = self.HEAD.unpack(self._exactly(connection, 16))
                payload = self._exactly(connection, length)
                if kind in self.REPLIES:
                    kind, control, parameter, payload = self.REPLIES[kind]
                    self._send(connection, kind, control, parameter, payload)
                elif kind == 7:  # DataEND

                    def send(data, parameter=parameter):
                        self._send(connection, 7, 0, parameter, data)

                    if not self.do(payload.decode("latin-1").strip(), send):
                        connection.shutdown(socket.SHUT_RDWR)
                        return

    def _exactly(self, connection, length):
        data = b""
        while len(data) < length:
            more = connection.recv(length - len(data))
            if not more:
                raise EOFError
            data += more
        return data

    def _send(self, connection, kind, control, parameter, payload):
        connection.sendall(self.HEAD.pack(b"HS", kind, control, parameter, len(payload)) + payload)
