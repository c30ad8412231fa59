"""Verdicts as Markdown, to paste into a restoration diary."""

from __future__ import annotations

from typing import TYPE_CHECKING, TextIO

from captriage.report import summary
from captriage.report.findings import findings_by_part
from captriage.report.grouping import grouped
from captriage.report.rule_books import cell

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement


def write_markdown(judgement: Judgement, out: TextIO) -> None:
    """Write cautions, the table of verdicts, every finding, and what was set aside."""
    from captriage.judging.cautions import cautions

    out.write(f"# {summary.counted(judgement)}\n\n")
    out.write(f"House policy: {cell(judgement.policy.title)}. ")
    out.write(f"Ages reckoned to {judgement.today_year}.\n\n## Before anything is touched\n\n")
    out.writelines(f"- {cell(warning)}\n" for warning in cautions(judgement))
    out.write("\n## Verdicts\n\n")
    write_rows(
        out,
        ("part", "rating", "verdict", "sure", "because", "limit", "next"),
        [
            (
                row["part"],
                row["rating"],
                row["verdict"],
                row["sure"],
                row["because"],
                row["limit"],
                row["next"],
            )
            for row in grouped(judgement)
        ],
    )
    write_findings(judgement, out)
    out.write("\n## Assumed\n\n")
    out.writelines(f"- {cell(text)}\n" for text in summary.assumed(judgement) or ["nothing"])
    out.write("\n## Set aside\n\n")
    if judgement.set_aside.empty:
        said = summary.nothing_aside(judgement.parts, judgement.looks, judgement.readings)
        out.write(f"{said}\n")
    else:
        write_rows(
            out,
            ("where", "heading", "found", "why", "what to do"),
            [
                (
                    row["place"],
                    row["heading"],
                    row["found"],
                    row["reason"],
                    row["remedy"],
                )
                for row in summary.set_aside_rows(judgement.set_aside)
            ],
        )


def write_findings(judgement: Judgement, out: TextIO) -> None:
    """Write every finding of every part, and what was assumed of it."""
    findings = findings_by_part(judgement)
    out.write("\n## Findings\n")
    for row in grouped(judgement):
        out.write(f"\n### {cell(row['part'])}\n\n")
        if row["assumed"]:
            out.write(f"- Assumed: {cell(row['assumed'])}\n")
        for finding in findings.get(row["number"], []):
            limit = f" Limit: {finding['limit']}." if finding["limit"] else ""
            text = f"{finding['outcome']}: {finding['because']}{limit} ({finding['source']})"
            out.write(f"- {cell(text)}\n")


def write_rows(out: TextIO, heads: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
    """Write one table."""
    out.write(f"| {' | '.join(heads)} |\n|{'---|' * len(heads)}\n")
    out.writelines(f"| {' | '.join(cell(text) for text in row)} |\n" for row in rows)
