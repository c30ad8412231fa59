"""One step of a curve, made ready to be judged: its charging set apart, its readings averaged."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from captriage.model.leakage import VOLTAGE_EXPONENT
from captriage.reform.averages import Averages, averages_of
from captriage.reform.curves import Curve, Floats, Rating
from captriage.reform.faults import breakdown_of
from captriage.reform.stretches import Readings, Stretch, readings_of, stretches_of

CHARGING_SHARE: Final = 0.05
"""Of the current: charging is over once it is less; ours."""

SURPLUS: Final = 1.5
"""Capacitance over the rated one that charging is reckoned with: tolerances of old parts go up to
+50 % from 350 V on (from memory of makers' catalogues)."""

FIRST_A: Final = 5e-3
"""Current that is thought to flow at first, where no resistor is told; common practice. [A]"""

HARMLESS: Final = 0.2
"""Of the limit: a current below it is no breakdown, however far it jumped; ours."""

SEEN_TIMES: Final = 3.0
"""Times the meter's floor that a charging current must be, to be seen; ours."""

FEWEST: Final = 4
"""Averages below which no law is held against a step."""


@dataclass(frozen=True)
class StepData:
    """Readings of one step.

    Attributes
    ----------
    stretch : Stretch
        Which readings.
    time_s, current_a, part_v, supply_v : ndarray, shape (n,)
        Since the voltage was reached; voltages NaN unknown. [s], [A], [V], [V]
    slope : float
        Series resistor over supply voltage; 0 where they are not known. [1/A]
    limit_a : float
        Limit with the whole supply voltage on the part. [A]
    floor_a : float
        Of the meter, k = 2. [A]
    charged : int
        First reading after charging; n where it is not over.
    broken : int or None
        Reading at which the part broke down.
    averages : Averages or None
        Of the readings after charging; None where there are too few.
    seen_to_charge : bool
        Whether a current beyond the meter's floor went into the part on its way to this voltage.
    """

    stretch: Stretch
    time_s: Floats
    current_a: Floats
    part_v: Floats
    supply_v: Floats
    slope: float
    limit_a: float
    floor_a: float
    charged: int
    broken: int | None
    averages: Averages | None
    seen_to_charge: bool

    @property
    def can_be_fitted(self) -> bool:
        """Whether a law can be held against it."""
        return (
            self.broken is None
            and self.averages is not None
            and len(self.averages.time_s) >= FEWEST
            and self.averages.current_a[-1] > 0
        )

    def limit_now(self, current_a: float) -> float:
        """Limit at the voltage that a current leaves on the part. [A]"""
        return float(self.limit_a * max(1 - self.slope * current_a, 0.0) ** VOLTAGE_EXPONENT)


def steps_of(curve: Curve, rating: Rating) -> list[StepData]:
    """The steps of a curve under voltage.

    Parameters
    ----------
    curve : Curve
    rating : Rating

    Returns
    -------
    list of StepData
        In order of time.
    """
    readings = readings_of(curve)
    found = []
    held_v, since = 0.0, 0
    for stretch in stretches_of(readings):
        if not stretch.off:
            raised = slice(since, stretch.first)
            found.append(_step(readings, stretch, curve, rating, held_v=held_v, raised=raised))
        held_v, since = (0.0 if stretch.off else stretch.supply_v), stretch.last + 1
    return found


def _step(
    readings: Readings,
    stretch: Stretch,
    curve: Curve,
    rating: Rating,
    *,
    held_v: float,
    raised: slice,
) -> StepData:
    """One step, from the voltage that was held before it and the readings of the ramp between."""
    meant = slice(stretch.first, stretch.last + 1)
    time = readings.time_s[meant] - stretch.begins_s
    current, part = readings.current_a[meant], readings.part_v[meant]
    supply = readings.supply_v[meant]
    volts = stretch.supply_v if stretch.supply_v > 0 else rating.target_v
    known = curve.series_ohm > 0 and volts > 0
    slope = curve.series_ohm / volts if known else 0.0
    charged = _charged(time, current, rating, ohm=curve.series_ohm, from_v=held_v, to_v=volts)
    limit = rating.limit_a * min(volts / rating.voltage_rated, 1.0) ** VOLTAGE_EXPONENT
    least = max(10 * curve.floor_a, 0.0 if np.isnan(limit) else HARMLESS * limit)
    broken = breakdown_of(current, part, charged=charged, least_a=least)
    end = len(time) if broken is None else broken
    averages = None
    if end - charged >= FEWEST:
        averages = averages_of(time[charged:end], current[charged:end], curve.floor_a)
    inrush = np.concatenate((readings.current_a[raised], current[:charged]))
    return StepData(
        stretch,
        time,
        current,
        part,
        supply,
        slope,
        limit,
        curve.floor_a,
        charged,
        broken,
        averages,
        seen_to_charge=bool(np.any(inrush > SEEN_TIMES * curve.floor_a)) and curve.floor_a > 0,
    )


def _charged(
    time: Floats, current: Floats, rating: Rating, *, ohm: float, from_v: float, to_v: float
) -> int:
    """First reading at which what still charges the capacitance is nothing beside the current.

    An empty part takes (U - U₀)/R·exp(-t/RC); the film of a part that reforms, and the leak, take
    the rest.
    """
    if not np.isfinite(rating.capacitance_rated) or ohm == 0:
        return 0
    resistance = ohm if ohm > 0 else to_v / FIRST_A
    tau = resistance * rating.capacitance_rated * SURPLUS
    rest = max(to_v - from_v, 0.0) / resistance * np.exp(-np.maximum(time, 0) / tau)
    over = np.flatnonzero(rest < CHARGING_SHARE * np.abs(current))
    if len(over):
        return int(over[0])
    return len(time) if time[-1] < 10 * tau else int(np.searchsorted(time, 10 * tau))
