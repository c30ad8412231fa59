"""What a part should read: new, sound at its age, and at the end of its life, as a card."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, TextIO

import pandas as pd

from captriage.judging.expectations import STATES
from captriage.report.figures import NAMES, duration, rating, span
from captriage.report.plain_data import records, write_object
from captriage.report.terminal import Terminal
from captriage.report.verdict_csv import write_frame
from captriage.units import format_quantity

BAND: Final = ("quantity", "state", "low", "high", "reference", "assumption")


@dataclass(frozen=True)
class Card:
    """Expected bands of one part or section, and the conditions they hold at.

    ``bands`` has the columns of :data:`BAND`, ends in SI, NaN where open.
    """

    section: str
    capacitance_rated: float
    voltage_rated: float
    made: float
    bands: pd.DataFrame
    frequency_hz: float
    temperature_degc: float
    soak_s: float
    policy: str
    today_year: int
    remarks: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """Rating, section and year of making in words."""
        section = f", section {self.section}" if self.section else ""
        made = (
            "year of making unknown"
            if self.made != self.made
            else f"made {self.made:.0f} ({self.today_year - self.made:.0f} years old)"
        )
        return f"{rating(self.capacitance_rated, self.voltage_rated)}{section}, {made}"

    @property
    def conditions(self) -> str:
        """Conditions of the readings in words."""
        frequency = format_quantity(self.frequency_hz, "Hz")
        return (
            f"At {frequency} and {format_quantity(self.temperature_degc, '')} °C; "
            f"leakage {duration(self.soak_s)} after the rated voltage is applied"
        )


def write_table(cards: list[Card], out: TextIO) -> None:
    """Write each card: a line a quantity, then what was assumed and every source."""
    page = Terminal(out)
    for number, card in enumerate(cards):
        if number:
            page.line()
        page.line(page.styled(card.title, "heading"))
        page.line(f"{card.conditions}.")
        page.line(f"House policy: {card.policy}.")
        page.line()
        head = f"{'':<13}" + "".join(f"{state:<22}" for state in STATES)
        page.line(page.styled(head, "quiet"))
        for quantity in card.bands["quantity"].unique():
            spans = [interval(card.bands, quantity, state) for state in STATES]
            page.line(f"{NAMES[quantity]:<13}" + "".join(f"{text:<22}" for text in spans))
        page.heading("Assumed")
        page.items(assumptions(card))
        page.heading("Sources")
        page.items(sources(card))


def interval(bands: pd.DataFrame, quantity: str, state: str) -> str:
    """Band of a quantity in a state, in words."""
    rows = bands.loc[(bands["quantity"] == quantity) & (bands["state"] == state)]
    if rows.empty:
        return span(float("nan"), float("nan"), quantity)
    return span(float(rows["low"].iloc[0]), float(rows["high"].iloc[0]), quantity)


def assumptions(card: Card) -> list[str]:
    """What had to be taken for granted, each text whole, after the bands it holds for."""
    return [*card.remarks, *by_band(card.bands, "assumption")] or ["nothing"]


def sources(card: Card) -> list[str]:
    """Sources of the figures shown, each with what it is the source of."""
    shown = card.bands[["low", "high"]].notna().any(axis=1)
    return by_band(card.bands.loc[shown], "reference")


def by_band(bands: pd.DataFrame, column: str) -> list[str]:
    """Distinct texts of a column, each after the bands it is told of.

    A quantity is named without its states where the text holds for all of its bands.
    """
    states = bands.groupby("quantity", sort=False)["state"].agg(list).to_dict()
    found: dict[str, dict[str, list[str]]] = {}
    for band in bands.loc[bands[column] != ""].to_dict("records"):
        quantities = found.setdefault(band[column], {})
        quantities.setdefault(band["quantity"], []).append(band["state"])
    return [
        f"{', '.join(band_name(name, told, states[name]) for name, told in quantities.items())}: "
        f"{text}"
        for text, quantities in found.items()
    ]


def band_name(quantity: str, told: list[str], states: list[str]) -> str:
    """Quantity and the states meant, or the quantity alone where all are."""
    name = NAMES[quantity]
    return name if told == states else ", ".join(f"{name} {state}" for state in told)


def write_json(cards: list[Card], out: TextIO) -> None:
    """Write one object with a list of cards, bands in SI."""
    write_object({"cards": [as_object(card) for card in cards]}, out)


def as_object(card: Card) -> dict[str, Any]:
    """One card as plain data."""
    numbers = pd.DataFrame(
        {
            "section": [card.section],
            "capacitance_rated": [card.capacitance_rated],
            "voltage_rated": [card.voltage_rated],
            "made": [card.made],
            "frequency_hz": [card.frequency_hz],
            "temperature_degc": [card.temperature_degc],
            "soak_s": [card.soak_s],
            "policy": [card.policy],
            "today_year": [card.today_year],
        }
    )
    return {
        **records(numbers)[0],
        "bands": records(card.bands[list(BAND)]),
        "assumed": assumptions(card),
    }


def write_csv(cards: list[Card], out: TextIO) -> None:
    """Write a row a band, with the section before it."""
    frames = [card.bands[list(BAND)].assign(section=card.section) for card in cards]
    write_frame(pd.concat(frames)[["section", *BAND]], out)
