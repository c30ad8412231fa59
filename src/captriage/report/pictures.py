"""Pictures of readings against their limits and their expected bands, as plain geometry.

A part has one picture; it has one strip a reading. A strip shows, on a logarithmic scale, the
three bands (new, sound at its age, end of life), the limits that the rules held the reading
against, and the reading with its stated uncertainty. The template turns it into SVG.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import pandas as pd

from captriage.columns import LEAKAGE_CURRENT
from captriage.judging.expectations import STATES, expected_bands
from captriage.model.leakage import leakage_voltage_factor
from captriage.report.figures import NAMES, duration, quantity_figure, span
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement

STRIPS_AT_MOST: Final = 6
LEFT: Final = 250.0  # of the scale, in the units of the picture
RIGHT: Final = 620.0
HEIGHT: Final = 62.0
BAND_TOP: Final = 6.0
BAND_PITCH: Final = 10.0
USUAL: Final = {"frequency_hz": 120.0, "temperature_degc": 20.0, "soak_s": 300.0}
STEPS: Final = (
    # width of a scale in decades up to which its ticks stand at these places in a decade
    (0.75, (1.0, 1.5, 2.0, 3.0, 4.0, 6.0)),
    (1.7, (1.0, 2.0, 5.0)),
    (math.inf, (1.0,)),
)


@dataclass(frozen=True)
class Mark:
    """A place on the scale with what it says."""

    x: float
    text: str


@dataclass(frozen=True)
class Band:
    """A band from ``x`` over ``width``, ``y`` below the top of its strip."""

    state: str
    y: float
    x: float
    width: float


@dataclass(frozen=True)
class Strip:
    """One reading on its scale; ``y`` is the top of the strip in its picture.

    ``bound`` is the end of the scale towards which the value lies where the cell gave only
    that it is at least, or at most, what is shown.
    """

    y: float
    name: str
    condition: str
    value: str
    held: str
    reading: float
    bound: float | None
    whisker: tuple[float, float] | None
    bands: list[Band]
    limits: list[float]
    ticks: list[Mark]
    said: str


@dataclass(frozen=True)
class Picture:
    """Strips of one part, and how many more readings it has."""

    strips: list[Strip]
    left_out: int
    height: float = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "height", HEIGHT * len(self.strips))


class Scale:
    """Logarithmic scale that holds all of some values, with room at both ends."""

    def __init__(self, values: Iterable[float]) -> None:
        logs = [math.log10(value) for value in values if value > 0 and math.isfinite(value)]
        middle = (min(logs) + max(logs)) / 2
        half = max(max(logs) - min(logs), 0.3) / 2 * 1.25
        self.low, self.high = middle - half, middle + half

    def x(self, value: float, *, otherwise: float) -> float:
        """Place of a value; an open end (NaN) and what is not positive go where they are told."""
        if not value > 0:
            return otherwise
        share = (math.log10(value) - self.low) / (self.high - self.low)
        return round(LEFT + min(max(share, 0.0), 1.0) * (RIGHT - LEFT), 1)

    def ticks(self, quantity: str) -> list[Mark]:
        """Up to six round values of a quantity."""
        decades = range(math.floor(self.low), math.ceil(self.high) + 1)
        steps = next(steps for width, steps in STEPS if self.high - self.low <= width)
        values = [step * 10.0**decade for decade in decades for step in steps]
        inside = [value for value in values if self.low <= math.log10(value) <= self.high]
        return [
            Mark(self.x(value, otherwise=LEFT), quantity_figure(value, quantity))
            for value in inside[:: math.ceil(len(inside) / 6) or 1]
        ]


def pictures(judgement: Judgement) -> list[Picture | None]:
    """Picture of every part, in the order of the parts; None where it has no number to show."""
    readings = judgement.readings.reset_index(drop=True)
    captures = judgement.case.evidence.captures
    readings["value"] = captures.value  # of those taken in one go the first stands for all
    readings["low_end"] = readings["value"].fillna(readings["at_least"])
    readings["shown"] = readings["low_end"].fillna(readings["at_most"])
    drawn = readings.loc[(readings["shown"] > 0) & captures.leads]
    found = bands_of(judgement, drawn)
    limits = limits_of(judgement)
    by_part: dict[int, list[dict[str, Any]]] = {}
    for index, row in zip(drawn.index.tolist(), drawn.to_dict("records"), strict=True):
        named = {str(name): value for name, value in row.items()}
        by_part.setdefault(row["part_row"], []).append({**named, "row": index})
    return [
        picture(by_part[part], found, limits) if part in by_part else None
        for part in range(len(judgement.parts))
    ]


def picture(
    readings: list[dict[str, Any]],
    bands: dict[tuple[int, str], tuple[float, float]],
    limits: dict[int, list[tuple[float, float]]],
) -> Picture:
    """Picture of one part; readings that a rule weighed come before others."""
    weighed = sorted(readings, key=lambda row: (row["row"] not in limits, row["row"]))
    chosen = sorted(weighed[:STRIPS_AT_MOST], key=lambda row: row["row"])
    strips = [
        strip(row, HEIGHT * place, bands, limits.get(row["row"], []))
        for place, row in enumerate(chosen)
    ]
    return Picture(strips, len(readings) - len(strips))


def strip(
    row: dict[str, Any],
    y: float,
    bands: dict[tuple[int, str], tuple[float, float]],
    limits: list[tuple[float, float]],
) -> Strip:
    """Strip of one reading."""
    quantity, shown = str(row["quantity"]), float(row["shown"])
    own = {state: bands[row["row"], state] for state in STATES if (row["row"], state) in bands}
    ends = sorted({end for pair in limits for end in pair if end > 0})
    spread = row["uncertainty"] if row["uncertainty"] > 0 else 0.0
    scale = Scale([shown, *ends, *(end for pair in own.values() for end in pair)])
    value, bound = quantity_figure(shown, quantity), None
    if row["value"] != row["value"]:
        least = row["at_least"] == shown
        value, bound = f"{'at least' if least else 'at most'} {value}", RIGHT if least else LEFT
    return Strip(
        y=y,
        name=NAMES[quantity],
        condition=condition(row),
        value=value,
        held=held_against(ends, quantity),
        reading=scale.x(shown, otherwise=LEFT),
        bound=bound,
        whisker=(
            (scale.x(shown - spread, otherwise=LEFT), scale.x(shown + spread, otherwise=RIGHT))
            if spread
            else None
        ),
        bands=[band(state, pair, scale) for state, pair in own.items()],
        limits=[scale.x(end, otherwise=LEFT) for end in ends],
        ticks=scale.ticks(quantity),
        said="; ".join(
            [
                f"{NAMES[quantity]} {value}",
                *([held_against(ends, quantity)] if ends else []),
                *(f"{state} {span(*pair, quantity)}" for state, pair in own.items()),
            ]
        ),
    )


def held_against(ends: list[float], quantity: str) -> str:
    """Limits in words, "" where there is none."""
    figures = [quantity_figure(end, quantity) for end in ends]
    return f"limit{'s' if len(ends) > 1 else ''} {', '.join(figures)}" if ends else ""


def band(state: str, pair: tuple[float, float], scale: Scale) -> Band:
    """Band of one state; an open end runs to the end of the scale."""
    first, last = scale.x(pair[0], otherwise=LEFT), scale.x(pair[1], otherwise=RIGHT)
    y = BAND_TOP + BAND_PITCH * STATES.index(state)
    return Band(state, y, first, round(max(last - first, 1.0), 1))


def condition(row: dict[str, Any]) -> str:
    """How the reading was taken, as far as it is told."""
    told = []
    if row["frequency_hz"] == row["frequency_hz"]:
        told.append(
            "DC" if row["frequency_hz"] == 0 else format_quantity(row["frequency_hz"], "Hz")
        )
    if row["voltage_v"] == row["voltage_v"]:
        told.append(format_quantity(row["voltage_v"], "V"))
    if row["soak_s"] == row["soak_s"]:
        told.append(f"after {duration(row['soak_s'])}")
    if row["temperature_degc"] == row["temperature_degc"]:
        told.append(f"{format_quantity(row['temperature_degc'], '')} °C")
    return ", ".join(told)


def limits_of(judgement: Judgement) -> dict[int, list[tuple[float, float]]]:
    """Limits that the rules held each reading against, by row of the readings frame."""
    findings = judgement.findings
    held = findings.loc[findings["low"].notna() | findings["high"].notna()]
    found: dict[int, list[tuple[float, float]]] = {}
    for row, low, high in zip(
        held["reading_row"].tolist(), held["low"].tolist(), held["high"].tolist(), strict=True
    ):
        found.setdefault(row, []).append((low, high))
    return found


def bands_of(
    judgement: Judgement, readings: pd.DataFrame
) -> dict[tuple[int, str], tuple[float, float]]:
    """Expected band of each reading in each state, at the conditions of that reading."""
    told = readings[list(USUAL)].fillna(USUAL)
    share = share_at_voltage(judgement, readings)
    found: dict[tuple[int, str], tuple[float, float]] = {}
    for at in np.unique(told.to_numpy(float), axis=0):
        frequency, temperature, soak = at.tolist()
        rows = readings.loc[(told.to_numpy(float) == at).all(axis=1)]
        numbers = rows["part_row"].unique()
        bands = expected_bands(
            judgement.parts.iloc[numbers].reset_index(drop=True),
            frequency_hz=frequency,
            temperature_degc=temperature,
            soak_s=soak,
            policy=judgement.policy,
            today_year=judgement.today_year,
        )
        table = {
            (numbers[part], quantity, state): (low, high)
            for part, quantity, state, low, high in zip(
                bands["part_row"].tolist(),
                bands["quantity"].tolist(),
                bands["state"].tolist(),
                bands["low"].tolist(),
                bands["high"].tolist(),
                strict=True,
            )
        }
        for row, part, quantity in zip(
            rows.index.tolist(), rows["part_row"].tolist(), rows["quantity"].tolist(), strict=True
        ):
            for state in STATES:
                low, high = table.get((part, quantity, state), (math.nan, math.nan))
                if low == low or high == high:
                    found[row, state] = (low * share[row], high * share[row])
    return found


def share_at_voltage(judgement: Judgement, readings: pd.DataFrame) -> dict[int, float]:
    """Share of the leakage at rated voltage that flows at the voltage of each reading.

    1 for other quantities, and where a voltage is not told; NaN above the rated voltage,
    where nothing is known of the current.
    """
    rated = judgement.parts["voltage_rated"].to_numpy(float)[readings["part_row"]]
    share = leakage_voltage_factor(readings["voltage_v"].to_numpy(float) / rated)
    other = (readings["quantity"] != LEAKAGE_CURRENT) | readings["voltage_v"].isna()
    return dict(zip(readings.index, np.where(other, 1.0, share).tolist(), strict=True))
