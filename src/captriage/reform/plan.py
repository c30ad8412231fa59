"""Plan of a reforming run for one part and the equipment at hand; nothing is energised here.

The supply is never set above the rated voltage, whatever is lost in the series resistor: a part
that stops leaking sees all of it. So the part is below the setting while it leaks, and a plan
says by how much at the current that ends a step.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import Final

from captriage.errors import CapTriageError
from captriage.judging.discharge import (
    GONE_V,
    SAFE_V,
    discharge_of,
    rated_watts,
    time_to,
)
from captriage.model.leakage import leakage_voltage_factor
from captriage.model.withstand import recovery_voltage, surge_voltage
from captriage.reform.equipment import Equipment, OwnedResistor
from captriage.reform.part import PartToReform
from captriage.reform.plan_cautions import cautions, questions
from captriage.reform.plan_departures import departures
from captriage.reform.plan_steps import Circuit, circuit_of, snapped
from captriage.reform.procedure import Procedure
from captriage.reform.procedures import OURS_STEPS
from captriage.reform.refusals import refuse
from captriage.reform.resistors import WATTS_MARGIN, asked_for, fitted, left_over
from captriage.reform.steps import Plan, Resistor, Retest

PROTECTION_ABOVE: Final = 1.05
"""Where the supply's own protection trips over the highest voltage, unless surge is less; ours."""
LIMIT_ABOVE: Final = 1.1
"""Current limit of the supply over the current into a short through the resistor; ours."""

REST_S: Final = 24 * 3600.0
"""Rest before the re-test: "24-48 h" after the voltage treatment, Vishay BCcomponents, documents
28340 and 28375 (shelf-life test); 12 to 48 h in EIA-815. [s]"""
SOAK_OVER_CHARGING: Final = 3.0
"""Charging times that are over at least before a re-test is read: an old part may hold 1.5 times as
much (from memory), and then 0.01 % of the charging current is left; ours."""

KEY_PRESS_S: Final = 300.0
"""Somebody answers so often, or the run ramps down; ours. [s]"""
RAISED_WITHIN_S: Final = 60.0
"""A whole voltage is raised no faster than in this time: "built up within 60 s", MIL-C-62F,
4.5.3, taken as the fastest. [s]"""


def plan_reform(
    part: PartToReform,
    equipment: Equipment,
    *,
    procedure: Procedure = OURS_STEPS,
    fresh_stock: bool = False,
) -> Plan:
    """Plan of the run, or the reason why there is none.

    Parameters
    ----------
    part : PartToReform
        What is known of the part.
    equipment : Equipment
        What is at hand.
    procedure : Procedure
        The published way that is followed.
    fresh_stock : bool
        Whether a person says that this is good stock of known history: asked for by procedures
        that put rated voltage on at once through a small resistor.

    Returns
    -------
    Plan
        Its voltages are at most the rated one; its resistors stand a shorted part for ever.

    Raises
    ------
    CapTriageError
        The part must see no voltage, the rating or the equipment does not allow the run, or the
        procedure is not for this part.
    """
    refuse(part, equipment, procedure, fresh_stock=fresh_stock)
    target = reached_voltage(part, equipment)
    circuit = circuit_of(part, equipment, procedure, target)
    in_use = [each for each in (circuit.series, circuit.series_last) if each is not None]
    free = left_over(equipment.resistors, in_use) if equipment.resistors else None
    discharge, at_hand = discharge_resistor(part.capacitance_rated, target, free)
    down_to = partial(time_to, ohm=discharge.ohm, farads=part.capacitance_rated, from_v=target)
    last, asked = circuit.series_last, partial(asked_for, volts=target)
    recovery = tuple(float(volts) for volts in recovery_voltage(target))
    plan = Plan(
        part=part.name,
        capacitance_rated=part.capacitance_rated,
        voltage_rated=part.voltage_rated,
        target_v=target,
        procedure=procedure.name,
        source=f"{procedure.source} [{procedure.standing}]",
        departures=(),
        steps=circuit.steps,
        series=asked(circuit.series) if equipment.resistors else circuit.series,
        discharge=discharge,
        short_a=circuit.short_a,
        supply_limit_a=supply_limit(circuit, equipment),
        protection_v=min(PROTECTION_ABOVE * target, float(surge_voltage(part.voltage_rated))),
        ramp_v_per_s=ramp(part, procedure, target),
        key_press_s=KEY_PRESS_S,
        to_60_s=down_to(SAFE_V),
        to_1_s=down_to(GONE_V),
        recovery_v=(recovery[0], recovery[1]),
        retest=retest(part, target, charging_s=circuit.steps[-1].charging_s),
        cautions=(),
        section=part.section,
        series_last=last if last is None or not equipment.resistors else asked(last),
    )
    return replace(
        plan,
        departures=departures(plan, part, procedure, equipment=equipment, discharge_had=at_hand),
        cautions=cautions(plan, part),
        questions=questions(plan, part, supply=equipment.supply),
    )


