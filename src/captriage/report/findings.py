"""Findings in words: each with its sentence, its limit, and the cell it rests on."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

import pandas as pd

from captriage.report.plain_data import records

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement

FINDING: Final = ("rule", "outcome", "probability", "because", "limit", "advice", "source")
NEXT_LIMIT: Final = re.compile(r"; (?=(?:tolerance|loss|leakage) )")


def limits_apart(text: str) -> list[str]:
    """Single limits of a text that joins several."""
    return NEXT_LIMIT.split(text) if text else []


def findings_by_part(judgement: Judgement) -> dict[int, list[dict[str, Any]]]:
    """Findings of each row of the parts frame, each with its sentence, limit and source."""
    found = findings_in_words(judgement)
    by_part: dict[int, list[dict[str, Any]]] = {}
    for row, finding in zip(found["part_row"].tolist(), records(found[list(FINDING)]), strict=True):
        by_part.setdefault(row, []).append(finding)
    return by_part


def findings_in_words(judgement: Judgement) -> pd.DataFrame:
    """Findings with ``because`` (the sentence), the limit in words and ``source`` spelt out.

    ``source`` is "file:line:column" of the reading, its file where it is what a whole log tells, or
    "file:line" of the part where the rule looked at no reading.
    """
    from captriage.judging.limit_words import limit_text
    from captriage.judging.wording import finding_sentences

    findings = judgement.findings.reset_index(drop=True)
    parts = judgement.parts.reset_index(drop=True)
    readings = judgement.readings.reset_index(drop=True)
    of_part = (parts["source_file"].astype(str) + ":" + parts["line"].astype(str)).tolist()
    of_reading = [
        f"{file}:{line}:{column}" if line else str(file)  # of a whole log
        for file, line, column in zip(
            readings["source_file"].tolist(),
            readings["line"].tolist(),
            readings["column"].tolist(),
            strict=True,
        )
    ]
    policy = judgement.policy
    limits = {key: limit_text(key, policy) for key in findings["limit"].unique().tolist()}
    rows = zip(findings["part_row"].tolist(), findings["reading_row"].tolist(), strict=True)
    spelt: pd.DataFrame = findings.assign(
        because=finding_sentences(judgement),
        limit=[limits[key] for key in findings["limit"].tolist()],
        source=[of_reading[reading] if reading >= 0 else of_part[part] for part, reading in rows],
    )
    return spelt
