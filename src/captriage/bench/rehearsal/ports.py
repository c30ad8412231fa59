"""The wires: one thread for each meter, listening on loopback TCP or a pseudo-terminal."""

from __future__ import annotations

import queue
import select
import socket
import threading
from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import Final

from captriage.bench.rehearsal.conversation import Conversation, Outgoing
from captriage.bench.rehearsal.instrument import Instrument
from captriage.errors import MeterError

LOOPBACK: Final = "127.0.0.1"
CHUNK: Final = 4096
LONGEST_WAIT_S: Final = 5.0


def listen(name: str, port: int) -> socket.socket:
    """Listener on loopback for the meter of this name; port 0 for any that is free.

    Raises
    ------
    MeterError
        The port is in use, or not ours to use.
    """
    try:
        return socket.create_server((LOOPBACK, port))
    except OSError as error:
        raise MeterError(
            f"{name}: TCP port {port}: {error.strerror}; name another, or 0 for any that is free"
        ) from error


class Order:
    """Something a port's thread is to do, and how it went."""

    def __init__(self, what: Callable[[], None]) -> None:
        self._what = what
        self._done = threading.Event()
        self._error: MeterError | None = None

    def carry_out(self) -> None:
        """Do it, in the port's own thread."""
        try:
            self._what()
        except MeterError as error:
            self._error = error
        finally:
            self._done.set()

    def result(self, thread: threading.Thread) -> None:
        """Wait until it is done, or the thread has ended; raise what it raised."""
        while not self._done.wait(0.5) and thread.is_alive():
            pass
        if self._error:
            raise self._error


class Port(ABC):
    """One meter's wire. Opened and closed by its own thread; pulled out and plugged in by any."""

    def __init__(self, instrument: Instrument, conversation: Conversation) -> None:
        self.instrument = instrument
        self.conversation = conversation
        self.plugged = False
        self._orders: queue.SimpleQueue[Order] = queue.SimpleQueue()
        self._bell: socket.socket | None = None
        self._ear: socket.socket | None = None
        self._stopping = False
        self._thread = threading.Thread(
            target=self._run, name=f"rehearsal {instrument.name}", daemon=True
        )

    @property
    def in_use(self) -> bool:
        """Whether someone is connected, as far as the meter can know."""
        return False

    @property
    @abstractmethod
    def address(self) -> str:
        """VISA name of the meter."""

    def start(self) -> None:
        """Plug in and listen.

        Raises
        ------
        MeterError
            The wire cannot be opened.
        """
        self._plug_in()
        self.plugged = True
        self._bell, self._ear = socket.socketpair()
        self._thread.start()

    def stop(self) -> None:
        """End the thread and close the wire; a second time does nothing."""
        if self._thread.is_alive():
            self._order(self._end)
            self._thread.join()
        for end in (self._bell, self._ear):
            if end:
                end.close()

    def unplug(self) -> None:
        """Pull the plug: the line is dead, what was under way is lost."""
        self._order(self._pull)

    def replug(self) -> None:
        """Plug in again where it was.

        Raises
        ------
        MeterError
            Its place has been taken meanwhile.
        """
        self._order(self._push)

    def _order(self, what: Callable[[], None]) -> None:
        """Have the port's thread do something, and wait until it has."""
        order = Order(what)
        self._orders.put(order)
        if self._bell:
            self._bell.send(b"!")
            order.result(self._thread)

    def _pull(self) -> None:
        if self.plugged:
            self.plugged = False
            self.conversation.forget()
            self._pull_out()

    def _push(self) -> None:
        if not self.plugged:
            self._plug_in()
            self.plugged = True

    def _end(self) -> None:
        self._pull()
        self._stopping = True

    def _run(self) -> None:
        assert self._ear
        while not self._stopping:
            wires = self._listening() if self.plugged else []
            ready, _, _ = select.select([self._ear, *wires], [], [], self._patience())
            for wire in ready:
                if wire is self._ear:
                    self._obey(self._ear)
                elif self.plugged:
                    self._serve(wire)
            if self.plugged:
                self.conversation.tick()
            self._deliver()

    def _obey(self, ear: socket.socket) -> None:
        ear.recv(CHUNK)
        while not self._orders.empty():
            self._orders.get().carry_out()

    def _patience(self) -> float:
        waits_s = self.conversation.waits_s()
        return LONGEST_WAIT_S if waits_s is None else min(waits_s, LONGEST_WAIT_S)

    def _deliver(self) -> None:
        """Send what is due; drop the line where a fault says so."""
        while self.plugged and (outgoing := self.conversation.due()) is not None:
            self._send(outgoing)
            if outgoing.drops:
                self.conversation.forget()
                self._drop()

    @abstractmethod
    def _plug_in(self) -> None:
        """Open the wire."""

    @abstractmethod
    def _pull_out(self) -> None:
        """Close the wire."""

    @abstractmethod
    def _drop(self) -> None:
        """Close the line to whoever is connected, ready for the next."""

    @abstractmethod
    def _listening(self) -> list[socket.socket | int]:
        """What to wait for."""

    @abstractmethod
    def _serve(self, wire: socket.socket | int) -> None:
        """Take in what came on one of them."""

    @abstractmethod
    def _send(self, outgoing: Outgoing) -> None:
        """Send bytes to whoever is connected, if anyone is."""


class TcpPort(Port):
    """A meter on loopback TCP; it talks to one at a time and hangs up on a second caller."""

    def __init__(
        self, instrument: Instrument, conversation: Conversation, *, port: int = 0
    ) -> None:
        super().__init__(instrument, conversation)
        self._port = port
        self._listener: socket.socket | None = None
        self._client: socket.socket | None = None

    @property
    def in_use(self) -> bool:
        """Whether someone is connected."""
        return self._client is not None

    @property
    def port(self) -> int:
        """Number of the port it listens on, from the first start on."""
        return self._port

    @property
    def address(self) -> str:
        """VISA name of the meter."""
        return f"TCPIP::{LOOPBACK}::{self._port}::SOCKET"

    def _plug_in(self) -> None:
        self._listener = listen(self.instrument.name, self._port)
        self._port = self._listener.getsockname()[1]

    def _pull_out(self) -> None:
        self._drop()
        if self._listener:
            self._listener.close()
            self._listener = None

    def _drop(self) -> None:
        if self._client:
            self._client.close()
            self._client = None

    def _listening(self) -> list[socket.socket | int]:
        # The client first: its hanging up is heard before the next caller is answered.
        return [wire for wire in (self._client, self._listener) if wire is not None]

    def _serve(self, wire: socket.socket | int) -> None:
        if wire is self._listener:
            self._pick_up()
        elif wire is self._client:
            self._hear()

    def _pick_up(self) -> None:
        assert self._listener is not None
        caller, _ = self._listener.accept()
        if self._client is not None:
            caller.close()
            return
        caller.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        caller.setblocking(False)
        self.conversation.forget()
        self._client = caller

    def _hear(self) -> None:
        assert self._client is not None
        try:
            data = self._client.recv(CHUNK)
        except BlockingIOError:
            return
        except OSError:
            data = b""
        if not data:
            self._drop()
            return
        self.conversation.hear(data)

    def _send(self, outgoing: Outgoing) -> None:
        if self._client is None:
            return
        try:
            self._client.sendall(outgoing.data)
        except OSError:  # gone, or reading nothing for so long that there is no room
            self._drop()
