"""Verdict rows in the order a person reads them: as in the sheet, a can's sections together."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

from captriage.columns import NOT_JUDGED
from captriage.report.figures import NOT_GIVEN, percent, rating

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement


def grouped(judgement: Judgement) -> list[dict[str, Any]]:
    """Verdict rows with ``number`` (row of the parts) and, in words, rating, sure and sections."""
    verdicts = judgement.verdicts.reset_index(drop=True)
    parts = judgement.parts.reset_index(drop=True)
    cans = verdicts["can"].tolist()
    sizes = Counter(cans)
    first: dict[str, int] = {}
    places = [first.setdefault(can, place) if can else place for place, can in enumerate(cans)]
    rows: list[dict[str, Any]] = []
    records = verdicts.to_dict("records")
    ratings = parts[["capacitance_rated", "voltage_rated"]].to_numpy().tolist()
    for number in sorted(range(len(records)), key=places.__getitem__):
        row = {str(name): value for name, value in records[number].items()}
        sections = sizes[row["can"]] if row["can"] else 1
        row["number"] = number
        row["sure"] = NOT_GIVEN if row["verdict"] == NOT_JUDGED else percent(row["confidence"])
        row["rating"] = rating(*ratings[number])
        row["sections"] = f"{sections} section{'' if sections == 1 else 's'}"
        rows.append(row)
    return rows
