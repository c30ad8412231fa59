"""What a reform changed: capacitance and loss of today held against those of before it."""

from __future__ import annotations

from typing import Final

import numpy as np
import pandas as pd

from captriage.columns import (
    BEFORE,
    CAPACITANCE,
    CAPACITANCE_BEFORE,
    ESR,
    ESR_BEFORE,
    TAN_DELTA,
    TAN_DELTA_BEFORE,
    UNDER_WAY,
)
from captriage.judging.disputes import spread
from captriage.judging.evidence import Evidence, Floats, Mask, Rows
from captriage.judging.held import (
    NOT_JUDGED,
    PASS,
    Held,
    bounds,
    outcomes,
    uncertainty_standard,
    usable_rows,
    worst_of,
)
from captriage.judging.hold import DISPUTED, blank_doubtful, doubts, off_temperature
from captriage.judging.limits import LIMIT_CODE, REFORM_CHANGE
from captriage.model.impedance import esr_from_tan_delta, reactance
from captriage.model.spectrum import capacitance_frequency_factor, esr_at_frequency
from captriage.model.temperature import esr_at_temperature

CARRIED: Final = 0.5
"""Standard uncertainty of a reading that is carried to another frequency, as a share of what that
changes: the model is that of a typical part. Ours."""

OF_BEFORE: Final = "held against that of before the reform, "
LOSSES: Final = (ESR, TAN_DELTA)
NO_REFORM: Final = ("not reformed", UNDER_WAY)
"""Outcomes after which nothing is held against before: what is read is of before, or between."""


def read_before(evidence: Evidence) -> Mask:
    """Readings of before a reform that have a number."""
    mask = evidence.of_quantity(*BEFORE.values())
    if not mask.any():
        return mask
    known = (evidence.captures.value > 0) & ~evidence.superseded & evidence.captures.leads
    return np.asarray(mask & known)


def parts_of(evidence: Evidence, readings: Mask) -> Mask:
    """Parts that one of these readings is of."""
    parts = np.zeros(evidence.n, bool)
    parts[evidence.reading_part[readings]] = True
    return parts


def hold_change(evidence: Evidence, disputed: Mask) -> Held:
    """Capacitance, ESR and tan δ of parts against what they were before a reform.

    Capacitance stays within the policy's share of what it was, and ESR below its multiple, at
    the same frequency. Where the two were read at different ones, the earlier is carried over as
    in :mod:`captriage.model.spectrum`, and what that changes adds to the uncertainty; so does
    the uncertainty of the earlier reading. Where no frequency is told, ESR is not judged. A part
    of which no outcome is told is compared as well: something lies between its readings.
    """
    then = read_before(evidence)
    compared = parts_of(evidence, then) & ~evidence.word("reform_outcome", *NO_REFORM)
    rows = usable_rows(evidence, CAPACITANCE, *LOSSES) if compared.any() else np.zeros(0, np.int64)
    rows = rows[compared[evidence.reading_part[rows]]]
    rows, was = paired(evidence, rows, np.flatnonzero(then))
    part = evidence.reading_part[rows]
    is_capacitance = evidence.quantity[rows] == CAPACITANCE
    low, strict, lenient, unsure = (np.full(len(rows), np.nan) for _ in range(4))
    at = np.flatnonzero(is_capacitance)
    low[at], strict[at], unsure[at] = capacitance_band(evidence, rows[at], was[at])
    lenient[at] = strict[at]
    at = np.flatnonzero(~is_capacitance)
    strict[at], lenient[at], unsure[at] = loss_bound(evidence, rows[at], was[at])
    least, most = bounds(evidence, rows)
    both_hz = frequency_of(evidence, rows) + frequency_of(evidence, was)
    u = np.hypot(uncertainty_standard(evidence, rows, fractions(evidence, rows)), unsure)
    probability, outcome = outcomes(evidence, least, most, u, (low, strict, lenient))
    doubt = doubts(
        (disputed[rows], DISPUTED),
        (contradictory(evidence, was), OF_BEFORE + "of which two readings contradict each other"),
        (evidence.in_circuit[part], OF_BEFORE + "in circuit: parallel paths count"),
        (
            off_temperature(evidence, rows) | off_temperature(evidence, was),
            OF_BEFORE + "too cold or too warm: both are read at about 20 °C",
        ),
        (np.isnan(both_hz), OF_BEFORE + "no frequency told"),
        (np.isnan(strict), OF_BEFORE + "at {frequency}: no rule carries the earlier one over"),
        (outcome == NOT_JUDGED, OF_BEFORE + "a bound or the temperature leaves it open"),
    )
    probability, outcome = blank_doubtful(probability, outcome, doubt)
    value = np.where(np.isfinite(least), least, most)
    high = np.where(outcome == PASS, strict, lenient)
    limit = np.full(len(rows), LIMIT_CODE[REFORM_CHANGE], np.int8)
    worst = worst_of(part, outcome, probability, evidence.n)
    return Held(part, rows, value, low, high, limit, probability, outcome, doubt, worst)


