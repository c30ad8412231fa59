"""What became of a reform: from its curve, and from the re-test after a rest, which decides.

A curve that has settled below the limit is no proof: what only soaked up charge falls as well, and
comes back. A part has healed when, after a rest without voltage, its current at the soak time of
the criterion is within the limit once more.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, nan
from typing import Final

import numpy as np

from captriage.columns import HEALED, REBOUNDED, UNDER_WAY
from captriage.reform.curves import (
    BROKEN_DOWN,
    CHARGING,
    CONTINUE,
    FALLING,
    NEXT_STEP,
    RISING,
    SETTLED_ABOVE,
    SETTLED_BELOW,
    TOO_EARLY,
    Curve,
    Progress,
    Rating,
)
from captriage.units import format_quantity

AT_VOLTAGE: Final = 0.97
"""Share of the voltage of the re-test from which a step counts as at it; ours."""

SAME_VOLTAGE: Final = 0.03
"""Share by which two voltages may differ that are the same one; common practice."""

AFTERWARDS: Final = 1.25
"""Readings up to this many times the soak time tell the current at it; ours."""

_OF_STATE: Final = {
    # state of the last step: key of REFORM_OUTCOMES
    TOO_EARLY: UNDER_WAY,
    CHARGING: UNDER_WAY,
    FALLING: UNDER_WAY,
    SETTLED_BELOW: "settled below limit",
    SETTLED_ABOVE: "settled above limit",
    RISING: "rising",
    BROKEN_DOWN: "broken down",
}


@dataclass(frozen=True)
class Proof:
    """The reading of a re-test after a rest.

    Attributes
    ----------
    voltage_v, soak_s, current_a, limit_a : float
        Where, when and what was read, and what it is held against; NaN where there is none.
        [V], [s], [A], [A]
    outcome : str
        "healed", "rebounded", or "" where the log does not tell.
    because : str
        In a sentence with figures where it is told, else why not.
    """

    voltage_v: float
    soak_s: float
    current_a: float
    limit_a: float
    outcome: str
    because: str


def proof_of(curve: Curve, progress: Progress, rating: Rating, *, soak_s: float) -> Proof:
    """The current at the soak time of the criterion, in the log of a re-test.

    Parameters
    ----------
    curve, progress, rating
        The re-test, and what its curve says.
    soak_s : float
        Time at the voltage after which the criterion holds. [s]

    Returns
    -------
    Proof
        By the median of the readings from the soak time on to :data:`AFTERWARDS` times it.
    """
    if not progress.steps:
        return Proof(nan, nan, nan, nan, "", "no current was read under voltage")
    last = progress.steps[-1]
    volts = last.supply_v if isfinite(last.supply_v) else last.part_v
    if not volts >= AT_VOLTAGE * rating.target_v:
        return Proof(
            volts, nan, nan, last.limit_a, "",
            f"the re-test went to {volts:.0f} V only, and {rating.target_v:.0f} V proves the part",
        )  # fmt: skip
    at = curve.time_s - last.begins_s
    read = (at >= soak_s) & (at <= AFTERWARDS * soak_s) & np.isfinite(curve.current_a)
    if not read.any():
        later = np.flatnonzero((at >= soak_s) & np.isfinite(curve.current_a))[:1]
        read[later] = True
    if not read.any():
        return Proof(
            volts, nan, nan, last.limit_a, "",
            f"the re-test ended before {soak_s:.0f} s at the voltage were over",
        )  # fmt: skip
    current, told = float(np.median(curve.current_a[read])), float(np.median(at[read]))
    outcome = HEALED if current <= last.limit_a else REBOUNDED
    if progress.state in (RISING, BROKEN_DOWN):
        return Proof(
            volts, told, current, last.limit_a, _OF_STATE[progress.state], progress.because
        )
    read_is = f"after the rest {format_quantity(current, 'A')} flowed"
    against = f"the limit is {format_quantity(last.limit_a, 'A')}"
    what = "it has healed" if outcome == HEALED else "it has come back, and had not healed"
    because = f"{read_is} at {volts:.0f} V after {told:.0f} s, {against}: {what}"
    return Proof(volts, told, current, last.limit_a, outcome, because)


def beside_run(proof: Proof, curve: Curve, progress: Progress) -> str:
    """The re-test beside the run before it, at the same voltage and soak time, in words.

    Parameters
    ----------
    proof : Proof
        The reading of the re-test.
    curve, progress
        The run.

    Returns
    -------
    str
        "" where the run has no reading there.
    """
    for step in reversed(progress.steps):
        if not abs(step.supply_v - proof.voltage_v) <= SAME_VOLTAGE * proof.voltage_v:
            continue
        at = curve.time_s - step.begins_s
        read = (at >= proof.soak_s / AFTERWARDS) & (at <= AFTERWARDS * proof.soak_s)
        read &= np.isfinite(curve.current_a) & (curve.time_s <= step.ends_s)
        if read.any():
            before = float(np.median(curve.current_a[read]))
            return (
                f"in the run it was {format_quantity(before, 'A')} as soon after that voltage was "
                f"put on, {before / proof.current_a:.2g} times as much"
                if before > proof.current_a
                else f"in the run it was {format_quantity(before, 'A')} as soon after that voltage "
                "was put on, no more than now: nothing has healed since"
            )
    return ""


def outcome_of(progress: Progress, proof: Proof | None) -> str:
    """Key of :data:`captriage.columns.REFORM_OUTCOMES` for a part.

    Parameters
    ----------
    progress : Progress
        Of its latest run.
    proof : Proof or None
        Where that run was the re-test.
    """
    if proof is not None:
        return proof.outcome or UNDER_WAY
    if progress.advice in (CONTINUE, NEXT_STEP):
        return UNDER_WAY  # not sure yet, or below the limit of a step, with more steps to go
    return _OF_STATE[progress.state]
