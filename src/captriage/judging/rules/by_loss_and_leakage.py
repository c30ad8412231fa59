"""Rules on ESR, tan δ and leakage current."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from captriage.columns import LEAKAGE_CURRENT
from captriage.judging.case import Case
from captriage.judging.evidence import Floats, Mask, Rows
from captriage.judging.held import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    NOT_JUDGED,
    PASS,
    uncertainty_standard,
)
from captriage.judging.rules.by_capacitance import DOUBT, doubt_advice
from captriage.judging.rules.finding import (
    MEASURE,
    NONE,
    REFORM,
    REPLACE,
    Batch,
    not_judged,
    of_parts,
    of_readings,
    rule,
)

BLOCKS: Final = 12
"""Stretches into which a long series of currents is cut before it is asked whether it rises."""


@rule(
    "tan δ limit of the house policy's criterion, ESR = tan δ / (2π f C); see the limit",
    {
        "within": "{quantity} {value}{at} is at most {high}.",
        "fail": "{quantity} {value}{at} is above {high}: reforming does not mend it.",
        "just": "{quantity} {value}{at} is more likely above {high} than not: read it again.",
    },
)
def loss_within_limit(case: Case) -> Iterator[Batch]:
    """ESR and tan δ are at most what an aged part may show."""
    held = case.loss
    sure = case.evidence.policy.confidence.combined
    passed = np.isin(held.outcome, (PASS, CONDITIONAL_PASS))
    yield of_readings(held, passed, "within")
    yield of_readings(held, held.outcome == FAIL, "fail", advice=REPLACE, confidence=sure)
    advice = DOUBT[case.evidence.policy.doubt.conditional_fail]
    again = MEASURE if advice == REFORM else advice  # reforming does not lower a loss
    yield of_readings(held, held.outcome == CONDITIONAL_FAIL, "just", advice=again)
    yield from not_judged(held)


@rule(
    "the leakage criterion of the part's era, moved to the voltage and temperature of the "
    "reading; see the limit",
    {
        "within": "Leakage {value}{at} is at most {high}{moved}.",
        "reform": "Leakage {value}{at} is above {high}{moved}: reforming may heal the oxide.",
        "reformed": "Leakage {value}{at} is above {high}{moved} after a reform.",
        "in use": "Leakage {value}{at} is above {high}{moved} though the part was in use: no "
        "idle time explains it.",
        "over range": "Leakage went over the meter's range: more than it could show.",
        "just": "Leakage {value}{at} is more likely above {high}{moved} than not.",
    },
)
def leakage_within_limit(case: Case) -> Iterator[Batch]:
    """Leakage current is at most the limit, read no sooner than the limit's soak time."""
    held, evidence = case.leakage, case.evidence
    sure = evidence.policy.confidence
    passed = np.isin(held.outcome, (PASS, CONDITIONAL_PASS))
    yield of_readings(held, passed, "within")
    fail = held.outcome == FAIL
    reformed = evidence.reformed
    used = ~evidence.long_idle & ~np.isnan(evidence.number("idle_years")) & ~reformed
    told = np.where(evidence.long_idle, sure.history_known, sure.history_assumed)
    for parts, wording, advice, confidence in (
        (reformed, "reformed", REPLACE, sure.combined),
        (used, "in use", REPLACE, sure.history_known),
        (~reformed & ~used, "reform", REFORM, told),
    ):
        wanted = fail & parts[held.part]
        yield of_readings(held, wanted, wording, advice=advice, confidence=confidence)
    just = held.outcome == CONDITIONAL_FAIL
    yield of_readings(held, just, "just", advice=doubt_advice(case))
    # A suspicious reading that proves nothing is read again, unless reforming will do so anyway.
    again = np.where(evidence.must_prove_leakage, NONE, MEASURE).astype(np.int8)
    yield from not_judged(held, advice=np.where(suspicious(case), again, NONE).astype(np.int8))
    bring_up = np.where(evidence.must_prove_leakage, REFORM, MEASURE).astype(np.int8)
    yield of_parts(
        over_its_meter(case),
        NOT_JUDGED,
        "over range",
        advice=bring_up,
        confidence=sure.history_assumed,
    )


def over_its_meter(case: Case) -> Mask:
    """Parts whose leakage was over range on a meter whose range is not told."""
    evidence = case.evidence
    over = evidence.flagged("over range") & evidence.of_quantity(LEAKAGE_CURRENT)
    over &= np.isnan(evidence.reading("at_least")) & ~evidence.superseded
    mask = np.zeros(evidence.n, bool)
    mask[evidence.reading_part[over]] = True
    return mask


