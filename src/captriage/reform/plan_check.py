"""Whether a plan may be carried out: checked when it is made, and again before there is power."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from captriage.judging.discharge import GONE_V, SAFE_V, rated_watts, time_to
from captriage.model.charging import charging_time
from captriage.model.energy import stored_energy
from captriage.model.withstand import surge_voltage
from captriage.reform.equipment import Equipment
from captriage.reform.plan_steps import CHARGED
from captriage.reform.resistors import stands
from captriage.reform.step_rules import HEAT_OF_A_CAN_W, current_at_heat
from captriage.reform.steps import Plan, Resistor, Step
from captriage.units import format_quantity

SLACK: Final = 1e-6  # of a figure, for those that were written down and read again
SETTLES_WITHIN: Final = 0.01  # of a setting of the supply, how far it may be from a multiple


SLOWEST_DISCHARGE_S: Final = 1800.0
"""Longest discharge to 1 V that somebody stands by for; ours. [s]"""

CHARGING_OFF: Final = 3.0
"""Times the charging time by rated capacitance that may be told: until then nothing stops the
current. An old part holds 1.5 times as much (from memory); ours."""

RETEST_SHARE: Final = 0.97
"""Of the voltage of the run, that a re-test is at least at; ours."""

MOST_ALONE_S: Final = 1800.0
"""Longest that nobody may have shown to be there; ours. [s]"""


def check_plan(plan: Plan, equipment: Equipment | None = None) -> list[str]:
    """Say what stands against a plan, whoever made it.

    Parameters
    ----------
    plan : Plan
        As it is to be carried out.
    equipment : Equipment, optional
        What is at hand; a plan alone is checked where none is given.

    Returns
    -------
    list of str
        Problems, as sentences; none where the plan may be carried out.
    """
    figures = list(_figures(plan))
    if figures:  # nothing can be reckoned with them
        return figures
    problems = [*_voltages(plan), *_resistors(plan), *_currents(plan), *_retest(plan)]
    problems += [*_watched(plan), *_told(plan)]
    for number, step in enumerate(plan.steps, 1):
        problems += [f"step {number}: {problem}" for problem in _step(step)]
    if equipment is not None:
        problems += _supply(plan, equipment)
    return problems


def _volts(value: float) -> str:
    return format_quantity(value, "V", digits=4)


def _amps(value: float) -> str:
    return format_quantity(value, "A")


def _watts(value: float) -> str:
    return format_quantity(value, "W")


def _above(value: float, most: float) -> bool:
    return value > most * (1 + SLACK)


def _figures(plan: Plan) -> Iterator[str]:
    """Every figure is there and positive."""
    if not plan.steps:
        yield "no steps: nothing would be done"
    named = {
        "rated capacitance": plan.capacitance_rated,
        "rated voltage": plan.voltage_rated,
        "target voltage": plan.target_v,
        "current limit of the supply": plan.supply_limit_a,
        "protection voltage": plan.protection_v,
        "ramp": plan.ramp_v_per_s,
        "key press interval": plan.key_press_s,
        "rest": plan.retest.rest_s,
        "re-test voltage": plan.retest.voltage_v,
        "re-test limit": plan.retest.limit_a,
        "re-test soak": plan.retest.soak_s,
    }
    for number, step in enumerate(plan.steps, 1):
        for name in ("supply_v", "series_ohm", "below_a", "most_s", "stop_a", "stop_w"):
            named[f"step {number}: {name}"] = getattr(step, name)
    for what, resistor in _all_resistors(plan):
        for name in ("ohm", "pieces", "watt", "volt"):
            named[f"{what}: {name}"] = getattr(resistor, name)
    for name, value in named.items():
        if not (math.isfinite(value) and value > 0):
            yield f"{name} is {value:g}; a figure above 0 is wanted"


def _all_resistors(plan: Plan) -> list[tuple[str, Resistor]]:
    found = [("series resistor", plan.series), ("discharge resistor", plan.discharge)]
    if plan.series_last is not None:
        found.append(("last series resistor", plan.series_last))
    return found


def _voltages(plan: Plan) -> Iterator[str]:
    """Never above rated, ascending, up to the target; protection between that and surge."""
    for what, volts in (("target", plan.target_v), ("re-test", plan.retest.voltage_v)):
        if _above(volts, plan.voltage_rated):
            yield f"{what} of {_volts(volts)} is above the rated {_volts(plan.voltage_rated)}"
    before = 0.0
    for number, step in enumerate(plan.steps, 1):
        if _above(step.supply_v, plan.voltage_rated):
            rated = _volts(plan.voltage_rated)
            yield f"step {number}: {_volts(step.supply_v)} is above the rated {rated}"
        elif _above(step.supply_v, plan.target_v):
            yield f"step {number}: {_volts(step.supply_v)} is above the target"
        if step.supply_v < before:
            yield f"step {number}: {_volts(step.supply_v)} is below the step before it"
        before = step.supply_v
    if plan.protection_v <= plan.target_v:
        yield f"protection at {_volts(plan.protection_v)} would trip below the target"
    surge = float(surge_voltage(plan.voltage_rated))
    if _above(plan.protection_v, surge):
        yield f"protection at {_volts(plan.protection_v)}; the surge voltage is {_volts(surge)}"


def _resistors(plan: Plan) -> Iterator[str]:
    """Each resistor stands what it may meet for ever, and is the one the steps name."""
    series = [("series resistor", plan.series)]
    if plan.series_last is not None:
        series.append(("last series resistor", plan.series_last))
    for what, resistor in series:
        meant = [s for s in plan.steps if math.isclose(s.series_ohm, resistor.ohm, rel_tol=SLACK)]
        highest = max((step.supply_v for step in meant), default=0.0)
        if not stands(resistor, highest):
            yield (
                f"{what}: it does not stand a shorted part at {_volts(highest)} for ever: "
                f"{_watts(highest**2 / resistor.ohm)}"
            )
    known = [resistor.ohm for _, resistor in series]
    for number, step in enumerate(plan.steps, 1):
        if not any(math.isclose(step.series_ohm, ohm, rel_tol=SLACK) for ohm in known):
            ohms = format_quantity(step.series_ohm, "Ω")
            yield f"step {number}: no resistor of the plan has {ohms}"
    yield from _discharge(plan)


def _discharge(plan: Plan) -> Iterator[str]:
    """Its resistor stands it, and is no slower than is told."""
    has, farads, volts = plan.discharge, plan.capacitance_rated, plan.target_v
    watts = rated_watts(has.ohm, farads, from_v=volts)
    if not stands(has, volts, watts=watts):
        yield f"discharge resistor: it does not stand {_volts(volts)} and {_watts(watts)}"
    for told, below in ((plan.to_60_s, SAFE_V), (plan.to_1_s, GONE_V)):
        takes = time_to(below, ohm=has.ohm, farads=farads, from_v=volts)
        if not told >= 0.99 * takes:  # of figures that were rounded
            yield f"discharge: below {_volts(below)} after {takes:.3g} s, not after {told:g} s"
        if takes > SLOWEST_DISCHARGE_S:
            most = f"{SLOWEST_DISCHARGE_S:g} s is the most"
            yield f"discharge: below {_volts(below)} after {takes:.3g} s; {most}"


def _currents(plan: Plan) -> Iterator[str]:
    """The current into a short is the one that is told, and the supply gives what may flow."""
    short = max(step.supply_v / step.series_ohm for step in plan.steps)
    if not math.isclose(plan.short_a, short, rel_tol=0.01):
        yield f"a shorted part draws {_amps(short)}, not {_amps(plan.short_a)}"
    ends = max(step.below_a for step in plan.steps)
    if plan.supply_limit_a < ends:
        yield (
            f"current limit of the supply, {_amps(plan.supply_limit_a)}, is below the "
            f"{_amps(ends)} that may flow at the end of a step"
        )


def _step(step: Step) -> Iterator[str]:
    """Its rules do not contradict each other."""
    if step.below_a >= step.stop_a:
        yield f"done below {_amps(step.below_a)}, but stopped above {_amps(step.stop_a)}"
    if _above(step.stop_a, step.supply_v / step.series_ohm):
        yield f"a shorted part draws less than the {_amps(step.stop_a)} that would stop it"
    too_hot = current_at_heat(step.stop_w, step.supply_v, series_ohm=step.series_ohm)
    if _above(step.stop_a, too_hot):
        yield (
            f"stopped above {_amps(step.stop_a)}, but {_amps(too_hot)} already put the "
            f"{_watts(step.stop_w)} into the part that are to stop it"
        )
    if _above(step.stop_w, HEAT_OF_A_CAN_W):
        yield f"stopped at {_watts(step.stop_w)} in the part; {_watts(HEAT_OF_A_CAN_W)} is the most"
    at_end = step.below_a * max(step.supply_v - step.below_a * step.series_ohm, 0.0)
    if _above(at_end, step.stop_w):
        yield (f"done with {_watts(at_end)} in the part, but stopped at {_watts(step.stop_w)}")
    if not 0 <= step.least_s < step.most_s:
        yield f"at least {step.least_s:g} s, but at most {step.most_s:g} s"
    if _above(step.charging_s, step.most_s):
        yield f"charged after {step.charging_s:g} s, but ended after {step.most_s:g} s"


def _watched(plan: Plan) -> Iterator[str]:
    """Somebody is there all the time."""
    if plan.key_press_s > MOST_ALONE_S:
        yield (
            f"somebody presses a key every {plan.key_press_s:g} s; {MOST_ALONE_S:g} s is the most, "
            "for nobody leaves a part alone under voltage"
        )


def _told(plan: Plan) -> Iterator[str]:
    """What whoever stands by is told is there, and is true."""
    if not plan.cautions:
        yield "no cautions: whoever carries it out is to be told what can kill"
    for number, step in enumerate(plan.steps, 1):
        farads, volts = plan.capacitance_rated, step.supply_v
        energy = float(stored_energy(farads, volts))
        if not step.energy_j >= (1 - SLACK) * energy:
            stored = format_quantity(energy, "J")
            yield f"step {number}: {stored} are in the part at {_volts(volts)}"
        charging = float(charging_time(step.series_ohm, farads, fraction=CHARGED))
        if not 0 <= step.charging_s <= CHARGING_OFF * charging:
            yield f"step {number}: charged after {charging:.3g} s, not after {step.charging_s:g} s"


def _retest(plan: Plan) -> Iterator[str]:
    """The re-test is at the voltage of the run, and read once the part is charged."""
    test, charging = plan.retest, plan.steps[-1].charging_s
    if _above(test.voltage_v, plan.target_v):
        yield f"re-test at {_volts(test.voltage_v)}, above the {_volts(plan.target_v)} run"
    if test.voltage_v < RETEST_SHARE * plan.target_v:
        yield (
            f"re-test at {_volts(test.voltage_v)}, which proves nothing of a run to "
            f"{_volts(plan.target_v)}"
        )
    if test.soak_s < charging:
        yield f"re-test read after {test.soak_s:g} s, while the part charges for {charging:g} s"


def _supply(plan: Plan, equipment: Equipment) -> Iterator[str]:
    """The supply can be set so, and gives it."""
    supply = equipment.supply
    for number, step in enumerate(plan.steps, 1):
        volts = step.supply_v
        if _above(volts, supply.voltage_most) or volts < supply.voltage_least * (1 - SLACK):
            span = f"{_volts(supply.voltage_least)} to {_volts(supply.voltage_most)}"
            yield f"step {number}: {_volts(volts)}; the supply gives {span}"
        if not _settable(volts, supply.voltage_step):
            each = _volts(supply.voltage_step)
            yield f"step {number}: {_volts(volts)}; the supply is set in steps of {each}"
        if step.below_a * volts > supply.power_most:
            yield (
                f"step {number}: {format_quantity(step.below_a * volts, 'W')}; the supply gives "
                f"{format_quantity(supply.power_most, 'W')}"
            )
    if (
        not supply.current_least * (1 - SLACK)
        <= plan.supply_limit_a
        <= supply.current_most * (1 + SLACK)
    ):
        span = f"{_amps(supply.current_least)} to {_amps(supply.current_most)}"
        yield f"current limit of {_amps(plan.supply_limit_a)}; the supply can be set to {span}"


def _settable(volts: float, step_v: float) -> bool:
    """Whether a supply can be set so; any voltage where its step is not told."""
    if math.isnan(step_v):
        return True
    steps = volts / step_v
    return abs(steps - round(steps)) <= SETTLES_WITHIN
