"""What a user can ask of logs of reforming runs: what one says, and all of a folder at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite, isnan, nan
from os import PathLike, fspath
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
import pandas as pd

from captriage.columns import HEALED
from captriage.errors import CapTriageError, MarkingError, ReadingsError
from captriage.jobs.sheets import ORDINARY, parts_of_marking, this_year
from captriage.judging.leakage_line import LeakageLine, leakage_line
from captriage.judging.policy import Policy, load_policy
from captriage.readers.curve_logs import CurveLog, read_curve_log
from captriage.readers.curve_preamble import without_retest
from captriage.reform.curves import (
    CONTINUE,
    KEEP,
    NEXT_STEP,
    REPLACE,
    REST,
    TOO_EARLY,
    Curve,
    Progress,
    Rating,
)
from captriage.reform.outcomes import outcome_of, proof_of
from captriage.reform.progress import read_curve
from captriage.report.reform_progress import ReadCurve, Unread

if TYPE_CHECKING:
    from captriage.reform.outcomes import Proof

ENDINGS: Final = (".csv", ".tsv", ".txt", ".log", ".dat", ".xlsx")
"""Files of a folder that are taken for logs."""

SOAK_S: Final = 300.0
"""Soak time of a re-test where the criterion names none: 5 min, as most do. [s]"""

ABOVE_RATED: Final = 1.02
"""A supply this far above the rated voltage is said; less is the supply's own error (ours)."""


@dataclass(frozen=True)
class Told:
    """What is told beside a log; it beats what the log says of itself.

    Attributes
    ----------
    rating, made : str
        As printed on the part: "32 µF 450 V", "1959" or a date code.
    voltage_working : float
        Highest that its circuit puts on it, where that is enough. [V]
    series_ohm, supply_v, limit_a, floor_a : float
        Resistor, constant supply, limit of leakage in place of the policy's, and uncertainty of
        the meter that does not shrink with the reading. [Ω], [V], [A], [A]
    columns : str
        Headings of a log without them.
    worksheet : str or None
        Of a workbook.
    """

    rating: str = ""
    made: str = ""
    voltage_working: float = nan
    series_ohm: float = nan
    supply_v: float = nan
    limit_a: float = nan
    floor_a: float = 0.0
    columns: str = ""
    worksheet: str | None = None


NOTHING_TOLD: Final = Told()


def read(
    path: str | PathLike[str],
    told: Told = NOTHING_TOLD,
    *,
    policy: str | PathLike[str] = ORDINARY,
    today_year: int | None = None,
) -> ReadCurve:
    """What the log of one reforming run says of its part.

    Parameters
    ----------
    path : path
        Log of any logger, or by hand.
    told : Told
        What is told beside it.
    policy : str or path
        Name of a built-in house policy, or a TOML file: its leakage criterion is the limit.
    today_year : int, optional
        Year to reckon ages to; the clock's where none is given.

    Raises
    ------
    ReadingsError
        The log cannot be opened, no curve can be made of it, or no rating is told.
    MarkingError
        The rating or the date cannot be read, or is of several sections.
    PolicyError
        There is no such policy, or it holds something it may not.
    """
    year = this_year() if today_year is None else today_year
    loaded = load_policy(fspath(policy))
    log = _log(path, told)
    return read_against(log, marked_part(log, told, year), told, policy=loaded, today_year=year)


def triage(
    paths: Iterable[str | PathLike[str]],
    told: Told = NOTHING_TOLD,
    *,
    ratings: Sequence[str | PathLike[str]] = (),
    policy: str | PathLike[str] = ORDINARY,
    today_year: int | None = None,
) -> list[ReadCurve | Unread]:
    """What many logs say, one a file; a log that cannot be used says why.

    Parameters
    ----------
    paths : iterable of path
        Logs, and folders of logs.
    told, policy, today_year
        As in :func:`read`.
    ratings : sequence of path
        Sheets with the ratings of parts, which logs belong to by the name of the part in them,
        else by their own name.

    Raises
    ------
    ReadingsError
        There is no log there, or a sheet of ratings cannot be used.
    PolicyError
        There is no such policy, or it holds something it may not.
    """
    year = this_year() if today_year is None else today_year
    loaded = load_policy(fspath(policy))
    parts = parts_by_name(ratings, today_year=year)
    found: list[ReadCurve | Unread] = []
    for path in logs_in(paths):
        try:
            log = _log(path, told)
            part = parts.get(named(log))
            if part is None:
                part = marked_part(log, told, year)
            found.append(read_against(log, part, told, policy=loaded, today_year=year))
        except CapTriageError as error:
            found.append(Unread(path.name, str(error)))
    return found


def logs_in(paths: Iterable[str | PathLike[str]]) -> list[Path]:
    """Logs that are named, and those of folders in the order of their names.

    Raises
    ------
    ReadingsError
        A folder holds no file that may be a log, or nothing is named.
    """
    found: list[Path] = []
    for path in map(Path, paths):
        if not path.is_dir():
            found.append(path)
            continue
        inside = sorted(each for each in path.iterdir() if each.suffix.lower() in ENDINGS)
        if not inside:
            raise ReadingsError(f"{path}: no log in it; logs end in {', '.join(ENDINGS)}")
        found += inside
    if not found:
        raise ReadingsError("logs: none was named; name at least one, or a folder of them")
    return found


