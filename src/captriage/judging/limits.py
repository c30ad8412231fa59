"""Registry of published limits: one row a limit, each with its conditions and its source.

The rows of leakage current and tan δ stand here, those of wear in
:mod:`captriage.judging.end_of_life`, usual tolerances in :mod:`captriage.judging.tolerances`;
:data:`LIMITS` finds any of them by its key. ``standing`` is one of
:data:`captriage.judging.standing.STANDINGS`, and goes wherever a limit is quoted.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from captriage.judging.end_of_life import END_OF_LIFE, REFORM_CHANGE, EndOfLife
from captriage.judging.standing import ENCYCLOPEDIA, MEMORY, NO_DOCUMENT, READ, REPORTED, STANDINGS
from captriage.judging.tolerances import (
    TOLERANCE_KEYS,
    TOLERANCES_USUAL,
    ToleranceUsual,
    usual_tolerance,
)
from captriage.model import leakage_limits as leakage
from captriage.model import loss
from captriage.model.validity import Floats

__all__ = [
    "END_OF_LIFE",
    "LEAKAGE_LIMITS",
    "LIMITS",
    "LIMIT_CODE",
    "LIMIT_KEYS",
    "REFORM_CHANGE",
    "STANDINGS",
    "TAN_DELTA_LIMITS",
    "TOLERANCE",
    "TOLERANCES_USUAL",
    "TOLERANCE_KEYS",
    "EndOfLife",
    "LeakageLimit",
    "TanDeltaLimit",
    "ToleranceUsual",
    "usual_tolerance",
]

RatedLimit = Callable[[ArrayLike, ArrayLike], Floats]
"""Limit as a function of rated capacitance [F] and rated voltage [V]."""


@dataclass(frozen=True)
class LeakageLimit:
    """Largest leakage current of a criterion, at rated voltage and its own soak time."""

    key: str
    title: str
    function: RatedLimit
    soak_s: float  # up to 100 V where the soak changes there
    reference: str
    standing: str
    temperature_degc: float = 20.0
    soak_high_voltage_s: float | None = None  # above 100 V, where it differs
    voltage_highest: float = math.inf  # a higher rating is held against the row of this one [V]

    def soak(self, voltage: ArrayLike) -> Floats:
        """Seconds at rated voltage after which the limit holds, for each rated voltage [V]."""
        u = np.asarray(voltage, float)
        above = self.soak_s if self.soak_high_voltage_s is None else self.soak_high_voltage_s
        known = np.where(u > leakage.HIGH_VOLTAGE, above, self.soak_s)
        return np.where(np.isnan(u), np.nan, known)


@dataclass(frozen=True)
class TanDeltaLimit:
    """Largest tan δ of a criterion, at its own frequency."""

    key: str
    title: str
    function: RatedLimit
    frequency_hz: float
    reference: str
    standing: str
    temperature_degc: float = 20.0


RADIAL_STANDARD: Final = "Vishay BCcomponents doc. 28309 (16-Nov-05), radial standard"
RADIAL_GENERAL: Final = "Lelon RGA series data sheet"
AXIAL_STANDARD: Final = "Vishay BCcomponents doc. 28327 (15-Oct-08), axial standard, p. 183"
CHARACTERISTIC_W: Final = "Xiamen Wanming RA series data sheet, characteristic W of JIS C 5141"
IEC_GRADES: Final = "IEC 60384-4 and EN 130300, figures remembered"

_LEAKAGE_ROWS: Final = (
    LeakageLimit(
        "vintage_kc",
        "K·C + 0.3 mA, 5 min (US, 1940s to 1960s)",
        leakage.leakage_limit_vintage,
        300.0,
        "JAN-C-62, reported in amradio list post msg21215; method MIL-C-62F 4.5.3",
        REPORTED,
        voltage_highest=500.0,
    ),
    LeakageLimit(
        "cv_2min",
        "0.01 CV or 3 µA, 2 min",
        leakage.leakage_limit_cv,
        120.0,
        f"{RADIAL_STANDARD}; Nippon Chemi-Con FAQ, leakage current versus time",
        READ,
    ),
    LeakageLimit(
        "cv_5min",
        "0.002 CV + 3 µA, 5 min",
        partial(leakage.leakage_limit_cv_additive, factor=0.002, offset=3e-6),
        300.0,
        RADIAL_STANDARD,
        READ,
    ),
    LeakageLimit(
        "high_voltage_5min",
        "0.03 CV + 15 µA, above 1000 µC 0.02 CV + 25 µA, 5 min, above 100 V",
        leakage.leakage_limit_high_voltage,
        300.0,
        f"{RADIAL_GENERAL} (flattened table; the pairing with > 100 V and 5 min is our reading)",
        READ,
    ),
    LeakageLimit(
        "general_purpose",
        "0.01 CV or 3 µA, 2 min, to 100 V; high-voltage form, 5 min, above",
        leakage.leakage_limit_general_purpose,
        120.0,
        f"{RADIAL_GENERAL} (flattened table; the pairing with > 100 V and 5 min is our reading)",
        READ,
        soak_high_voltage_s=300.0,
    ),
    LeakageLimit(
        "axial_1min",
        "axial, larger cases, 1 min",
        leakage.leakage_limit_axial,
        60.0,
        AXIAL_STANDARD,
        READ,
    ),
    LeakageLimit(
        "axial_small_1min",
        "axial, smallest cases, 0.05 CV or 5 µA, 1 min",
        leakage.leakage_limit_axial_small,
        60.0,
        AXIAL_STANDARD,
        READ,
    ),
    LeakageLimit(
        "axial_5min",
        "axial, 0.002 CV + 5 µA (100 V: 0.006 CV + 4 µA), 5 min",
        leakage.leakage_limit_axial_5min,
        300.0,
        AXIAL_STANDARD,
        READ,
    ),
    LeakageLimit(
        "cv_additive",
        "0.01 CV + 3 µA, 2 or 5 min",
        partial(leakage.leakage_limit_cv_additive, factor=0.01, offset=3e-6),
        300.0,
        ENCYCLOPEDIA,
        REPORTED,
    ),
    LeakageLimit(
        "sqrt_cv",
        "3 √(CV) µA, 5 min, large cans",
        leakage.leakage_limit_sqrt_cv,
        300.0,
        "can-type data sheets that show 3, C, V, µA, 5 min; the root sign is remembered",
        MEMORY,
    ),
    LeakageLimit(
        "power_cv",
        "0.3 (CV)^0.7 + 4 µA, 5 min, European large cans",
        leakage.leakage_limit_power_cv,
        300.0,
        NO_DOCUMENT,
        MEMORY,
    ),
    LeakageLimit(
        "long_life_can_5min",
        "0.006 CV + 4 µA, 5 min, European long-life cans",
        partial(leakage.leakage_limit_cv_additive, factor=0.006, offset=4e-6),
        300.0,
        f"{NO_DOCUMENT} for this use; the same form stands in {AXIAL_STANDARD}",
        MEMORY,
    ),
    LeakageLimit(
        "iec_general_purpose",
        "IEC general-purpose grade, 0.05 CV or 5 µA, above 1000 µC 0.03 CV + 20 µA, 5 min",
        leakage.leakage_limit_iec_general,
        300.0,
        IEC_GRADES,
        MEMORY,
    ),
    LeakageLimit(
        "iec_long_life",
        "IEC long-life grade, 0.01 CV or 1 µA, above 1000 µC 0.006 CV + 4 µA, 5 min",
        leakage.leakage_limit_long_life,
        300.0,
        IEC_GRADES,
        MEMORY,
    ),
    LeakageLimit(
        "jis_w",
        "JIS characteristic W, 0.01 CV or 3 µA, 2 min, 25 °C",
        leakage.leakage_limit_cv,
        120.0,
        CHARACTERISTIC_W,
        READ,
        temperature_degc=25.0,
    ),
    LeakageLimit(
        "jis_003cv",
        "JIS C 5101-4, 0.03 CV or 4 µA, 2 min",
        partial(leakage.leakage_limit_cv, factor=0.03, floor=4e-6),
        120.0,
        f"JIS C 5101-4, {NO_DOCUMENT}",
        MEMORY,
    ),
    LeakageLimit(
        "prewar_dry",
        "0.1 mA/µF, dry types before 1940, formed",
        leakage.leakage_limit_prewar,
        300.0,
        f"radio service literature, {NO_DOCUMENT}; soak time ours",
        MEMORY,
    ),
    LeakageLimit(
        "prewar_wet",
        "0.2 mA/µF (remembered up to 0.5), wet types before 1940, formed",
        partial(leakage.leakage_limit_prewar, per_farad=200.0),
        300.0,
        f"radio service literature, {NO_DOCUMENT}; soak time ours, lower end taken",
        MEMORY,
    ),
)
LEAKAGE_LIMITS: Final[Mapping[str, LeakageLimit]] = MappingProxyType(
    {row.key: row for row in _LEAKAGE_ROWS}
)

_TAN_DELTA_ROWS: Final = (
    TanDeltaLimit(
        "general_purpose_radial",
        "general-purpose radial, 120 Hz",
        loss.tan_delta_limit_radial_general,
        120.0,
        RADIAL_GENERAL,
        READ,
    ),
    TanDeltaLimit(
        "general_purpose_can",
        "general-purpose can, 120 Hz",
        loss.tan_delta_limit_can_general,
        120.0,
        "EPCOS B41851/B43851 data sheet (Jan 2009)",
        READ,
    ),
    TanDeltaLimit(
        "long_life_snap_in",
        "long-life snap-in, 100 Hz",
        loss.tan_delta_limit_snap_in_long_life,
        100.0,
        "EPCOS B41505/B43505 data sheet (Nov 2008)",
        READ,
    ),
    TanDeltaLimit(
        "low_impedance",
        "low impedance, long life, 120 Hz",
        loss.tan_delta_limit_low_impedance,
        120.0,
        "EPCOS/TDK B41856 data sheet (Dec 2014)",
        READ,
    ),
    TanDeltaLimit(
        "vintage_power_factor",
        "power factor 25 % to 250 V (50 % for 100 µF and more to 50 V), 1950s and 1960s",
        loss.tan_delta_limit_vintage,
        120.0,
        f"{NO_DOCUMENT}, low confidence",
        MEMORY,
    ),
)
TAN_DELTA_LIMITS: Final[Mapping[str, TanDeltaLimit]] = MappingProxyType(
    {row.key: row for row in _TAN_DELTA_ROWS}
)

LIMITS: Final[Mapping[str, LeakageLimit | TanDeltaLimit | EndOfLife | ToleranceUsual]] = (
    MappingProxyType(
        {
            **LEAKAGE_LIMITS,
            **TAN_DELTA_LIMITS,
            **END_OF_LIFE,
            **{row.key: row for row in TOLERANCES_USUAL},
        }
    )
)

TOLERANCE: Final = "tolerance"
"""Key of the limit that a part's own tolerance sets."""

_OWN_KEYS: Final = (*LEAKAGE_LIMITS, *TAN_DELTA_LIMITS, *TOLERANCE_KEYS)
LIMIT_KEYS: Final = ("", TOLERANCE, *_OWN_KEYS, REFORM_CHANGE)
"""Keys a finding may name, "" for none; findings carry their places here."""

LIMIT_CODE: Final[Mapping[str, int]] = MappingProxyType(
    {key: code for code, key in enumerate(LIMIT_KEYS)}
)