def paired(evidence: Evidence, rows: Rows, then: Rows) -> tuple[Rows, Rows]:
    """Readings of today that have one of before to be held against, and those.

    Of several the one at the same frequency, of the same quantity, at the nearest frequency,
    and read last.
    """
    none = np.zeros(0, np.int64)
    if not len(rows) or not len(then):
        return none, none
    today, before = (
        pd.DataFrame(
            {
                name: at,
                "part": evidence.reading_part[at],
                "loss": ~np.isin(evidence.quantity[at], (CAPACITANCE, CAPACITANCE_BEFORE)),
            }
        )
        for name, at in (("today", rows), ("was", then))
    )
    pairs = today.merge(before, on=["part", "loss"])
    here, there = pairs["today"].to_numpy(np.int64), pairs["was"].to_numpy(np.int64)
    at_hz, was_hz = frequency_of(evidence, here), frequency_of(evidence, there)
    alike = [BEFORE[name] for name in evidence.quantity[here]] == evidence.quantity[there]
    pairs["moved"] = at_hz != was_hz
    pairs["other"] = ~np.asarray(alike, bool)
    pairs["far"] = np.abs(np.log1p(at_hz) - np.log1p(was_hz))
    pairs["since"] = -there
    pairs = pairs.sort_values(["today", "moved", "other", "far", "since"])
    chosen = pairs.drop_duplicates("today")
    return chosen["today"].to_numpy(np.int64), chosen["was"].to_numpy(np.int64)


def frequency_of(evidence: Evidence, rows: Rows) -> Floats:
    """Frequency of readings; of a capacitance that names none the usual 120 Hz, NaN else. [Hz]"""
    told = evidence.reading("frequency_hz")[rows]
    capacitance = np.isin(evidence.quantity[rows], (CAPACITANCE, CAPACITANCE_BEFORE))
    told = np.where(capacitance & (np.isnan(told) | (told == 100.0)), 120.0, told)
    return np.asarray(told)


def fractions(evidence: Evidence, rows: Rows) -> Floats:
    """Uncertainty (k = 2) that the policy gives readings which state none, as a fraction."""
    quantity, policy = evidence.quantity[rows], evidence.policy.uncertainty
    of = {
        **dict.fromkeys((CAPACITANCE, CAPACITANCE_BEFORE), policy.capacitance),
        **dict.fromkeys((ESR, ESR_BEFORE), policy.esr),
        **dict.fromkeys((TAN_DELTA, TAN_DELTA_BEFORE), policy.tan_delta),
    }
    return np.array([of[name] for name in quantity], float)


def capacitance_band(evidence: Evidence, rows: Rows, was: Rows) -> tuple[Floats, Floats, Floats]:
    """Least and largest capacitance after the reform, and their standard uncertainty. [F]"""
    share = evidence.policy.reform.capacitance_change
    here, there = frequency_of(evidence, rows), frequency_of(evidence, was)
    moved = capacitance_frequency_factor(here) / capacitance_frequency_factor(there)
    ratio = np.where(here == there, 1.0, moved)
    before = evidence.captures.value[was]
    u = uncertainty_standard(evidence, was, fractions(evidence, was))
    unsure = (1 + share) * np.hypot(ratio * u, CARRIED * np.abs(ratio - 1) * before)
    evidence.assume(
        parts_of(evidence, np.isin(np.arange(len(evidence.quantity)), was)
                 & np.isnan(evidence.reading("frequency_hz"))),
        "frequency of the capacitance reading before the reform not told: taken as 100/120 Hz",
    )  # fmt: skip
    return (1 - share) * ratio * before, (1 + share) * ratio * before, unsure


