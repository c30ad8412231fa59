"""The curve of a reforming run as plain geometry, for the template of a page.

Both axes are logarithmic; each step begins anew at the left, so that steps can be compared.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, floor, inf, isfinite, log10
from typing import Final

import numpy as np

from captriage.reform.curves import StepReading
from captriage.report.figures import duration
from captriage.report.read_curve import ReadCurve
from captriage.report.reform_words import forecast
from captriage.units import format_quantity

LEFT: Final = 60.0  # of the frame, in the units of the picture
RIGHT: Final = 520.0
TOP: Final = 8.0
BOTTOM: Final = 208.0
POINTS: Final = 160
"""Corners of one step's line; of more readings, evenly chosen ones in logarithmic time."""

FIRST_S: Final = 1.0
"""Where the axis of time begins. [s]"""

TICKS_S: Final = (1.0, 10.0, 60.0, 600.0, 3600.0, 36_000.0, 360_000.0)


@dataclass(frozen=True)
class Tick:
    """A place on an axis and what it says."""

    at: float
    text: str


@dataclass(frozen=True)
class StepLine:
    """One step: corners of its line, its limit, and what the legend says."""

    corners: str
    limit: float | None
    limit_ends: float
    text: str


@dataclass(frozen=True)
class Drawing:
    """A curve, and what is said of it."""

    said: str
    file: str
    steps: tuple[StepLine, ...]
    times: tuple[Tick, ...]
    currents: tuple[Tick, ...]


def drawing_of(read: ReadCurve) -> Drawing:
    """Geometry of a curve; without steps it has no lines."""
    progress = read.progress
    points = [_points(read, step) for step in progress.steps]
    every = [current for _, currents in points for current in currents.tolist()]
    every += [step.limit_a for step in progress.steps if 0 < step.limit_a < inf]
    when = forecast(progress)
    said = f"{progress.state}: {progress.advice}; {progress.because}"
    said = f"{said}; it {when}." if when else f"{said}."
    said = "".join(f"WARNING: {each}. " for each in read.warnings) + said
    if not every:
        return Drawing(said, read.file, (), (), ())
    last = max((float(times[-1]) for times, _ in points if len(times)), default=10.0)
    low, high = floor(log10(min(every))), ceil(log10(max(every)))
    down = _scale(max(high, low + 1), low, TOP, BOTTOM)
    across = _scale(log10(FIRST_S), log10(max(last, 10.0)), LEFT, RIGHT)
    lines = tuple(
        _line(number, step, each, across=across, down=down)
        for number, (step, each) in enumerate(zip(progress.steps, points, strict=True), start=1)
    )
    return Drawing(
        said,
        read.file,
        lines,
        tuple(Tick(across(log10(at)), duration(at)) for at in TICKS_S if at <= max(last, 10.0)),
        tuple(
            Tick(down(power), format_quantity(10.0**power, "A"))
            for power in range(low, max(high, low + 1) + 1)
        ),
    )


def _scale(first: float, last: float, begins: float, ends: float) -> Callable[[float], float]:
    """Place between two ends of a number between two others."""

    def at(number: float) -> float:
        share = (number - first) / (last - first)
        return round(begins + share * (ends - begins), 1)

    return at


def _points(read: ReadCurve, step: StepReading) -> tuple[np.ndarray, np.ndarray]:
    """Time at the voltage and current of the readings that are drawn. [s], [A]"""
    at = read.curve.time_s - step.begins_s
    inside = (at >= FIRST_S) & (read.curve.time_s <= step.ends_s) & (read.curve.current_a > 0)
    rows = np.flatnonzero(inside)
    if len(rows) > POINTS:
        wanted = np.geomspace(at[rows[0]], at[rows[-1]], POINTS)
        rows = rows[np.unique(np.searchsorted(at[rows], wanted).clip(0, len(rows) - 1))]
    return at[rows], read.curve.current_a[rows]


def _line(
    number: int,
    step: StepReading,
    points: tuple[np.ndarray, np.ndarray],
    *,
    across: Callable[[float], float],
    down: Callable[[float], float],
) -> StepLine:
    times, currents = points
    corners = " ".join(
        f"{across(log10(at))},{down(log10(current))}"
        for at, current in zip(times.tolist(), currents.tolist(), strict=True)
    )
    volts = step.supply_v if isfinite(step.supply_v) else step.part_v
    limit = down(log10(step.limit_a)) if isfinite(step.limit_a) and step.limit_a > 0 else None
    ends = across(log10(times[-1])) if len(times) else LEFT
    text = f"{number}: {format_quantity(volts, 'V')}, {step.state}"
    return StepLine(corners, limit, ends, text)
