"""A reforming run as it was read: voltage and current against time, and what became of it."""

from __future__ import annotations

from dataclasses import dataclass
from math import nan
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

TOO_EARLY: Final = "too early to say"
CHARGING: Final = "charging"
FALLING: Final = "falling"
SETTLED_BELOW: Final = "settled below the limit"
SETTLED_ABOVE: Final = "settled above the limit"
RISING: Final = "rising"
BROKEN_DOWN: Final = "broken down"
STATES: Final = (
    TOO_EARLY,
    CHARGING,
    FALLING,
    SETTLED_BELOW,
    SETTLED_ABOVE,
    RISING,
    BROKEN_DOWN,
)

CONTINUE: Final = "continue"
NEXT_STEP: Final = "next step"
KEEP: Final = "stop and keep"
REST: Final = "rest and re-test"
LOOK: Final = "stop and look"
REPLACE: Final = "stop and replace"
ADVICE: Final = (CONTINUE, NEXT_STEP, KEEP, REST, LOOK, REPLACE)

ADVICE_OF: Final = {
    # What a state calls for; a step that has settled below the limit calls for the next one.
    TOO_EARLY: CONTINUE,
    CHARGING: CONTINUE,
    FALLING: CONTINUE,
    SETTLED_BELOW: NEXT_STEP,
    SETTLED_ABOVE: REPLACE,
    RISING: REPLACE,
    BROKEN_DOWN: REPLACE,
}


@dataclass(frozen=True)
class Curve:
    """Readings of one run, ascending in time; arrays of one length.

    Attributes
    ----------
    time_s : ndarray
        Since the run began; may be uneven. [s]
    supply_v : ndarray
        Before the series resistor; NaN where it was not read or set. [V]
    current_a : ndarray
        Into the part; NaN where it was not read. [A]
    part_v : ndarray
        Across the part; NaN where it was not read. [V]
    series_ohm : float
        Between supply and part; NaN where it is not told. [Ω]
    floor_a : float
        Uncertainty of the meter that does not shrink with the reading, k = 2. [A]
    """

    time_s: Floats
    supply_v: Floats
    current_a: Floats
    part_v: Floats
    series_ohm: float = nan
    floor_a: float = 0.0


@dataclass(frozen=True)
class Rating:
    """What a curve is held against.

    Attributes
    ----------
    capacitance_rated, voltage_rated : float
        [F], [V]
    target_v : float
        Highest voltage of the run. [V]
    limit_a : float
        Most leakage current at the rated voltage; at a lower one it is moved by
        :func:`captriage.model.leakage.leakage_voltage_factor`. [A]
    """

    capacitance_rated: float
    voltage_rated: float
    target_v: float
    limit_a: float


@dataclass(frozen=True)
class StepReading:
    """What one step of a curve says.

    Attributes
    ----------
    begins_s, ends_s : float
        Time of its first and last reading. [s]
    supply_v, part_v : float
        Voltage, its median at the end of the step; NaN unknown. [V]
    limit_a : float
        At the voltage on the part. [A]
    charging_ends_s : float
        Time from which the current is leakage; NaN where it is not over. [s]
    leakage_a, leakage_low_a, leakage_high_a : float
        At the end of the step, with a 90 % interval. [A]
    settles_at_a, settles_low_a, settles_high_a : float
        Where the current is going, with a 90 % interval; NaN where that is not known. [A]
    floor_a, flaw_a, exponent : float
        Of the law that fits best, :mod:`captriage.reform.law`: what does not heal, what does, when
        the voltage was reached [A], and the exponent of time (1: it falls as 1/t).
    state : str
        One of :data:`STATES`.
    beside_before : float
        Current over that of an earlier step at the same voltage, at the same soak time; NaN where
        there is none.
    """

    begins_s: float
    ends_s: float
    supply_v: float
    part_v: float
    limit_a: float
    charging_ends_s: float
    leakage_a: float
    leakage_low_a: float
    leakage_high_a: float
    settles_at_a: float
    settles_low_a: float
    settles_high_a: float
    floor_a: float
    flaw_a: float
    exponent: float
    state: str
    beside_before: float = nan


@dataclass(frozen=True)
class FittedLaw:
    """Parameters of one law, and how sure they are.

    Attributes
    ----------
    floor_a, flaw_a, exponent : float
        b [A], a [A] and the exponent of time; NaN where the fit failed.
    floor_error_a, flaw_error_a, exponent_error : float
        Their standard errors.
    residual : float
        Root mean square difference of the averages from the law, as a share of them.
    failure : str
        Why there is no fit; "" where there is one.
    """

    floor_a: float = nan
    flaw_a: float = nan
    exponent: float = nan
    floor_error_a: float = nan
    flaw_error_a: float = nan
    exponent_error: float = nan
    residual: float = nan
    failure: str = ""


@dataclass(frozen=True)
class Progress:
    """What a whole curve says so far.

    Attributes
    ----------
    state, advice : str
        One of :data:`STATES`, of :data:`ADVICE`.
    sure : float
        How sure the state is, 0 to 1.
    because : str
        Why, in a sentence with figures.
    limit_a : float
        At the voltage of the step that gives the state. [A]
    forecast_s, forecast_low_s, forecast_high_s : float
        Time of the curve at which the current reaches the limit, with a 90 % interval; NaN where
        it is not falling, infinite where it may never. [s]
    steps : tuple of StepReading
        In order of time.
    law : FittedLaw or None
        Of the last step; None where none was held against it.
    """

    state: str
    advice: str
    sure: float
    because: str
    limit_a: float
    forecast_s: float
    forecast_low_s: float
    forecast_high_s: float
    steps: tuple[StepReading, ...]
    law: FittedLaw | None = None
