"""Reforming curves beside the sheets: what they prove goes into the verdict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite, nan
from os import PathLike
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
from captriage.jobs.before_reform import begun, marked, taken_before
from captriage.jobs.curve_notes import with_looks
from captriage.jobs.curve_parts import NOTHING_TOLD, folded, listed_part, logs_in, named
from captriage.jobs.logs_aside import aside_row, doubted, of_nobody
from captriage.jobs.logs_aside import not_used as not_used  # also had from here
from captriage.jobs.reform_read import read_against, read_log
from captriage.reform.curves import REST
from captriage.reform.outcomes import REST_S, Proof, beside_run, too_soon

if TYPE_CHECKING:
    from captriage.judging.evidence import Mask
    from captriage.judging.policy import Policy
    from captriage.report.read_curve import ReadCurve

DANGERS: Final = ("broken down", "rising")
"""Outcomes that stand, whatever a later curve shows."""

BY_RETEST: Final = (HEALED, REBOUNDED)
"""Outcomes that only a re-test gives: a curve without one does not take them back."""

BEFORE_REFORM: Final = (
    "read before the part was reformed, or when is not told",
    "nothing to do; if it was read afterwards, write date and time beside it",
)
BEFORE_REST: Final = (
    "read before the part had rested from its reform",
    "rest it, without voltage, and read it again",
)
"""Why a reading of leakage no longer counts, and what is to be done."""


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
                aside.append(of_nobody(log))
                continue
            read = read_against(log, part, NOTHING_TOLD, policy=policy, today_year=today_year)
        except CapTriageError as error:
            aside.append(not_used(path.name, str(error), parts, row))
            continue
        aside += doubted(read, parts, row)
        found.setdefault(row, []).append(read)
    begins = {row: begun(reads) for row, reads in found.items()}
    return taken_in(sheets, found, aside, then=taken_before(sheets.readings, begins))


def taken_in(
    sheets: Sheets,
    found: Mapping[int, Sequence[ReadCurve]],
    aside: Sequence[Mapping[str, Any]],
    *,
    then: Mask,
    filed: bool = False,
    rest_s: Mapping[int, float] | None = None,
) -> Beside:
    """Sheets with the outcome of each part's reform, and without leakage read before it.

    Capacitance and loss of before a reform that has come to its end are marked as such.

    Parameters
    ----------
    sheets : Sheets
    found : mapping
        Curves by row of the part.
    aside : sequence
        More rows of :data:`captriage.columns.SET_ASIDE`.
    then : ndarray of bool
        Readings of capacitance and loss that were taken before the reform of their part.
    filed : bool
        The readings of re-tests are among those of the sheets already.
    rest_s : mapping, optional
        Rest that was planned before the re-test, by row of the part; what is longer than
        :data:`captriage.reform.outcomes.REST_S` need not be kept to. [s]
    """
    parts = sheets.parts.copy()
    outcomes = parts["reform_outcome"].tolist()
    rows, more, ended = list(aside), [], []
    before, early = np.zeros((2, len(sheets.readings)), bool)
    rests = {row: min((rest_s or {}).get(row, REST_S), REST_S) for row in found}
    curves = {row: _compared(_in_time(reads), rests[row]) for row, reads in found.items()}
    for row, reads in curves.items():
        outcomes[row] = outcome = outcome_of_all(str(outcomes[row]), reads)
        if outcome != UNDER_WAY:
            old, soon = _read_before(sheets.readings, row, reads, rest_s=rests[row])
            if outcome in BY_RETEST and not _retested(reads):
                # By the word of its sheet: of the re-test that the word is of, this may be it.
                old &= sheets.readings["taken_at"].notna().to_numpy()
            before, early = before | old, early | soon
            ended.append(row)
        proof = reads[-1].proof
        if proof is not None and proof.outcome and isfinite(proof.current_a) and not filed:
            more.append(_reading(row, reads[-1]))
    parts["reform_outcome"] = pd.Series(outcomes, index=parts.index, dtype="str")
    rows += _superseded(sheets.readings.loc[before], BEFORE_REFORM)
    rows += _superseded(sheets.readings.loc[early], BEFORE_REST)
    then = then & sheets.readings["part_row"].isin(ended).to_numpy(bool)
    readings = marked(sheets.readings, then).loc[~before & ~early]
    if more:
        readings = _with_rows(readings, more)
    set_aside = sheets.set_aside
    if rows:
        set_aside = pd.concat([set_aside, pd.DataFrame(rows).astype(SET_ASIDE)], ignore_index=True)
    taken = replace(
        sheets, parts=parts, readings=readings.reset_index(drop=True), set_aside=set_aside,
        looks=with_looks(sheets.looks, found),
    )  # fmt: skip
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


def _retested(reads: Sequence[ReadCurve]) -> bool:
    """Whether one of the curves is a re-test that tells."""
    return any(read.proof is not None and read.proof.outcome for read in reads)


def _in_time(reads: Sequence[ReadCurve]) -> list[ReadCurve]:
    """Curves of a part in order: by their instants, or, where one is not told, re-tests last."""
    told = all(not np.isnat(read.ends_at) for read in reads)
    return sorted(
        reads, key=lambda read: (not told and read.proof is not None, _instant(read), read.file)
    )


def _instant(read: ReadCurve) -> float:
    """Of the last reading; 0 where it is not told. [s]"""
    at = read.ends_at.astype("datetime64[us]")
    return 0.0 if np.isnat(at) else float(at.astype(np.int64)) / 1e6


def _compared(reads: Sequence[ReadCurve], rest_s: float) -> tuple[ReadCurve, ...]:
    """Curves of a part in order, each re-test beside the run before it."""
    said, run = [], None
    for each in reads:
        read, proof = each, each.proof
        if proof is None:
            run = each
        elif run is not None and proof.outcome in BY_RETEST:
            read = _rested(each, proof, run, rest_s)
            before = beside_run(proof, run.curve, run.progress)
            because = "; ".join(filter(None, (read.progress.because, before)))
            read = replace(read, progress=replace(read.progress, because=because))
        said.append(read)
    return tuple(said)


def _rested(read: ReadCurve, proof: Proof, run: ReadCurve, rest_s: float) -> ReadCurve:
    """A re-test as it is: one too soon after the run proves no part good."""
    rested = _instant(read) - float(read.curve.time_s[-1]) - _instant(run)
    told = not np.isnat(read.ends_at) and not np.isnat(run.ends_at)
    if not told or rested >= rest_s or proof.outcome != HEALED:
        return read
    found = too_soon(proof, rested, rest_s=rest_s)
    progress = replace(read.progress, advice=REST, because=found.because)
    return replace(read, proof=found, progress=progress, outcome=UNDER_WAY)


def _read_before(
    readings: pd.DataFrame, row: int, reads: Sequence[ReadCurve], *, rest_s: float
) -> tuple[Mask, Mask]:
    """Leakage readings of a part not known to be after its reform, and those before its rest."""
    runs = [read.ends_at for read in reads if read.proof is None] or [reads[-1].ends_at]
    own = (readings["part_row"] == row) & (readings["quantity"] == LEAKAGE_CURRENT)
    taken_at = readings["taken_at"].to_numpy("datetime64[us]")
    ended = max((end for end in runs if not np.isnat(end)), default=np.datetime64("NaT"))
    after, rest = taken_at > ended, np.timedelta64(round(1e6 * rest_s), "us")
    return np.asarray(own) & ~after, np.asarray(own) & after & ~(taken_at > ended + rest)


def _superseded(readings: pd.DataFrame, why: tuple[str, str]) -> list[dict[str, Any]]:
    """Readings that say nothing any more, as rows that are set aside."""
    return [
        aside_row(
            str(reading["source_file"]), int(reading["line"]), "leakage", str(reading["raw"]), *why
        )
        for reading in readings.to_dict("records")
    ]


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
