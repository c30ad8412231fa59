"""What is known at a moment of a reforming run, and what came before it."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isnan, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.repeats import Repeats
from captriage.reform.curves import SETTLED_BELOW

if TYPE_CHECKING:
    from captriage.reform.curves import Progress
    from captriage.reform.steps import Plan, Step

CHARGED_TIMES: Final = 1.5
"""Times its charging time, by rated capacitance, after which an old part is charged: the usual
tolerance is up to +50 %."""

ZEROS: Final = 5.0
"""Times what an ammeter showed without a voltage that a current must be to be seen; ours."""

SPARSE_S: Final = 2.0
"""Readings further apart while a part is charging do not tell its charge; ours. [s]"""

LEAST_CHARGING_S: Final = 1.0
LIMITED: Final = 0.95
"""Share of the supply's current limit from which on it gives no more."""

SURE: Final = 0.9
"""How sure the curve must be of a state for it to end a step; ours."""

SETTLED_READINGS: Final = 3
"""Readings in a row that end a step; one may be a slip of the meter."""


@dataclass(frozen=True, slots=True)
class Moment:
    """One reading of the current, and all that goes with it. NaN is not known.

    Attributes
    ----------
    plan, step : Plan, Step
        What is being carried out.
    first : bool
        Whether it is the first voltage since the part was discharged.
    held_s : float
        Since the voltage of the step was reached; NaN while it is raised. [s]
    charged : bool
        Whether the current is leakage by now.
    set_v, most_v, supply_v, part_v : float
        What the supply was set to, the most that it may give, what it gives, what stands on the
        part. [V]
    unsure_v, part_unsure_v : float
        Uncertainties of the voltage of the supply, and of that on the part. [V]
    part_late_s : float
        By how much later than the current the part's voltage was read. [s]
    current_a, unsure_a, count_a : float
        Into the part, its uncertainty, and the step of its last digit. [A]
    supply_a, supply_unsure_a : float
        What the supply says that it gives, and its uncertainty. [A]
    before_a, lowest_a : float
        The reading before, and the lowest since the part was charged. [A]
    over_range : bool
        Whether the ammeter showed more than it can.
    unseen : int
        Readings in a row, of a part that is charged, that cannot be told from nought.
    alike : int
        Readings in a row that were the very same.
    moved_v, differed : float, int
        By how much the setting has changed since the first of them [V], and how many different
        readings came before; see :mod:`captriage.bench.repeats`.
    warmer_k : float
        Above the temperature at the beginning. [K]
    charge_c : float
        That flowed since the supply was switched on. [C]
    charging_s : float
        How long that took. [s]
    progress : Progress or None
        What the curve says.
    """

    plan: Plan
    step: Step
    first: bool
    held_s: float
    charged: bool
    set_v: float
    most_v: float
    supply_v: float
    part_v: float
    current_a: float
    unsure_v: float = 0.0
    part_unsure_v: float = nan
    part_late_s: float = nan
    unsure_a: float = 0.0
    count_a: float = 0.0
    supply_a: float = nan
    supply_unsure_a: float = nan
    before_a: float = nan
    lowest_a: float = nan
    over_range: bool = False
    unseen: int = 0
    alike: int = 0
    moved_v: float = 0.0
    differed: int = 0
    warmer_k: float = nan
    charge_c: float = nan
    charging_s: float = nan
    progress: Progress | None = None

    @property
    def across_v(self) -> float:
        """On the part: as measured, else what the resistor leaves of the supply's. [V]"""
        if not isnan(self.part_v):
            return self.part_v
        return max(self.supply_v - self.current_a * self.step.series_ohm, 0.0)

    @property
    def feeds_v(self) -> float:
        """Most that the supply gives now, as it says or as it is set. [V]"""
        return self.most_v if isnan(self.supply_v) else max(self.supply_v, self.most_v)

    @property
    def limited(self) -> bool:
        """Whether the supply gives its current limit: the part is charging still, or shorted."""
        most = max(self.supply_a, self.current_a) if self.supply_a > 0 else self.current_a
        return most >= LIMITED * self.plan.supply_limit_a


