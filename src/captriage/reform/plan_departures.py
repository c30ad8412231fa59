"""In what a plan departs from the procedure that it follows, and what it took for granted."""

from __future__ import annotations

import math
from typing import Final

from captriage.reform.equipment import (
    NO_METER,
    VOLTMETER,
    Equipment,
    current_floor,
)
from captriage.reform.part import PartToReform
from captriage.reform.plan_steps import LEAST_STEP_V, wanted_resistance
from captriage.reform.procedure import MINUTE, OURS, Procedure
from captriage.reform.procedures import schedule_of, told_resistance
from captriage.reform.step_rules import DROP_AT_MOST, HEAT_AT_END, current_at_heat
from captriage.reform.steps import Plan
from captriage.units import format_quantity

FLOOR_SHARE: Final = 0.2  # of the current that ends a step: what a meter must tell; ours
NEAR: Final = 0.10  # a resistor as near as this counts as the one that is told: E12 parts vary so


def departures(
    plan: Plan,
    part: PartToReform,
    procedure: Procedure,
    *,
    equipment: Equipment,
    discharge_had: bool,
) -> tuple[str, ...]:
    """Sentences: what departs from the procedure and why, then what had to be taken for granted.

    Parameters
    ----------
    plan : Plan
        With its steps and resistors.
    part, procedure, equipment
        What it was planned for.
    discharge_had : bool
        Whether the discharge resistor is one of those at hand.
    """
    said = [
        *_voltage(plan, part, equipment),
        *_resistor(plan, part, procedure),
        *_last(plan, part),
        *_soak(plan, part),
        *_heat(plan),
        *_healing(plan),
        *_currents(plan, procedure),
        *_steps(plan, part, procedure),
        *_at_hand(plan, part, equipment, discharge_had=discharge_had),
        *_meter(plan, equipment),
        *_taken(part),
    ]
    return tuple(said)


def _volts(value: float) -> str:
    return format_quantity(value, "V")


def _time(seconds: float) -> str:
    """In minutes where it is two or more."""
    if seconds < 2 * MINUTE:
        return format_quantity(seconds, "s", digits=2)
    return f"{format_quantity(seconds / MINUTE, '', digits=2)} min"


def _voltage(plan: Plan, part: PartToReform, equipment: Equipment) -> list[str]:
    """What the run ends at."""
    wanted, reached = part.voltage_wanted, plan.target_v
    said = []
    if reached < wanted:
        ends = "This supply cannot prove the part at {}: it ends at {}"
        if equipment.supply.voltage_most >= wanted:
            ends = "The supply cannot be set to {}, only to {}"
        said.append(
            f"{ends.format(_volts(wanted), _volts(reached))}, {100 * reached / wanted:.0f} % of it"
            + (
                ", and a good reading there does not prove the part."
                if reached < part.proof_fraction * wanted
                else ", and the part is proven for no more."
            )
        )
    elif not math.isnan(part.voltage_working) and part.voltage_working < part.voltage_rated:
        said.append(
            f"It ends at the working voltage of {_volts(wanted)}, all that the circuit needs, not "
            f"at the rated {_volts(part.voltage_rated)}: it proves the part for that circuit alone."
        )
    return said


def _resistor(plan: Plan, part: PartToReform, procedure: Procedure) -> list[str]:
    """The series resistor beside the one that is told."""
    told = told_resistance(procedure, part.voltage_rated, supply_v=plan.target_v)
    has = format_quantity(plan.series.ohm, "Ω")
    if math.isnan(told):
        return [f"The procedure names no series resistor; {has} is after a maker's notice (1993)."]
    said = []
    if abs(plan.series.ohm / told - 1) > NEAR:
        wanted = wanted_resistance(part, procedure, plan.target_v)
        why = (
            f"that would charge {format_quantity(part.capacitance_rated, 'F')} too slowly"
            if wanted < told
            else "what can be had, or is at hand, and stands a shorted part for ever"
        )
        said.append(f"Series resistor {has} instead of {format_quantity(told, 'Ω')}: {why}.")
    return said


