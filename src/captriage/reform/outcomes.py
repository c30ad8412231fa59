"""What became of a reform: from its curve, and from the re-test after a rest, which decides.

A curve that has settled below the limit is no proof: what only soaked up charge falls as well, and
comes back. A part has healed when, after a rest without voltage, its current at the soak time of
the criterion is within the limit once more.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, isfinite, nan
from typing import Final

import numpy as np

from captriage.columns import HEALED, REBOUNDED, UNDER_WAY
from captriage.reform.curves import (
    BROKEN_DOWN,
    CHARGING,
    CONTINUE,
    FALLING,
    NEXT_STEP,
    REPLACE,
    RISING,
    SETTLED_ABOVE,
    SETTLED_BELOW,
    TOO_EARLY,
    Curve,
    Floats,
    Progress,
    Rating,
)
from captriage.units import format_quantity

AT_VOLTAGE: Final = 0.97
"""Share of the voltage of the re-test from which a step counts as at it; ours."""

NOISE_OF_STEP: Final = 1.4826 / 2**0.5
"""Standard deviation of noise, over the median size of its steps from reading to reading."""

ENOUGH: Final = 8
"""Readings from which on their steps tell noise; fewer are taken by hand, at wide intervals."""

SEEN: Final = 5.0
"""Times the noise that a current is to be seen; ours."""

SAME_VOLTAGE: Final = 0.03
"""Share by which two voltages may differ that are the same one; common practice."""

AFTERWARDS: Final = 1.25
"""Readings up to this many times the soak time tell the current at it; ours."""

REST_S: Final = 12 * 3600.0
"""Shortest rest that is published before a re-test: "12 to 48 h", EIA-815 (August 1999), abstract.
What was only absorbed has had no time to come back sooner. [s]"""

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
    voltage_v, part_v : float
        Of the supply, and what the series resistor left of it on the part; NaN where not known.
        [V]
    soak_s, current_a, limit_a : float
        When and what was read, and what it is held against; NaN where there is none.
        [s], [A], [A]
    outcome : str
        "healed", "rebounded", or "" where the log does not tell.
    because : str
        In a sentence with figures where it is told, else why not.
    """

    voltage_v: float
    part_v: float
    soak_s: float
    current_a: float
    limit_a: float
    outcome: str
    because: str


def proof_of(
    curve: Curve, progress: Progress, rating: Rating, *, soak_s: float, proof_fraction: float
) -> Proof:
    """The current at the soak time of the criterion, in the log of a re-test.

    Parameters
    ----------
    curve, progress, rating
        The re-test, and what its curve says.
    soak_s : float
        Time at the voltage after which the criterion holds; a part that still charges then is read
        once it is charged. [s]
    proof_fraction : float
        Of the target voltage, that the part itself must see to be proven; of the policy.

    Returns
    -------
    Proof
        By the median of the readings from the soak time on to :data:`AFTERWARDS` times it.
    """
    if not progress.steps:
        return Proof(nan, nan, nan, nan, nan, "", "no current was read under voltage")
    last = progress.steps[-1]
    volts = last.supply_v if isfinite(last.supply_v) else last.part_v
    charged_s = last.charging_ends_s - last.begins_s  # NaN: it charged to the end
    soak_s = max(soak_s, charged_s if isfinite(charged_s) else inf)
    told, current = _at_soak(curve, curve.time_s - last.begins_s, soak_s)
    outcome, because = _decided(progress, current, volts, rating)
    if not outcome and not because:
        read = f"after the rest {format_quantity(current, 'A')} flowed at {volts:.0f} V"
        because = f"{read} after {told:.0f} s, the limit is {format_quantity(last.limit_a, 'A')}: "
        if not isfinite(charged_s):
            because = "the part still charged when the re-test ended"
        elif not isfinite(told):
            because = f"the re-test ended before {soak_s:.0f} s at the voltage were over"
        elif not _any_seen(curve):
            because = (
                "no current was ever seen: an open part, or clips that hold nothing, read the same"
            )
        elif not isfinite(last.limit_a):
            because = "no limit is known for this part"
        elif current > last.limit_a:
            outcome, because = REBOUNDED, f"{because}it has come back, and had not healed"
        elif last.part_v < proof_fraction * rating.target_v:
            because = _saw_too_little(last.part_v, rating.target_v, proof_fraction)
        elif progress.state != SETTLED_ABOVE:
            outcome, because = HEALED, f"{because}it has healed"
        else:
            because = f"{because}but {progress.because}"
    return Proof(volts, last.part_v, told, current, last.limit_a, outcome, because)


def _saw_too_little(part_v: float, target_v: float, proof_fraction: float) -> str:
    """Why a current within its limit proves nothing: the resistor took too much voltage."""
    return (
        f"the series resistor left {part_v:.0f} V on the part, and less than "
        f"{100 * proof_fraction:.0f} % of {target_v:.0f} V proves nothing good: re-test it through "
        "a smaller one"
    )


def too_soon(proof: Proof, rested_s: float, *, rest_s: float) -> Proof:
    """What a re-test proves that looked good, and came sooner after the run than it should.

    Parameters
    ----------
    proof : Proof
        As it was read.
    rested_s, rest_s : float
        Rest that the part had before it, and should have had. [s]
    """
    had, wanted = (format_quantity(max(each, 0.0) / 3600, "") for each in (rested_s, rest_s))
    because = (
        f"the re-test came {had} h after the run, and a part is proven after {wanted} h of rest at "
        "least: what was only absorbed has had no time to come back"
    )
    return replace(proof, outcome="", because=because)


def _decided(progress: Progress, current_a: float, volts: float, rating: Rating) -> tuple[str, str]:
    """Outcome that does not wait for the soak time, and why; or why there can be none."""
    if progress.advice == REPLACE:
        above = progress.state == SETTLED_ABOVE and isfinite(current_a)
        return REBOUNDED if above else _OF_STATE[progress.state], progress.because
    if not volts >= AT_VOLTAGE * rating.target_v:
        return "", (
            f"the re-test went to {volts:.0f} V only, and {rating.target_v:.0f} V proves the part"
        )
    return "", ""


def _at_soak(curve: Curve, at_s: Floats, soak_s: float) -> tuple[float, float]:
    """Time at the voltage and current of the readings at a soak time; NaN where there are none."""
    known = (at_s >= soak_s) & np.isfinite(curve.current_a)
    read = known & (at_s <= AFTERWARDS * soak_s)
    if not read.any():
        read[np.flatnonzero(known)[:1]] = True  # by hand: the first one after it
    if not read.any():
        return nan, nan
    return float(np.median(at_s[read])), float(np.median(curve.current_a[read]))


def _any_seen(curve: Curve) -> bool:
    """Whether a current was seen beyond what the meter may be off, and beyond its noise.

    An ammeter that is out of the circuit shows noughts, which look like a perfect part.
    """
    known = curve.current_a[np.isfinite(curve.current_a)]
    tail = known[len(known) // 2 :]  # steps of noise: by then the current has stopped falling fast
    noise = 0.0
    if len(tail) >= ENOUGH:
        noise = NOISE_OF_STEP * float(np.median(np.abs(np.diff(tail))))
    return bool(known.max() > max(curve.floor_a, SEEN * noise, 0.0))


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
