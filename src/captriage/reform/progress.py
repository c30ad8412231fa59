"""What the curve of a reforming run says: its steps, its state, and when it will come good.

A curve is divided into steps (:mod:`captriage.reform.stretches`); each is averaged
(:mod:`captriage.reform.averages`), searched for faults (:mod:`captriage.reform.faults`), and held
against all laws that it may follow (:mod:`captriage.reform.law`). The last step gives the state,
except where the voltage was lowered again: at less voltage a part is cleared of nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import isfinite, nan
from typing import Final

import numpy as np

from captriage.reform.best_laws import best_laws
from captriage.reform.curves import (
    ADVICE_OF,
    BROKEN_DOWN,
    CONTINUE,
    FALLING,
    NEXT_STEP,
    REPLACE,
    REST,
    SETTLED_ABOVE,
    SETTLED_BELOW,
    TOO_EARLY,
    Curve,
    Progress,
    Rating,
    StepReading,
)
from captriage.reform.fitted import fitted_law
from captriage.reform.forecast import forecast
from captriage.reform.law import Seen, side_by_side, weigh
from captriage.reform.repeats import SAME_VOLTAGE, beside_before, rested, told
from captriage.reform.states import NO_TIMES, SURE, Fit, State, state_of
from captriage.reform.step_data import StepData, steps_of
from captriage.units import format_quantity

TOGETHER: Final = 40
"""Steps that are weighed at once: as many as a processor's memory holds well."""

PATIENCE_S: Final = 1800.0
"""Nobody gives a part up sooner for a current that stays above its limit, nor before that is sure:
each voltage is held for at least 30 minutes (drive makers' bulletins, as quoted; the step template
is ours). [s]"""

AT_TARGET: Final = 0.97
"""Share of the target voltage from which a step is the last one."""


def read_curve(curve: Curve, rating: Rating) -> Progress:
    """What one curve says, with the law that its last step follows best.

    Parameters
    ----------
    curve : Curve
    rating : Rating

    Returns
    -------
    Progress
        See :func:`read_curves`.
    """
    steps = steps_of(curve, rating)
    progress = _progress(steps, _fits([step for step in steps if step.can_be_fitted]), rating)
    lowered = steps and _at_highest(steps, rating) < len(steps) - 1
    if not steps or lowered or progress.state == TOO_EARLY or not steps[-1].can_be_fitted:
        return progress
    seen = seen_of(steps[-1:])
    return replace(progress, law=fitted_law(seen, weigh(seen), 0))


def read_curves(pairs: Sequence[tuple[Curve, Rating]]) -> list[Progress]:
    """What curves say, each against its rating.

    Parameters
    ----------
    pairs : sequence of (Curve, Rating)

    Returns
    -------
    list of Progress
        One each. A curve without a reading that can be used is too early to say.
    """
    steps = [steps_of(curve, rating) for curve, rating in pairs]
    fits = _fits([step for each in steps for step in each if step.can_be_fitted])
    return [_progress(each, fits, rating) for each, (_, rating) in zip(steps, pairs, strict=True)]


class Watch:
    """A run that goes on: readings are added one by one, and it says what they say so far.

    Parameters
    ----------
    rating : Rating
    series_ohm : float
        Between supply and part. [Ω]
    floor_a : float
        Of the ammeter, k = 2. [A]
    """

    def __init__(self, rating: Rating, *, series_ohm: float = nan, floor_a: float = 0.0) -> None:
        self._rating, self._series_ohm, self._floor_a = rating, series_ohm, floor_a
        self._rows = np.empty((256, 4))
        self._count = 0

    def add(self, time_s: float, *, supply_v: float, current_a: float, part_v: float = nan) -> None:
        """Take in one reading, not before the last one. [s], [V], [A], [V]"""
        if self._count == len(self._rows):
            self._rows = np.concatenate((self._rows, np.empty_like(self._rows)))
        self._rows[self._count] = (time_s, supply_v, current_a, part_v)
        self._count += 1

    def curve(self) -> Curve:
        """All readings so far."""
        time, supply, current, part = self._rows[: self._count].T.copy()
        return Curve(
            time, supply, current, part, series_ohm=self._series_ohm, floor_a=self._floor_a
        )

    def progress(self) -> Progress:
        """What they say, but for the law that is shown: that takes too long for a live view."""
        return read_curves([(self.curve(), self._rating)])[0]


def _fits(steps: Sequence[StepData]) -> Mapping[int, Fit]:
    """Forecast of each step, by the step's identity."""
    found: dict[int, Fit] = {}
    for begin in range(0, len(steps), TOGETHER):
        some = steps[begin : begin + TOGETHER]
        seen = seen_of(some)
        law = weigh(seen)
        coming = forecast(seen, law, np.array([step.limit_a for step in some]))
        best = best_laws(seen, law)
        for row, step in enumerate(some):
            found[id(step)] = Fit(
                tuple(coming.limit_s[row].tolist()),
                float(coming.ever[row]),
                tuple(coming.settles_a[row].tolist()),
                tuple(coming.now_a[row].tolist()),
                float(best.floor_a[row]),
                float(best.flaw_a[row]),
                float(best.exponent[row]),
            )
    return found