def _heat(plan: Plan) -> list[str]:
    """What can go into the part at most: half of the voltage on it, half on the resistor."""
    hottest = max(plan.steps, key=lambda step: step.supply_v**2 / step.series_ohm)
    heat = hottest.supply_v**2 / (4 * hottest.series_ohm)
    if heat <= hottest.stop_w:
        return []
    ohms, most = format_quantity(hottest.series_ohm, "Ω"), format_quantity(hottest.stop_w, "W")
    at = current_at_heat(hottest.stop_w, hottest.supply_v, series_ohm=hottest.series_ohm)
    return [
        f"Through {ohms} up to {format_quantity(heat, 'W')} can go into the part, more than the "
        f"{most} that stop the run, and that it takes at {format_quantity(at, 'A')}: whoever is "
        "there has to switch off."
    ]


def _healing(plan: Plan) -> list[str]:
    """Whether healing can be done with in time at all."""
    if all(step.healing_s[0] <= step.most_s for step in plan.steps):
        return []
    return [
        "Even at best healing is reckoned to take longer than a step lasts: for a part so large "
        "this is hardly a run that ends, and the energy in it is not worth the try."
    ]


def _last(plan: Plan, part: PartToReform) -> list[str]:
    """What the part sees at the end of the last step."""
    last = plan.steps[-1]
    sees = last.supply_v - last.below_a * last.series_ohm
    at = f"{_volts(sees)} at {format_quantity(last.below_a, 'A')}"
    if plan.series_last is not None:
        has, smaller = (format_quantity(r.ohm, "Ω") for r in (plan.series, plan.series_last))
        return [
            f"For the last step {smaller} takes the place of {has}, so that the part sees {at} and "
            "not far less (ours). Change it with the supply off and the part read as discharged."
        ]
    if sees < part.proof_fraction * last.supply_v:
        return [
            f"At the end of the last step the part sees no more than {at}: less than "
            f"{100 * part.proof_fraction:.0f} % of {_volts(last.supply_v)}, so that the re-test "
            "decides, with a smaller resistor."
        ]
    return []


def _soak(plan: Plan, part: PartToReform) -> list[str]:
    """When the re-test is read, where the criterion's time would find the part charging still."""
    if plan.retest.soak_s <= part.soak_s:
        return []
    read, wanted, charging = (
        _time(seconds) for seconds in (plan.retest.soak_s, part.soak_s, plan.steps[-1].charging_s)
    )
    return [
        f"The re-test is read after {read}, not after the {wanted} of the criterion: charging "
        f"alone takes {charging}."
    ]


def _currents(plan: Plan, procedure: Procedure) -> list[str]:
    """What the current is held to."""
    said = []
    last = plan.steps[-1]
    if last.below_a < (1 - NEAR) * plan.retest.limit_a and procedure.until_limit:
        said.append(
            f"The last step ends below {format_quantity(last.below_a, 'A')}, "
            f"{_bound(plan, procedure)}; the re-test allows "
            f"{format_quantity(plan.retest.limit_a, 'A')}."
        )
    if not math.isnan(procedure.current_a):
        said.append(
            f"The supply is raised by {format_quantity(plan.ramp_v_per_s, 'V')} a second at most, "
            "in fixed steps: where it is set by hand charging begins with more current, which the "
            "series resistor bounds."
        )
    return said


def _bound(plan: Plan, procedure: Procedure) -> str:
    """What the current at the end of the last step is bounded by."""
    last = plan.steps[-1]
    if last.below_a == procedure.current_a:
        return "the current of the procedure"
    if math.isclose(last.below_a, HEAT_AT_END * last.stop_w / last.supply_v):
        return "which makes half of the heat that stops the run"
    sees = last.supply_v - last.below_a * last.series_ohm
    if math.isclose(sees, (1 - DROP_AT_MOST) * last.supply_v):
        return f"so that the part sees {_volts(sees)} at least"
    return f"the limit at the {_volts(sees)} that the part sees then"


