"""Readings held against their limits, each at the conditions it was taken under."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.columns import BY_PRACTICE, OUTCOMES
from captriage.judging.evidence import Evidence, Floats, Mask, Rows
from captriage.model.uncertainty import conformity_probability

PASS, CONDITIONAL_PASS, CONDITIONAL_FAIL, FAIL, NOT_JUDGED, NOTED = range(len(OUTCOMES))

Codes = NDArray[np.int8]
Words = NDArray[np.object_]

NO_LIMIT: Final = "no limit applies"


@dataclass(frozen=True)
class Held:
    """Readings of one kind beside their limits; all arrays of length m but ``worst``.

    ``strict`` and ``lenient`` differ where a missing condition leaves a choice of limits:
    then a pass must keep the strict one and a fail must break the lenient one. ``doubt``
    says in words why a reading is not judged, "" elsewhere.
    """

    part: Rows
    row: Rows
    value: Floats
    low: Floats
    high: Floats
    limit: Codes  # places in limits.LIMIT_KEYS
    probability: Floats
    outcome: Codes
    doubt: Words
    worst: Rows  # for each of the n parts, which of the m readings tells the worst; -1: none

    def at_worst(self, wanted: Mask) -> Mask:
        """Parts whose worst reading is one of ``wanted`` (a mask of length m)."""
        return np.append(wanted, np.zeros(1, bool))[self.worst]  # -1 takes the False at the end

    @cached_property
    def worst_outcome(self) -> Codes:
        """Outcome of the worst reading of each of the n parts; -1: none."""
        return np.asarray(np.append(self.outcome, np.int8(-1))[self.worst])

    def parts_with(self, *outcomes: int) -> Mask:
        """Parts whose worst reading has one of these outcomes."""
        return any_of(self.worst_outcome, *outcomes)


def any_of(codes: Codes, *wanted: int) -> Mask:
    """Where a code is one of these few; comparing them one by one is quicker than a search."""
    return np.asarray(np.logical_or.reduce([codes == code for code in wanted]))


def bounds(evidence: Evidence, rows: Rows) -> tuple[Floats, Floats]:
    """Least and greatest value each reading may mean: equal, unless the cell gave a bound."""
    value = evidence.captures.value[rows]
    least = evidence.reading("at_least")[rows]
    most = evidence.reading("at_most")[rows]
    exact = ~np.isnan(value)
    over = evidence.flagged("over range")[rows]
    range_high = evidence.reading("range_high")[rows]
    least = np.where(np.isnan(least) & over, range_high, least)
    least = np.where(exact, value, np.where(np.isnan(least), -np.inf, least))
    most = np.where(exact, value, np.where(np.isnan(most), np.inf, most))
    return least, most


def usable_rows(evidence: Evidence, *quantities: str) -> Rows:
    """Rows of the readings of these quantities that hold a value or a bound.

    Of those that were taken in one capture the first stands for all: they are one measurement.
    """
    mask = evidence.of_quantity(*quantities)
    known = ~np.isnan(evidence.reading("value"))
    for bound in ("at_least", "at_most", "range_high"):
        known |= ~np.isnan(evidence.reading(bound))
    return np.flatnonzero(mask & known & ~evidence.superseded & evidence.captures.leads)


def uncertainty_standard(evidence: Evidence, rows: Rows, fraction: float | Floats) -> Floats:
    """Standard uncertainty of each reading: the stated one, else the policy's fraction of it.

    That of a mean is that of its meter, which errs alike in all its readings, and that of their
    scatter (JCGM 100:2008, 4.2.3 and 5.1.2).
    """
    captures = evidence.captures
    value, stated = captures.value[rows], captures.stated[rows]
    of_meter = np.where(np.isnan(stated), fraction * np.abs(value), stated) / 2.0
    return np.asarray(np.hypot(of_meter, captures.scatter[rows]))


def note_accuracy(evidence: Evidence) -> None:
    """Say of which parts a meter's accuracy, by which they were held, is common practice only."""
    rows = np.flatnonzero(~np.isnan(evidence.captures.stated) & ~evidence.superseded)
    if not len(rows):
        return
    codes, meters = pd.factorize(evidence.sheets.readings["meter"].to_numpy(object)[rows])
    so = np.array([str(meter).endswith(BY_PRACTICE) for meter in meters], bool)[codes]
    mask = np.zeros(evidence.n, bool)
    mask[evidence.reading_part[rows[so]]] = True
    evidence.assume(mask, "accuracy of the meter not its maker's: common practice for its kind")


def outcomes(
    evidence: Evidence, least: Floats, most: Floats, u: Floats, limits: tuple[Floats, ...]
) -> tuple[Floats, Codes]:
    """Probability and outcome of readings against ``(low, strict high, lenient high)``.

    A bound has no uncertainty of its own: it either settles the question or does not.
    """
    low, strict, lenient = limits
    thresholds = evidence.policy.conformity
    exact = least == most
    u = np.where(exact & np.isfinite(u), u, 0.0)
    low = np.where(np.isnan(low), -np.inf, low)
    sure = conformity_probability(np.where(exact, least, 0.0), u, low=low, high=strict)
    sure = np.where(exact, sure, np.where((most <= strict) & (least >= low), 1.0, 0.0))
    if lenient is strict:
        possible = sure
    else:
        possible = conformity_probability(np.where(exact, least, 0.0), u, low=low, high=lenient)
    possible = np.where(exact, possible, np.where((least > lenient) | (most < low), 0.0, 1.0))
    conditional = np.where(sure >= thresholds.even, CONDITIONAL_PASS, CONDITIONAL_FAIL)
    settled = exact & (strict == lenient)
    code = np.where(
        sure >= thresholds.passed,
        PASS,
        np.where(possible <= thresholds.fail, FAIL, np.where(settled, conditional, NOT_JUDGED)),
    )
    code = np.where(np.isnan(strict) | np.isnan(lenient), NOT_JUDGED, code)
    probability = np.where(code == FAIL, possible, sure)
    return np.where(code == NOT_JUDGED, np.nan, probability), code.astype(np.int8)


def worst_of(part: Rows, outcome: Codes, probability: Floats, n: int) -> Rows:
    """For each part the reading with the least probability of keeping its limit; -1: none."""
    worst = np.full(n, -1, np.int64)
    judged = np.flatnonzero(outcome != NOT_JUDGED)
    order = judged
    if len(judged) and np.bincount(part[judged]).max() > 1:
        order = judged[np.lexsort((-probability[judged], part[judged]))]
    worst[part[order]] = order  # the last one written is the one of least probability
    return worst