def seen_of(steps: Sequence[StepData]) -> Seen:
    """Averages of steps that can be fitted, side by side."""
    return side_by_side(
        [step.averages for step in steps if step.averages is not None],
        np.array([step.slope for step in steps]),
    )


def _progress(steps: Sequence[StepData], fits: Mapping[int, Fit], rating: Rating) -> Progress:
    if not steps:
        because = "there is no reading of a current under voltage"
        return Progress(TOO_EARLY, CONTINUE, 1.0, because, nan, nan, nan, nan, ())
    ratios = [beside_before(steps, at) for at in range(len(steps))]
    states = [
        state_of(step, fits.get(id(step)), told(ratio, rested=rested(steps, at)))
        for at, (step, ratio) in enumerate(zip(steps, ratios, strict=True))
    ]
    readings = tuple(
        _step_reading(step, _believed(fits.get(id(step)), state, rating), state, ratio)
        for step, state, ratio in zip(steps, states, ratios, strict=True)
    )
    at = _telling(steps, states, rating)
    last, state = steps[at], states[at]
    if at < len(steps) - 1:
        volts = format_quantity(last.stretch.supply_v, "V")
        earlier = f"in step {at + 1}, at {volts}, before what follows it: {state.because}"
        state = replace(state, because=earlier)
    fit = fits.get(id(last))
    low, middle, high = NO_TIMES
    if state.name == FALLING and fit is not None:
        low, middle, high = (last.stretch.begins_s + each for each in fit.limit_s)
    return Progress(
        state.name,
        _advice(last, state, rating),
        state.sure,
        state.because,
        readings[at].limit_a,
        middle,
        low,
        high,
        readings,
    )


def _believed(fit: Fit | None, state: State, rating: Rating) -> Fit | None:
    """The law of a step; None where its readings are no current that could be believed."""
    return None if state.name == TOO_EARLY and isfinite(rating.limit_a) else fit


def _telling(steps: Sequence[StepData], states: Sequence[State], rating: Rating) -> int:
    """Which step tells what became of the part: one that broke down, else the last at full voltage.

    Oxide that broke down may hold for a while; nobody builds upon that. A supply in its current
    limit lowers the voltage by itself: what fails at a lower one has failed.
    """
    broken = [at for at, state in enumerate(states) if state.name == BROKEN_DOWN]
    if broken:
        return broken[-1]
    highest = _at_highest(steps, rating)
    failed = [at for at, state in enumerate(states) if ADVICE_OF[state.name] == REPLACE]
    return max([highest, *failed[-1:]])


def _at_highest(steps: Sequence[StepData], rating: Rating) -> int:
    """The last step at the highest voltage of the run, or at the target where that is lower."""
    volts = [step.stretch.supply_v for step in steps]
    enough = (1 - SAME_VOLTAGE) * min(max(volts), rating.target_v)
    return max((at for at, each in enumerate(volts) if each >= enough), default=len(steps) - 1)


def _advice(last: StepData, state: State, rating: Rating) -> str:
    if state.name == SETTLED_ABOVE and (last.time_s[-1] < PATIENCE_S or state.sure < SURE):
        return CONTINUE
    if state.name != SETTLED_BELOW:
        return ADVICE_OF[state.name]
    volts = last.stretch.supply_v
    return NEXT_STEP if volts < AT_TARGET * rating.target_v else REST


def _step_reading(step: StepData, fit: Fit | None, state: State, ratio: float) -> StepReading:
    stretch = step.stretch
    charged = step.charged < len(step.time_s)
    part = step.part_v[-max(len(step.part_v) // 10, 1) :]
    now = (nan, nan, nan) if fit is None else fit.now_a
    settles = (nan, nan, nan) if fit is None else fit.settles_a
    current = now[1] if fit else float(step.current_a[-1])
    return StepReading(
        begins_s=stretch.begins_s,
        ends_s=stretch.begins_s + float(step.time_s[-1]),
        supply_v=stretch.supply_v,
        part_v=float(np.median(part)),
        limit_a=step.limit_now(current),
        charging_ends_s=stretch.begins_s + float(step.time_s[step.charged]) if charged else nan,
        leakage_a=now[1],
        leakage_low_a=now[0],
        leakage_high_a=now[2],
        settles_at_a=settles[1],
        settles_low_a=settles[0],
        settles_high_a=settles[2],
        floor_a=nan if fit is None else fit.floor_a,
        flaw_a=nan if fit is None else fit.flaw_a,
        exponent=nan if fit is None else fit.exponent,
        state=state.name,
        beside_before=ratio,
    )
