"""Bench sheets: each part with the readings to take, beside the limits they must keep."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, TextIO

import pandas as pd

from captriage.judge.expectations import SOUND, expected_bands
from captriage.report.ascii_signs import ascii_only
from captriage.report.cards import interval
from captriage.report.grouping import grouped
from captriage.report.rule_books import cell
from captriage.report.verdict_csv import harmless
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.judge.verdicts import Judgement

FREQUENCY_HZ: Final = 120.0  # the limits beside the cells hold at this frequency
GIVEN: Final = {
    # column of the parts: heading the reader knows, factor from SI
    "capacitance_rated": ("rated (uF)", 1e6),
    "voltage_rated": ("rated (V)", 1.0),
    "made": ("made", 1.0),
    "age_years": ("age (years)", 1.0),
    "idle_years": ("idle (years)", 1.0),
    "voltage_working": ("working voltage (V)", 1.0),
    "service_hours": ("service hours", 1.0),
    "service_temperature_degc": ("service temperature (C)", 1.0),
}
WORDS: Final = {
    "grade": "grade",
    "polarity": "polarity",
    "role": "role",
    "in_circuit": "in circuit",
    "reform_outcome": "reforming",
}
TO_READ: Final = (
    # heading, quantity whose limit stands beside it ("" for a condition or a remark)
    ("looks", ""),
    ("capacitance (uF)", "capacitance"),
    ("capacitance frequency (Hz)", ""),
    ("ESR (ohm)", "esr"),
    ("ESR frequency (Hz)", ""),
    ("leakage (uA)", "leakage_current"),
    ("test voltage (V)", ""),
    ("after (min)", ""),
    ("temperature (C)", ""),
)
LIMIT_HEADINGS: Final = {
    "capacitance": "limits of capacitance",
    "esr": "limits of ESR at 120 Hz",
    "leakage_current": "limits of leakage",
}
HOW: Final = "description"  # a heading that the reader keeps and does not weigh


@dataclass(frozen=True)
class BenchSheet:
    """Rows to fill in, one a part or section, and the cautions that come first."""

    rows: list[dict[str, Any]]
    cautions: list[str]
    policy: str


def bench_sheet_of(judgement: Judgement) -> BenchSheet:
    """Bench sheet for the parts of a judgement, whatever has been read of them already."""
    from captriage.judge.cautions import cautions

    parts = judgement.parts.reset_index(drop=True)
    bands = expected_bands(
        parts,
        frequency_hz=FREQUENCY_HZ,
        policy=judgement.policy,
        today_year=judgement.today_year,
    )
    given = parts.to_dict("records")
    by_part = dict(iter(bands.groupby("part_row")))
    return BenchSheet(
        rows=[
            bench_row(row, given[row["number"]], by_part.get(row["number"], bands.iloc[:0]))
            for row in grouped(judgement)
        ],
        cautions=cautions(judgement),
        policy=judgement.policy.title,
    )


def bench_row(verdict: dict[str, Any], part: dict[Any, Any], bands: pd.DataFrame) -> dict[str, Any]:
    """One part: what is known of it, its limits in words, and what to read."""
    return {
        "part": verdict["part"],
        "name": part["can"] or part["part"],
        "section": part["section"],
        "rating": verdict["rating"],
        "given": given_cells(part),
        "limits": {quantity: interval(bands, quantity, SOUND) for quantity in LIMIT_HEADINGS},
        "how": f"{verdict['next']} Voltage: {verdict['energise']}.",
    }


def given_cells(part: dict[Any, Any]) -> dict[str, str]:
    """What is known of a part, by the heading under which it is read back."""
    found = {
        heading: format_quantity(part[column] * factor, "", digits=6)
        for column, (heading, factor) in GIVEN.items()
        if part[column] == part[column]
    }
    low, high = part["tolerance_low"], part["tolerance_high"]
    if low == low and high == high:
        found["tolerance"] = f"{100 * low:+.4g}/{100 * high:+.4g} %"
    return found | {heading: part[column] for column, heading in WORDS.items() if part[column]}


def write_csv(sheet: BenchSheet, out: TextIO) -> None:
    """Write a sheet to fill in and to judge: ASCII, so that any spreadsheet keeps its signs."""
    known = [heading for heading, _ in GIVEN.values()]
    known[2:2] = ["tolerance"]
    known += WORDS.values()
    known = [name for name in known if any(name in row["given"] for row in sheet.rows)]
    sections = ["section"] if any(row["section"] for row in sheet.rows) else []
    heads, empty = ["part", *sections, *known], []
    for heading, quantity in TO_READ:
        empty += [heading, LIMIT_HEADINGS[quantity]] if quantity else [heading]
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow([*heads, *empty, HOW])
    for row in sheet.rows:
        limits = {LIMIT_HEADINGS[name]: text for name, text in row["limits"].items()}
        cells = [row["name"], *(row[name] for name in sections)]
        cells += [row["given"].get(name, "") for name in known]
        cells += [limits.get(name, "") for name in empty]
        rows.writerow(harmless([ascii_only(text) for text in [*cells, row["how"]]]))


def write_markdown(sheet: BenchSheet, out: TextIO) -> None:
    """Write a table to fill in by hand or in a diary."""
    out.write("# Bench sheet\n\n## Before anything is touched\n\n")
    out.writelines(f"- {cell(caution)}\n" for caution in sheet.cautions)
    out.write("\n| part | rating | looks | C | ESR, 120 Hz | leakage | how |\n|")
    out.write("---|" * 7 + "\n")
    for row in sheet.rows:
        cells = [row["part"], row["rating"], "", *row["limits"].values(), row["how"]]
        out.write(f"| {' | '.join(cell(text) for text in cells)} |\n")


def write_html(sheet: BenchSheet, out: TextIO) -> None:
    """Write a page to print, with empty cells above the limits."""
    from captriage.report.pages import write_page

    write_page("bench.html.j2", out, sheet=sheet)
