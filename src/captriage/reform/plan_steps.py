"""The steps of a plan: voltages, series resistors, what ends a step and what stops it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from captriage.errors import CapTriageError
from captriage.model.charging import charging_time, limiting_resistance
from captriage.model.energy import stored_energy
from captriage.reform.equipment import Equipment
from captriage.reform.part import PartToReform
from captriage.reform.procedure import Procedure
from captriage.reform.procedures import (
    MAKER_1993_RESISTORS,
    holding_time,
    schedule_of,
    told_resistance,
)
from captriage.reform.resistors import fitted
from captriage.reform.step_rules import current_at_heat, end_current, healing_band, stop_power
from captriage.reform.steps import Resistor, Step

CHARGED: Final = 0.99  # of the supply voltage: 4.605 time constants
LONGEST_CHARGING_S: Final = 600.0
"""A smaller resistor than the procedure's is taken where charging took longer; ours. [s]"""


DROP_AT_END: Final = 0.10
"""Of the supply voltage, what may be lost in the last step's resistor at the current that ends
it: beyond, a smaller one is taken. A reading at less than 0.9 of the voltage proves nothing."""
OWNED_SMALLER: Final = 0.7  # a resistor at hand that is nearer than this is not worth the change

LEAST_STEP_V: Final = 1.0
"""No step is lower: there a limit is of nA, which a hand-held meter does not tell; ours. [V]"""

WAITED_FOR_S: Final = 4 * 3600.0
"""A step that a procedure ends by the clock is given so long to come below its current; ours."""
LEEWAY: Final = 1.1
"""Most time of a step over the least, at least: in between it is seen to be done; ours."""

SHORT_SHARE: Final = 0.8
"""Of the current into a short, what counts as one; ours."""
STOP_OVER_END: Final = 1.5  # the current that stops over that which ends a step, at least; ours
FALLEN_TO: Final = 0.8
"""Of the voltage that it bore a step before, below which a part has broken down; ours."""


@dataclass(frozen=True, slots=True)
class Circuit:
    """Steps with the resistors they take; see :class:`captriage.reform.steps.Plan`."""

    steps: tuple[Step, ...]
    series: Resistor
    series_last: Resistor | None

    @property
    def short_a(self) -> float:
        """Highest current into a shorted part. [A]"""
        return max(step.supply_v / step.series_ohm for step in self.steps)


def circuit_of(
    part: PartToReform, equipment: Equipment, procedure: Procedure, target_v: float
) -> Circuit:
    """Resistors and steps of a run up to a voltage.

    Raises
    ------
    CapTriageError
        No resistor that is at hand stands it.
    """
    settings = voltages(part, equipment, procedure, target_v)
    series = fitted(
        wanted_resistance(part, procedure, target_v), target_v, owned=equipment.resistors
    )
    last = last_resistor(part, equipment, procedure, series, target_v) if settings[1:] else None
    steps: list[Step] = []
    for number, volts in enumerate(settings, 1):
        ends = number == len(settings)
        ohm = last.ohm if ends and last is not None else series.ohm
        before = steps[-1] if steps else None
        steps += steps_at(part, procedure, volts, series_ohm=ohm, before=before, last=ends)
    return Circuit(tuple(steps), series, last)


def snapped(voltage: float, step: float) -> float:
    """Highest setting of a supply that is not above a voltage. [V]"""
    at = float(f"{math.floor(voltage / step * (1 + 1e-12)) * step:.9g}")
    return min(at, voltage)  # never above, not even by a rounding


def voltages(
    part: PartToReform, equipment: Equipment, procedure: Procedure, target_v: float
) -> list[float]:
    """Settings of the supply, ascending, each once; those that it cannot give are left out.

    So are those below :data:`LEAST_STEP_V`, where the run goes higher.
    """
    supply = equipment.supply
    shares = schedule_of(procedure, part.idle_at_most).fractions
    step = supply.step_up_to(part.voltage_wanted)
    wanted = [snapped(share * target_v, step) for share in shares]
    least = max(supply.voltage_least, min(LEAST_STEP_V, wanted[-1]))
    return [volts for volts in dict.fromkeys(wanted) if volts > 0 and volts >= least]


