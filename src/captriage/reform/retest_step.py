"""The one step of a re-test: what proves a part there, and what stops it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from captriage.errors import CapTriageError
from captriage.model.leakage import leakage_voltage_factor
from captriage.reform.plan_steps import SHORT_SHARE, STOP_OVER_END
from captriage.reform.resistors import fitted
from captriage.reform.step_rules import current_at_heat, current_at_limit
from captriage.reform.steps import Plan, Resistor, Step

OVER_LIMIT: Final = 2.0
"""Times its limit, above which a re-test is broken off before its soak is over: twice is the most
that passes a shelf-life test (Vishay BCcomponents, documents 28340 and 28375). [1]"""


def retest_step(plan: Plan) -> Step:
    """Step of the re-test of a plan, through the series resistor of its last step.

    Its current is held to the limit at the voltage that the resistor leaves on the part. It is
    stopped at the current that makes the part too hot at the latest, and at what a shorted part
    draws, and proves nothing good so near to that: a limit beyond either cannot be proven through
    this resistor.

    Parameters
    ----------
    plan : Plan
        Its least and most time are those of the last step; whoever carries it out sets them.
    """
    test, last = plan.retest, plan.steps[-1]
    volts, ohm = test.voltage_v, last.series_ohm
    stop = min(
        max(last.stop_a, OVER_LIMIT * test.limit_a),
        current_at_heat(last.stop_w, volts, series_ohm=ohm),
        SHORT_SHARE * volts / ohm,
    )
    limit = current_at_limit(test.limit_a, volts, supply_v=volts, series_ohm=ohm)
    below = min(limit, stop / STOP_OVER_END)
    return replace(last, supply_v=volts, below_a=below, stop_a=stop)


def smaller_resistor(plan: Plan, proof_fraction: float) -> Resistor | None:
    """Resistor through which a re-test proves all that it allows; None where its own one does.

    Also None where none that is made would do.

    Parameters
    ----------
    plan : Plan
    proof_fraction : float
        Of the voltage of the re-test, that the part itself must see to be proven.
    """
    test, own = plan.retest, retest_step(plan)
    lost_at_most = (1 - proof_fraction) * test.voltage_v
    if own.below_a * own.series_ohm <= lost_at_most:
        return None
    sees = proof_fraction * test.voltage_v
    cool = current_at_heat(own.stop_w, sees, series_ohm=0.0) / STOP_OVER_END
    near = min(test.limit_a * float(leakage_voltage_factor(proof_fraction)), cool)
    try:
        found = fitted(lost_at_most / near, test.voltage_v, at_most=True)
    except CapTriageError:
        return None
    return found if found.ohm < own.series_ohm else None


def through(plan: Plan, resistor: Resistor) -> Step:
    """Step of the re-test through another resistor."""
    last = replace(plan.steps[-1], series_ohm=resistor.ohm)
    return retest_step(replace(plan, steps=(*plan.steps[:-1], last)))
