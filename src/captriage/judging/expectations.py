"""What a part of that rating and age should read: when new, when sound, at the end of life."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd

from captriage.columns import (
    CAPACITANCE,
    ESR,
    LEAKAGE_CURRENT,
    LOOKS_COLUMNS,
    READINGS,
    SET_ASIDE,
    TAN_DELTA,
    Sheets,
    empty,
)
from captriage.judging.evidence import Evidence, Floats
from captriage.judging.hold import esr_limit, tan_delta_limits
from captriage.judging.limits import LEAKAGE_LIMITS, LIMIT_KEYS, TAN_DELTA_LIMITS
from captriage.judging.policy import Policy
from captriage.judging.soak import leakage_criteria
from captriage.model.ageing import arrhenius_life
from captriage.model.drying import capacitance_ratio_worn, esr_ratio_worn
from captriage.model.impedance import tan_delta_from_esr
from captriage.model.leakage import leakage_at_time, leakage_temperature_factor
from captriage.model.spectrum import capacitance_frequency_factor, oxide_resistance
from captriage.model.temperature import capacitance_at_temperature, esr_at_temperature

STATES: Final = ("new", "sound at its age", "end of life")
NEW, SOUND, SPENT = STATES

BENCH: Final = 20.0
"""Temperature of the published limits. [°C]"""

SHARE_WORN_SOUND: Final = 0.5
"""Share of its life a sound old part is taken to have used, where its service is untold; ours."""

SOAK_EXPONENTS: Final = (0.5, 1.0)
"""Fall of leakage with time, i ~ t^-n, of aluminium electrolytics in the first hour; memory."""

COLUMNS: Final = ("part_row", "quantity", "state", "low", "high", "reference", "assumption")


@dataclass(frozen=True)
class Conditions:
    """Conditions the bands are wanted at."""

    frequency_hz: float
    temperature_degc: float
    soak_s: float


def expected_bands(
    parts: pd.DataFrame,
    *,
    policy: Policy,
    today_year: int,
    frequency_hz: float = 120.0,
    temperature_degc: float = BENCH,
    soak_s: float = 300.0,
) -> pd.DataFrame:
    """Bands of capacitance, ESR, tan δ and leakage current for each part.

    Parameters
    ----------
    parts : DataFrame
        Columns of :data:`captriage.columns.PARTS`.
    policy : Policy
        Which published criteria apply.
    today_year : int
        Year to which ages are counted.
    frequency_hz, temperature_degc, soak_s : float
        Conditions of the readings. [Hz], [°C], [s at rated voltage]

    Returns
    -------
    DataFrame
        ``part_row``, ``quantity``, ``state`` (one of :data:`STATES`), ``low`` and ``high`` (SI;
        NaN where that side is open, both NaN where nothing is known at those conditions),
        ``reference`` and ``assumption`` (texts).
    """
    nothing = (empty(READINGS), empty(LOOKS_COLUMNS), empty(SET_ASIDE))
    evidence = Evidence(Sheets(parts.reset_index(drop=True), *nothing), policy, today_year)
    at = Conditions(frequency_hz, temperature_degc, soak_s)
    frames = [
        *capacitance_bands(evidence, at),
        *loss_bands(evidence, at),
        *leakage_bands(evidence, at),
    ]
    order = {name: place for place, name in enumerate(COLUMNS)}
    bands = pd.concat(frames, ignore_index=True)[list(order)]
    return bands.sort_values("part_row", kind="stable", ignore_index=True)


def band(
    quantity: str, state: str, low: Floats, high: Floats, reference: str, assumption: str
) -> pd.DataFrame:
    """Rows of one quantity and state, one for each part."""
    n = len(low)
    return pd.DataFrame(
        {
            "part_row": np.arange(n),
            "quantity": [quantity] * n,
            "state": [state] * n,
            "low": low,
            "high": high,
            "reference": [reference] * n,
            "assumption": [assumption] * n,
        }
    )


def worn_share(evidence: Evidence) -> tuple[Floats, str]:
    """Share of its life each sound part may have used, and how that was come by."""
    life, history = evidence.policy.life, evidence.policy.history
    expected = arrhenius_life(
        life.hours,
        life.temperature_degc,
        temperature_degc=evidence.number("service_temperature_degc"),
    )
    told = np.minimum(evidence.number("service_hours") / expected, 1.0)
    age = np.where(np.isnan(evidence.age), np.inf, evidence.age)
    untold = SHARE_WORN_SOUND * np.minimum(age / history.old_from_years, 1.0)
    text = (
        f"share of life used: by told hours and temperature against {life.hours:g} h at "
        f"{life.temperature_degc:g} °C, else up to {SHARE_WORN_SOUND:g} by age (ours)"
    )
    return np.where(np.isnan(told), untold, told), text


def capacitance_bands(evidence: Evidence, at: Conditions) -> list[pd.DataFrame]:
    """Capacitance when new, sound and spent. [F]"""
    rated = evidence.capacitance_rated * capacitance_frequency_factor(at.frequency_hz)
    tolerance_low, tolerance_high = evidence.tolerance
    share, shared = worn_share(evidence)
    worn = capacitance_ratio_worn(share, end=evidence.policy.capacitance.worn_below)

    def moved(low: Floats, high: Floats) -> tuple[Floats, Floats]:
        return (
            capacitance_at_temperature(low, from_degc=BENCH, to_degc=at.temperature_degc)[0],
            capacitance_at_temperature(high, from_degc=BENCH, to_degc=at.temperature_degc)[1],
        )

    least, most = rated * (1 + tolerance_low), rated * (1 + tolerance_high)
    sound = np.fmax(least * worn, rated * (1 + evidence.policy.capacitance.worn_below))
    spent = rated * (1 + evidence.policy.capacitance.worn_below)
    translated = (
        "frequency: 1 kHz reads 10 % less and a charge method 10 % more than 100/120 Hz "
        "(Wikipedia, Aluminum electrolytic capacitor); nothing is known above 1 kHz; "
        "temperature: from memory"
    )
    tolerance = "tolerance as marked, else the usual one of the era"
    end = f"policy {evidence.policy.name}, capacitance.worn_below"
    return [
        band(CAPACITANCE, NEW, *moved(least, most), tolerance, translated),
        band(CAPACITANCE, SOUND, *moved(sound, most), f"{tolerance}; {end}", shared),
        band(CAPACITANCE, SPENT, np.full(evidence.n, np.nan), moved(spent, spent)[1], end, ""),
    ]


def loss_bands(evidence: Evidence, at: Conditions) -> list[pd.DataFrame]:
    """ESR and tan δ when new, sound and spent. [Ω], [1]"""
    part = np.arange(evidence.n)
    policy = evidence.policy
    criterion = TAN_DELTA_LIMITS[policy.loss.tan_delta]
    _, lenient = tan_delta_limits(evidence, part)
    frequency = np.full(evidence.n, at.frequency_hz)
    spent = esr_limit(evidence, part, lenient, frequency)
    new = esr_limit(evidence, part, lenient / policy.loss.times_new, frequency)
    oxide = oxide_resistance(
        evidence.capacitance_rated,
        frequency_hz=frequency,
        tan_delta_oxide=policy.loss.tan_delta_oxide,
    )
    share, shared = worn_share(evidence)
    sound = np.fmin(new * esr_ratio_worn(share, end=max(policy.loss.times_new, 1.0)), spent)
    reference = f"tan δ, {criterion.title} [{criterion.reference}; {criterion.standing}]"
    times = f"{policy.loss.times_new:g} × {reference}; factor: policy {policy.name}"
    floor = "lowest: loss of the oxide alone (tan δ 0.015, from memory)"
    law = "ESR(f) = electrolyte + oxide loss / (2π f C) (Albertsen 2012)"

    def moved(low: Floats, high: Floats) -> tuple[Floats, Floats]:
        return (
            esr_at_temperature(low, from_degc=BENCH, to_degc=at.temperature_degc)[0],
            esr_at_temperature(high, from_degc=BENCH, to_degc=at.temperature_degc)[1],
        )

    # tan δ takes the capacitance at that frequency, and nothing is known of it above 1 kHz.
    capacitance = evidence.capacitance_rated * capacitance_frequency_factor(at.frequency_hz)
    rows = []
    for state, low, high, source, assumption in (
        (NEW, oxide, new, reference, f"{floor}; {law}"),
        (SOUND, oxide, sound, f"{reference}; {times}", shared),
        (SPENT, spent, np.full(evidence.n, np.nan), times, law),
    ):
        esr_low, esr_high = moved(low, high)
        if state == SPENT:  # by the steeper law, so that no sound part is called spent
            esr_low = esr_at_temperature(low, from_degc=BENCH, to_degc=at.temperature_degc)[1]
        rows.append(band(ESR, state, esr_low, esr_high, source, assumption))
        d_low, d_high = (
            tan_delta_from_esr(each, capacitance, frequency_hz=frequency)
            for each in (esr_low, esr_high)
        )
        rows.append(band(TAN_DELTA, state, d_low, d_high, source, assumption))
    return rows


def leakage_bands(evidence: Evidence, at: Conditions) -> list[pd.DataFrame]:
    """Leakage current at rated voltage when new, sound and spent. [A]"""
    criteria = leakage_criteria(evidence)
    warmth = leakage_temperature_factor(at.temperature_degc)
    least_fall, most_fall = SOAK_EXPONENTS

    def moved(limit: Floats) -> Floats:
        # Both ways the exponent that leaves the most current: a limit must not be too strict.
        early = at.soak_s < criteria.soak_s
        exponent = np.where(early, most_fall, least_fall)
        wanted = np.full(evidence.n, at.soak_s)
        return warmth * leakage_at_time(limit, criteria.soak_s, time=wanted, exponent=exponent)

    codes = np.unique(np.r_[criteria.strict_key, criteria.lenient_key])
    keys = [LIMIT_KEYS[code] for code in codes if LIMIT_KEYS[code]]
    titles = "; ".join(
        f"{LEAKAGE_LIMITS[key].title} [{LEAKAGE_LIMITS[key].reference}; "
        f"{LEAKAGE_LIMITS[key].standing}]"
        for key in keys
    )
    translated = (
        "time: i ~ t^-n, n 0.5 to 1 in the first hour (from memory); temperature: four times "
        "from 20 °C to 85 °C (Wikipedia, Aluminum electrolytic capacitor)"
    )
    nothing = np.full(evidence.n, np.nan)
    zero = np.where(np.isnan(criteria.strict * warmth), np.nan, 0.0)
    return [
        band(LEAKAGE_CURRENT, NEW, zero, moved(criteria.strict), titles, translated),
        band(LEAKAGE_CURRENT, SOUND, zero, moved(criteria.lenient), titles, translated),
        band(
            LEAKAGE_CURRENT,
            SPENT,
            moved(criteria.lenient),
            nothing,
            titles,
            "above this also after reforming",
        ),
    ]
