"""Verdicts as JSON: what each part is, every finding, the cautions and what was set aside."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, TextIO

from captriage.report import summary
from captriage.report.findings import findings_by_part
from captriage.report.plain_data import records, write_object

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement


def write_json(judgement: Judgement, out: TextIO) -> None:
    """Write one object: verdicts, summary, policy, cautions, set_aside."""
    from captriage.judging.cautions import cautions

    findings = findings_by_part(judgement)
    verdicts = records(judgement.verdicts)
    for row, verdict in enumerate(verdicts):
        verdict["findings"] = findings.get(row, [])
    write_object(
        {
            "verdicts": verdicts,
            "summary": {
                "parts": len(verdicts),
                **summary.counts(judgement),
                "never_energise": summary.never_energise(judgement),
                "today_year": judgement.today_year,
            },
            "policy": asdict(judgement.policy),
            "cautions": cautions(judgement),
            "set_aside": records(judgement.set_aside),
        },
        out,
    )
