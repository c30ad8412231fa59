"""Capacitance and loss readings held against their limits at the conditions they were taken."""

from __future__ import annotations

from typing import Final

import numpy as np

from captriage.columns import CAPACITANCE, ESR, IMPEDANCE, TAN_DELTA
from captriage.judging.evidence import Evidence, Floats, Mask, Rows
from captriage.judging.held import (
    CONDITIONAL_PASS,
    NOT_JUDGED,
    PASS,
    Codes,
    Held,
    Words,
    bounds,
    outcomes,
    uncertainty_standard,
    usable_rows,
    worst_of,
)
from captriage.judging.limits import LIMIT_CODE, TAN_DELTA_LIMITS
from captriage.model.impedance import tan_delta_from_esr
from captriage.model.spectrum import capacitance_frequency_factor, esr_at_frequency

TABLE_VOLTAGES: Final = (
    6.3, 10.0, 16.0, 25.0, 35.0, 50.0, 63.0, 100.0, 160.0, 200.0, 250.0, 350.0, 400.0, 450.0
)  # fmt: skip
"""Where the tan δ tables are asked when the rated voltage is not given. [V]"""

OPEN: Final = "a missing rating, one between two columns of the table, or a bound leaves it open"

DISPUTED: Final = "another reading of the part contradicts it"

RATINGS_BEYOND_TABLE: Final = (3.0, 600.0)
"""Rated voltages still held against the nearest column of a tan δ table. [V]"""


def doubts(*reasons: tuple[Mask, str]) -> Words:
    """Why each reading cannot be judged: the first reason that holds, "" where none does."""
    text = np.full(len(reasons[0][0]), "", object)
    for mask, reason in reversed(reasons):
        text[mask] = reason
    return text


def off_temperature(evidence: Evidence, rows: Rows) -> Mask:
    """Readings taken too cold or too warm for a 20 °C limit."""
    told = evidence.reading("temperature_degc")[rows]
    band = evidence.policy.conditions
    return (told < band.temperature_lowest_degc) | (told > band.temperature_highest_degc)


def blank_doubtful(probability: Floats, outcome: Codes, doubt: Words) -> tuple[Floats, Codes]:
    """Probability and outcome with every doubtful reading set to not judged."""
    doubtful = doubt != ""
    return (
        np.where(doubtful, np.nan, probability),
        np.where(doubtful, NOT_JUDGED, outcome).astype(np.int8),
    )


def hold_capacitance(evidence: Evidence, disputed: Mask) -> Held:
    """Capacitance readings against rated capacitance with its tolerance.

    A reading at 1 kHz or by charging is held against the band moved to that condition; above
    the policy's highest frequency none is. In circuit, parallel paths only add: a low reading
    stands, any other proves nothing.
    """
    rows = usable_rows(evidence, CAPACITANCE)
    part = evidence.reading_part[rows]
    frequency = evidence.reading("frequency_hz")[rows]
    untold = np.isnan(frequency)
    factor = np.where(untold, 1.0, capacitance_frequency_factor(np.where(untold, 0.0, frequency)))
    rated = evidence.capacitance_rated[part] * factor
    tolerance_low, tolerance_high = evidence.tolerance
    low, high = rated * (1 + tolerance_low[part]), rated * (1 + tolerance_high[part])
    least, most = bounds(evidence, rows)
    u = uncertainty_standard(evidence, rows, evidence.policy.uncertainty.capacitance)
    probability, outcome = outcomes(evidence, least, most, u, (low, high, high))
    value = np.where(np.isfinite(least), least, most)
    doubt = doubts(
        (disputed[rows], DISPUTED),
        (np.isnan(evidence.capacitance_rated[part]), "no rated capacitance to hold it against"),
        (
            ~untold & (frequency > evidence.policy.capacitance.highest_frequency_hz),
            "taken at {frequency}: not held against a 100/120 Hz rating",
        ),
        (np.isnan(factor), "taken at {frequency}: no rule to translate it from"),
        (off_temperature(evidence, rows), "taken at {temperature}: read again at about 20 °C"),
        (
            evidence.in_circuit[part] & ~(most < low),
            "read in circuit: parallel paths add capacitance",
        ),
        (outcome == NOT_JUDGED, "the bound in the cell does not settle it"),
    )
    probability, outcome = blank_doubtful(probability, outcome, doubt)
    assumed = np.zeros(evidence.n, bool)
    assumed[part[untold & (doubt == "")]] = True
    evidence.assume(assumed, "frequency of the capacitance reading not told: taken as 100/120 Hz")
    limit = evidence.tolerance_limit[part]
    worst = worst_of(part, outcome, probability, evidence.n)
    return Held(part, rows, value, low, high, limit, probability, outcome, doubt, worst)


