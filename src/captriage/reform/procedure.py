"""A published way to reform, as data: what it does, for whom, and what its source is worth."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

HOUR: Final = 3600.0
MINUTE: Final = 60.0
MONTHS: Final = 12.0  # in a year

SEEN: Final = "seen in the document named"
SECOND_HAND: Final = "as reported by a secondary source"
COMMON: Final = "common practice"
OURS: Final = "ours"

QUARTERS: Final = (0.25, 0.50, 0.75, 1.00)
TENTHS: Final = tuple(tenth / 10 for tenth in range(1, 11))


@dataclass(frozen=True, slots=True)
class Schedule:
    """Voltages and times of a procedure, for parts without voltage for long enough.

    Attributes
    ----------
    idle_from_years : float
        Holds from so many years without voltage on. [a]
    fractions : tuple of float
        Voltages over the highest of the run, ascending, the last 1; () where the procedure
        says that no treatment is needed.
    hold_s, last_hold_s : float
        Least time at each voltage, and at the last one. [s]
    most_s, last_most_s : float
        Most time at each voltage, and at the last one. [s]
    """

    idle_from_years: float
    fractions: tuple[float, ...]
    hold_s: float
    last_hold_s: float
    most_s: float
    last_most_s: float


@dataclass(frozen=True, slots=True)
class Procedure:
    """A published way to reform.

    Attributes
    ----------
    name : str
        Ours: the kind of source, and what it does.
    does : str
        What is done, in a sentence.
    schedules : tuple of Schedule
        Ascending in time without voltage; the last one that has begun applies.
    resistors : tuple of (float, float)
        Highest rated voltage [V] and the series resistor [Ω] up to it; () where none is told.
    short_a : float
        The resistor is chosen for this current into a short; NaN where it is told in ohms. [A]
    current_a : float
        The voltage is raised no faster than keeps the current below; NaN no such rule. [A]
    hold_each_idle_year_s : float
        More time at the last voltage for each year without voltage. [s]
    reject_drop : float
        Share of the voltage across the series resistor that rejects the part; NaN no rule.
    reject_after_s : float
        From when on that is looked at. [s]
    reject : str
        What rejects the part, in words; "" where nothing is told.
    fresh_stock : bool
        Whether it was written for good parts of known history alone.
    until_limit : bool
        Whether a step ends once the current is below the limit; else by its time.
    source, standing : str
        Where it is published, and what that is worth.
    """

    name: str
    does: str
    schedules: tuple[Schedule, ...]
    source: str
    standing: str
    resistors: tuple[tuple[float, float], ...] = ()
    short_a: float = math.nan
    current_a: float = math.nan
    hold_each_idle_year_s: float = 0.0
    reject_drop: float = math.nan
    reject_after_s: float = math.nan
    reject: str = ""
    fresh_stock: bool = False
    until_limit: bool = True