def suspicious(case: Case) -> Mask:
    """Parts whose leakage reading exceeds every limit, or is negative, yet is not judged."""
    held = case.leakage
    odd = (held.outcome == NOT_JUDGED) & ((held.value > held.high) | (held.value < 0))
    mask = np.zeros(case.evidence.n, bool)
    mask[held.part[odd]] = True
    return mask


@rule(
    "a sustained rise at steady voltage is a fault (museum practice, restorers' reports); a "
    "slow creep after hours is not by itself (Anderson and Devereux, J. Electrochem. Soc. 122, "
    "267, 1975)",
    {"rising": "Leakage rose from {low} to {value} at steady voltage."},
    danger=("rising",),
    unit="A",
)
def leakage_not_rising(case: Case) -> Iterator[Batch]:
    """At steady voltage the current does not rise."""
    rising, least, last = rising_currents(case)
    sure = case.evidence.policy.confidence.combined
    batch = of_parts(rising, FAIL, "rising", advice=REPLACE, confidence=sure, value=last)
    yield Batch(**{**vars(batch), "low": least[rising]})


def medians(series: Rows, value: Floats) -> Rows:
    """Of a long series the reading of median value in each of :data:`BLOCKS` stretches.

    A log of hundreds of noisy readings never ends on its greatest one; its medians do.
    """
    if len(series) < 3 * BLOCKS:
        return series
    blocks = np.array_split(series, BLOCKS)
    return np.array([block[np.argsort(value[block])[len(block) // 2]] for block in blocks])


def rising_currents(case: Case) -> tuple[Mask, np.ndarray, np.ndarray]:
    """Parts whose current rises in a series at one voltage, the least and the last current.

    Three readings at one told voltage are wanted, their soak times told and within the
    policy's time; the last above the least by the policy's factor and by more than both
    uncertainties, a fair share of the limit, and the greatest since the least: one high
    reading between lower ones is noise, and a slow creep after hours is no failure.
    """
    evidence = case.evidence
    n = evidence.n
    rising, least, last = np.zeros(n, bool), np.full(n, np.nan), np.full(n, np.nan)
    value = evidence.reading("value")
    soak = evidence.reading("soak_s")
    told = evidence.reading("voltage_v")
    leakage = evidence.policy.leakage
    usable = evidence.of_quantity(LEAKAGE_CURRENT) & (value > 0) & ~np.isnan(told)
    usable &= (soak <= leakage.rising_within_s) & ~case.disputed & ~evidence.superseded
    rows = np.flatnonzero(usable)
    part_row = evidence.reading_part
    part = part_row[rows]
    if not len(rows) or np.bincount(part).max() < 3:
        return rising, least, last
    voltage = told[rows]
    order = np.lexsort((soak[rows], voltage, part))
    changes = (np.diff(part[order]) != 0) | (np.diff(voltage[order]) != 0)
    unsure = 2 * uncertainty_standard(
        evidence, np.arange(len(value)), evidence.policy.uncertainty.leakage_current
    )
    share = leakage.rising_share * case.criteria.lenient
    for series in np.split(rows[order], np.flatnonzero(changes) + 1):
        group = medians(series, value)
        current = value[group]
        at = int(np.argmin(current))
        row = part_row[group[0]]
        if len(group) < 3 or current[-1] <= leakage.rising_factor * current[at]:
            continue
        if current[-1] < share[row] or current[-1] - current[at] <= np.sum(unsure[group[[at, -1]]]):
            continue
        if current[-1] >= current[at:].max():
            rising[row], least[row], last[row] = True, current[at], current[-1]
    return rising, least, last


@rule(
    "oxide fades without voltage: Nippon Chemi-Con FAQ, storage; shelf figures of a Cornell "
    "Dubilier notice of 1993, as reported; that C and ESR do not show it: common practice",
    {
        "idle": "Long without voltage, and no leakage reading near {working} proves it.",
        "untold": "Its time without voltage is not told, and no leakage reading near {working} "
        "proves it.",
    },
)
def leakage_proven_after_idling(case: Case) -> Iterator[Batch]:
    """A part long without voltage has a leakage reading near its working voltage."""
    evidence = case.evidence
    read = case.capacitance.parts_with(PASS, CONDITIONAL_PASS, CONDITIONAL_FAIL, FAIL)
    read |= case.loss_kept | suspicious(case)
    unproven = evidence.must_prove_leakage & ~case.leakage_proven & read
    unproven &= ~case.leakage.parts_with(CONDITIONAL_FAIL, FAIL)
    sure = evidence.policy.confidence
    idle = evidence.long_idle
    for parts, wording, confidence in (
        (unproven & idle, "idle", sure.history_known),
        (unproven & ~idle, "untold", sure.history_assumed),
    ):
        yield of_parts(
            parts,
            FAIL,
            wording,
            advice=REFORM,
            confidence=confidence,
            limit=case.criteria.lenient_key,
        )
