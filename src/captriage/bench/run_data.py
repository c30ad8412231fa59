"""What a reforming run is given, shows, and comes to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import nan
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from captriage.bench.measured import Answer, Reads
    from captriage.errors import MeterError
    from captriage.reform.curves import Progress


class Feeds(Protocol):
    """What feeds the part: a supply under control, or a person at its knob."""

    controlled: bool
    set_v: float

    @property
    def supply_v(self) -> float:
        """What it gives; NaN not known. [V]"""

    @property
    def most_v(self) -> float:
        """Most that it may give, whatever is known of it. [V]"""

    @property
    def unsure_v(self) -> float:
        """Uncertainty of that. [V]"""

    @property
    def supply_a(self) -> tuple[float, float]:
        """Current that it tells, and its uncertainty; NaN not known. [A]"""

    def begin(self) -> None:
        """Set what is to be set, and switch on at 0 V."""

    def tick(self) -> None:
        """Keep it going; raises ``Stopped`` where it was switched off."""

    def hear(self) -> None:
        """Keep and tell what was wrong with its wire."""

    def approach(self, target_v: float) -> bool:
        """Raise the voltage; whether it is there."""

    def lower(self) -> bool:
        """Lower the voltage; whether it is nought."""

    def pressed(self) -> None:
        """Enter was pressed."""

    def off(self, why: str) -> str:
        """Switch off; why nobody knows whether it is, "" where it is sure."""

    def unsure(self) -> str:
        """Why nobody knows whether it is off by now; "" where it is."""


class Samples(Protocol):
    """A meter that is read again and again; as :class:`captriage.bench.sampled.Sampled`."""

    meter: Reads
    every_s: float
    takes_s: float

    @property
    def silent_s(self) -> float:
        """Since the last answer. [s]"""

    def take(self) -> list[Answer | MeterError]:
        """What has come since this was asked last."""


class Watches(Protocol):
    """Reads the curve while it grows; as :class:`captriage.reform.progress.Watch`."""

    def add(self, time_s: float, *, supply_v: float, current_a: float, part_v: float = nan) -> None:
        """Take in one reading."""

    def progress(self) -> Progress:
        """What they say so far."""


class RunView(Protocol):
    """Where a run is shown."""

    def step(self, limit_a: float, until_s: float) -> None:
        """A step begins: the current that ends it, and its longest time."""

    def reading(self, text: str, points: Sequence[tuple[float, float]]) -> None:
        """A reading that is on the disk, and time [s] and current [A] at this voltage so far."""


@dataclass
class RunSummary:
    """What came of a run.

    Attributes
    ----------
    taken : int
        Readings kept.
    steps_done : list of int
        Numbers of the steps that came to their end.
    at_step : int
        Number of the step it ended in; 0 before the first.
    highest_v : float
        That was put on. [V]
    current_a : float
        The last that was read. [A]
    ended : str
        Why it ended before the last step was done; "" where all were.
    off_fault : str
        Why nobody knows whether the supply is off; "" where it is.
    discharged_v : float
        What the part read at the end; NaN where that could not be confirmed. [V]
    progress : Progress or None
        What the curve says.
    """

    taken: int = 0
    steps_done: list[int] = field(default_factory=list)
    at_step: int = 0
    highest_v: float = 0.0
    current_a: float = nan
    ended: str = ""
    off_fault: str = ""
    discharged_v: float = nan
    progress: Progress | None = None
