"""The state of a step, and what is to be done; every bound of it stands here or in a policy."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite, isnan, nan
from typing import Final

import numpy as np

from captriage.reform.curves import (
    BROKEN_DOWN,
    CHARGING,
    FALLING,
    RISING,
    SETTLED_ABOVE,
    SETTLED_BELOW,
    TOO_EARLY,
)
from captriage.reform.faults import SHORTED_SHARE, rise_of
from captriage.reform.step_data import StepData
from captriage.units import format_quantity

SURE: Final = 0.95
"""Probability from which a state, or a forecast, is said outright."""

DOUBTED: Final = 0.5
"""Probability of reaching the limit, as long as anybody waits, below which a current has settled
above it."""

READING_ONCE: Final = 0.9
"""How sure a state is that a few readings show plainly; common practice."""


@dataclass(frozen=True)
class Fit:
    """Forecast of one step; see :class:`captriage.reform.forecast.Forecast`.

    Each tuple is the 5 %, 50 % and 95 % quantile. [s], [A]
    """

    limit_s: tuple[float, float, float]
    ever: float
    settles_a: tuple[float, float, float]
    now_a: tuple[float, float, float]
    flaw_a: float
    exponent: float


@dataclass(frozen=True)
class State:
    """State of a step, how sure it is, and why."""

    name: str
    sure: float
    because: str


def state_of(step: StepData, fit: Fit | None) -> State:
    """State of one step.

    Parameters
    ----------
    step : StepData
    fit : Fit or None
        None where no law could be held against it.

    Returns
    -------
    State
    """
    if step.broken is not None:
        return _broken(step)
    averages = step.averages
    if averages is None or fit is None:
        return _early(step)
    if (nothing := _nothing_seen(step)) is not None:
        return nothing
    now = fit.now_a[1]
    limit = step.limit_now(now)
    rise = rise_of(averages)
    if rise.is_fault(now, limit):
        return State(
            RISING,
            min(1.0, 1 - 0.5 ** (rise.sigmas / 3)),
            f"the current has come up from its least value by {100 * (rise.factor - 1):.0f} %, "
            f"to {_amps(now)}, and goes on: far beyond noise ({rise.sigmas:.0f} σ)",
        )
    if isnan(limit):
        return State(TOO_EARLY, READING_ONCE, "no limit is known for this part")
    crept = (
        f"; it creeps up, by {100 * (rise.factor - 1):.0f} % since its least value, which by itself "
        "is no failure"
        if rise.is_real
        else ""
    )
    low, high = fit.now_a[0], fit.now_a[2]
    if now <= limit:
        return State(
            SETTLED_BELOW,
            _share_below(limit, low, now, high),
            f"{_amps(now)} is below the limit of {_amps(limit)} at this voltage{crept}",
        )
    if fit.ever < DOUBTED or rise.is_real:
        return State(
            SETTLED_ABOVE,
            1 - fit.ever,
            f"{_amps(now)} is above the limit of {_amps(limit)} at this voltage, and it settles at "
            f"about {_amps(fit.settles_a[1])}{crept}",
        )
    return State(
        FALLING,
        max(fit.ever, 1 - fit.ever),
        f"{_amps(now)} is still above the limit of {_amps(limit)}, and falls"
        + ("" if fit.ever >= SURE else f"; that it gets there is {100 * fit.ever:.0f} % likely"),
    )


def _broken(step: StepData) -> State:
    assert step.broken is not None
    last = float(np.median(step.current_a[step.broken :]))
    return State(
        BROKEN_DOWN,
        0.99,
        f"the current jumped to {_amps(last)} at steady voltage and stayed: the oxide broke down",
    )


def _early(step: StepData) -> State:
    """A step with too few readings after charging, or none."""
    n = len(step.time_s)
    volts = step.part_v[-1]
    if step.charged < n and step.slope > 0 and isfinite(volts):
        shorted = volts < SHORTED_SHARE * step.stretch.supply_v
        if shorted and n - step.charged >= 2:
            return State(
                BROKEN_DOWN, READING_ONCE, "it draws all that the resistor lets through: a short"
            )
    if step.charged >= n:
        return State(CHARGING, READING_ONCE, "the part still charges")
    return State(TOO_EARLY, READING_ONCE, "there are too few readings since charging ended")


def _nothing_seen(step: StepData) -> State | None:
    """A part that takes nothing, or everything."""
    if step.floor_a > 0 and float(np.max(step.current_a)) <= step.floor_a:
        return State(
            TOO_EARLY,
            READING_ONCE,
            "no current beyond what the meter may be off was ever seen: an open part, or clips "
            "that hold nothing, read the same",
        )
    volts = step.part_v[step.charged :]
    supply = step.stretch.supply_v
    if step.slope > 0 and np.isfinite(volts).all() and np.median(volts) < SHORTED_SHARE * supply:
        return State(
            BROKEN_DOWN, SURE, "it draws all that the resistor lets through: it is shorted"
        )
    return None


def _share_below(limit: float, low: float, middle: float, high: float) -> float:
    """How sure a current with this 90 % interval is below a limit."""
    from math import erf, sqrt

    spread = max((high - low) / 3.29, 1e-12)
    return 0.5 * (1 + erf((limit - middle) / spread / sqrt(2)))


def _amps(current: float) -> str:
    return format_quantity(current, "A")


NO_TIMES: Final = (nan, nan, nan)
NEVER: Final = (inf, inf, inf)
