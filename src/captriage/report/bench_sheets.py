"""Bench sheets: each part with the readings to take, beside the limits they must keep."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, TextIO

import numpy as np

from captriage.columns import (
    CAPACITANCE,
    CAPACITANCE_BEFORE,
    ESR,
    ESR_BEFORE,
    LEAKAGE_CURRENT,
    TAN_DELTA_BEFORE,
)
from captriage.judging.expectations import NEW, SPENT, expected_bands
from captriage.model.leakage import leakage_voltage_factor
from captriage.report.ascii_signs import ascii_only
from captriage.report.figures import NOT_GIVEN, duration, rating, span
from captriage.report.grouping import grouped
from captriage.report.rule_books import cell
from captriage.report.summary import NEVER
from captriage.report.verdict_csv import harmless
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement

FREQUENCY_HZ: Final = 120.0  # the limits beside the cells hold at this frequency
GIVEN: Final = {
    # column of the parts: heading the reader knows
    "made": "made",
    "age_years": "age (years)",
    "idle_years": "idle (years)",
    "voltage_working": "working voltage (V)",
    "service_hours": "service hours",
    "service_temperature_degc": "service temperature (C)",
    "grade": "grade",
    "polarity": "polarity",
    "role": "role",
    "reform_outcome": "reforming",
}
FOUND: Final = {
    # what was found already, by a heading of its own: good figures do not write over it
    "looks": "condition",
    "short": "resistance (ohm)",
    "open": "impedance (ohm)",
}
BEFORE: Final = {
    # what it read before a reform: heading of the value in its unit, and of its frequency
    CAPACITANCE_BEFORE: ("capacitance before (uF)", 1e6, "capacitance before frequency (Hz)"),
    ESR_BEFORE: ("ESR before (ohm)", 1.0, "ESR before frequency (Hz)"),
    TAN_DELTA_BEFORE: ("tan delta before", 1.0, "tan delta before frequency (Hz)"),
}
BEFORE_CELLS: Final = tuple(name for value, _, at in BEFORE.values() for name in (value, at))
REFORMING: Final = GIVEN["reform_outcome"]
SOUND: Final = "sound"
CARRIED: Final = {
    # rule: heading and word that carry its failure on
    "not_shorted": (FOUND["short"], "short"),
    "not_open": (FOUND["open"], "open"),
    "leakage_not_rising": (REFORMING, "rising"),
}
CAPACITANCE_CELL: Final = "capacitance (uF)"
LEAKAGE_CELL: Final = "leakage (uA)"
TO_READ: Final = (
    "in circuit",
    "looks",
    CAPACITANCE_CELL,
    "capacitance frequency (Hz)",
    "ESR (ohm)",
    "ESR frequency (Hz)",
    LEAKAGE_CELL,
    "test voltage (V)",
    "after (min)",
    "temperature (C)",
)
HOW: Final = "description"  # a heading that the reader keeps and does not weigh
NO_VOLTAGE: Final = "no voltage"  # in the leakage cell of a part that must see none


@dataclass(frozen=True)
class BenchSheet:
    """Rows to fill in, one a part or section, and the cautions that come first."""

    rows: list[dict[str, Any]]
    cautions: list[str]
    policy: str


def bench_sheet_of(judgement: Judgement) -> BenchSheet:
    """Bench sheet for the parts of a judgement; what condemns one already stays on it."""
    from captriage.judging.cautions import cautions

    parts = judgement.parts.reset_index(drop=True).to_dict("records")
    limits = limits_beside(judgement)
    known = [
        given_cells(part) | before | found
        for part, before, found in zip(
            parts, read_before(judgement), found_already(judgement), strict=True
        )
    ]
    return BenchSheet(
        rows=[
            {
                "part": row["part"],
                "name": row["can"] or row["part"],
                "section": row["section"],
                "rating": row["rating"],
                "marking": marking(parts[row["number"]]),
                "given": known[row["number"]],
                "filled": filled_cells(known[row["number"]], never=row["energise"] == NEVER),
                "found": found_in_words(known[row["number"]]),
                "limits": {name: texts[row["number"]] for name, texts in limits.items()}
                | ({"leakage": NO_VOLTAGE} if row["energise"] == NEVER else {}),
                "how": f"{row['next']} Voltage: {row['energise']}.",
            }
            for row in grouped(judgement)
        ],
        cautions=cautions(judgement),
        policy=judgement.policy.title,
    )


def found_already(judgement: Judgement) -> list[dict[str, str]]:
    """Looks, shorts, opens and rising currents found, by the heading that reads them back.

    A short that was read in circuit is none yet: only what condemned the part is carried.
    """
    found: list[dict[str, str]] = [{} for _ in range(len(judgement.parts))]
    looks = zip(judgement.looks["part_row"].tolist(), judgement.looks["look"], strict=True)
    for part, look in dict.fromkeys(looks):
        if look != SOUND:
            before = found[part].get(FOUND["looks"])
            found[part][FOUND["looks"]] = f"{before}; {look}" if before else look
    findings = judgement.findings
    told = findings.loc[
        findings["rule"].isin(CARRIED) & (findings["outcome"] == "fail"),
        ["part_row", "rule", "wording", "value"],
    ]
    for part, rule, wording, value in told.itertuples(index=False, name=None):
        heading, text = CARRIED[rule]
        found[part][heading] = f"{value:.6g}" if wording == "conducts" else text
    return found


def read_before(judgement: Judgement) -> list[dict[str, str]]:
    """What each part read before a reform: nobody can read that again."""
    found: list[dict[str, str]] = [{} for _ in range(len(judgement.parts))]
    readings = judgement.readings
    told = readings["quantity"].isin(list(BEFORE)) & readings["value"].notna()
    then = readings.loc[told & ~judgement.case.evidence.superseded]
    for part, quantity, value, hertz in then[
        ["part_row", "quantity", "value", "frequency_hz"]
    ].itertuples(index=False, name=None):
        heading, times, at = BEFORE[quantity]
        if heading in found[part]:
            continue  # the sheet has room for one
        found[part][heading] = f"{value * times:.6g}"
        if hertz == hertz:
            found[part][at] = f"{hertz:.6g}"
    return found


def filled_cells(known: dict[str, str], *, never: bool) -> dict[str, str]:
    """Cells to read that are not left empty: the word that was found, or that none is to be."""
    filled = {}
    if FOUND["open"] in known:
        filled[CAPACITANCE_CELL] = known[FOUND["open"]]
    if never:
        filled[LEAKAGE_CELL] = NO_VOLTAGE
    return filled


def found_in_words(cells: dict[str, str]) -> str:
    """What was found already, to print; "" where there is nothing."""
    looks, ohms, word, reformed = (cells.get(name, "") for name in (*FOUND.values(), REFORMING))
    resistance = f"{ohms} Ω" if ohms[:1].isdigit() else ohms
    reforming = f"reforming: {reformed}" if reformed else ""
    before = [f"{value}: {cells[value]}" for value, _, _ in BEFORE.values() if value in cells]
    return "; ".join(text for text in (looks, resistance, word, reforming, *before) if text)


def limits_beside(judgement: Judgement) -> dict[str, list[str]]:
    """Limits that the judging holds each part against, in words, by what is to be read."""
    bands = expected_bands(
        judgement.parts,
        frequency_hz=FREQUENCY_HZ,
        policy=judgement.policy,
        today_year=judgement.today_year,
    )

    def ends(quantity: str, state: str) -> list[list[float]]:
        rows = bands.loc[(bands["quantity"] == quantity) & (bands["state"] == state)]
        return rows.sort_values("part_row")[["low", "high"]].to_numpy(float).tolist()

    evidence, criteria = judgement.case.evidence, judgement.case.criteria
    volts = np.fmin(evidence.voltage_proof, evidence.voltage_rated)
    most = criteria.lenient * leakage_voltage_factor(volts / evidence.voltage_rated)
    return {
        "C": [span(low, high, CAPACITANCE) for low, high in ends(CAPACITANCE, NEW)],
        "ESR": [span(math.nan, limit, ESR) for limit, _ in ends(ESR, SPENT)],
        "leakage": [
            f"{span(math.nan, limit, LEAKAGE_CURRENT)} at {format_quantity(at, 'V')}, "
            f"{duration(after)}"
            if limit == limit
            else NOT_GIVEN
            for limit, at, after in zip(
                most.tolist(), volts.tolist(), criteria.soak_s.tolist(), strict=True
            )
        ],
    }


def marking(part: dict[Any, Any]) -> str:
    """Rating and tolerance as they would be printed on the part; the reader knows them so."""
    low, high = part["tolerance_low"], part["tolerance_high"]
    tolerance = f" {100 * low:+.4g}/{100 * high:+.4g} %" if low == low and high == high else ""
    printed = rating(part["capacitance_rated"], part["voltage_rated"], digits=6)
    return printed + tolerance if printed else ""


def given_cells(part: dict[Any, Any]) -> dict[str, str]:
    """What is known of a part, by the heading under which it is read back."""
    known = {heading: part[column] for column, heading in GIVEN.items()}
    return {
        heading: value if isinstance(value, str) else format_quantity(value, "", digits=6)
        for heading, value in known.items()
        if value == value and value != ""
    }


def write_csv(sheet: BenchSheet, out: TextIO) -> None:
    """Write a sheet to fill in and to judge: ASCII, so that any spreadsheet keeps its signs."""
    known = [
        name
        for name in (*GIVEN.values(), *BEFORE_CELLS, *FOUND.values())
        if any(name in row["given"] for row in sheet.rows)
    ]
    sections = ["section"] if any(row["section"] for row in sheet.rows) else []
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(["part", *sections, "rating", *known, *TO_READ, HOW])
    for row in sheet.rows:
        limits = "; ".join(f"{name} {text}" for name, text in row["limits"].items())
        cells = [row["name"], *(row[name] for name in sections), row["marking"]]
        cells += [row["given"].get(name, "") for name in known]
        cells += [row["filled"].get(name, "") for name in TO_READ]
        cells += [f"Limits: {limits}. {row['how']}"]
        rows.writerow(harmless([ascii_only(text) for text in cells]))


def write_markdown(sheet: BenchSheet, out: TextIO) -> None:
    """Write a table to fill in by hand or in a diary."""
    out.write("# Bench sheet\n\n## Before anything is touched\n\n")
    out.writelines(f"- {cell(caution)}\n" for caution in sheet.cautions)
    out.write("\n| part | rating | looks | C | ESR, 120 Hz | leakage | how |\n|")
    out.write("---|" * 7 + "\n")
    for row in sheet.rows:
        cells = [
            row["part"],
            row["rating"],
            row["found"],
            *row["limits"].values(),
            row["how"],
        ]
        out.write(f"| {' | '.join(cell(text) for text in cells)} |\n")


def write_html(sheet: BenchSheet, out: TextIO) -> None:
    """Write a page to print, with empty cells above the limits."""
    from captriage.report.pages import write_page

    write_page("bench.html.j2", out, sheet=sheet)
