"""What a run is about to do, shown before anybody allows it: resistors, steps, the can."""

from __future__ import annotations

import shutil
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from captriage.report.figures import duration
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.sitting import Show
    from captriage.reform.steps import Plan
    from captriage.report.live import Screen

INDENT: Final = " " * 7
HEADS: Final = ("step", "supply", "through", "done below", "at most", "stop above")
SECTIONS: Final = (
    "One section at a time. Join the terminals of the other sections to the common negative "
    "through 1 kΩ each, so that they can neither charge nor be touched charged; one section that "
    "fails condemns the can, unless it is left unused (ours)."
)
"""As a plan of a can has it; a plan that is made for one part of the book knows no can."""


def rows_of(show: Screen) -> int:
    """Rows of a terminal; 0 where there is none, and nothing is paged."""
    return shutil.get_terminal_size().lines if show.live else 0


def with_sections(plan: Plan, sections: int) -> Plan:
    """The plan with the caution of a can, where the part is one of several sections.

    Parameters
    ----------
    plan : Plan
        As it was made or read.
    sections : int
        Sections of its can that the job has.
    """
    if (sections < 2 and not plan.section) or SECTIONS in plan.cautions:
        return plan
    return replace(plan, cautions=(*plan.cautions, SECTIONS))


def tell_plan(plan: Plan, show: Show) -> None:
    """Show resistors with what they must stand, and a table of the steps, within 80 columns."""
    from captriage.reform.resistors import in_words

    last = len(plan.steps)
    show.tell("series", in_words(plan.series))
    if plan.series_last is not None:
        show.tell("", f"at step {last}: {in_words(plan.series_last)}, in its place")
    show.tell("across", f"to discharge it: {in_words(plan.discharge)}")
    rows = [HEADS]
    for number, step in enumerate(plan.steps, 1):
        volts, ohms = format_quantity(step.supply_v, "V"), format_quantity(step.series_ohm, "Ω")
        below, stop = format_quantity(step.below_a, "A"), format_quantity(step.stop_a, "A")
        rows.append((str(number), volts, ohms, below, duration(step.most_s), stop))
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        cells = (f"{cell:>{width}}" for cell, width in zip(row, widths, strict=True))
        show.line(INDENT + "  ".join(cells))
