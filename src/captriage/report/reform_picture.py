"""The curve of a reforming run as a picture: each step on logarithmic axes, with its limit."""

from __future__ import annotations

from math import inf, isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from captriage.errors import CapTriageError
from captriage.report.figures import duration
from captriage.report.read_curve import ReadCurve
from captriage.report.reform_words import forecast
from captriage.units import format_quantity

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from captriage.reform.curves import StepReading

SIZE_IN: Final = (7.5, 4.5)
DPI: Final = 160
SETTINGS: Final[dict[Any, Any]] = {
    # The same curve gives the same bytes: no date, no random names, no font of this machine.
    "svg.fonttype": "path",
    "svg.hashsalt": "captriage",
    "font.family": "DejaVu Sans",
    "font.size": 9,
    "path.simplify": True,
}
COLOURS: Final = ("#1f6f8b", "#99582a", "#5b8c3e", "#7b4b94", "#b23a48", "#4f5d75", "#c08a1e")
LIMIT: Final = "#a3221c"
NOTHING_A: Final = (1e-9, 1e-3)
"""Ends of the axis of current where there is none to draw. [A]"""

FAR: Final = 5.0
"""Where a forecast has no end: how far it is drawn, times its beginning."""

POINTS: Final = 2000
"""Readings drawn of one step; of more, evenly chosen ones."""

FEW: Final = 60
DOT: Final = 3.0
LARGE_DOT: Final = 8.0
"""Dots of a step, in points, and those of one of up to so few readings: typed by hand."""

FIRST_S: Final = 1.0
"""Where the axis of time begins; before, the part is charging. [s]"""

TICKS_S: Final = (1, 10, 60, 600, 3600, 36_000, 360_000)
BEYOND: Final = 1.6
"""How far beyond its last reading the picture goes, as a factor of time."""


def write_picture(read: ReadCurve, path: Path) -> None:
    """Draw the curve into a file that ends in .svg or .png.

    Raises
    ------
    CapTriageError
        It cannot be written.
    """
    from matplotlib import rc_context
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    kind = path.suffix.lower().lstrip(".")
    with rc_context(SETTINGS):
        figure = Figure(figsize=SIZE_IN, layout="constrained")
        canvas = FigureCanvasSVG if kind == "svg" else FigureCanvasAgg
        canvas(figure)
        draw(read, figure.add_subplot())
        try:
            figure.savefig(
                path, format=kind, dpi=DPI, metadata={"Date": None} if kind == "svg" else None
            )
        except OSError as error:
            raise CapTriageError(
                f"{path}: {error.strerror}; choose a folder that exists and may be written to"
            ) from error


def draw(read: ReadCurve, axes: Axes) -> None:
    """Current of each step against the time at its voltage, its limit, and where it goes."""
    progress = read.progress
    for number, step in enumerate(progress.steps):
        colour = COLOURS[number % len(COLOURS)]
        times, currents = of_step(read, step)
        dot = DOT if len(times) > FEW else LARGE_DOT
        axes.plot(times, currents, ".", color=colour, markersize=dot, label=_named(number, step))
        if isfinite(step.limit_a) and len(times):
            ends = [FIRST_S, max(times[-1], 10 * FIRST_S)]
            axes.plot(ends, [step.limit_a] * 2, "--", color=colour, linewidth=0.9)
    longest = max((step.ends_s - step.begins_s for step in progress.steps), default=FIRST_S)
    right = BEYOND * max(longest, TICKS_S[1])
    if progress.steps:
        right = _ahead(read, axes, right)
        axes.plot([], [], "--", color="0.4", linewidth=0.9, label="limit at the voltage of a step")
    axes.set(xscale="log", yscale="log")
    if not (read.curve.current_a > 0).any():
        axes.set_ylim(NOTHING_A)
        axes.text(0.5, 0.5, "no current above nought", transform=axes.transAxes, ha="center")
    axes.set_xlim(FIRST_S, right)
    axes.set_xticks([at for at in TICKS_S if at <= right])
    axes.set_xlabel("time at the voltage of the step")
    axes.set_ylabel("current")
    axes.xaxis.set_major_formatter(lambda seconds, _: duration(float(seconds)))
    axes.yaxis.set_major_formatter(lambda current, _: format_quantity(float(current), "A"))
    axes.grid(visible=True, which="major", color="0.88", linewidth=0.6)
    axes.spines[["top", "right"]].set_visible(False)
    axes.set_title(f"{read.title}\n{progress.state}: {progress.advice}", loc="left", fontsize=10)
    if progress.steps:
        axes.legend(frameon=False, fontsize=8)


def of_step(read: ReadCurve, step: StepReading) -> tuple[np.ndarray, np.ndarray]:
    """Time at the voltage [s] and current [A] of the readings of one step that can be drawn."""
    curve = read.curve
    inside = (curve.time_s >= step.begins_s) & (curve.time_s <= step.ends_s)
    inside &= curve.time_s - step.begins_s >= FIRST_S
    at = np.flatnonzero(inside & (curve.current_a > 0))
    if len(at) > POINTS:
        at = at[np.linspace(0, len(at) - 1, POINTS).astype(np.int64)]
    return curve.time_s[at] - step.begins_s, curve.current_a[at]


def _named(number: int, step: StepReading) -> str:
    volts = step.supply_v if isfinite(step.supply_v) else step.part_v
    return f"step {number + 1}: {format_quantity(volts, 'V')}, {step.state}"


def _ahead(read: ReadCurve, axes: Axes, right: float) -> float:
    """Draw when the limit is reached and where the current settles; the end of the axis. [s]"""
    progress = read.progress
    last = progress.steps[-1]
    low, middle, high = (
        at - last.begins_s
        for at in (progress.forecast_low_s, progress.forecast_s, progress.forecast_high_s)
    )
    if forecast(progress) and isfinite(low) and low > 0:
        right = max(right, BEYOND * (high if high < inf else FAR * low))
        label = "reaches the limit, 90 %" if high < inf else "reaches the limit, 90 %; or never"
        axes.axvspan(low, min(high, right), color=LIMIT, alpha=0.12, linewidth=0, label=label)
        if isfinite(middle):
            axes.axvline(middle, color=LIMIT, linewidth=0.9)
    if isfinite(last.settles_low_a) and last.settles_low_a > 0:
        colour = COLOURS[(len(progress.steps) - 1) % len(COLOURS)]
        axes.fill_between(
            [last.ends_s - last.begins_s, right], last.settles_low_a, last.settles_high_a,
            color=colour, alpha=0.2, linewidth=0, label="where it settles, 90 %",
        )  # fmt: skip
    return right
