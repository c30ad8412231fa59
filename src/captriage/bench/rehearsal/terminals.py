"""Simulated serial ports: pseudo-terminals, on systems that have them."""

from __future__ import annotations

import os
import socket
import tempfile
from contextlib import suppress
from pathlib import Path

from captriage.bench.rehearsal.conversation import Conversation, Outgoing
from captriage.bench.rehearsal.instrument import Instrument
from captriage.bench.rehearsal.ports import CHUNK, Port
from captriage.errors import MeterError


def has_terminals() -> bool:
    """Whether this system has pseudo-terminals; Windows has none."""
    return hasattr(os, "openpty")


class TerminalPort(Port):
    """A meter on a pseudo-terminal; a link of a fixed name leads to it.

    As on a real computer, what is plugged in again may get another device name; the link is
    what stays, as do the links that real systems make for serial adapters.
    """

    def __init__(self, instrument: Instrument, conversation: Conversation) -> None:
        """Prepare a port; the link is made when it is plugged in.

        Raises
        ------
        MeterError
            This system has no pseudo-terminals.
        """
        if not has_terminals():
            raise MeterError(
                f"{instrument.name}: this system has no pseudo-terminals; only the meters on"
                " TCP can be rehearsed here"
            )
        super().__init__(instrument, conversation)
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._link = Path(instrument.name)
        self._meter_end = -1
        self._user_end = -1

    @property
    def address(self) -> str:
        """VISA name of the meter."""
        return f"ASRL{self._link}::INSTR"

    def start(self) -> None:
        """Plug in and listen."""
        self._folder = tempfile.TemporaryDirectory(prefix="captriage-rehearsal-")
        self._link = Path(self._folder.name) / self.instrument.name
        super().start()

    def stop(self) -> None:
        """End the thread and close the wire; a second time does nothing."""
        super().stop()
        if self._folder:
            self._folder.cleanup()
            self._folder = None

    def _plug_in(self) -> None:
        import tty

        self._meter_end, self._user_end = os.openpty()
        tty.setraw(self._user_end)
        os.set_blocking(self._meter_end, False)
        fresh = self._link.with_suffix(".new")
        fresh.symlink_to(os.ttyname(self._user_end))
        fresh.replace(self._link)

    def _pull_out(self) -> None:
        self._link.unlink(missing_ok=True)
        os.close(self._meter_end)
        # Held open until now: a terminal nobody has open reads as an error on the meter's side.
        os.close(self._user_end)
        self._meter_end = self._user_end = -1

    def _drop(self) -> None:
        old_ends = self._meter_end, self._user_end
        self._plug_in()  # first, so that the link always leads to a terminal
        for end in old_ends:
            os.close(end)

    def _listening(self) -> list[socket.socket | int]:
        return [self._meter_end]

    def _serve(self, wire: socket.socket | int) -> None:
        if wire != self._meter_end:
            return
        with suppress(BlockingIOError):
            self.conversation.hear(os.read(self._meter_end, CHUNK))

    def _send(self, outgoing: Outgoing) -> None:
        # Where nobody reads, it is lost, as on a serial line.
        with suppress(BlockingIOError):
            os.write(self._meter_end, outgoing.data)
