"""What the curve of a reforming run says, for a person at a terminal and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from math import isfinite
from typing import Any, Final, TextIO

import numpy as np

from captriage.reform.curves import StepReading
from captriage.report import summary
from captriage.report.live import leakage_picture
from captriage.report.plain_data import plain_value, write_object
from captriage.report.read_curve import ReadCurve
from captriage.report.reform_words import cautions, forecast, hours, told
from captriage.report.terminal import Terminal, safe
from captriage.report.text_columns import Line, write_columns
from captriage.units import format_quantity

LABEL: Final = 10
"""Columns of the word before a sentence."""

DRAWN: Final = 4000
"""Readings drawn at a terminal; of more, evenly chosen ones."""


def write_table(read: ReadCurve, out: TextIO) -> None:
    """Write state, advice and forecast, the steps, the picture, and what goes with them."""
    page = Terminal(out)
    progress = read.progress
    page.line(page.styled(safe(read.title), "heading"))
    page.paragraph(f"From {read.file}. House policy: {read.policy}.")
    page.line()
    for label, text in told(read):
        page.paragraph(text, first=f"{label:<{LABEL}}")
    page.heading("Before anything is touched")
    page.items(cautions(read.rating))
    if progress.steps:
        page.heading("Steps")
        write_steps(progress.steps, page)
        page.heading(f"Step {len(progress.steps)}: current against time at its voltage")
        for line in picture(read, page.width):
            page.line(line)
    if read.remarks:
        page.heading("Taken for granted")
        page.items(read.remarks)
    write_set_aside(read, page)


HEADS: Final = (
    "step",
    ">from",
    ">supply",
    ">on part",
    ">limit",
    ">leakage",
    ">settles at",
    "~state",
)


def write_steps(steps: Sequence[StepReading], page: Terminal) -> None:
    """A line a step; leakage and where it settles with their 90 % intervals below."""
    lines = []
    for number, step in enumerate(steps, start=1):
        cells = (
            str(number),
            hours(step.begins_s),
            format_quantity(step.supply_v, "V"),
            format_quantity(step.part_v, "V"),
            format_quantity(step.limit_a, "A"),
            format_quantity(step.leakage_a, "A"),
            format_quantity(step.settles_at_a, "A"),
            step.state,
        )
        lines.append(Line(cells))
    write_columns(page, HEADS, lines)


def picture(read: ReadCurve, width: int) -> list[str]:
    """The last step on logarithmic axes, with its limit."""
    last = read.progress.steps[-1]
    inside = np.flatnonzero((read.curve.time_s >= last.begins_s) & (read.curve.current_a > 0))
    if len(inside) > DRAWN:
        inside = inside[np.linspace(0, len(inside) - 1, DRAWN).astype(np.int64)]
    times = (read.curve.time_s[inside] - last.begins_s).tolist()
    until = max(last.ends_s - last.begins_s, 1.0)
    limit = ((1.0, last.limit_a), (until, last.limit_a)) if isfinite(last.limit_a) else ()
    return leakage_picture(
        times, read.curve.current_a[inside].tolist(), until_s=until, limit=limit, width=width
    )


SHOWN_ASIDE: Final = 12


def write_set_aside(read: ReadCurve, page: Terminal) -> None:
    """The first cells and lines that could not be used, and how many there are."""
    if read.set_aside.empty:
        return
    rows = summary.set_aside_rows(read.set_aside)
    page.heading(f"Set aside ({len(rows)})")
    page.items(
        f"{row['place']}: '{row['found']}': {row['reason']}; {row['remedy']}"
        for row in rows[:SHOWN_ASIDE]
    )
    if len(rows) > SHOWN_ASIDE:
        page.line(f"  and {len(rows) - SHOWN_ASIDE} more: --format json names them all")


def write_json(read: ReadCurve, out: TextIO) -> None:
    """Write one object, in SI; what is not known, or never, is null, and a word says which."""
    write_object(as_object(read), out)


def as_object(read: ReadCurve) -> dict[str, Any]:
    """A log and what its curve says as plain data."""
    progress = read.progress
    numbers = {key: plain_value(value) for key, value in asdict(read.rating).items()}
    return {
        "file": read.file,
        "part": read.part,
        "made": plain_value(read.made),
        "rating": numbers,
        "state": progress.state,
        "advice": progress.advice,
        "sure": plain_value(progress.sure),
        "because": progress.because,
        "warnings": list(read.warnings),
        "outcome": read.outcome,
        "limit_a": plain_value(progress.limit_a),
        "limit_source": read.reference,
        "forecast_s": plain_value(progress.forecast_s),
        "forecast_low_s": plain_value(progress.forecast_low_s),
        "forecast_high_s": plain_value(progress.forecast_high_s),
        "forecast": forecast(progress) or "none",
        "law": None
        if progress.law is None
        else {key: plain_value(value) for key, value in asdict(progress.law).items()},
        "steps": [
            {key: plain_value(value) for key, value in asdict(step).items()}
            for step in progress.steps
        ],
        "retest": None
        if read.proof is None
        else {key: plain_value(value) for key, value in asdict(read.proof).items()},
        "readings": int(np.isfinite(read.curve.current_a).sum()),
        "remarks": list(read.remarks),
        "cautions": cautions(read.rating),
        "set_aside": read.set_aside.to_dict("records"),
        "policy": read.policy,
    }
