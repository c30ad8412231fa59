"""What stands out in a log beside its laws: too much voltage, currents that jumped up or were gone.

An average leaves a slip of the meter out, and a spark in the part with it: which of them it was is
for whoever stood by to say.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.reform.averages import middle_of_three
from captriage.reform.curves import (
    FALLING,
    SETTLED_BELOW,
    TOO_EARLY,
    Curve,
    Floats,
    Progress,
    Rating,
    StepReading,
)
from captriage.reform.faults import JUMP, gone_from
from captriage.reform.step_data import HARMLESS
from captriage.units import format_quantity

ABOVE_RATED: Final = 1.02
"""A supply this far above the rated voltage is said; less is the supply's own error (ours)."""

FEWEST: Final = 3
"""Readings that tell what was reached."""

WELL_AFTER: Final = 2.0
"""Times the charging time, from which on no current is left of it, whatever the resistor; ours."""

MANY_FLOORS: Final = 10.0
"""Times the uncertainty of the meter that a current is to have been, to be missed; ours."""

QUIET: Final = (TOO_EARLY, FALLING, SETTLED_BELOW)
"""States of a step that say nothing of a jump."""


def warnings_of(curve: Curve, progress: Progress, rating: Rating) -> Iterator[str]:
    """What must not go unseen, the gravest first.

    Parameters
    ----------
    curve, progress, rating
        What was read, and what it says.

    Returns
    -------
    iterator of str
        Sentences without a stop.
    """
    for what, volts in (("supply", curve.supply_v), ("part", curve.part_v)):
        highest = float(np.max(volts, where=np.isfinite(volts), initial=0.0))
        if highest > ABOVE_RATED * rating.voltage_rated:
            yield (
                f"the {what} went to {highest:.0f} V, above the rated {rating.voltage_rated:.0f} "
                "V: never reform above it; a part can burst there"
            )
    for number, step in enumerate(progress.steps, start=1):
        time_s, current, jumped = _jumps(curve, step)
        if not jumped.any() or step.state not in QUIET:
            continue
        begins = jumped & ~np.append(False, jumped[:-1])
        times = int(begins.sum())
        at = int(np.argmax(np.where(jumped, current, -np.inf)))
        yield (
            f"in step {number} the current jumped above its limit"
            f"{'' if times == 1 else f' {times} times'}, to {format_quantity(current[at], 'A')} "
            f"after {time_s[at]:.0f} s: sparks in the part, or a slip of clips or range; go on "
            "only when it is known which"
        )


def doubts_of(curve: Curve, progress: Progress, rating: Rating) -> Iterator[str]:
    """Why a part may not be left as the end of its curve shows it.

    Parameters
    ----------
    curve, progress, rating
        What was read, and what it says.

    Returns
    -------
    iterator of str
        Clauses.
    """
    if not progress.steps:
        return
    last = progress.steps[-1]
    volts = last.supply_v if np.isfinite(last.supply_v) else last.part_v
    if volts > ABOVE_RATED * rating.voltage_rated:
        yield (
            f"at the end it stood at {volts:.0f} V, above the rated {rating.voltage_rated:.0f} V"
        )
    _, current, jumped = _jumps(curve, last)
    if len(jumped) and jumped[-1] and last.state in QUIET:
        yield (
            f"the last reading, {format_quantity(current[-1], 'A')}, is far above those before it: "
            "the part may have broken down"
        )
    yield from _gone(curve, last)


def _gone(curve: Curve, step: StepReading) -> Iterator[str]:
    """A current that ended all at once: of a part that is open now nothing is known."""
    at = curve.time_s - step.begins_s
    well_after = at >= WELL_AFTER * (step.charging_ends_s - step.begins_s)
    inside = well_after & (curve.time_s <= step.ends_s) & np.isfinite(curve.current_a)
    least = max(MANY_FLOORS * curve.floor_a, HARMLESS * step.limit_a)
    from_here = gone_from(at[inside], curve.current_a[inside], least_a=least)
    if from_here is None:
        return
    before = float(curve.current_a[inside][from_here - 1])
    yield (
        f"the current of {format_quantity(before, 'A')} is gone all at once after "
        f"{curve.time_s[inside][from_here - 1]:.0f} s: a clip has slipped, a fuse has blown, or "
        "the supply was off (then leave those lines out)"
    )


def _jumps(curve: Curve, step: StepReading) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Times and currents of a step after charging, and which are far above what came before."""
    begins = step.charging_ends_s
    inside = (curve.time_s >= begins) & (curve.time_s <= step.ends_s)
    inside &= np.isfinite(curve.current_a)
    time_s, current = curve.time_s[inside], curve.current_a[inside]
    if len(current) <= FEWEST:
        return time_s, current, np.zeros(len(current), bool)
    # The least that was reached before, by readings that have another like them beside them.
    level = middle_of_three(current[:-2], current[1:-1], current[2:])
    reached = np.minimum.accumulate(np.where(level > 0, level, np.inf))  # clips off: no level
    before = np.concatenate((np.full(FEWEST, np.inf), reached[: len(current) - FEWEST]))
    return time_s, current, (current > JUMP * before) & (current > step.limit_a)