def loss_bound(evidence: Evidence, rows: Rows, was: Rows) -> tuple[Floats, Floats, Floats]:
    """Largest ESR or tan δ after the reform, and its standard uncertainty.

    Strict and lenient: the temperatures of both readings, where they are told, leave a band.
    """
    part = evidence.reading_part[rows]
    here, there = frequency_of(evidence, rows), frequency_of(evidence, was)
    value = evidence.captures.value[was]
    u = uncertainty_standard(evidence, was, fractions(evidence, was)) / value
    farad = capacitances(evidence, CAPACITANCE_BEFORE)
    of_rated = np.where(np.isnan(farad), evidence.capacitance_rated, farad)[part]
    by_loss = evidence.quantity[was] == TAN_DELTA_BEFORE
    ohm = np.where(by_loss, esr_from_tan_delta(value, at(farad[part], there), frequency_hz=there),
                   value)  # fmt: skip
    carried = esr_at_frequency(
        ohm, of_rated, from_hz=there, to_hz=here,
        tan_delta_oxide=evidence.policy.loss.tan_delta_oxide,
    )  # fmt: skip
    carried = np.where(here == there, ohm, carried)
    today = capacitances(evidence, CAPACITANCE)[part]
    is_tan_delta = evidence.quantity[rows] == TAN_DELTA
    per_ohm = np.where(is_tan_delta, 1 / reactance(at(today, here), frequency_hz=here), 1.0)
    most = evidence.policy.reform.esr_times * per_ohm * carried
    of_capacitance = evidence.policy.uncertainty.capacitance / 2 * np.hypot(by_loss, is_tan_delta)
    moved = CARRIED * np.abs(carried - ohm) / carried
    unsure = most * np.sqrt(u**2 + moved**2 + of_capacitance**2)
    cool, warm = temperature_factors(evidence, rows, was)
    return most * cool, most * warm, unsure


def at(farad: Floats, frequency: Floats) -> Floats:
    """Capacitance at a frequency from that at 100 or 120 Hz. [F]"""
    return np.asarray(farad * capacitance_frequency_factor(frequency))


def capacitances(evidence: Evidence, quantity: str) -> Floats:
    """Capacitance of each part as it would be read at 100 or 120 Hz; NaN where none is. [F]"""
    rows = np.flatnonzero(evidence.of_quantity(quantity) & ~evidence.superseded)
    factor = capacitance_frequency_factor(frequency_of(evidence, rows))
    value = evidence.captures.value[rows] / factor
    usable = value > 0
    found = np.full(evidence.n, np.nan)
    found[evidence.reading_part[rows[usable]][::-1]] = value[usable][::-1]  # the first stays
    return found


def temperature_factors(evidence: Evidence, rows: Rows, was: Rows) -> tuple[Floats, Floats]:
    """Least and largest factor on ESR from the temperature of then to that of now; 1 untold."""
    now, then = (evidence.reading("temperature_degc")[each] for each in (rows, was))
    untold = np.isnan(now) | np.isnan(then)
    least, largest = esr_at_temperature(1.0, from_degc=then, to_degc=now)
    return np.where(untold, 1.0, least), np.where(untold, 1.0, largest)


def contradictory(evidence: Evidence, was: Rows) -> Mask:
    """Readings of before that another one of before, at like conditions, contradicts."""
    then = np.flatnonzero(read_before(evidence))
    if not len(then):
        return np.zeros(len(was), bool)
    kind = pd.factorize(evidence.quantity[then])[0].astype(float)
    hertz = np.nan_to_num(frequency_of(evidence, then), nan=-1.0)
    part = evidence.reading_part[then].astype(float)
    ratio = spread([part, kind, hertz], evidence.captures.value[then])
    apart = then[ratio > evidence.policy.contradiction.ratio]
    return np.isin(was, apart)
