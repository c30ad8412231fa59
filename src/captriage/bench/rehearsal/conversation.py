"""What goes over one wire: lines in, answers out in their time, and the faults between."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from captriage.bench.rehearsal.faults import WIRE_FAULTS, Fault, Faults
from captriage.bench.rehearsal.instrument import Instrument

LONGEST_LINE: Final = 4096
"""Bytes without a line end after which a meter gives up listening to them."""


@dataclass(frozen=True, slots=True)
class Outgoing:
    """Bytes on their way."""

    due_s: float
    data: bytes
    drops: bool = False  # the line is closed after them
    tag: int = 0  # of the message that they answer, on a wire that numbers messages


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
    every_s : float
        How often it sends a line unasked; 0 for a meter that waits to be asked.
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
        every_s: float = 0.0,
    ) -> None:
        self._instrument = instrument
        self._faults = faults
        self._clock = clock
        self._end = end
        self._echo = echo
        self._reading_s = reading_s
        self._every_s = every_s
        self._next_s = clock() + every_s
        self._heard = b""
        self._tag = 0
        self._outbox: deque[Outgoing] = deque()

    def hear(self, data: bytes, *, tag: int = 0) -> None:
        """Take in bytes; whole lines are done at once, their answers put in the outbox."""
        self._tag = tag
        *lines, self._heard = (self._heard + data).split(b"\n")
        if len(self._heard) > LONGEST_LINE:
            self._heard = b""
        for line in lines:
            self._take(line)

    def _take(self, line: bytes) -> None:
        text = line.decode("ascii", "replace").strip()
        if not text:
            return
        meter, before = self._instrument, self._instrument.readings
        fault = self._aim()
        answer = meter.answer(text)
        took = meter.readings != before
        if answer is not None:
            question = line.rstrip(b"\r")
            self._send(question, answer, self._hits(fault), self._reading_s * took)
            return
        if meter.struck and meter.fault == "deaf":
            self._faults.spent(fault)
        if self._echo and meter.hears:
            self._post(line.rstrip(b"\r") + self._end)

    def _aim(self) -> Fault | None:
        """The fault that may strike the answer to come; the meter knows of its own."""
        fault = self._faults.strikes()
        own = fault is not None and fault.kind not in WIRE_FAULTS
        self._instrument.fault = fault.kind if fault and own else ""
        self._instrument.struck = False
        return fault

    def _hits(self, fault: Fault | None) -> Fault | None:
        """The fault, unless it is one of the meter itself that this answer does not show."""
        meter = self._instrument
        return None if meter.fault and not meter.struck else fault

    def tick(self) -> None:
        """Put the line of a meter that sends unasked into the outbox, when it is time."""
        if not self._every_s or self._clock() < self._next_s:
            return
        self._next_s = max(self._next_s + self._every_s, self._clock())
        fault = self._aim()
        line = self._instrument.unasked()
        self._send(b"", line, self._hits(fault), 0.0)

    def _send(self, question: bytes, said: str, fault: Fault | None, after_s: float) -> None:
        self._faults.spent(fault)
        answer = said.encode("ascii")
        echo = question + self._end if self._echo else b""
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
            self._outbox.append(Outgoing(due_s, data, drops, self._tag))

    def due(self) -> Outgoing | None:
        """The next bytes whose time has come; they are then gone from the outbox."""
        if self._outbox and (
            self._outbox[0].due_s == 0.0 or self._outbox[0].due_s <= self._clock()
        ):
            return self._outbox.popleft()
        return None

    def waits_s(self) -> float | None:
        """How long until something is due; None where nothing waits."""
        times = [self._outbox[0].due_s] if self._outbox else []
        if self._every_s:
            times.append(self._next_s)
        return max(0.0, min(times) - self._clock()) if times else None

    def forget(self) -> None:
        """The line was cut: nothing half heard or still to be sent survives that."""
        self._heard = b""
        self._outbox.clear()
