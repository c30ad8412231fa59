"""What the curve of a reforming run says, for a person at a terminal and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from math import inf, isfinite, isnan
from typing import TYPE_CHECKING, Any, Final, TextIO

import numpy as np
import pandas as pd

from captriage.columns import HEALED
from captriage.judging.cautions import SAFE_VOLTAGE, discharge
from captriage.model.energy import stored_energy
from captriage.reform.curves import FALLING, SETTLED_BELOW, Curve, Progress, Rating, StepReading
from captriage.reform.plan_cautions import BEFORE_TOUCHING, BURST, DEADLY, NEVER_ALONE
from captriage.report import summary
from captriage.report.figures import duration, percent
from captriage.report.figures import rating as rating_words
from captriage.report.live import leakage_picture
from captriage.report.plain_data import plain_value, write_object
from captriage.report.terminal import Terminal
from captriage.report.text_columns import Line, write_columns
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.reform.outcomes import Proof

RECOVERS: Final = (0.10, 0.15)
"""Share of its voltage that an aluminium part recovers: Wikipedia, dielectric absorption."""

LABEL: Final = 10
"""Columns of the word before a sentence."""

DRAWN: Final = 4000
"""Readings drawn at a terminal; of more, evenly chosen ones."""


@dataclass(frozen=True)
class ReadCurve:
    """A log, and what its curve says.

    Attributes
    ----------
    file, part : str
        Where it comes from, and whose it is.
    made : float
        Year of making; NaN unknown.
    rating : Rating
        What it was held against.
    reference : str
        Where its limit comes from.
    curve, progress
        What was read, and what it says.
    outcome : str
        Key of :data:`captriage.columns.REFORM_OUTCOMES`.
    proof : Proof or None
        Where the run is the re-test after a rest.
    remarks : tuple of str
        What was taken for granted, and what was done to the lines.
    set_aside : DataFrame
        :data:`captriage.columns.SET_ASIDE`.
    policy : str
        Title of the house policy that gave the limit.
    ends_at : datetime64
        Instant of the last reading, NaT where it is not told.
    doubts : tuple of str
        Why the curve may not be believed up to its end.
    """

    file: str
    part: str
    made: float
    rating: Rating
    reference: str
    curve: Curve
    progress: Progress
    outcome: str
    proof: Proof | None
    remarks: tuple[str, ...]
    set_aside: pd.DataFrame
    policy: str
    ends_at: np.datetime64
    doubts: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """Part, rating and year of making in words."""
        made = "" if isnan(self.made) else f", made {self.made:.0f}"
        rated = rating_words(self.rating.capacitance_rated, self.rating.voltage_rated)
        return f"{self.part}: {rated}{made}"

    @property
    def is_good(self) -> bool:
        """Whether the current is below the limit, and nothing speaks against it."""
        proven = self.proof is None or self.proof.outcome == HEALED
        return self.progress.state == SETTLED_BELOW and proven


@dataclass(frozen=True)
class Unread:
    """A log that could not be used, and why."""

    file: str
    why: str


def write_table(read: ReadCurve, out: TextIO) -> None:
    """Write state, advice and forecast, the steps, the picture, and what goes with them."""
    page = Terminal(out)
    progress = read.progress
    page.line(page.styled(read.title, "heading"))
    page.line(f"From {read.file}. House policy: {read.policy}.")
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


def told(read: ReadCurve) -> Iterator[tuple[str, str]]:
    """What is to be said of the whole curve, each after a word that says what it is about."""
    progress, rating = read.progress, read.rating
    sure = f", {percent(progress.sure)} sure" if progress.sure > 0 else ""
    yield "state", f"{progress.state}{sure}"
    yield "advice", progress.advice
    yield "because", f"{progress.because}."
    limit = (
        f"{format_quantity(rating.limit_a, 'A')} at {format_quantity(rating.voltage_rated, 'V')}"
    )
    if isfinite(progress.limit_a) and progress.limit_a != rating.limit_a:
        limit += f", {format_quantity(progress.limit_a, 'A')} at the voltage now on the part"
    yield "limit", f"{limit}: {read.reference}"
    if when := forecast(progress):
        yield "forecast", when
    yield "outcome", f"{read.outcome}{_still_to_do(read)}"


def _still_to_do(read: ReadCurve) -> str:
    """What a settled current does not prove yet."""
    if read.outcome != "settled below limit":
        return ""
    return (
        "; no proof yet: 24 to 48 h without voltage, then its leakage at "
        f"{format_quantity(read.rating.target_v, 'V')}, and capacitance and ESR again"
    )


def forecast(progress: Progress) -> str:
    """When the current reaches the limit, in words; "" where it is not falling towards it."""
    if progress.state != FALLING or isnan(progress.forecast_s) or not progress.steps:
        return ""
    low, high = progress.forecast_low_s, progress.forecast_high_s
    if progress.forecast_s == inf:
        return f"may never reach the limit; not before {duration(low)} after the log began"
    ends = f"{hours(low)} to {hours(high)}" if high < inf else f"{hours(low)}, or never"
    now = progress.steps[-1].ends_s
    left = max(progress.forecast_s - now, 0.0)
    return (
        f"reaches the limit {hours(progress.forecast_s)} after the log began (90 %: {ends}), "
        f"{hours(left)} from its end"
    )


def hours(seconds: float) -> str:
    """A forecast as said at the bench: "40 s", "12 min", "3.5 h"; "never"."""
    if seconds == inf:
        return "never"
    for length, unit in ((3600.0, "h"), (60.0, "min")):
        if seconds >= 2 * length:
            return f"{format_quantity(seconds / length, '')} {unit}"
    return f"{seconds:.0f} s"


def cautions(rating: Rating) -> list[str]:
    """Cautions for who goes on from here, the most pressing first."""
    volts = rating.target_v
    energy = float(stored_energy(rating.capacitance_rated, volts))
    said = [DEADLY]
    if isfinite(energy):
        said.append(
            f"At {format_quantity(volts, 'V')} it stores {format_quantity(energy, 'J')}"
            f"{discharge(rating.capacitance_rated, volts)}."
        )
    said += [NEVER_ALONE, BURST, BEFORE_TOUCHING]
    if volts > SAFE_VOLTAGE:
        low, high = (format_quantity(share * volts, "V") for share in RECOVERS)
        said.append(
            f"It can recover {low} to {high} by itself after it was discharged: leave a shorting "
            "link across it."
        )
    return said


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
        "outcome": read.outcome,
        "limit_a": plain_value(progress.limit_a),
        "limit_source": read.reference,
        "forecast_s": plain_value(progress.forecast_s),
        "forecast_low_s": plain_value(progress.forecast_low_s),
        "forecast_high_s": plain_value(progress.forecast_high_s),
        "forecast": forecast(progress) or "none",
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