def reached_voltage(part: PartToReform, equipment: Equipment) -> float:
    """Highest setting of the supply in this run: the wanted voltage, or what the supply reaches.

    Raises
    ------
    CapTriageError
        The supply does not reach half of the wanted voltage, or begins above it.
    """
    supply, wanted = equipment.supply, part.voltage_wanted
    step = supply.step_up_to(wanted)
    reached = snapped(min(wanted, supply.voltage_most), step)
    if reached < supply.voltage_least or reached <= 0:
        raise CapTriageError(
            f"supply: it begins at {max(supply.voltage_least, step):g} V, and "
            f"{wanted:g} V is wanted at most; use a supply that can be set lower"
        )
    if reached < part.diagnostic_fraction * wanted:
        raise CapTriageError(
            f"supply: it reaches {reached:g} V of the {wanted:g} V that are wanted, and below "
            f"{100 * part.diagnostic_fraction:.0f} % of that a leakage current tells nothing; use "
            "a supply that reaches further"
        )
    return reached


def supply_limit(circuit: Circuit, equipment: Equipment) -> float:
    """Current limit of the supply: just above a short, so that a slipped clip finds little. [A]"""
    supply = equipment.supply
    return max(min(LIMIT_ABOVE * circuit.short_a, supply.current_most), supply.current_least)


def ramp(part: PartToReform, procedure: Procedure, target_v: float) -> float:
    """How fast the voltage is raised: charging keeps below the current of the procedure. [V/s]"""
    slowest = procedure.current_a / part.capacitance_rated
    fastest = target_v / RAISED_WITHIN_S
    return fastest if math.isnan(slowest) else min(slowest, fastest)


def discharge_resistor(
    capacitance: float, from_v: float, owned: Sequence[OwnedResistor] | None
) -> tuple[Resistor, bool]:
    """Resistor across the part afterwards, and whether it can be had.

    Parameters
    ----------
    capacitance, from_v : float
        Of the part [F], and on it [V].
    owned : sequence of OwnedResistor or None
        Those at hand that are free; None where any can be had.
    """
    wanted = discharge_of(capacitance, from_v=from_v, to_v=GONE_V)
    what = "discharge resistor"

    def watts(ohm: float) -> float:
        return rated_watts(ohm, capacitance, from_v=from_v) / WATTS_MARGIN

    if owned:
        try:
            found = fitted(wanted.ohm, from_v, owned=owned, watts=watts, what=what)
            return asked_for(found, from_v, watts=watts), True
        except CapTriageError:
            owned = ()
    return fitted(wanted.ohm, from_v, watts=watts, what=what), owned is None


def retest(part: PartToReform, target_v: float, *, charging_s: float) -> Retest:
    """The proof, after rest: leakage at the highest voltage of the run, once the part is charged.

    ``charging_s`` is the charging time through the resistor of the last step. [s]
    """
    charged = 60.0 * math.ceil(SOAK_OVER_CHARGING * charging_s / 60)
    moved = float(leakage_voltage_factor(target_v / part.voltage_rated))
    return Retest(
        rest_s=REST_S,
        voltage_v=target_v,
        soak_s=part.soak_s if part.soak_s >= SOAK_OVER_CHARGING * charging_s else charged,
        limit_a=part.limit_a * moved,
        reference=part.reference,
    )
