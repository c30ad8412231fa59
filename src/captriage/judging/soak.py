"""Leakage readings held against their criterion: era, voltage, temperature and soak time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from captriage.columns import LEAKAGE_CURRENT
from captriage.judging.evidence import Evidence, Floats, Mask, Rows
from captriage.judging.held import (
    FAIL,
    NOT_JUDGED,
    PASS,
    Codes,
    Held,
    bounds,
    outcomes,
    uncertainty_standard,
    usable_rows,
    worst_of,
)
from captriage.judging.hold import DISPUTED, blank_doubtful, doubts
from captriage.judging.limits import LEAKAGE_LIMITS, LIMIT_CODE
from captriage.model.leakage import leakage_temperature_factor, leakage_voltage_factor
from captriage.model.withstand import RATED_PRECISELY

BENCH: Final = 20.0
"""Temperature the limits are brought to. [°C]"""


def eras(evidence: Evidence) -> list[tuple[Mask, str, str]]:
    """Parts and the (strict, lenient) criteria of their era; both where the era is untold."""
    leakage = evidence.policy.leakage
    vintage = evidence.made < leakage.vintage_before
    untold = np.isnan(evidence.made)
    modern = ~vintage & ~untold
    evidence.assume(
        untold & (leakage.vintage != leakage.modern), "date of making not told: era of limits open"
    )
    return [
        (vintage, leakage.vintage, leakage.vintage),
        (modern, leakage.modern, leakage.modern),
        (untold, leakage.modern, leakage.vintage),
    ]


def criterion(key: str, capacitance: Floats, voltage: Floats) -> tuple[Floats, Floats]:
    """Limit [A] at rated voltage and 20 °C, and its soak time [s], by one criterion."""
    row = LEAKAGE_LIMITS[key]
    limit = row.function(capacitance, np.minimum(voltage, row.voltage_highest))
    return limit / leakage_temperature_factor(row.temperature_degc), row.soak(voltage)


@dataclass(frozen=True)
class Criteria:
    """For each part, at rated voltage: the strict and the lenient limit and the soak time."""

    strict: Floats  # [A]
    lenient: Floats  # [A]
    soak_s: Floats
    strict_key: Codes  # places in limits.LIMIT_KEYS
    lenient_key: Codes


def leakage_criteria(evidence: Evidence) -> Criteria:
    """The leakage criteria of the policy that apply to each part, by its era."""
    n = evidence.n
    strict, lenient, soak = (np.full(n, np.nan) for _ in range(3))
    strict_key, lenient_key = np.zeros(n, np.int8), np.zeros(n, np.int8)
    for mask, narrow, wide in eras(evidence):
        if not mask.any():
            continue
        rating = evidence.capacitance_rated[mask], evidence.voltage_rated[mask]
        (narrow_limit, narrow_soak), (wide_limit, _) = (
            criterion(narrow, *rating),
            criterion(wide, *rating),
        )
        above = np.zeros(n, bool)
        above[mask] = rating[1] > LEAKAGE_LIMITS[wide].voltage_highest
        evidence.assume(above, "rated above its leakage criterion: held against its highest row")
        swap = narrow_limit > wide_limit  # a small part may have the narrower old limit
        strict[mask] = np.where(swap, wide_limit, narrow_limit)
        lenient[mask] = np.where(swap, narrow_limit, wide_limit)
        strict_key[mask] = np.where(swap, LIMIT_CODE[wide], LIMIT_CODE[narrow])
        lenient_key[mask] = np.where(swap, LIMIT_CODE[narrow], LIMIT_CODE[wide])
        soak[mask] = narrow_soak
    return Criteria(strict, lenient, soak, strict_key, lenient_key)


def chosen_rows(evidence: Evidence, rows: Rows, soak_wanted: Floats) -> Rows:
    """The leakage readings that count: the telling one of each part, and what speaks against it.

    The telling one is nearest the part's voltage, then soonest after the soak time. A later
    reading, and one at a lower voltage, can only speak against it: they are held as well.
    """
    part = evidence.reading_part[rows]
    if not len(rows) or np.bincount(part).max() == 1:
        return rows
    voltage = evidence.reading("voltage_v")[rows]
    soak = evidence.reading("soak_s")[rows]
    short_by = np.maximum(evidence.voltage_proof[part] - voltage, 0.0)
    short_by = np.where(np.isnan(short_by), np.inf, short_by)
    early = soak < soak_wanted[part]
    distance = np.where(np.isnan(soak), np.inf, np.abs(soak - soak_wanted[part]))
    order = np.lexsort((distance, early, short_by, part))
    first = np.r_[True, np.diff(part[order]) > 0]
    telling = np.zeros(len(rows), bool)
    telling[order[first]] = True
    nearest = np.full(evidence.n, np.inf)
    nearest[part[telling]] = short_by[telling]
    # A lower voltage has a series of its own; at the telling one only what came later tells more.
    return rows[telling | (~early & (distance > 0)) | (short_by > nearest[part])]


def moves(evidence: Evidence, rows: Rows, fraction: Floats) -> tuple[Floats, Floats]:
    """Factors that move a limit to the conditions of each reading: to pass by, and to fail by.

    They part where the law is only a shape: well below rated voltage, and in the warmth. There
    a pass must keep the smaller limit, and only an excess over the larger one is a fail.
    """
    by_voltage = leakage_voltage_factor(np.minimum(fraction, 1.0))
    by_voltage = np.where(np.isnan(by_voltage), 1.0, by_voltage)
    shape_only = fraction < evidence.policy.leakage.diagnostic_fraction
    told = evidence.reading("temperature_degc")[rows]
    warmth = leakage_temperature_factor(np.where(np.isnan(told), BENCH, told))
    warmth = np.where(np.isnan(warmth), 1.0, warmth)
    hot = told > evidence.policy.conditions.temperature_highest_degc
    to_pass = by_voltage * np.where(hot, 1.0, warmth)
    return to_pass, np.where(shape_only, 1.0, by_voltage) * warmth


def hold_leakage(evidence: Evidence, disputed: Mask, criteria: Criteria) -> Held:
    """The telling leakage reading of each part against its limit.

    The limit is moved to the voltage and temperature of the reading. Leakage keeps falling
    after the voltage is applied, so a reading that is too early can prove a part good but
    never bad; one well below the working voltage, or at one that is not told, can prove it bad
    but never good.
    """
    soak_part = criteria.soak_s
    rows = usable_rows(evidence, LEAKAGE_CURRENT)
    rows = chosen_rows(evidence, rows, soak_part)
    part = evidence.reading_part[rows]
    voltage = evidence.reading("voltage_v")[rows]
    rated, proof = evidence.voltage_rated[part], evidence.voltage_proof[part]
    untold_voltage = np.isnan(voltage)
    fraction = np.where(untold_voltage, 1.0, voltage / rated)
    to_pass, to_fail = moves(evidence, rows, fraction)
    strict, lenient = criteria.strict[part] * to_pass, criteria.lenient[part] * to_fail
    least, most = bounds(evidence, rows)
    u = uncertainty_standard(evidence, rows, evidence.policy.uncertainty.leakage_current)
    limits = (np.full(len(rows), -np.inf), strict, lenient)
    probability, outcome = outcomes(evidence, least, most, u, limits)
    soak = evidence.reading("soak_s")[rows]
    passed = outcome == PASS
    cold = evidence.reading("temperature_degc")[rows] < (
        evidence.policy.conditions.temperature_lowest_degc
    )
    value = np.where(np.isfinite(least), least, most)
    with np.errstate(invalid="ignore"):
        below_proof = ~untold_voltage & (voltage < evidence.policy.leakage.proof_fraction * proof)
    doubt = doubts(
        (disputed[rows], DISPUTED),
        (np.isnan(strict), "no leakage limit without rated capacitance and voltage"),
        (value < 0, "negative current: leads or polarity may be reversed"),
        (
            ~passed & (soak < soak_part[part]),
            "read after {soak}, sooner than the limit's {wanted}: it may still be falling",
        ),
        (
            ~passed & (fraction > 1 + RATED_PRECISELY),
            "read at {voltage}, above its rated voltage: no limit holds there; do not repeat it",
        ),
        (
            (outcome != FAIL) & below_proof,
            "read at {voltage}: too low to prove the part at its working voltage",
        ),
        (
            (outcome != FAIL) & untold_voltage,
            "its voltage is not told: a few volts of a meter prove nothing good; write the voltage",
        ),
        (
            cold & (outcome != FAIL),
            "taken at {temperature}: too cold to prove anything good, read again at about 20 °C",
        ),
        (
            evidence.in_circuit[part] & ~passed,
            "read in circuit: other paths take current too",
        ),
        (outcome == NOT_JUDGED, "between the limits of the eras it may come from, or a bound"),
    )
    probability, outcome = blank_doubtful(probability, outcome, doubt)
    used = doubt == ""
    note_assumptions(evidence, part, untold_voltage, used=used, untold_soak=np.isnan(soak) & used)
    high = np.where(outcome == PASS, strict, lenient)
    limit = np.where(outcome == PASS, criteria.strict_key[part], criteria.lenient_key[part])
    worst = worst_of(part, outcome, probability, evidence.n)
    nothing = np.full(len(rows), np.nan)
    return Held(part, rows, value, nothing, high, limit, probability, outcome, doubt, worst)


def note_assumptions(
    evidence: Evidence, part: Rows, untold_voltage: Mask, *, used: Mask, untold_soak: Mask
) -> None:
    """Say of which parts the measuring voltage or the soak time was taken for granted."""
    for missing, text in (
        (untold_voltage & used, "voltage of the leakage reading not told: taken as rated"),
        (untold_voltage & ~used, "voltage of the leakage reading not told: it proves nothing good"),
        (untold_soak, "soak time of the leakage reading not told: taken as the limit's"),
    ):
        mask = np.zeros(evidence.n, bool)
        mask[part[missing]] = True
        evidence.assume(mask, text)
