"""How a capture goes: its states, what it tells, and how long it waits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from math import inf
from typing import Final

from captriage.bench.measured import Answer


class State(Enum):
    """How far a capture has come."""

    OCCUPIED = "another part is in the clips"
    NOTHING = "nothing in the clips"
    NOTICED = "noticed"
    SETTLING = "settling"
    TAKING = "taking"
    DONE = "waiting for the part to come off"
    OFF = "off"


class Said(Enum):
    """What is worth telling the person."""

    NOTICED = "noticed"
    CAME_OFF = "came off"
    NO_NUMBER = "no number"
    JUMPED = "jumped"
    PAUSED = "paused"
    INTERMITTENT = "intermittent"
    DRIFTING = "drifting"
    LOOKS_OPEN = "looks open"
    UNCLEAR = "unclear"
    SAME = "same again"
    CHANGED = "changed"
    OCCUPIED = "occupied"
    OPENED = "opened"


@dataclass(frozen=True, slots=True)
class Turn:
    """What one answer, fault or press led to.

    Attributes
    ----------
    state : State
        Where the capture is now.
    taken : Answer or None
        To be filed under the part.
    void : str
        Why what was taken so far of this part does not count; "" where it does.
    said : Said or None
        What to tell.
    gap_s : float
        Time before this answer in which nobody looked at the clips; 0 where they were watched.
    """

    state: State
    taken: Answer | None = None
    void: str = ""
    said: Said | None = None
    gap_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Manner:
    """How a part is captured; the times are ours, chosen at a bench of simulated parts."""

    readings: int = 5
    hands_free: bool = True  # else a press of Enter says that the part is in the clips
    window: int = 5  # readings that must agree before it has settled, at least
    settled_s: float = 1.5  # and the time that they must cover, at least
    spacing_s: float = 0.08  # between two readings that count
    fresh_s: float = 0.5  # and where the reply is the very same: a meter may repeat itself
    drifting_s: float = 15.0  # unsettled for so long is drifting
    off_s: float = 0.5  # open for so long is off
    off_broken_s: float = 3.0  # the same, of a part whose contact had broken
    double_s: float = 0.8  # two presses within this are one
    patience_s: float = inf  # nothing noticed for so long: ask
    interval_s: float = 0.1  # between two questions: quick as a hand, no load for the machine
    gap_s: float = 3.0  # without an answer for so long, the part may be another


NO_PART: Final[Mapping[str, float]] = {}
"""Means of no part."""
