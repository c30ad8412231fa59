"""The one step of a re-test: what proves a part there, and what stops it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from captriage.reform.plan_steps import SHORT_SHARE, STOP_OVER_END
from captriage.reform.step_rules import current_at_heat, current_at_limit
from captriage.reform.steps import Plan, Step

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
