"""Reforming curves beside the sheets: what they prove goes into the verdict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite, nan
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import pandas as pd

from captriage.columns import (
    HEALED,
    LEAKAGE_CURRENT,
    READINGS,
    REBOUNDED,
    SET_ASIDE,
    UNDER_WAY,
    Sheets,
)
from captriage.errors import CapTriageError
from captriage.jobs.curve_parts import NOTHING_TOLD, folded, listed_part, logs_in, named
from captriage.jobs.reform_read import read_against, read_log
from captriage.readers.curve_logs import CurveLog
from captriage.reform.outcomes import beside_run

if TYPE_CHECKING:
    from captriage.judging.policy import Policy
    from captriage.report.read_curve import ReadCurve

DANGERS: Final = ("broken down", "rising")
"""Outcomes that stand, whatever a later curve shows."""

BY_RETEST: Final = (HEALED, REBOUNDED)
"""Outcomes that only a re-test gives: a curve without one does not take them back."""


@dataclass(frozen=True)
class Beside:
    """Sheets with what the curves of their parts prove; ``curves`` by row of the parts."""

    sheets: Sheets
    curves: Mapping[int, tuple[ReadCurve, ...]]


def beside_sheets(
    sheets: Sheets, logs: Sequence[str | PathLike[str]], *, policy: Policy, today_year: int
) -> Beside:
    """Logs and folders of logs beside sheets: each is of the part it names, or is named for.

    Parameters
    ----------
    sheets : Sheets
        As read.
    logs : sequence of path
        A log that cannot be used, or is of no part of the sheets, is set aside; its part is then
        not judged, for it may speak against it.
    policy, today_year
        As in :func:`captriage.jobs.sheets.judge`.

    Raises
    ------
    ReadingsError
        There is no log there at all.
    """
    parts = sheets.parts
    listed = {folded(name): parts.iloc[[row]] for row, name in enumerate(parts["part"])}
    rows = {name: row for row, name in enumerate(listed)}
    found: dict[int, list[ReadCurve]] = {}
    aside: list[dict[str, Any]] = []
    for path in logs_in(logs):
        row = rows.get(folded(path.stem))
        try:
            log = read_log(path, NOTHING_TOLD)
            row = rows.get(named(log))
            part = listed_part(log, listed)
            if row is None or part is None:
                aside.append(_of_nobody(log))
                continue
            read = read_against(log, part, NOTHING_TOLD, policy=policy, today_year=today_year)
        except CapTriageError as error:
            aside.append(not_used(path.name, str(error), parts, row))
            continue
        aside += _doubted(read, parts, row)
        found.setdefault(row, []).append(read)
    return taken_in(sheets, found, aside)


def taken_in(
    sheets: Sheets,
    found: Mapping[int, Sequence[ReadCurve]],
    aside: Sequence[Mapping[str, Any]],
    *,
    filed: bool = False,
) -> Beside:
    """Sheets with the outcome of each part's reform, and without leakage read before it.

    Parameters
    ----------
    sheets : Sheets
    found : mapping
        Curves by row of the part.
    aside : sequence
        More rows of :data:`captriage.columns.SET_ASIDE`.
    filed : bool
        The readings of re-tests are among those of the sheets already.
    """
    parts = sheets.parts.copy()
    outcomes = parts["reform_outcome"].tolist()
    rows, more = list(aside), []
    before = np.zeros(len(sheets.readings), bool)
    curves = {row: _compared(sorted(reads, key=_in_time)) for row, reads in found.items()}
    for row, reads in curves.items():
        outcomes[row] = outcome = outcome_of_all(str(outcomes[row]), reads)
        if outcome != UNDER_WAY:
            before |= _read_before(sheets.readings, row, reads)
        proof = reads[-1].proof
        if proof is not None and proof.outcome and isfinite(proof.current_a) and not filed:
            more.append(_reading(row, reads[-1]))
    parts["reform_outcome"] = pd.Series(outcomes, index=parts.index, dtype="str")
    rows += _superseded(sheets.readings.loc[before])
    readings = sheets.readings.loc[~before]
    if more:
        readings = _with_rows(readings, more)
    set_aside = sheets.set_aside
    if rows:
        set_aside = pd.concat([set_aside, pd.DataFrame(rows).astype(SET_ASIDE)], ignore_index=True)
    taken = replace(
        sheets, parts=parts, readings=readings.reset_index(drop=True), set_aside=set_aside
    )
    return Beside(taken, curves)


def outcome_of_all(told: str, reads: Sequence[ReadCurve]) -> str:
    """Outcome of a reform by all curves of a part, in time, and the word of its sheet.

    A danger stands whenever it was met, and a word that rests on a re-test stands against a curve
    that is none; otherwise the last curve counts that tells anything: a re-test that
    was too short, or at too low a voltage, does not.
    """
    outcomes = [told, *(read.outcome for read in reads)]
    for danger in DANGERS:
        if danger in outcomes:
            return danger
    telling = [read for read in reads if read.proof is None or read.proof.outcome]
    if told in BY_RETEST and (not telling or telling[-1].proof is None):
        return told
    return (telling or reads)[-1].outcome


def _compared(reads: Sequence[ReadCurve]) -> tuple[ReadCurve, ...]:
    """Curves of a part in time, each re-test beside the run before it."""
    said, run = [], None
    for read in reads:
        if read.proof is None:
            run = read
        elif run is not None and read.proof.outcome in BY_RETEST:
            before = beside_run(read.proof, run.curve, run.progress)
            because = "; ".join(filter(None, (read.progress.because, before)))
            read = replace(read, progress=replace(read.progress, because=because))
        said.append(read)
    return tuple(said)


def _in_time(read: ReadCurve) -> tuple[bool, float, str]:
    """Order of curves: by their instant where it is told, a re-test after the run."""
    told = not np.isnat(read.ends_at)
    at = float(read.ends_at.astype("datetime64[us]").astype(np.int64)) if told else 0.0
    return read.proof is not None, at, read.file


def _read_before(readings: pd.DataFrame, row: int, reads: Sequence[ReadCurve]) -> np.ndarray:
    """Leakage readings of a part that are not known to have been taken after its reform."""
    runs = [read.ends_at for read in reads if read.proof is None] or [reads[-1].ends_at]
    own = (readings["part_row"] == row) & (readings["quantity"] == LEAKAGE_CURRENT)
    taken_at = readings["taken_at"].to_numpy("datetime64[us]")
    ended = max((end for end in runs if not np.isnat(end)), default=np.datetime64("NaT"))
    return np.asarray(own) & ~(taken_at > ended)


def _superseded(readings: pd.DataFrame) -> list[dict[str, Any]]:
    """Readings that say nothing any more, as rows that are set aside."""
    return [
        _aside_row(
            str(reading["source_file"]), int(reading["line"]), "leakage", str(reading["raw"]),
            "read before the part was reformed, or when is not told",
            "nothing to do; if it was read afterwards, write date and time beside it",
        )
        for reading in readings.to_dict("records")
    ]  # fmt: skip


def _reading(row: int, read: ReadCurve) -> dict[str, Any]:
    """The reading of a re-test, as a row of the readings."""
    proof = read.proof
    assert proof is not None
    seen_v = proof.part_v if isfinite(proof.part_v) else proof.voltage_v
    blank: dict[str, Any] = {"str": "", "category": "", "float64": nan, "int64": 0}
    told = {name: blank.get(kind, pd.NaT) for name, kind in READINGS.items()}
    return told | {
        "part_row": row,
        "quantity": LEAKAGE_CURRENT,
        "value": proof.current_a,
        "voltage_v": min(seen_v, read.rating.voltage_rated),
        "soak_s": proof.soak_s,
        "taken_at": read.ends_at,
        "raw": "of the re-test",
        "source_file": read.file,
    }


def _with_rows(readings: pd.DataFrame, more: Sequence[dict[str, Any]]) -> pd.DataFrame:
    """Readings with some more; the categories of both."""
    added = pd.DataFrame(more, columns=list(READINGS))
    joined = {}
    for name, kind in READINGS.items():
        values = [*readings[name].tolist(), *added[name].tolist()]
        joined[name] = pd.Series(values, dtype="object" if kind == "category" else kind)
        if kind == "category":
            joined[name] = joined[name].astype("category")
    return pd.DataFrame(joined)


def _aside_row(
    file: str, line: int, heading: str, found: str, reason: str, remedy: str, column: int = 0
) -> dict[str, Any]:
    return {
        "file": file, "line": line, "column": column, "heading": heading, "found": found,
        "reason": reason, "remedy": remedy,
    }  # fmt: skip


def _of_nobody(log: CurveLog) -> dict[str, Any]:
    return _aside_row(
        log.file, 0, "", log.part or Path(log.file).stem, "a reforming log of a part that is in "
        "no sheet", "name the file for the part, or write 'Part: C12' above its headings",
    )  # fmt: skip


def not_used(file: str, why: str, parts: pd.DataFrame, row: int | None) -> dict[str, Any]:
    """A log that cannot be used, set aside where its part stands: it may speak against it."""
    reason, _, remedy = why.rpartition("; ")
    if row is None:
        return _aside_row(file, 0, "", file, reason or why, remedy or "mend the log")
    part = parts.iloc[row]
    return _aside_row(
        str(part["source_file"]), int(part["line"]), "reforming log", file, reason or why,
        remedy or "mend the log", column=1,
    )  # fmt: skip


def _doubted(read: ReadCurve, parts: pd.DataFrame, row: int) -> list[dict[str, Any]]:
    """Doubts of a curve that does not speak against its part by itself."""
    if not read.doubts or read.outcome != UNDER_WAY:
        return []
    why = f"{read.progress.because}; switch off and read it again"
    return [not_used(read.file, why, parts, row)]
