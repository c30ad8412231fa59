"""What a sitting at the bench works with: parts, the book, keys, and what is shown."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from captriage.bench.measured import Answer, Clock

ENTER = ""
"""The key Enter, or an empty line."""

QUIT = "q"
"""The key that ends; Ctrl-C gives it too."""


class Ended(Exception):
    """The person ends the sitting, or nobody is there to answer a question; the text says which."""


class PassedOver(Exception):
    """The person goes on to the next part."""


class Part(Protocol):
    """A part of the job; names of :data:`captriage.columns.PARTS`."""

    @property
    def id(self) -> int:
        """Its number in the book."""

    @property
    def part(self) -> str:
        """Designation."""

    @property
    def capacitance_rated(self) -> float:
        """NaN where it is not told. [F]"""

    @property
    def voltage_rated(self) -> float:
        """NaN where it is not told. [V]"""


@dataclass(frozen=True, slots=True)
class Kept:
    """An answer that is on the disk, and the numbers of its readings.

    ``answer`` is the number it is shown and struck out by: the run, and its place there, "2.7".
    """

    answer: str
    readings: tuple[int, ...]


class Records(Protocol):
    """Where a run is kept; each call has committed when it returns."""

    def keep(self, part: Part | None, answer: Answer, conditions: Mapping[str, float]) -> Kept:
        """Keep an answer under a part, or under none."""

    def event(self, kind: str, text: str, part: Part | None = None) -> None:
        """Keep what happened beside the readings."""

    def look(self, part: Part, look: str, raw: str) -> None:
        """Keep what was seen of a part."""

    def strike(self, answers: Sequence[Kept], reason: str) -> None:
        """Strike the readings of answers out; they stay visible."""

    def kept_of(self, part: Part) -> list[Kept]:
        """Answers on a part, by this run and those that measured the same, not struck out."""


class Advice(Protocol):
    """What judging has to say while the work goes on."""

    def limits(self, part: Part) -> str | None:
        """What a sound part of that age reads; None as long as that is being worked out."""

    def verdict(self, part: Part) -> Sequence[str]:
        """The verdict so far, in sentences."""


class Keys(Protocol):
    """The person's keys: single ones at a terminal, lines from a pipe or a foot switch."""

    @property
    def ended(self) -> bool:
        """Whether no key will come any more."""

    def poll(self) -> str | None:
        """A key or a line that is waiting, such as :data:`ENTER`; None where there is none."""

    def next(self) -> str | None:
        """The next key or line; None where none will come."""

    def line(self, prompt: str) -> str | None:
        """A line of text; None where none will come."""


class Show(Protocol):
    """What the person sees and hears."""

    def line(self, text: str = "") -> None:
        """A line that stays, as it is; written out when this returns."""

    def tell(self, label: str, text: str) -> None:
        """A sentence that stays, after a word that says what it is about."""

    def command(self, words: Sequence[str]) -> None:
        """A command that stays, to be copied as it stands."""

    def taken(self, text: Callable[[], str]) -> None:
        """One of very many lines, made where it is shown: not more than can be read are."""

    def status(self, text: str) -> None:
        """What is going on now, in place of what was before."""

    def bell(self) -> None:
        """A sound."""


@dataclass(frozen=True, slots=True)
class Sitting:
    """All of these."""

    records: Records
    keys: Keys
    show: Show
    clock: Clock
