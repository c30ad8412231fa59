"""Logs of reforming runs that could not be used, or not to their end: set aside by their part."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from captriage.columns import UNDER_WAY
from captriage.judging.rules.by_history import REFORMING_LOG

if TYPE_CHECKING:
    import pandas as pd

    from captriage.readers.curve_logs import CurveLog
    from captriage.report.read_curve import ReadCurve


def aside_row(
    file: str, line: int, heading: str, found: str, reason: str, remedy: str, column: int = 0
) -> dict[str, Any]:
    """A row of :data:`captriage.columns.SET_ASIDE`."""
    return {
        "file": file, "line": line, "column": column, "heading": heading, "found": found,
        "reason": reason, "remedy": remedy,
    }  # fmt: skip


def of_nobody(log: CurveLog) -> dict[str, Any]:
    """A log whose part is in no sheet."""
    return aside_row(
        log.file, 0, "", log.part or Path(log.file).stem, "a reforming log of a part that is in "
        "no sheet", "name the file for the part, or write 'Part: C12' above its headings",
    )  # fmt: skip


def not_used(
    file: str, why: str, parts: pd.DataFrame, row: int | None, *, heading: str = REFORMING_LOG
) -> dict[str, Any]:
    """A log that cannot be used, set aside where its part stands: it may speak against it."""
    reason, _, remedy = why.rpartition("; ")
    if row is None:
        return aside_row(file, 0, "", file, reason or why, remedy or "mend the log")
    part = parts.iloc[row]
    return aside_row(
        str(part["source_file"]), int(part["line"]), heading, file, reason or why,
        remedy or "mend the log", column=1,
    )  # fmt: skip


def doubted(read: ReadCurve, parts: pd.DataFrame, row: int) -> list[dict[str, Any]]:
    """Doubts of a curve that does not speak against its part by itself."""
    if not read.doubts or read.outcome != UNDER_WAY or read.is_condemned:
        return []
    then = "look at the part before any voltage" if read.looks else "read it again"
    why = f"{'; '.join(read.doubts)}; switch off and {then}"
    return [not_used(read.file, why, parts, row)]
