"""What a user can ask of logs of reforming runs: what one says, and all of a folder at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from math import isfinite, isnan, nan
from os import PathLike, fspath
from typing import TYPE_CHECKING, Final

import numpy as np
import pandas as pd

from captriage.columns import HEALED
from captriage.errors import CapTriageError, ReadingsError
from captriage.jobs.curve_notes import in_words, left_aside, not_understood, noted_looks
from captriage.jobs.curve_parts import (
    NOTHING_TOLD,
    Told,
    listed_part,
    logs_in,
    marked_part,
    parts_by_name,
)
from captriage.jobs.sheets import ORDINARY, this_year
from captriage.judging.leakage_line import LeakageLine, leakage_line
from captriage.judging.policy import Policy, load_policy
from captriage.readers.curve_logs import CurveLog, read_curve_log
from captriage.reform.curves import (
    CONTINUE,
    KEEP,
    LOOK,
    NEXT_STEP,
    REPLACE,
    REST,
    TOO_EARLY,
    Curve,
    Progress,
    Rating,
)
from captriage.reform.excursions import doubts_of, warnings_of
from captriage.reform.outcomes import outcome_of, proof_of
from captriage.reform.progress import read_curve
from captriage.report.read_curve import NotedLook, ReadCurve, Unread
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.reform.outcomes import Proof

LEAST_SHARE: Final = 0.05
"""Of the voltage that the part is for: half of the least that a published way to reform begins
with is the least that a log is read at; ours."""

SOAK_S: Final = 300.0
"""Soak time of a re-test where the criterion names none: 5 min, as most do. [s]"""


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
    log = read_log(path, told)
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
            log = read_log(path, told)
            part = listed_part(log, parts)
            if part is None:
                part = marked_part(log, told, year)
            found.append(read_against(log, part, told, policy=loaded, today_year=year))
        except CapTriageError as error:
            found.append(Unread(path.name, str(error)))
    return found


def read_log(path: str | PathLike[str], told: Told) -> CurveLog:
    """The log, with what is told beside it."""
    return read_curve_log(
        fspath(path), series_ohm=told.series_ohm, supply_v=told.supply_v, floor_a=told.floor_a,
        columns=told.columns, worksheet=told.worksheet,
    )  # fmt: skip


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
    _refuse_voltage(log, rating)
    progress = read_curve(log.curve, rating)
    looks = noted_looks(log, bipolar=str(part["polarity"].iloc[0]) == "bipolar")
    seen = tuple(in_words(looks))
    doubts = (*log.doubts, *seen, *doubts_of(log.curve, progress, rating))
    warnings = (
        *seen, *warnings_of(log.curve, progress, rating), *not_understood(log, looks)
    )  # fmt: skip
    proof = None
    if log.retest:
        soak_s = SOAK_S if isnan(line.criterion_soak_s) else line.criterion_soak_s
        proof = _believed(
            proof_of(
                log.curve, progress, rating,
                soak_s=soak_s, proof_fraction=policy.leakage.proof_fraction,
            ),
            doubts,
        )  # fmt: skip
    proven = _proven(progress, proof)
    progress = _cautious(proven, doubts, looks)
    return ReadCurve(
        file=log.file, part=str(part["part"].iloc[0]), made=float(part["made"].iloc[0]),
        rating=rating, reference=line.reference, curve=log.curve,
        progress=_condemned(proven, looks) or progress,
        outcome=outcome_of(progress, proof), proof=proof,
        remarks=(*_voltage_meant(log.curve), *log.remarks), set_aside=left_aside(log, looks),
        policy=policy.title, ends_at=log.ends_at, doubts=doubts, warnings=warnings, looks=looks,
    )  # fmt: skip


def _refuse_voltage(log: CurveLog, rating: Rating) -> None:
    """Raise where there is no voltage, or hardly any, and do nothing where there is."""
    both = np.concatenate((log.curve.supply_v, log.curve.part_v))
    known = both[np.isfinite(both)]
    if not len(known):
        raise ReadingsError(
            f"{log.file}: no voltage in it; log that of the supply, or give --supply"
        )
    highest = float(known.max())
    if highest < LEAST_SHARE * rating.target_v:
        raise ReadingsError(
            f"{log.file}: the voltage never went above {format_quantity(highest, 'V')}, and the "
            f"part is for {format_quantity(rating.target_v, 'V')}: at so little a current tells "
            "nothing; correct the unit of the voltage, or the columns"
        )


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
    if working > rated:
        raise ReadingsError(
            f"working voltage: its circuit puts {format_quantity(working, 'V')} on a part that is "
            f"rated {format_quantity(rated, 'V')}; replace it by one of a higher rating"
        )
    if isnan(working):
        working = float(part["voltage_working"].iloc[0])
    target = rated if isnan(working) else min(working, rated)
    return Rating(float(part["capacitance_rated"].iloc[0]), rated, target, line.limit)


def _believed(proof: Proof, doubts: Sequence[str]) -> Proof:
    """A re-test that may not be believed to its end proves no part good."""
    if not doubts or proof.outcome != HEALED:
        return proof
    return replace(proof, outcome="", because="; ".join(doubts))


def _proven(progress: Progress, proof: Proof | None) -> Progress:
    """What a re-test advises: to keep the part, or not."""
    if proof is None:
        return progress
    if progress.advice == REPLACE:
        return progress
    if not proof.outcome:
        return replace(progress, advice=REST, because=proof.because)
    advice = KEEP if proof.outcome == HEALED else REPLACE
    return replace(progress, advice=advice, because=proof.because)


def _condemned(progress: Progress, looks: Sequence[NotedLook]) -> Progress | None:
    """A part that was seen to be damaged gets no voltage, whatever its current; None: it was not.

    Its state stays what the current says, and no forecast is left to wait for.
    """
    seen = "; ".join(in_words(each for each in looks if each.condemns))
    if not seen:
        return None
    against = f"; {progress.because}" if progress.advice == REPLACE else ""
    return replace(
        progress,
        advice=REPLACE,
        because=f"{seen}: put no voltage on it{against}",
        forecast_s=nan,
        forecast_low_s=nan,
        forecast_high_s=nan,
    )


def _cautious(progress: Progress, doubts: Sequence[str], looks: Sequence[NotedLook]) -> Progress:
    """A curve that may not be believed to its end keeps nothing, and lets nothing go on."""
    if not doubts or progress.advice not in (CONTINUE, NEXT_STEP, KEEP, REST):
        return progress
    then = (
        "switch off, discharge, and look at it before any voltage goes on it again"
        if looks
        else "switch off, and read it again"
    )
    return replace(
        progress,
        state=TOO_EARLY,
        advice=LOOK if looks else REST,
        sure=0.0,
        because=f"{'; '.join(doubts)}: {then}",
        forecast_s=nan,
        forecast_low_s=nan,
        forecast_high_s=nan,
    )


def _voltage_meant(curve: Curve) -> Iterator[str]:
    """Which voltage the limit is for, where the log does not tell all."""
    if not isnan(curve.series_ohm):
        return
    if not np.isfinite(curve.supply_v).any():
        yield (
            "neither supply nor series resistor is told: the voltage on the part was taken for "
            "that of the supply, which is never to be set above the rated one"
        )
    elif not np.isfinite(curve.part_v).any():
        yield (
            "no series resistor is told: the limit is that of the whole supply voltage; behind a "
            "resistor the part sees less, and may let less through"
        )
