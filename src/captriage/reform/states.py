"""The state of a step, and what is to be done; every bound of it stands here or in a policy."""

from __future__ import annotations

from dataclasses import dataclass
from math import erfc, hypot, isfinite, isnan, nan, sqrt
from typing import Final

import numpy as np

from captriage.model.leakage import VOLTAGE_EXPONENT
from captriage.reform.curves import (
    BROKEN_DOWN,
    CHARGING,
    FALLING,
    RISING,
    SETTLED_ABOVE,
    SETTLED_BELOW,
    TOO_EARLY,
)
from captriage.reform.faults import RISE_SHARE, RISE_SIGMAS, SHORTED_SHARE, Rise, rise_of
from captriage.reform.step_data import StepData
from captriage.units import format_quantity

SURE: Final = 0.95
"""Probability from which a state, or a forecast, is said outright."""

DOUBTED: Final = 0.5
"""Probability of reaching the limit, as long as anybody waits, below which a current has settled
above it."""

STILL_FALLS: Final = 1.25
"""Times the current at which it is likely to settle: above that it is said to fall still; ours."""

BELOW: Final = 0.9
"""Probability from which a current counts as below its limit; ours."""

SEEN_SHARE: Final = 0.75
"""Of the readings: where fewer are above nought, no current was seen, or now and then only."""

NOUGHTS: Final = 5
"""Readings of nought at the end that are no accident of noise; ours."""

OF_NOISE: Final = 8.0
"""Times the middle one of the readings below nought: noise about nought goes no higher; ours."""

LATEST: Final = 3
"""Readings whose middle one is the latest current: one alone may be a slip."""

LATE_RISE: Final = 0.3
"""Share by which the latest current is above what went before it, to have risen; ours."""

UNSTEADY: Final = 0.15
"""Share by which the supply may wander within a step: its current by twice that (ours)."""

INTERVAL_SIGMAS: Final = 1.645
"""Standard deviations from the middle of a normal distribution to its 95 % quantile."""

READING_ONCE: Final = 0.9
"""How sure a state is that a few readings show plainly; common practice."""


@dataclass(frozen=True)
class Fit:
    """Forecast of one step, and its law by least squares.

    Each tuple is the 5 %, 50 % and 95 % quantile; see
    :class:`captriage.reform.forecast.Forecast` [s], [A] and
    :class:`captriage.reform.best_laws.BestLaws`.
    """

    limit_s: tuple[float, float, float]
    ever: float
    settles_a: tuple[float, float, float]
    now_a: tuple[float, float, float]
    floor_a: float
    flaw_a: float
    exponent: float


@dataclass(frozen=True)
class State:
    """State of a step, how sure it is, and why."""

    name: str
    sure: float
    because: str


def state_of(step: StepData, fit: Fit | None, repeated: str = "") -> State:
    """State of one step.

    Parameters
    ----------
    step : StepData
    fit : Fit or None
        None where no law could be held against it.
    repeated : str
        What an earlier step at the same voltage says of it; see
        :func:`captriage.reform.repeats.told`.

    Returns
    -------
    State
    """
    if step.broken is not None:
        return _broken(step)
    if step.averages is not None and (nothing := _nothing_seen(step)) is not None:
        return nothing
    if (unsteady := _unsteady(step)) is not None:
        return unsteady
    if step.averages is None or fit is None:
        return _early(step)
    now = fit.now_a[1]
    limit = step.limit_now(now)
    rise = rise_of(step.averages)
    if rise.is_fault(now, limit):
        return _rising(rise, now)
    if (of_late := _risen_of_late(step, now, limit)) is not None:
        return of_late
    if isnan(limit):
        return State(TOO_EARLY, READING_ONCE, "no limit is known for this part")
    crept = f"; it has crept up by {_percent(rise.factor - 1)}, which by itself is no failure"
    after = (crept if rise.is_real else "") + repeated
    below = _share_below(limit, fit.now_a, step.floor_a)
    said = f"{_amps(now)}, and {_amps(limit)} is the limit at this voltage"
    if below >= BELOW:
        return State(SETTLED_BELOW, below, f"the current is {said}{after}")
    if rise.is_real or fit.ever < DOUBTED:
        return State(SETTLED_ABOVE, 1 - fit.ever, _settles(fit, now) + f"; it is {said}{after}")
    doubt = f"; that it gets there is {_percent(fit.ever)} likely" if fit.ever < SURE else ""
    return State(FALLING, fit.ever, f"the current falls; it is {said}{doubt}{repeated}")


