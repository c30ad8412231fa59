"""Faults that can be switched on while the rehearsal runs, one at a time for each meter."""

from __future__ import annotations

import random
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from captriage.errors import MeterError

WIRE_FAULTS: Final = {
    "silence": "does what it is told and answers nothing",
    "late": "answers after so many seconds (3 unless told)",
    "garbage": "answers with bytes that mean nothing",
    "echo": "sends each question back before the answer",
    "dropped": "closes the line in the middle of an answer",
    "terminator": "ends its answers with a carriage return alone",
}
METER_FAULTS: Final = {
    "over-range": "every reading is over range",
    "bad-status": "a number that looks real, with a status that forbids it",
    "noise": "fifty times its usual noise",
    "stranger": "says that it is another meter",
    "deaf": "takes what would set or switch it, and stays as it was",
    "stuck": "shows the same reading for ever",
}
SUPPLY_FAULTS: Final = {
    "drift": "its output creeps up from what it was set to, 1 V a second, up to its protection",
    "stuck-on": "its output neither goes off nor down, but by its protection",
}
FAULTS: Final = {**WIRE_FAULTS, **METER_FAULTS, **SUPPLY_FAULTS}

LATE_S: Final = 3.0
GARBAGE_LENGTH: Final = (4, 24)


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault, and when it strikes."""

    kind: str  # key of FAULTS
    late_s: float = LATE_S
    once: bool = False
    after: int = 0  # so many answers are left whole first
    chance: float = 1.0  # that an answer, or what comes before it, is struck


class Faults:
    """The fault of one meter, if any; may be set from any thread."""

    def __init__(
        self,
        name: str,
        possible: Sequence[str],
        *,
        on_set: Callable[[str], None] = lambda _: None,
    ) -> None:
        """``on_set`` is given the kind of fault that is on from now on, "" for none."""
        self.name = name
        self.possible = tuple(possible)
        self._on_set = on_set
        self._lock = threading.Lock()
        self._fault: Fault | None = None
        self._dice = random.Random(0)  # noqa: S311
        self._fate: float | None = None

    @property
    def explained(self) -> str:
        """The faults that this meter can have, in words."""
        return "; ".join(f"{kind}: {FAULTS[kind]}" for kind in self.possible)

    def set(self, fault: Fault | None, *, seed: int = 0) -> None:
        """Switch a fault on, or off.

        Raises
        ------
        MeterError
            This meter cannot have it.
        """
        if fault is not None and fault.kind not in self.possible:
            known = ", ".join(self.possible)
            raise MeterError(f"{self.name}: cannot have the fault {fault.kind!r}; it can: {known}")
        with self._lock:
            self._fault = fault
            self._dice = random.Random(seed)  # noqa: S311
            self._fate = None
        self._on_set(fault.kind if fault else "")

    @property
    def kind(self) -> str:
        """Of the fault that is on, "" where none is."""
        fault = self._fault
        return fault.kind if fault else ""

    def strikes(self) -> Fault | None:
        """The fault that would strike the answer to come; :meth:`spent` says that it came."""
        with self._lock:
            fault = self._fault
            if fault is None or fault.after > 0:
                return None
            if self._fate is None:  # one throw an answer, however many commands come before it
                self._fate = self._dice.random()
            return fault if self._fate < fault.chance else None

    def spent(self, struck: Fault | None) -> None:
        """An answer went out, or a command was ignored: count down, or end what was once."""
        with self._lock:
            fault = self._fault
            self._fate = None
            if fault is None:
                return
            if fault.after > 0:
                self._fault = replace(fault, after=fault.after - 1)
            elif struck is fault and fault.once:
                self._fault = None

    def garbage(self) -> bytes:
        """Bytes that mean nothing, with neither line end nor full stop among them."""
        length = self._dice.randint(*GARBAGE_LENGTH)
        return bytes(self._dice.choice(_NONSENSE) for _ in range(length))


_NONSENSE: Final = bytes(byte for byte in range(1, 256) if byte not in b"\r\n.")


def parse_fault(words: Sequence[str]) -> tuple[Fault | None, int]:
    """The fault that typed words name, and the seed of its chance.

    ``none``, or a kind, then any of: a number of seconds for ``late``, ``once``, ``after=3``,
    ``p=0.3``, ``seed=7``.

    Raises
    ------
    MeterError
        They name none, or a number is wrong.
    """
    kind, *rest = words or [""]
    if kind == "none":
        return None, 0
    if kind not in FAULTS:
        raise MeterError(f"fault: there is none called {kind!r}; {', '.join(FAULTS)} or none")
    fault, seed = Fault(kind), 0
    for word in rest:
        key, _, value = word.partition("=")
        try:
            if word == "once":
                fault = replace(fault, once=True)
            elif key == "after":
                fault = replace(fault, after=_count(int(value)))
            elif key == "p":
                fault = replace(fault, chance=_share(float(value)))
            elif key == "seed":
                seed = int(value)
            else:
                fault = replace(fault, late_s=_seconds(float(word)))
        except ValueError:
            raise MeterError(
                f"fault: {word!r} is not understood; seconds, once, after=N, p=0..1 or seed=N"
            ) from None
    return fault, seed


def _count(value: int) -> int:
    if value < 0:
        raise ValueError
    return value


def _share(value: float) -> float:
    if not 0 <= value <= 1:
        raise ValueError
    return value


def _seconds(value: float) -> float:
    if not 0 <= value <= 3600:
        raise ValueError
    return value