def _steps(plan: Plan, part: PartToReform, procedure: Procedure) -> list[str]:
    """Steps that are not those of the procedure."""
    schedule = schedule_of(procedure, part.idle_at_most)
    have, wanted = list(dict.fromkeys(step.supply_v for step in plan.steps)), schedule.fractions
    said = []
    low = [share for share in wanted if share * plan.target_v < LEAST_STEP_V]
    why = "for the supply cannot be set to the rest"
    if low and len(have) >= len(wanted) - len(low):
        why = f"for below {_volts(LEAST_STEP_V)} hardly a meter tells the current"
    if len(have) < len(wanted):
        said.append(
            f"Of the {len(wanted)} voltages of the procedure this plan puts on {len(have)} "
            f"({', '.join(map(_volts, have))}), {why}"
            + (
                f"; it begins at {_volts(plan.steps[0].supply_v)} at once: watch the part."
                if plan.steps[0].supply_v > schedule.fractions[0] * plan.target_v * (1 + NEAR)
                else "."
            )
        )
    if not procedure.until_limit:
        said.append(
            "The procedure goes on by the clock: here a step must have come below its current as "
            "well, and is waited for, before there is more voltage (ours)."
        )
    if procedure.standing != OURS:
        said.append(
            "Stops, power in the part, discharge, rest of 24 to 48 h and re-test are ours, "
            "whatever the procedure says."
        )
    return said


def _at_hand(
    plan: Plan, part: PartToReform, equipment: Equipment, *, discharge_had: bool
) -> list[str]:
    """What the equipment lacks, or is taken to have."""
    supply, said = equipment.supply, []
    if math.isinf(supply.voltage_most):
        said.append(
            f"No supply is told: one is taken that reaches {_volts(plan.target_v)} in steps of "
            f"{_volts(supply.step_up_to(part.voltage_wanted))}."
        )
    if supply.current_least > plan.short_a:
        least = format_quantity(supply.current_least, "A")
        said.append(
            f"The current limit of the supply begins at {least}, above what a shorted part draws: "
            "the series resistor alone bounds the current."
        )
    if any(not kind.watt_told for kind in equipment.resistors):
        said.append("Resistors at hand whose watts are not told count as ¼ W.")
    if not discharge_had:
        said.append("No resistor at hand does for the discharge: get the one that is named.")
    said.append("Volts that a resistor bears are from memory: see what its maker says.")
    return said


def _meter(plan: Plan, equipment: Equipment) -> list[str]:
    """Whether the meter can tell what ends a step."""
    if equipment.meter == NO_METER:
        return [
            "No meter: nobody sees whether the current falls; each step is held for its most time, "
            "and nothing is proven."
        ]
    blind = [
        format_quantity(step.supply_v, "V")
        for step in plan.steps
        if current_floor(equipment, step.series_ohm) > FLOOR_SHARE * step.below_a
    ]
    if not blind:
        return []
    what = "voltmeter across the resistor" if equipment.meter == VOLTMETER else "ammeter"
    unit = "V" if equipment.meter == VOLTMETER else "A"
    return [
        f"At {', '.join(blind)} the {what} cannot tell the current that ends the step: that is to "
        f"be {1 / FLOOR_SHARE:.0f} times the least that it tells from nought, "
        f"{format_quantity(equipment.meter_floor, unit)} (ours). Hold it for its most time there."
    ]


def _taken(part: PartToReform) -> list[str]:
    """What is not told, and what was taken instead."""
    said = []
    if math.isnan(part.idle_years):
        taken = (
            "since it was made"
            if not math.isnan(part.age_years)
            else "longer than any procedure tells apart"
        )
        said.append(f"Time without voltage not told: taken as {taken}.")
    if math.isnan(part.diameter_m):
        said.append(
            "Diameter not told: the power that stops the run is reckoned from the stored energy; "
            "give --diameter for a small case."
        )
    return said
