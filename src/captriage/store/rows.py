"""Rows of the book as plain objects, for whoever has no use for a frame."""

from __future__ import annotations

from dataclasses import dataclass
from math import nan


@dataclass(frozen=True, slots=True)
class JobRow:
    """One machine on the bench."""

    id: int
    name: str
    machine: str
    note: str
    utc: str
    parts: int = 0
    readings: int = 0


@dataclass(frozen=True, slots=True)
class PartRow:
    """One part as it stands now, columns as :data:`captriage.columns.PARTS`; ``id`` never changes.

    ``row_id`` is the row of its latest correction.
    """

    id: int
    part: str
    row_id: int = 0
    can: str = ""
    section: str = ""
    capacitance_rated: float = nan
    voltage_rated: float = nan
    tolerance_low: float = nan
    tolerance_high: float = nan
    made: float = nan
    age_years: float = nan
    idle_years: float = nan
    grade: str = ""
    construction: str = ""
    polarity: str = ""
    role: str = ""
    voltage_working: float = nan
    service_hours: float = nan
    service_temperature_degc: float = nan
    in_circuit: str = ""
    reform_outcome: str = ""
    note: str = ""
    flag: str = ""
    source_file: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class RunRow:
    """One sitting with one meter, or one import."""

    id: int
    kind: str
    meter: str
    profile: str
    address: str
    identity: str
    settings: dict[str, object]
    program: str
    utc: str
    struck: str = ""


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One value; ``struck`` is the reason where it, its run or its part is struck out."""

    id: int
    run_id: int
    part_id: int | None
    part: str
    answer: int
    quantity: str
    value: float
    at_least: float
    at_most: float
    uncertainty: float
    range_high: float
    frequency_hz: float
    voltage_v: float
    temperature_degc: float
    soak_s: float
    flag: str
    raw: str
    utc: str
    monotonic_s: float
    taken_at: str
    meter: str
    struck: str = ""


@dataclass(frozen=True, slots=True)
class LookRow:
    """One finding by eye or finger."""

    id: int
    run_id: int
    part_id: int
    part: str
    look: str
    raw: str
    utc: str
    struck: str = ""


@dataclass(frozen=True, slots=True)
class EventRow:
    """A note, a gap, a fault: what happened beside the readings."""

    id: int
    run_id: int
    part_id: int | None
    part: str
    kind: str
    text: str
    utc: str


@dataclass(frozen=True, slots=True)
class StrikeRow:
    """What was struck out, when and why."""

    id: int
    what: str
    row_id: int
    reason: str
    utc: str


@dataclass(frozen=True, slots=True)
class VerdictRow:
    """A verdict as it was given."""

    id: int
    part_id: int
    part: str
    verdict: str
    confidence: float
    decided_by: str
    because: str
    policy: str
    program: str
    utc: str
