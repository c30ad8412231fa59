"""A moment of a run is put together: a reading of the current, and all that goes with it."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite, isinf, isnan, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.moments import History, Moment, charging_ends_s
from captriage.bench.rising import shown
from captriage.bench.steadiness import STEPS, resolution
from captriage.columns import CURRENT

if TYPE_CHECKING:
    from captriage.bench.case_temperature import CaseTemperature
    from captriage.bench.emptying import Emptying
    from captriage.bench.measured import Answer, Value
    from captriage.bench.run_data import Feeds
    from captriage.reform.curves import Progress
    from captriage.reform.steps import Plan, Step

FRESH_S: Final = 3.0
"""A voltage that was read longer ago is not that of the part now. [s]"""


class RunMoments:
    """What is known of each moment of a run.

    Parameters
    ----------
    plan : Plan
        What is carried out.
    history : History
        Of the readings so far; the moment is taken into it once it has been looked at.
    emptying : Emptying
        Has what the voltmeter shows.
    case : CaseTemperature
        Has what the thermometer shows.
    """

    def __init__(
        self, plan: Plan, history: History, *, emptying: Emptying, case: CaseTemperature
    ) -> None:
        self.plan, self.history, self.emptying, self.case = plan, history, emptying, case

    def of(
        self,
        answer: Answer,
        source: Feeds,
        step: Step,
        *,
        first: bool,
        held_s: float,
        said: Progress | None,
    ) -> Moment:
        """The moment of a reading; the parameters are as of :class:`Moment`."""
        value = answer.of(CURRENT)
        current, number_a = shown(value), nan
        if value is not None and isnan(current) and isfinite(value.at_most):
            current = value.at_most  # below the range of the meter: no more than that
        elif isfinite(current):
            number_a = current
        history, ends_s = self.history, charging_ends_s(step)
        supply_a, supply_unsure_a = source.supply_a
        history.repeats.take(number_a, set_v=source.set_v, held_s=held_s, charging_s=ends_s)
        count_a = _count_a(answer.raw, value)
        moment = Moment(
            plan=self.plan,
            step=step,
            first=first,
            held_s=held_s,
            charged=held_s >= ends_s,
            set_v=source.set_v,
            most_v=source.most_v,
            supply_v=source.supply_v,
            part_v=self.part_v,
            part_unsure_v=self.emptying.unsure_v,
            part_late_s=self.emptying.read_s - answer.monotonic_s,
            current_a=current if isfinite(current) else nan,
            unsure_v=source.unsure_v,
            unsure_a=_unsure_a(value, count_a),
            count_a=count_a,
            supply_a=supply_a,
            supply_unsure_a=supply_unsure_a,
            before_a=history.before_a,
            lowest_a=history.lowest_a,
            over_range=isinf(current),
            unseen=history.unseen,
            alike=history.repeats.alike,
            moved_v=history.repeats.moved_v,
            differed=history.repeats.differed,
            warmer_k=self.case.warmer_k,
            charge_c=history.charge_c,
            charging_s=history.charging_s,
            progress=said,
        )
        return replace(moment, charged=moment.charged and not moment.limited)

    @property
    def part_v(self) -> float:
        """On the part, as it was read just now; NaN where it was not. [V]"""
        voltmeter = self.emptying.voltmeter
        if voltmeter is None or voltmeter.silent_s > FRESH_S:
            return nan
        return self.emptying.read_v


def _count_a(raw: str, value: Value | None) -> float:
    """One step of the last digit in which a current is told; 0 where it is no number. [A]"""
    return 0.0 if value is None or isnan(value.value) else resolution(raw, value.value)


def _unsure_a(value: Value | None, count_a: float) -> float:
    """Uncertainty of a current; where it is not told, steps of its last digit. [A]"""
    if value is None:
        return 0.0
    return STEPS * count_a if isnan(value.uncertainty) else value.uncertainty
