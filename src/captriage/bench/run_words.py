"""A reading of a reforming run as it is told on the screen, within a line of 80 columns."""

from __future__ import annotations

from math import isfinite, isnan
from typing import TYPE_CHECKING

from captriage.bench.telling import answer_figures
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.measured import Answer
    from captriage.bench.moments import Moment
    from captriage.reform.curves import Progress


def reading_words(
    answer: Answer, moment: Moment, *, step: str, said: Progress | None, at_s: float, left_s: float
) -> str:
    """A reading while the voltage is raised or held.

    Parameters
    ----------
    answer, moment : Answer, Moment
        The reading, and what goes with it.
    step : str
        Part and step: "C1  step 2".
    said : Progress or None
        What the curve says of this very step.
    at_s : float
        Time of the reading in the curve. [s]
    left_s : float
        Longest time that the run still takes. [s]
    """
    volts = "" if isnan(moment.supply_v) else f"{format_quantity(moment.supply_v, 'V')}, "
    held = "raising" if isnan(moment.held_s) else held_for(max(moment.held_s, 0.0))
    text = f"taken  {step}, {volts}{held}: {answer_figures(answer)}"
    if said is not None:
        text += f", {said.state.removesuffix(' the limit').removesuffix(' to say')}"
        left = said.forecast_s - at_s
        if isfinite(left) and left > 0:
            return f"{text}, at limit in about {in_time(left)}"
    return f"{text}, at most {in_time(max(left_s, 0.0))} left"


def lowering_words(answer: Answer, moment: Moment, *, step: str) -> str:
    """A reading while the voltage is lowered: the part holds more than the supply gives."""
    text = f"taken  {step} lowering"
    if not isnan(moment.supply_v):
        text += f", supply {format_quantity(moment.supply_v, 'V')}"
    if not isnan(moment.part_v):
        text += f", part {format_quantity(moment.part_v, 'V')}"
    return f"{text}: {answer_figures(answer)}"


def held_for(seconds: float) -> str:
    """How long a voltage has been held: "1.1 s", "19 min"."""
    return f"{seconds:.1f} s" if seconds < 60 else in_time(seconds)


def in_time(seconds: float) -> str:
    """A time to come, as it is said: "40 s", "12 min", "3.5 h"."""
    if seconds < 60:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 3600 else f"{seconds / 3600:.1f} h"
