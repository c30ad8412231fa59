"""What all simulated meters share: a language, hooks, and the faults that touch the reading."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from captriage.bench.rehearsal.faults import WIRE_FAULTS
from captriage.bench.rehearsal.scpi import Language

_SETS_NOTHING: Final = re.compile(
    r":?(\*(?!RST)|SYST|ABOR|INIT|TRIG(GER)?(:IMM\w*)?$).*", re.IGNORECASE
)


def sets(said: str) -> bool:
    """Whether a message sets or switches a meter: no question, and none that asks it to work."""
    header = said.strip().partition(" ")[0]
    return header != "" and not header.endswith("?") and not _SETS_NOTHING.fullmatch(header)


def _nothing() -> None:
    """A hook that nobody has taken."""


class Instrument:
    """One simulated meter: a line in, a line out; wires and time are someone else's.

    Attributes
    ----------
    name : str
        What the rehearsal calls it: "bridge", "supply" ...
    fault : str
        Fault of the meter itself that is on for the line to come, or "".
    struck : bool
        Whether that fault has touched the answer just given.
    readings : int
        How many it has taken.
    on_beep, on_reading : callable
        Called when it is told to beep, and each time it takes a reading.
    """

    hears = True
    """Whether it listens at all: some are deaf until they are told that they are remote."""

    faults_of_readings: tuple[str, ...] = ()
    """Faults of its own that it can have."""

    def __init__(self, name: str, identity: str) -> None:
        self.name = name
        self.language = Language(self._identify)
        self.fault = ""
        self.struck = False
        self.readings = 0
        self.on_beep: Callable[[], None] = _nothing
        self.on_reading: Callable[[], None] = _nothing
        self._identity = identity
        self._displayed: dict[str, str] = {}

    @property
    def possible_faults(self) -> tuple[str, ...]:
        """Every fault that it, or its wire, can have."""
        return (*WIRE_FAULTS, *self.faults_of_readings, "stranger", "deaf")

    def answer(self, line: str) -> str | None:
        """Do what a line says; the answer, None where there is none."""
        return self.language.answer(self._heeded(line) if self.fault == "deaf" else line)

    def _heeded(self, line: str) -> str:
        """What is left of a line for a meter that lets nothing set or switch it."""
        said = line.split(";")
        left = [each for each in said if not sets(each)]
        if len(left) < len(said):
            self.struck = True
        return ";".join(left)

    def unasked(self) -> str:
        """The line that a meter sends by itself, in its time."""
        return ""

    def has(self, fault: str) -> bool:
        """Whether this fault is on; asking is being struck by it."""
        if self.fault != fault:
            return False
        self.struck = True
        return True

    def fault_set(self, kind: str) -> None:
        """Be told which fault is on from now on, if any: some go wrong while nobody asks."""

    def shown(self, what: str, text: str) -> str:
        """What stands in the display for a quantity: the text, or the former where it is stuck."""
        if self.has("stuck"):
            return self._displayed.setdefault(what, text)
        self._displayed[what] = text
        return text

    def take_reading(self) -> None:
        """Count a reading that is about to be made."""
        self.readings += 1
        self.on_reading()

    def _identify(self) -> str:
        return "SOMEONE,ELSE,0,9" if self.has("stranger") else self._identity