class History:
    """What the readings of a run have been so far.

    Attributes
    ----------
    before_a, lowest_a, charge_c, charging_s, unseen
        As in :class:`Moment`.
    repeats : Repeats
        Whether the ammeter repeats itself; it takes in a reading before that is looked at.
    """

    def __init__(self) -> None:
        self.before_a = self.lowest_a = nan
        self.charge_c, self.charging_s = nan, 0.0  # until somebody sees it flow
        self.repeats = Repeats()
        self._zero_a = nan
        self._before_s = nan
        self._below = self.unseen = 0

    def see_zero(self, current_a: float) -> None:
        """Take in what the ammeter shows before there is a voltage. [A]"""
        if not isnan(current_a):
            self._zero_a = max(abs(current_a), 0.0 if isnan(self._zero_a) else self._zero_a)

    def nought_a(self, unsure_a: float, count_a: float = 0.0) -> float:
        """Current up to which nobody can tell it from none, on this very ammeter today. [A]

        An ammeter that showed nothing but noughts may show one step of its last digit later.
        """
        if isnan(self._zero_a):
            return unsure_a
        return min(unsure_a, max(ZEROS * self._zero_a, count_a))

    def step_begins(self) -> None:
        """Another voltage: what was steady is so no more."""
        self.lowest_a = nan
        self._below = self.unseen = 0
        self.repeats.step_begins()

    def take(self, moment: Moment, time_s: float) -> None:
        """Take in a moment that has been looked at."""
        current = moment.current_a
        if isnan(current):  # over range: what flowed nobody saw, and nothing has settled
            self.charge_c = self.charge_c if moment.charged else nan
            self._below = 0
            return
        self._count_charge(moment, time_s)
        self.before_a, self._before_s = current, time_s
        if moment.charged:
            self.lowest_a = current if isnan(self.lowest_a) else min(self.lowest_a, current)
        # What cannot be told from nought may be a clip that has slipped: it ends no step.
        nought_a = self.nought_a(moment.unsure_a, moment.count_a)
        told = current > nought_a
        below = moment.charged and _is_below(moment)
        self._below = self._below + 1 if below and told else 0
        self.unseen = self.unseen + 1 if moment.charged and abs(current) <= nought_a else 0

    def _count_charge(self, moment: Moment, time_s: float) -> None:
        if isnan(self._before_s):
            if not (moment.charged or moment.held_s > SPARSE_S):
                self.charge_c = 0.0  # else typed, as a rule: nobody saw it charge
            return
        passed = time_s - self._before_s
        if passed > SPARSE_S and not moment.charged:
            self.charge_c = nan  # what flowed in between, nobody saw
        self.charge_c += 0.5 * (self.before_a + moment.current_a) * passed
        self.charging_s += passed

    def is_done(self, moment: Moment) -> bool:
        """Whether the step has settled below its current, no sooner than it may."""
        return self._below >= SETTLED_READINGS and moment.held_s >= moment.step.least_s


def _is_below(moment: Moment) -> bool:
    """Whether the current is below that of its step, whatever the ammeter may be off.

    Or, where a small part has a limit no larger than that, whether the curve is sure of it: it
    reckons with the part's own limit, and has seen the part take its charge.
    """
    if moment.current_a + moment.unsure_a < moment.step.below_a:
        return True
    said = moment.progress
    settled = said is not None and said.state == SETTLED_BELOW and said.sure >= SURE
    return settled and moment.current_a < moment.step.below_a


def of_step(said: Progress | None, supply_v: float, *, before_v: float) -> Progress | None:
    """What the curve says, where that is of the step at a voltage; else None.

    A step that has just begun has no readings to tell it by, and its curve ends in the one before.

    Parameters
    ----------
    said : Progress or None
    supply_v, before_v : float
        Of the step, and of the one before it. [V]
    """
    if said is None or not said.steps:
        return None
    last = said.steps[-1]
    other = abs(last.supply_v - supply_v) > abs(last.supply_v - before_v)  # not where it is NaN
    return None if other or last.state != said.state else said


def charging_ends_s(step: Step) -> float:
    """Time at a voltage after which the current is leakage. [s]"""
    return max(CHARGED_TIMES * step.charging_s, LEAST_CHARGING_S)


def longest_s(plan: Plan) -> float:
    """Longest time that a plan takes, ramps up and down included. [s]"""
    ramps = 3 * plan.target_v / plan.ramp_v_per_s if plan.ramp_v_per_s > 0 else inf
    return sum(step.most_s for step in plan.steps) + ramps