def tan_delta_limits(evidence: Evidence, part: Rows) -> tuple[Floats, Floats]:
    """Strictest and most lenient tan δ of a new part.

    They differ where the rated voltage is not given, and where it lies between two columns of
    the table (150 V, say): the limits of both neighbours are then possible.
    """
    limit = TAN_DELTA_LIMITS[evidence.policy.loss.tan_delta]
    capacitance, voltage = evidence.capacitance_rated[part], evidence.voltage_rated[part]
    lowest, highest = RATINGS_BEYOND_TABLE
    inside = np.where((voltage >= lowest) & (voltage <= highest), voltage, np.nan)
    strict = limit.function(capacitance, np.clip(inside, TABLE_VOLTAGES[0], TABLE_VOLTAGES[-1]))
    outside = np.zeros(evidence.n, bool)
    outside[part] = (voltage < TABLE_VOLTAGES[0]) | (voltage > TABLE_VOLTAGES[-1])
    evidence.assume(outside, "rated outside the loss table: held against its nearest column")
    table_voltages = np.array([-np.inf, *TABLE_VOLTAGES, np.inf])
    known = np.nan_to_num(inside, nan=TABLE_VOLTAGES[0])
    above = table_voltages[np.searchsorted(table_voltages, known)]
    below = table_voltages[np.searchsorted(table_voltages, known, side="right") - 1]
    ends = TABLE_VOLTAGES[0], TABLE_VOLTAGES[-1]
    lenient = np.fmax(
        limit.function(capacitance, np.clip(below, *ends)),
        limit.function(capacitance, np.clip(above, *ends)),
    )
    untold = np.isnan(voltage)
    strict, lenient = (np.where(np.isnan(inside), np.nan, each) for each in (strict, lenient))
    if not untold.any():
        return strict, lenient
    table = np.stack([limit.function(capacitance[untold], each) for each in TABLE_VOLTAGES])
    strict[untold], lenient[untold] = np.fmin.reduce(table), np.fmax.reduce(table)
    return strict, lenient


def esr_limit(evidence: Evidence, part: Rows, tan_delta: Floats, frequency: Floats) -> Floats:
    """Largest ESR an aged part may show at a frequency, from the tan δ of a new one. [Ω]"""
    loss = evidence.policy.loss
    reference = TAN_DELTA_LIMITS[loss.tan_delta].frequency_hz
    capacitance = evidence.capacitance_rated[part]
    at_reference = loss.times_new * tan_delta / (2 * np.pi * reference * capacitance)
    return esr_at_frequency(
        at_reference,
        capacitance,
        from_hz=reference,
        to_hz=frequency,
        tan_delta_oxide=loss.tan_delta_oxide,
    )


def hold_loss(evidence: Evidence, disputed: Mask) -> Held:
    """ESR, tan δ and impedance readings against the loss limit of the rating.

    Where a reading names no frequency, it passes only if it would at every plausible one and
    fails only if it would at every one. In circuit, parallel paths only lower ESR: an excess
    stands, a pass proves nothing. An impedance bounds the ESR from above.
    """
    rows = usable_rows(evidence, ESR, TAN_DELTA, IMPEDANCE)
    part = evidence.reading_part[rows]
    quantity = evidence.quantity[rows]
    is_tan_delta = quantity == TAN_DELTA
    frequency = evidence.reading("frequency_hz")[rows]
    untold = np.isnan(frequency)
    loss = evidence.policy.loss
    kilohertz = evidence.policy.capacitance.highest_frequency_hz
    lowest = np.where(untold, loss.frequency_lowest_hz, frequency)
    highest = np.where(
        untold, np.where(is_tan_delta, kilohertz, loss.frequency_highest_hz), frequency
    )
    strict_new, lenient_new = tan_delta_limits(evidence, part)
    # An ESR limit falls with frequency, a tan δ limit rises: the strict end of each differs.
    strict = esr_limit(evidence, part, strict_new, np.where(is_tan_delta, lowest, highest))
    lenient = esr_limit(evidence, part, lenient_new, np.where(is_tan_delta, highest, lowest))
    capacitance = evidence.capacitance_rated[part]
    strict = np.where(
        is_tan_delta, tan_delta_from_esr(strict, capacitance, frequency_hz=lowest), strict
    )
    lenient = np.where(
        is_tan_delta, tan_delta_from_esr(lenient, capacitance, frequency_hz=highest), lenient
    )
    least, most = bounds(evidence, rows)
    impedance = quantity == IMPEDANCE
    value = np.where(np.isfinite(least), least, most)
    least = np.where(impedance, -np.inf, least)
    fraction = np.where(
        is_tan_delta, evidence.policy.uncertainty.tan_delta, evidence.policy.uncertainty.esr
    )
    u = uncertainty_standard(evidence, rows, fraction)
    limits = (np.full(len(rows), -np.inf), strict, lenient)
    probability, outcome = outcomes(evidence, least, most, u, limits)
    doubt = doubts(
        (disputed[rows], DISPUTED),
        (np.isnan(capacitance), "no rated capacitance to derive a limit from"),
        (off_temperature(evidence, rows), "taken at {temperature}: read again at about 20 °C"),
        (np.isnan(strict), "no loss limit for this rating at that frequency"),
        (
            evidence.in_circuit[part] & np.isin(outcome, (PASS, CONDITIONAL_PASS)),
            "read in circuit: parallel paths lower ESR",
        ),
        ((outcome == NOT_JUDGED) & untold, "no frequency told, and the plausible ones disagree"),
        (outcome == NOT_JUDGED, OPEN),
    )
    probability, outcome = blank_doubtful(probability, outcome, doubt)
    high = np.where(outcome == PASS, strict, lenient)
    limit = np.full(len(rows), LIMIT_CODE[loss.tan_delta], np.int8)
    worst = worst_of(part, outcome, probability, evidence.n)
    low = np.full(len(rows), np.nan)
    return Held(part, rows, value, low, high, limit, probability, outcome, doubt, worst)
