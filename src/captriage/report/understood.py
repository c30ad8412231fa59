"""What was understood of the sheets, before anything is judged, and what was set aside."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final, TextIO

import pandas as pd

from captriage.columns import QUANTITIES, located
from captriage.report.figures import NAMES, duration, quantity_figure, rating
from captriage.report.plain_data import records, write_object
from captriage.report.summary import notes_kept, nothing_aside, set_aside_rows, some
from captriage.report.terminal import Terminal, padded, safe
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.columns import Sheets

READING: Final = (
    "part",
    "can",
    "section",
    "quantity",
    "value",
    "unit",
    "at_least",
    "at_most",
    "uncertainty",
    "frequency_hz",
    "voltage_v",
    "temperature_degc",
    "soak_s",
    "taken_at",
    "range_high",
    "meter",
    "flag",
    "raw",
    "source",
)
ALWAYS: Final = {"part", "can", "section", "quantity", "value", "unit", "flag", "raw", "source"}
LISTED_AT_MOST: Final = 200  # parts in the table; the JSON has them all
COLUMNS: Final = ("capacitance", "esr", "tan_delta", "leakage_current")


def write_json(found: Sheets, out: TextIO) -> None:
    """Write one object: parts, readings (one object a value), looks, set_aside, notes_kept."""
    readings = located(found.readings, found.parts)
    readings["unit"] = [QUANTITIES[name][0] for name in readings["quantity"]]
    looks = located(found.looks, found.parts)
    write_object(
        {
            "parts": records(found.parts),
            "readings": [
                {name: value for name, value in row.items() if value is not None or name in ALWAYS}
                for row in records(readings[list(READING)])
            ],
            "looks": records(looks[["part", "can", "section", "look", "raw", "source"]]),
            "set_aside": records(found.set_aside),
            "notes_kept": notes_kept(found.parts, found.looks, found.readings),
        },
        out,
    )


def write_table(found: Sheets, out: TextIO) -> None:
    """Write what was understood, as a person checks it against the sheet."""
    page = Terminal(out)
    number = len(found.parts)
    page.line(
        page.styled(
            f"{number} part{'' if number == 1 else 's'}, {len(found.readings)} readings, "
            f"{len(found.looks)} looks; {len(found.set_aside)} set aside",
            "heading",
        )
    )
    write_parts(found, page)
    write_conditions(found.readings, page)
    write_remarks(found, page)
    write_notes_kept(found, page)
    write_set_aside(found, page)


def write_parts(found: Sheets, page: Terminal) -> None:
    """A line a part: its rating, the year of making, and how many readings of what."""
    parts = found.parts.reset_index(drop=True)
    tally = Counter(
        zip(found.readings["part_row"].tolist(), found.readings["quantity"].tolist(), strict=True)
    )
    seen: dict[int, list[str]] = {}
    for row, look in zip(found.looks["part_row"].tolist(), found.looks["look"], strict=True):
        seen.setdefault(row, []).append(look)
    page.heading("Parts")
    labels = ("C", "ESR", "tan δ", "leak")
    page.line(
        page.styled(
            f"{'part':<14}{'rating':<18}{'made':<6}"
            + "".join(f"{label:>6}" for label in labels)
            + "  looks",
            "quiet",
        )
    )
    for row, part in enumerate(parts.head(LISTED_AT_MOST).to_dict("records")):
        numbers = [tally[row, name] for name in COLUMNS]
        page.line(
            padded(part["part"], 13)
            + " "
            + padded(rating(part["capacitance_rated"], part["voltage_rated"]) or "–", 17)
            + " "
            + f"{year(part['made']):<6}"
            + "".join(f"{number or '–':>6}" for number in numbers)
            + f"  {safe(', '.join(seen.get(row, ['–'])))}"
        )
    if len(parts) > LISTED_AT_MOST:
        page.line(f"... and {len(parts) - LISTED_AT_MOST} more; --format json lists them all")


def year(made: float) -> str:
    """Year of making, "–" where it is not known."""
    return "–" if made != made else f"{made:.0f}"


def write_conditions(readings: pd.DataFrame, page: Terminal) -> None:
    """How each quantity was read: how many values, and at which conditions."""
    if readings.empty:
        return
    page.heading("Readings")
    for name, group in readings.groupby(readings["quantity"].astype(str), sort=False):
        values = group["value"].dropna()
        told = [f"{len(group)} of {NAMES[str(name)]}"]
        if len(values):
            low, high = values.min(), values.max()
            told.append(f"{quantity_figure(low, str(name))} to {quantity_figure(high, str(name))}")
        if len(values) < len(group):
            told.append(f"{len(group) - len(values)} without a number")
        told += conditions(group)
        page.paragraph("; ".join(told), first="  - ")


def conditions(group: pd.DataFrame) -> list[str]:
    """Frequencies, soak times and voltages of some readings, in words."""
    told = []
    frequencies = [
        "DC" if value == 0 else format_quantity(value, "Hz")
        for value in sorted(group["frequency_hz"].dropna().unique())
    ]
    if frequencies:
        told.append("at " + listed(frequencies))
    soaks = [duration(value) for value in sorted(group["soak_s"].dropna().unique())]
    if soaks:
        told.append("after " + listed(soaks))
    volts = [format_quantity(value, "V") for value in sorted(group["voltage_v"].dropna().unique())]
    if volts:
        told.append("with " + listed(volts) + " on")
    return told


def listed(words: list[str]) -> str:
    """Words between commas, a long list shortened in the middle."""
    if len(words) > 6:
        words = [*words[:3], "...", *words[-2:]]
    return ", ".join(words)


def write_remarks(found: Sheets, page: Terminal) -> None:
    """What had to be said of cells that were used all the same."""
    told = remarks_of_parts(found.parts)
    flagged = located(found.readings.loc[found.readings["flag"] != ""], found.parts)
    told += remarks_of_readings(flagged)
    if told:
        page.heading("Used, with a remark")
        page.items(told[:LISTED_AT_MOST])
        if len(told) > LISTED_AT_MOST:
            page.line(f"... and {len(told) - LISTED_AT_MOST} more; --format json lists them all")


def remarks_of_parts(parts: pd.DataFrame) -> list[str]:
    """What had to be said of parts: of one with its place, of several once for all of them."""
    holders: dict[str, dict[str, str]] = {}
    columns = ("flag", "part", "source_file", "line")
    for flag, part, file, line in zip(*(parts[name].tolist() for name in columns), strict=True):
        for each in flag.split("; ") if flag else ():
            holders.setdefault(each, {}).setdefault(part, f"{part} ({file}:{line})")
    return [
        f"{next(iter(places.values())) if len(places) == 1 else some(list(places))}: {flag}"
        for flag, places in holders.items()
    ]


def remarks_of_readings(flagged: pd.DataFrame) -> list[str]:
    """The same of readings; what the cell says only where it is a single one."""
    holders: dict[tuple[str, str], list[tuple[str, str, str]]] = {}
    columns = ("quantity", "flag", "part", "source", "raw")
    for quantity, flag, *cell in zip(*(flagged[name].tolist() for name in columns), strict=True):
        holders.setdefault((quantity, flag), []).append(tuple(cell))
    told = []
    for (quantity, flag), cells in holders.items():
        if len(cells) == 1:
            part, source, raw = cells[0]
            told.append(f"{part}, {NAMES[quantity]} ({source}): {flag}; the cell says {raw!r}")
        else:
            names = list(dict.fromkeys(part for part, _, _ in cells))
            told.append(f"{some(names)}, {NAMES[quantity]}: {flag}")
    return told


def write_notes_kept(found: Sheets, page: Terminal) -> None:
    """Every note that tells for or against no part: whose it is, where, and its text."""
    kept = notes_kept(found.parts, found.looks, found.readings)
    if not kept:
        return
    page.heading("Kept, and not weighed")
    shown = kept[:LISTED_AT_MOST]
    page.items(f"{each['part']} ({each['source']}): {shortened(each['note'])}" for each in shown)
    if len(kept) > LISTED_AT_MOST:
        page.line(f"... and {len(kept) - LISTED_AT_MOST} more; --format json lists them all")


def write_set_aside(found: Sheets, page: Terminal) -> None:
    """Every cell that could not be used: where, what was found, why, and what to do."""
    set_aside = found.set_aside
    if set_aside.empty:
        page.line()
        page.line(nothing_aside(found.parts, found.looks, found.readings))
        return
    page.heading("Set aside")
    reasons: dict[str, list[str]] = {}
    for row in set_aside_rows(set_aside.head(LISTED_AT_MOST)):
        heading = f" ({row['heading']})" if row["heading"] else ""
        text = f"{row['place']}{heading}: {shortened(row['found'])}"
        reasons.setdefault(f"{row['reason']}; {row['remedy']}", []).append(text)
    for reason, places in reasons.items():
        page.paragraph(reason, first="  - ")
        page.items(places, mark="      ")
    if len(set_aside) > LISTED_AT_MOST:
        page.line(f"... and {len(set_aside) - LISTED_AT_MOST} more; --format json lists them all")


def shortened(text: str, *, most: int = 160) -> str:
    """Raw text in quotes, cut where it is long."""
    return repr(text) if len(text) <= most else f"{text[:most]!r}... ({len(text)} signs)"
