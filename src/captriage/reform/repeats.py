"""The same voltage again after a rest: what has healed, and what was only absorbed.

Absorption takes the same current at every charging; oxide that has healed stays healed. So the same
curve again is absorption alone, a lower one is healing, and a higher one has faded in between.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import nan
from typing import Final

import numpy as np

from captriage.reform.averages import Averages
from captriage.reform.step_data import StepData

SAME_VOLTAGE: Final = 0.03
"""Share by which two voltages may differ that are the same one; common practice."""

HEALED: Final = 0.7
"""Current over that of the earlier step at the same soak time: less has healed; ours."""

FADED: Final = 1.4
"""More has faded again in between; ours."""


def beside_before(steps: Sequence[StepData], at: int) -> float:
    """Current of a step over that of an earlier one at the same voltage, at the same soak time.

    Parameters
    ----------
    steps : sequence of StepData
        Of one curve, in order of time.
    at : int
        Which step is meant; the latest earlier one at its voltage is taken.

    Returns
    -------
    float
        Median of the ratio over the soak times that both have; NaN where there are none.
    """
    step, earlier = steps[at], _earlier(steps, at)
    if earlier is None or step.averages is None or earlier.averages is None:
        return nan
    return _ratio(step.averages, earlier.averages)


def rested(steps: Sequence[StepData], at: int) -> bool:
    """Whether what was absorbed in the earlier step had as long to come back as it had to go in."""
    earlier = _earlier(steps, at)
    if earlier is None:
        return False
    held_s = float(earlier.time_s[-1])
    return steps[at].stretch.begins_s - (earlier.stretch.begins_s + held_s) >= held_s


def _earlier(steps: Sequence[StepData], at: int) -> StepData | None:
    """The latest earlier step at the same voltage that can be set beside it."""
    volts = steps[at].stretch.supply_v
    for earlier in reversed(steps[:at]):
        near = abs(earlier.stretch.supply_v - volts) <= SAME_VOLTAGE * volts
        if near and earlier.averages is not None:
            return earlier
    return None


def told(ratio: float, *, rested: bool) -> str:
    """What a ratio of :func:`beside_before` means, as the end of a sentence; "" for nothing.

    Parameters
    ----------
    ratio : float
    rested : bool
        Of :func:`rested`: what is still absorbed takes no current a second time.
    """
    if np.isnan(ratio):
        return ""
    same = (
        f"; at the same soak time it is {100 * ratio:.0f} % of what it was before at this voltage: "
    )
    if ratio < HEALED and not rested:
        return same + "healed, or still full of charge: the rest was too short to tell"
    if ratio < HEALED:
        return same + "the oxide has healed in between"
    if ratio > FADED:
        return same + "what had healed has faded again"
    return same + "the same curve again, so that nothing has healed since"


def _ratio(now: Averages, before: Averages) -> float:
    first = max(now.time_s[0], before.time_s[0])
    last = min(now.time_s[-1], before.time_s[-1])
    if not 0 < first < last:
        return nan
    soak = np.geomspace(first, last, 12)
    one, two = (
        np.interp(np.log(soak), np.log(each.time_s), each.current_a) for each in (now, before)
    )
    use = two > 0
    return float(np.median(one[use] / two[use])) if use.any() else nan
