"""What goes over one wire: lines in, answers out in their time, and the faults between."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from captriage.bench.rehearsal.faults import METER_FAULTS, Fault, Faults
from captriage.bench.rehearsal.instrument import Instrument

LONGEST_LINE: Final = 4096
"""Bytes without a line end after which a meter gives up listening to them."""


@dataclass(frozen=True, slots=True)
class Outgoing:
    """Bytes on their way, when they are due, and whether the line drops after them."""

    due_s: float
    data: bytes
    drops: bool = False


class Conversation:
    """One meter at one wire. Not shared between threads.

    Parameters
    ----------
    instrument : Instrument
    faults : Faults
    clock : callable
        Seconds that only ever grow.
    end : bytes
        What ends an answer.
    echo : bool
        Whether this meter sends each question back, as some do.
    reading_s : float
        How long it takes over a reading.
    """

    def __init__(
        self,
        instrument: Instrument,
        faults: Faults,
        *,
        clock: Callable[[], float],
        end: bytes = b"\n",
        echo: bool = False,
        reading_s: float = 0.0,
    ) -> None:
        self._instrument = instrument
        self._faults = faults
        self._clock = clock
        self._end = end
        self._echo = echo
        self._reading_s = reading_s
        self._heard = b""
        self._outbox: deque[Outgoing] = deque()

    def hear(self, data: bytes) -> None:
        """Take in bytes; whole lines are done at once, their answers put in the outbox."""
        *lines, self._heard = (self._heard + data).split(b"\n")
        if len(self._heard) > LONGEST_LINE:
            self._heard = b""
        for line in lines:
            self._take(line)

    def _take(self, line: bytes) -> None:
        text = line.decode("ascii", "replace").strip()
        if not text:
            return
        fault = self._faults.strikes()
        meter = self._instrument
        meter.fault = fault.kind if fault and fault.kind in METER_FAULTS else ""
        before = meter.readings
        answer = meter.answer(text)
        took = meter.readings != before
        if answer is None:
            if self._echo:
                self._post(line.rstrip(b"\r") + self._end)
            return
        if meter.fault and not meter.struck:
            fault = None  # a fault of readings has nothing to do with this answer
        meter.struck = False
        self._send(line.rstrip(b"\r"), answer.encode("ascii"), fault, self._reading_s * took)

    def say(self, text: str) -> None:
        """Send a line that nobody asked for."""
        fault = self._faults.strikes()
        self._send(b"", text.encode("ascii"), fault, 0.0)

    def _send(self, question: bytes, answer: bytes, fault: Fault | None, after_s: float) -> None:
        self._faults.spent(fault)
        echo = question + self._end if self._echo and question else b""
        match fault.kind if fault else "":
            case "silence":
                data, drops = b"", False
            case "late" if fault:
                data, drops = echo + answer + self._end, False
                after_s += fault.late_s
            case "garbage":
                data, drops = self._faults.garbage() + self._end, False
            case "echo":
                data, drops = question + self._end + answer + self._end, False
            case "dropped":
                data, drops = (echo + answer)[: max(1, len(echo + answer) // 2)], True
            case "terminator":
                data, drops = echo + answer + b"\r", False
            case _:
                data, drops = echo + answer + self._end, False
        self._post(data, after_s=after_s, drops=drops)

    def _post(self, data: bytes, *, after_s: float = 0.0, drops: bool = False) -> None:
        due_s = self._clock() + after_s if after_s or self._outbox else 0.0
        if self._outbox:
            due_s = max(due_s, self._outbox[-1].due_s)
        if data:
            self._outbox.append(Outgoing(due_s, data, drops))

    def due(self) -> Outgoing | None:
        """The next bytes whose time has come; they are then gone from the outbox."""
        if self._outbox and (
            self._outbox[0].due_s == 0.0 or self._outbox[0].due_s <= self._clock()
        ):
            return self._outbox.popleft()
        return None

    def waits_s(self) -> float | None:
        """How long until something is due; None where nothing waits."""
        if not self._outbox:
            return None
        return max(0.0, self._outbox[0].due_s - self._clock())

    def forget(self) -> None:
        """The line was cut: nothing half heard or still to be sent survives that."""
        self._heard = b""
        self._outbox.clear()
