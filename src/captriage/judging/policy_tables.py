"""The tables of a house policy: what each number is, its unit, and the range it may have."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Conformity:
    """Probabilities, 0 to 1, that part pass, conditional pass, conditional fail and fail."""

    passed: float
    even: float
    fail: float


@dataclass(frozen=True)
class Uncertainty:
    """Expanded uncertainty (k = 2) as a fraction of a reading that states none."""

    capacitance: float
    esr: float
    tan_delta: float
    leakage_current: float


@dataclass(frozen=True)
class Capacitance:
    """Bounds of capacitance as fractions of rated, and the highest test frequency. [Hz]"""

    open_below: float
    surplus_above: float
    reform_from: float
    worn_below: float
    highest_frequency_hz: float


@dataclass(frozen=True)
class Loss:
    """Criterion of loss: a row of the tan δ limits, and how many times it an aged part may show."""

    tan_delta: str
    times_new: float
    tan_delta_oxide: float
    frequency_lowest_hz: float
    frequency_highest_hz: float


@dataclass(frozen=True)
class Leakage:
    """Criteria of leakage by era, and the voltages at which a reading proves something."""

    vintage: str
    modern: str
    vintage_before: float
    proof_fraction: float
    diagnostic_fraction: float
    rising_factor: float
    rising_share: float
    rising_within_s: float


@dataclass(frozen=True)
class History:
    """What is taken of parts whose past is told, or not told."""

    long_idle_years: float
    old_from_years: float
    proof_from_voltage: float
    low_voltage_from_capacitance: float


@dataclass(frozen=True)
class Life:
    """Rated life and its temperature, for parts whose service is told."""

    hours: float
    temperature_degc: float


@dataclass(frozen=True)
class Conditions:
    """Temperatures between which a reading is held against a 20 °C limit. [°C]"""

    temperature_lowest_degc: float
    temperature_highest_degc: float


@dataclass(frozen=True)
class Reform:
    """How far a reform may change a part: share of its capacitance, and multiple of its ESR."""

    capacitance_change: float
    esr_times: float


@dataclass(frozen=True)
class Short:
    """DC resistance below which the terminals are joined. [Ω]"""

    resistance_below: float


@dataclass(frozen=True)
class Contradiction:
    """How far two readings of one thing may lie apart, as a ratio."""

    ratio: float
    loss_ratio: float


@dataclass(frozen=True)
class Worth:
    """When a fresh part costs less than the bench time of reforming. [F], [V]"""

    replace_rather_than_reform: bool
    capacitance_at_most: float
    voltage_at_most: float


@dataclass(frozen=True)
class Doubt:
    """What doubt leads to."""

    conditional_fail: str
    worn: str
    residue: str
    reform: bool


@dataclass(frozen=True)
class Fit:
    """What a new part may have more of, as a fraction, and must have, as a factor."""

    capacitance_above: float
    voltage_margin: float


@dataclass(frozen=True)
class Confidence:
    """How sure an advice is before the probabilities of its readings, 0 to 1."""

    seen: float
    open_or_short: float
    combined: float
    history_known: float
    history_assumed: float
    without_leakage: float
    without_leakage_blocking: float
    without_loss: float
    without_capacitance: float
    assumed_condition: float
    keep_at_least: float


TABLES: Final = {
    "conformity": Conformity,
    "uncertainty": Uncertainty,
    "capacitance": Capacitance,
    "loss": Loss,
    "leakage": Leakage,
    "history": History,
    "life": Life,
    "conditions": Conditions,
    "reform": Reform,
    "short": Short,
    "contradiction": Contradiction,
    "worth": Worth,
    "doubt": Doubt,
    "fit": Fit,
    "confidence": Confidence,
}

CHOICES: Final = {
    "doubt.conditional_fail": ("measure", "reform", "replace"),
    "doubt.worn": ("keep", "replace"),
    "doubt.residue": ("keep", "measure", "replace"),
}
FRACTIONS: Final = (0.0, 1.0)
UPWARDS: Final = (0.0, float("inf"))
FACTORS: Final = (1.0, float("inf"))
RANGES: Final = {
    # table, or table and entry: least and most that is allowed; any other number is 0 or more.
    # What is counted above rated (surplus_above, capacitance_above) may well be more than 1.
    "conformity": FRACTIONS,
    "uncertainty": FRACTIONS,
    "confidence": FRACTIONS,
    "capacitance.open_below": FRACTIONS,
    "capacitance.reform_from": FRACTIONS,
    "capacitance.worn_below": (-1.0, 0.0),
    "leakage.proof_fraction": FRACTIONS,
    "leakage.diagnostic_fraction": FRACTIONS,
    "leakage.rising_share": FRACTIONS,
    "leakage.rising_factor": FACTORS,
    "reform.capacitance_change": FRACTIONS,
    "reform.esr_times": FACTORS,
    "contradiction": FACTORS,
    "fit.voltage_margin": FACTORS,
}


def allowed_range(entry: str) -> tuple[float, float]:
    """Least and most that ``table.entry`` may be."""
    return RANGES.get(entry, RANGES.get(entry.split(".")[0], UPWARDS))