def parts_by_name(
    ratings: Sequence[str | PathLike[str]], *, today_year: int
) -> Mapping[str, pd.DataFrame]:
    """Parts of sheets, one row each, by their name in small letters."""
    if not ratings:
        return {}
    from captriage.jobs.sheets import check

    parts = check(list(ratings), today_year=today_year).parts
    return {folded(name): parts.iloc[[row]] for row, name in enumerate(parts["part"])}


def folded(name: str) -> str:
    """A name as it is compared: small letters, single spaces."""
    return " ".join(name.replace("_", " ").lower().split())


def named(log: CurveLog) -> str:
    """Name of the part that a log belongs to, as it is compared: in it, else of its file."""
    return folded(log.part or stem_of(log.file))


def stem_of(file: str) -> str:
    """Name of a part in the name of a file: "C12" of "C12_re-test.csv"."""
    return without_retest(Path(file).stem)


def _log(path: str | PathLike[str], told: Told) -> CurveLog:
    return read_curve_log(
        fspath(path), series_ohm=told.series_ohm, supply_v=told.supply_v, floor_a=told.floor_a,
        columns=told.columns, worksheet=told.worksheet,
    )  # fmt: skip


def marked_part(log: CurveLog, told: Told, today_year: int) -> pd.DataFrame:
    """The part of a log by its rating, told or in the log: one row of the parts frame."""
    marking = told.rating or log.rating
    if not marking:
        raise ReadingsError(
            f"{log.file}: the rating of the part is not told; give --rating '32 µF 450 V', or "
            "write 'Part: C12 32 µF 450 V' above the headings"
        )
    part, _ = parts_of_marking(marking, told.made or log.made, "", today_year=today_year)
    if len(part) > 1:
        raise MarkingError(
            f"rating: {marking!r} is of {len(part)} sections; give that of the one section that "
            "was reformed"
        )
    part["part"] = log.part or stem_of(log.file)
    part["voltage_working"] = log.voltage_working
    return part


def read_against(
    log: CurveLog, part: pd.DataFrame, told: Told, *, policy: Policy, today_year: int
) -> ReadCurve:
    """What a log says of a part that is known.

    Raises
    ------
    ReadingsError
        The part's rating gives no limit, or no voltage is told.
    """
    line = _line(log, part, told, policy, today_year)
    rating = _rating(part, told, line)
    if not (np.isfinite(log.curve.supply_v) | np.isfinite(log.curve.part_v)).any():
        raise ReadingsError(
            f"{log.file}: no voltage in it; log that of the supply, or give --supply"
        )
    progress = read_curve(log.curve, rating)
    proof = None
    if log.retest:
        soak_s = SOAK_S if isnan(line.criterion_soak_s) else line.criterion_soak_s
        proof = proof_of(log.curve, progress, rating, soak_s=soak_s)
    progress = _cautious(_proven(progress, proof), log.doubts)
    return ReadCurve(
        file=log.file, part=str(part["part"].iloc[0]), made=float(part["made"].iloc[0]),
        rating=rating, reference=line.reference, curve=log.curve, progress=progress,
        outcome=outcome_of(progress, proof), proof=proof,
        remarks=(*_warnings(log.curve, rating), *log.remarks), set_aside=log.set_aside,
        policy=policy.title,
    )  # fmt: skip


def _line(
    log: CurveLog, part: pd.DataFrame, told: Told, policy: Policy, today_year: int
) -> LeakageLine:
    rated = float(part["voltage_rated"].iloc[0])
    line = leakage_line(
        part, voltage_v=rated, temperature_degc=nan, policy=policy, today_year=today_year
    )
    if isfinite(told.limit_a):
        return replace(line, limit=told.limit_a, reference="told beside the log")
    if not isfinite(line.limit):
        raise ReadingsError(
            f"{log.file}: no limit of leakage for this rating; give both capacitance and voltage, "
            "or --limit"
        )
    return line


def _rating(part: pd.DataFrame, told: Told, line: LeakageLine) -> Rating:
    rated = float(part["voltage_rated"].iloc[0])
    working = told.voltage_working
    if isnan(working):
        working = float(part["voltage_working"].iloc[0])
    target = rated if isnan(working) else min(working, rated)
    return Rating(float(part["capacitance_rated"].iloc[0]), rated, target, line.limit)


def _proven(progress: Progress, proof: Proof | None) -> Progress:
    """What a re-test advises: to keep the part, or not."""
    if proof is None:
        return progress
    if not proof.outcome:
        return replace(progress, advice=REST, because=proof.because)
    advice = KEEP if proof.outcome == HEALED else REPLACE
    return replace(progress, advice=advice, because=proof.because)


def _cautious(progress: Progress, doubts: Sequence[str]) -> Progress:
    """A curve that may not be believed to its end keeps nothing, and lets nothing go on."""
    if not doubts or progress.advice not in (CONTINUE, NEXT_STEP, KEEP, REST):
        return progress
    return replace(
        progress,
        state=TOO_EARLY,
        advice=REST,
        sure=0.0,
        because=f"{'; '.join(doubts)}: switch off, and read it again",
        forecast_s=nan,
        forecast_low_s=nan,
        forecast_high_s=nan,
    )


def _warnings(curve: Curve, rating: Rating) -> tuple[str, ...]:
    """What was done to the part that may not be done."""
    if not np.isfinite(curve.supply_v).any():
        return ()
    highest = float(np.nanmax(curve.supply_v))
    if highest <= ABOVE_RATED * rating.voltage_rated:
        return ()
    return (
        f"the supply went to {highest:.0f} V, above the rated {rating.voltage_rated:.0f} V: never "
        "reform above it",
    )