def _settles(fit: Fit, now: float) -> str:
    low, middle, high = map(_amps, fit.settles_a)
    if now <= STILL_FALLS * fit.settles_a[1]:
        return f"the current settles at about {middle}"
    return f"the current still falls, and is likely to settle at {middle} ({low} to {high})"


def _rising(rise: Rise, now: float) -> State:
    return State(
        RISING,
        READING_ONCE if rise.sigmas < 2 * RISE_SIGMAS else SURE,
        f"the current has come up by {_percent(rise.factor - 1)} from its least value, to "
        f"{_amps(now)}, and goes on: {rise.sigmas:.0f} times what noise would do",
    )


def _unsteady(step: StepData) -> State | None:
    """A voltage that did not stand, so that the current says nothing of healing; yet no danger."""
    volts = step.supply_v[np.isfinite(step.supply_v)]
    if len(volts) < LATEST or not step.stretch.supply_v > 0:
        return None
    low, high = np.quantile(volts, (0.05, 0.95))
    if high - low <= UNSTEADY * high:
        return None
    last = float(np.median(step.current_a[-LATEST:]))
    share = float(volts[-1]) / step.stretch.supply_v
    if last > step.limit_now(last) * share**VOLTAGE_EXPONENT:
        return None
    return State(
        TOO_EARLY,
        READING_ONCE,
        f"the voltage did not stand still ({low:.0f} V to {high:.0f} V): hold it, and read the "
        "current at it",
    )


def _risen_of_late(step: StepData, now: float, limit: float) -> State | None:
    """A rise so late and so fast that averages over ever longer times do not show it."""
    assert step.averages is not None
    if now <= 0:  # a law that noise has drawn down to nought
        now = float(np.median(step.averages.current_a))
    before, latest = np.split(step.current_a[step.charged :], [-LATEST])
    last = float(np.median(latest))
    beyond = 1 + max(LATE_RISE, RISE_SIGMAS * step.averages.noise)
    if not last > beyond * now + step.floor_a or not last > RISE_SHARE * limit:
        return None
    if not len(before) or last <= beyond * float(np.min(before)):
        return None  # one low reading at the end has drawn the law down: nothing came up
    return State(
        RISING,
        READING_ONCE,
        f"the latest readings, {_amps(last)}, are far above the {_amps(now)} that went before them",
    )


def _broken(step: StepData) -> State:
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
    if (noughts := _noughts(step)) is not None:
        return noughts
    volts = step.part_v[step.charged :]
    supply = step.stretch.supply_v
    if step.slope > 0 and np.isfinite(volts).all() and np.median(volts) < SHORTED_SHARE * supply:
        return State(
            BROKEN_DOWN, SURE, "it draws all that the resistor lets through: it is shorted"
        )
    return None


def _noughts(step: StepData) -> State | None:
    """Noughts, which a part below what the meter can show and clips that slipped have alike."""
    current = step.current_a[min(step.charged, len(step.current_a) - 1) :]
    highest, flowed = float(np.max(current)), float(np.mean(current > 0))
    if step.seen_to_charge and highest <= step.floor_a:
        return None  # it took its charge, so it is there; what leaks is too little for the meter
    to_the_end = len(current) > NOUGHTS and not (current[-NOUGHTS:] > 0).any()
    if highest > step.floor_a and flowed >= SEEN_SHARE and not to_the_end:
        return None
    noise = -float(np.median(current[current <= 0])) if flowed < 1 else 0.0
    if highest <= max(step.floor_a, OF_NOISE * noise):
        said = "no current beyond what the meter may be off was ever seen: an open part, or clips"
        return State(TOO_EARLY, READING_ONCE, f"{said} that hold nothing, read the same")
    where = ", and so to the end" if to_the_end else ", in between others"
    return State(
        TOO_EARLY,
        READING_ONCE,
        f"the meter shows nought or less in {_percent(1 - flowed)} of the readings{where}: a "
        "current too small for its range, and clips that slip off, read the same; see to the "
        "clips, and read it on a finer range",
    )


def _share_below(limit: float, now: tuple[float, float, float], floor_a: float) -> float:
    """Probability that a current with this 90 % interval, and floor, is below a limit."""
    low, middle, high = now
    spread = max(hypot((high - low) / (2 * INTERVAL_SIGMAS), floor_a / 2), 1e-30)
    return 0.5 * erfc((middle - limit) / spread / sqrt(2))


def _amps(current: float) -> str:
    return format_quantity(current, "A")


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


NO_TIMES: Final = (nan, nan, nan)
