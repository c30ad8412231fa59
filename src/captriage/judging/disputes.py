"""Readings of one part that contradict each other: none of them is judged."""

from __future__ import annotations

import numpy as np

from captriage.columns import CAPACITANCE, ESR, IMPEDANCE, LEAKAGE_CURRENT, RESISTANCE, TAN_DELTA
from captriage.judging.evidence import Evidence, Floats, Mask, Rows
from captriage.model.impedance import esr_from_tan_delta
from captriage.model.spectrum import capacitance_frequency_factor


def disputed_readings(evidence: Evidence) -> Mask:
    """Readings that another reading of the same part contradicts.

    Returns
    -------
    ndarray of bool, one per reading
        True where two readings of one quantity at like conditions differ by more than the
        policy's ratio, where tan δ and ESR at one frequency do not belong together, or where
        a part written down as open or short also gives a capacitance near its rating.
    """
    apart = repeated_apart(evidence) | loss_apart(evidence) | words_apart(evidence)
    return evidence.captures.whole(apart)


def values(evidence: Evidence, *quantities: str) -> tuple[Rows, Rows, Floats, Floats]:
    """Rows, parts, values and frequencies of the finite, positive readings of quantities."""
    value = evidence.reading("value")
    rows = np.flatnonzero(evidence.of_quantity(*quantities) & (value > 0) & ~evidence.superseded)
    part = evidence.reading_part[rows]
    return rows, part, value[rows], evidence.reading("frequency_hz")[rows]


def spread(groups: list[Floats], value: Floats) -> Floats:
    """Greatest over least value within each group, for every member; 1 where it is alone."""
    ratio = np.ones(len(value))
    if len(value) < 2 or np.bincount(groups[0].astype(np.int64)).max() < 2:
        return ratio
    order = np.lexsort((value, *groups[::-1]))
    starts = np.zeros(len(value), bool)
    starts[0] = True
    for group in groups:
        starts[1:] |= np.diff(group[order]) != 0
    number = np.cumsum(starts) - 1
    first = np.flatnonzero(starts)
    last = np.r_[first[1:], len(value)] - 1
    ratio[order] = (value[order][last] / value[order][first])[number]
    return ratio


def repeated_apart(evidence: Evidence) -> Mask:
    """Repeated readings of one quantity at like conditions that lie too far apart."""
    readings = evidence.sheets.readings
    limit = evidence.policy.contradiction.ratio
    disputed = np.zeros(len(readings), bool)
    for quantity in (CAPACITANCE, ESR, TAN_DELTA, IMPEDANCE, LEAKAGE_CURRENT):
        rows, part, value, frequency = values(evidence, quantity)
        conditions = [part.astype(float)]
        if quantity == CAPACITANCE:
            # Readings at different low frequencies are compared as if all were at 100/120 Hz.
            highest = evidence.policy.capacitance.highest_frequency_hz
            untold = np.isnan(frequency)
            factor = capacitance_frequency_factor(np.where(untold, 120.0, frequency))
            value = value / np.where(np.isnan(factor), 1.0, factor)
            conditions.append(np.where(frequency > highest, frequency, 0.0))
        elif quantity == LEAKAGE_CURRENT:
            for column in ("voltage_v", "soak_s", "temperature_degc"):
                told = evidence.reading(column)[rows]
                conditions.append(np.where(np.isnan(told), -1.0, told))
        else:
            conditions.append(np.where(np.isnan(frequency), -1.0, frequency))
        disputed[rows] = spread(conditions, value) > limit
    return disputed


def loss_apart(evidence: Evidence) -> Mask:
    """Readings of tan δ and ESR of one part at one frequency that do not belong together."""
    disputed = np.zeros(len(evidence.sheets.readings), bool)
    rows, part, esr, frequency = values(evidence, ESR)
    d_rows, d_part, tan_delta, d_frequency = values(evidence, TAN_DELTA)
    if not len(rows) or not len(d_rows):
        return disputed
    capacitance = evidence.capacitance_rated.copy()
    _, c_part, measured, _ = values(evidence, CAPACITANCE)
    capacitance[c_part[::-1]] = measured[::-1]  # the first reading of each part stays
    at = np.full(evidence.n, -1, np.int64)
    at[part] = np.arange(len(part))
    pair = at[d_part]
    same = (pair >= 0) & (frequency[pair] == d_frequency)
    implied = esr_from_tan_delta(tan_delta, capacitance[d_part], frequency_hz=d_frequency)
    ratio = esr[pair] / implied
    limit = evidence.policy.contradiction.loss_ratio
    apart = same & ((ratio > limit) | (ratio < 1 / limit))
    disputed[d_rows[apart]] = True
    disputed[rows[pair[apart]]] = True
    return disputed


def words_apart(evidence: Evidence) -> Mask:
    """Parts written down as open or short that also give a capacitance near their rating."""
    readings = evidence.sheets.readings
    disputed = np.zeros(len(readings), bool)
    said = evidence.flagged("open", "short") & ~evidence.of_quantity(RESISTANCE)
    if not said.any():
        return disputed
    rows, part, value, frequency = values(evidence, CAPACITANCE)
    ratio = value / evidence.capacitance_rated[part]
    near = (ratio > 0.5) & ~(frequency > evidence.policy.capacitance.highest_frequency_hz)
    part_row = evidence.reading_part
    both = np.zeros(evidence.n, bool)
    both[part[near]] = True
    wordy = np.zeros(evidence.n, bool)
    wordy[part_row[said]] = True
    both &= wordy
    disputed[rows[near & both[part]]] = True
    disputed[said & both[part_row]] = True
    return disputed
