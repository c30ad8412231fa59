"""What a soak is to do, and what comes of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import isfinite, isnan, log10, nan
from typing import Final, Protocol

from captriage.bench.measured import Answer, Value
from captriage.bench.sitting import Part
from captriage.columns import CURRENT, LEAKAGE_CURRENT
from captriage.errors import CapTriageError

MARKS_S: Final = (60.0, 120.0, 300.0)
"""Soak times that limits are stated for. [s]"""

MARK_HOLDS: Final = 1.1  # a reading so much later than a mark is told by its own time
LATE: Final = 2  # times the interval that the last reading may be late
OFF_AFTER: Final = 3  # readings without voltage in a row: one may be a slip of the meter

POINTS_A_DECADE: Final = 40
"""Of the picture: more have no room in a terminal, and days must not fill the memory."""


class View(Protocol):
    """Where the curve is shown."""

    def reading(self, text: str, points: Sequence[tuple[float, float]], *, due: bool) -> None:
        """A reading that is on the disk, and the curve so far; ``due`` at times of a limit."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What is to be done.

    Attributes
    ----------
    voltage_v : float
        Measuring voltage. [V]
    until_s : float
        Soak time at which it ends. [s]
    every_s : float
        Between two readings. [s]
    temperature_degc : float
        Of the part; NaN where it is not told. [°C]
    series_ohm : float
        Between the part and where the voltage is told or measured: nought where that is on the
        part itself, NaN where it is not told. [Ω]
    """

    voltage_v: float
    until_s: float = 300.0
    every_s: float = 1.0
    temperature_degc: float = nan
    series_ohm: float = nan

    def volts_left(self, volts: float, current: Value | None) -> float:
        """What the series resistor leaves of a voltage; all of it where it is not told.

        NaN where the current is not known, or is more than the resistor could pass. [V]
        """
        if isnan(self.series_ohm) or self.series_ohm == 0:
            return volts
        if current is None:
            return nan
        amps = current.at_most if isnan(current.value) else current.value
        left = volts - amps * self.series_ohm
        return left if left > 0 else nan


@dataclass
class SoakSummary:
    """What came of it, as far as it went."""

    taken: int = 0
    soak_s: float = nan  # of the last reading
    current: float = nan  # last one that is a number [A]
    ended: str = ""  # why it ended early; "" where it was soaked to the end


@dataclass
class Curve:
    """The readings as they are drawn: few in each decade of time, however many there were."""

    points: dict[int, tuple[float, float]] = field(default_factory=dict)

    def add(self, soak_s: float, current: float) -> None:
        """Take in a reading; the latest of its share of a decade is drawn."""
        if soak_s > 0 and isfinite(current):
            self.points[round(POINTS_A_DECADE * log10(soak_s))] = (soak_s, current)


def check_voltage(part: Part, voltage_v: float) -> None:
    """Make sure that a part may be measured at this voltage.

    Raises
    ------
    CapTriageError
        It is not above nought, above the rated voltage, or that is not told.
    """
    rated = part.voltage_rated
    if not voltage_v > 0:
        raise CapTriageError(f"{part.part}: {voltage_v:g} V; above 0 V is allowed")
    if isnan(rated):
        raise CapTriageError(
            f"{part.part}: its rated voltage is not told, so none may be put on it; "
            "correct the part in the book"
        )
    if voltage_v > rated:
        raise CapTriageError(
            f"{part.part}: {voltage_v:g} V is above its rated {rated:g} V; "
            f"at most {rated:g} V is allowed"
        )


def as_leakage(answer: Answer) -> Answer:
    """The answer with its current as the leakage current of the part."""
    values = tuple(
        replace(value, quantity=LEAKAGE_CURRENT) if value.quantity == CURRENT else value
        for value in answer.values
    )
    return replace(answer, values=values)