def wanted_resistance(part: PartToReform, procedure: Procedure, target_v: float) -> float:
    """Series resistor of the procedure, else of the maker's notice; smaller for very large parts.

    It is made smaller where charging took longer than :data:`LONGEST_CHARGING_S`, but not so
    small that more than :func:`stop_power` could go into the part, V²/4R at most.
    """
    told = told_resistance(procedure, part.voltage_rated, supply_v=target_v)
    if math.isnan(told):
        told = next(ohm for most, ohm in MAKER_1993_RESISTORS if part.voltage_rated <= most)
    quick = LONGEST_CHARGING_S / (-math.log1p(-CHARGED) * part.capacitance_rated)
    cool = target_v**2 / (4 * stop_power(part))
    return float(max(min(told, quick), min(told, cool)))


def last_resistor(
    part: PartToReform,
    equipment: Equipment,
    procedure: Procedure,
    series: Resistor,
    target_v: float,
) -> Resistor | None:
    """A smaller resistor for the last step, where the other one takes too much voltage.

    None where it does not, or where none at hand would do better.
    """
    ends_at = end_current(part, procedure, target_v, series_ohm=series.ohm)
    if ends_at * series.ohm <= DROP_AT_END * target_v:
        return None
    near = end_current(part, procedure, target_v * (1 - DROP_AT_END), series_ohm=0.0)
    wanted = float(limiting_resistance(DROP_AT_END * target_v, near))
    owned = equipment.resistors
    if owned:
        owned = tuple(kind for kind in owned if kind.ohm <= OWNED_SMALLER * series.ohm)
        if not owned:
            return None
    try:
        found = fitted(wanted, target_v, owned=owned, at_most=not owned)
    except CapTriageError:
        return None
    return found if found.ohm <= OWNED_SMALLER * series.ohm else None


def steps_at(
    part: PartToReform,
    procedure: Procedure,
    volts: float,
    *,
    series_ohm: float,
    before: Step | None,
    last: bool,
) -> list[Step]:
    """One setting of the supply: one step, or two where something is looked at in between."""
    schedule = schedule_of(procedure, part.idle_at_most)
    hold = holding_time(procedure, part.idle_at_most) if last else schedule.hold_s
    most = schedule.last_most_s if last else schedule.most_s
    if not procedure.until_limit:
        most = max(most, WAITED_FOR_S)
    ends_at = end_current(part, procedure, volts, series_ohm=series_ohm)
    if math.isnan(procedure.reject_drop):
        return [step_at(part, volts, series_ohm, ends_at, times=(hold, most), before=before)]
    cool = stop_power(part) / (STOP_OVER_END * volts)  # so that heat stops the run well above it
    looked_at = min(procedure.reject_drop * volts / series_ohm, cool)
    first = (min(hold, procedure.reject_after_s), procedure.reject_after_s)
    steps = [step_at(part, volts, series_ohm, looked_at, times=first, before=before)]
    left = hold - procedure.reject_after_s
    if left > 0:
        ends_at = min(ends_at, looked_at)
        steps.append(step_at(part, volts, series_ohm, ends_at, times=(left, left), before=steps[0]))
    return steps


def step_at(
    part: PartToReform,
    volts: float,
    series_ohm: float,
    below_a: float,
    *,
    times: tuple[float, float],
    before: Step | None,
) -> Step:
    """One step; ``times`` are the least and the most."""
    charging = float(charging_time(series_ohm, part.capacitance_rated, fraction=CHARGED))
    borne = before.supply_v - before.below_a * before.series_ohm if before else 0.0
    least = max(times[0], 2 * charging)
    fallen = max((1 - SHORT_SHARE) * volts, FALLEN_TO * borne)
    broken = max((volts - fallen) / series_ohm, STOP_OVER_END * below_a)
    # Whoever has but an ammeter is to stop where the part gets too hot as well.
    stop = min(broken, current_at_heat(stop_power(part), volts, series_ohm=series_ohm))
    return Step(
        supply_v=volts,
        series_ohm=series_ohm,
        below_a=below_a,
        least_s=least,
        most_s=max(times[1], LEEWAY * least),
        stop_a=stop,
        stop_w=stop_power(part),
        charging_s=charging,
        healing_s=healing_band(part, volts, series_ohm, below_a, borne_v=borne),
        energy_j=float(stored_energy(part.capacitance_rated, volts)),
    )
