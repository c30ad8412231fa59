"""Verdicts as one printable page: cautions, summary, table, and every part with its picture."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TextIO

from captriage.judging.expectations import STATES
from captriage.report import summary
from captriage.report.findings import findings_by_part, limits_apart
from captriage.report.grouping import grouped
from captriage.report.pages import write_page
from captriage.report.pictures import pictures
from captriage.report.rule_books import policy_entries

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement
    from captriage.report.reform_drawing import Drawing


def write_html(judgement: Judgement, out: TextIO) -> None:
    """Write a self-contained page without scripts; the same judgement gives the same bytes."""
    from captriage.judging.cautions import cautions
    from captriage.judging.rules import RULES

    rows = described(judgement)
    limits = [limit for row in rows for limit in limits_apart(row["limit"])]
    limits += [finding["limit"] for row in rows for finding in row["findings"]]
    write_page(
        "report.html.j2",
        out,
        counted=summary.counted(judgement),
        sheets=summary.sheet_names(judgement),
        policy=judgement.policy,
        policy_entries=policy_entries(judgement.policy),
        today_year=judgement.today_year,
        cautions=cautions(judgement),
        named=summary.named(judgement),
        rows=rows,
        limits=[limit for limit in dict.fromkeys(limits) if limit],
        states=STATES,
        rules=RULES,
        set_aside=summary.set_aside_rows(judgement.set_aside),
        nothing_aside=summary.nothing_aside(judgement.parts, judgement.looks, judgement.readings),
    )


def described(judgement: Judgement) -> list[dict[str, Any]]:
    """Verdict rows with their findings, their picture, their curves and the year of making."""
    findings = findings_by_part(judgement)
    drawn = pictures(judgement)
    curves = drawings(judgement)
    made = judgement.parts["made"].tolist()
    return [
        {
            **row,
            "findings": findings.get(row["number"], []),
            "picture": drawn[row["number"]],
            "curves": curves.get(row["number"], ()),
            "made": ""
            if made[row["number"]] != made[row["number"]]
            else f"{made[row['number']]:.0f}",
        }
        for row in grouped(judgement)
    ]


def drawings(judgement: Judgement) -> dict[int, tuple[Drawing, ...]]:
    """Reforming curves of each part that has some, as they are drawn."""
    if not judgement.curves:
        return {}
    from captriage.report.reform_drawing import drawing_of

    return {row: tuple(map(drawing_of, reads)) for row, reads in judgement.curves.items()}
