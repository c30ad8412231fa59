"""What becomes of a reading of a run: it is kept, with what stood beside it, then shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import isfinite, isnan, nan
from typing import TYPE_CHECKING

from captriage.bench.measured import Value
from captriage.bench.moments import longest_s
from captriage.bench.run_words import lowering_words, reading_words
from captriage.bench.soak_plan import Curve, as_leakage
from captriage.columns import VOLTAGE

if TYPE_CHECKING:
    from captriage.bench.measured import Answer
    from captriage.bench.moments import Moment
    from captriage.bench.run_data import RunView
    from captriage.bench.sitting import Part, Sitting
    from captriage.reform.curves import Progress
    from captriage.reform.steps import Plan, Step


class RunLog:
    """The readings of a run, in the book and on the screen.

    Parameters
    ----------
    sitting : Sitting
        Book, screen.
    part, plan : Part, Plan
        The part, and what is carried out.
    view : RunView
        Shows them.
    as_proof : bool
        Whether currents are leakage of the part, to be judged: of a re-test.
    began_s : float
        Moment at which the curve begins. [s]

    Attributes
    ----------
    taken : int
        Readings kept.
    """

    def __init__(
        self,
        sitting: Sitting,
        *,
        part: Part,
        plan: Plan,
        view: RunView,
        as_proof: bool,
        began_s: float,
    ) -> None:
        self.sitting, self.part, self.plan = sitting, part, plan
        self.view, self.as_proof, self.taken = view, as_proof, 0
        self._began_s, self._number, self._drawn = began_s, 0, Curve()

    def begin(self, number: int, step: Step) -> None:
        """A step begins."""
        self._number = number
        self._drawn.points.clear()
        self.view.step(step.below_a, step.most_s)

    def take(
        self, answer: Answer, moment: Moment, *, degc: float, said: Progress | None, lowering: bool
    ) -> None:
        """Keep a reading, and show it once it is on the disk.

        Parameters
        ----------
        answer, moment : Answer, Moment
            The reading, and what goes with it.
        degc : float
            Of the case of the part; NaN not known. [°C]
        said : Progress or None
            What the curve says of this very step.
        lowering : bool
            Whether the voltage is lowered: the part gives its charge back, which is no leakage.

        Raises
        ------
        BookError
            It could not be kept.
        """
        held = moment.held_s >= 0 and not lowering
        kept = as_leakage(answer) if self.as_proof and moment.charged and held else answer
        if not isnan(moment.supply_v):
            beside = Value(VOLTAGE, moment.supply_v, moment.unsure_v or nan)
            kept = replace(kept, values=(*kept.values, beside))
        self.sitting.records.keep(self.part, kept, self._conditions(moment, degc, held=held))
        self.taken += 1
        if held:
            self._drawn.add(moment.held_s, moment.current_a)
        text = self._words(answer, moment, said=said, lowering=lowering)
        self.view.reading(text, sorted(self._drawn.points.values()))

    def _conditions(self, moment: Moment, degc: float, *, held: bool) -> Mapping[str, float]:
        told = {
            "voltage_v": moment.across_v if self.as_proof else moment.part_v,
            "soak_s": moment.held_s if held else nan,
            "temperature_degc": degc,
        }
        return {name: value for name, value in told.items() if isfinite(value)}

    def _words(
        self, answer: Answer, moment: Moment, *, said: Progress | None, lowering: bool
    ) -> str:
        step = f"{self.part.part}  step {self._number}"
        if lowering:
            return lowering_words(answer, moment, step=step)
        at_s = answer.monotonic_s - self._began_s
        left_s = longest_s(self.plan) - at_s
        return reading_words(answer, moment, step=step, said=said, at_s=at_s, left_s=left_s)
