"""Published criteria of wear: by how much a part may have changed at the end of a test or life.

Each is a change against the part when new (or against its limit when new, where ``title`` says
so). Makers hold a *test* (endurance, shelf) to narrow limits, and a *useful life* to wide ones.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from captriage.judging.standing import ENCYCLOPEDIA, PRACTICE, READ, REPORTED


@dataclass(frozen=True)
class EndOfLife:
    """One criterion; NaN where its source says nothing of that quantity.

    ``capacitance_low`` and ``capacitance_high`` are fractions of change (-0.30 is 30 % down);
    the factors multiply the new value or limit. It holds for rated voltages above
    ``voltage_above`` [V] and up to ``voltage_up_to`` [V].
    """

    key: str
    title: str
    capacitance_low: float
    capacitance_high: float
    esr_factor: float
    tan_delta_factor: float
    leakage_factor: float
    reference: str
    standing: str
    impedance_factor: float = math.nan
    voltage_above: float = 0.0
    voltage_up_to: float = math.inf


SNAP_IN_85: Final = "Vishay BCcomponents doc. 28340 (07-Nov-05), 85 °C snap-in, p. 64, Tables 4, 5"
SNAP_IN_105: Final = "Vishay BCcomponents doc. 28375 (07-Oct-09), 105 °C snap-in, p. 98, Table 4"
RADIAL: Final = "Lelon RGA series data sheet"
NAN: Final = math.nan

SHELF_TEST: Final = "shelf_test_85"
REFORM_CHANGE: Final = "reform_change"
"""Key of the limit on what a reform may change; its numbers are those of :data:`SHELF_TEST`, which
a house policy may alter: stored, brought up, rested and read again is what that test is."""

_ROWS: Final = (
    EndOfLife(
        "endurance_85_low_voltage",
        "endurance test, 5000 h at 85 °C and rated voltage, to 100 V (IEC 60384-4, 4.13)",
        -0.15,
        0.15,
        1.3,
        NAN,
        1.0,
        SNAP_IN_85,
        READ,
        impedance_factor=2.0,
        voltage_up_to=100.0,
    ),
    EndOfLife(
        "endurance_85_high_voltage",
        "endurance test, 5000 h (450 V: 2000 h) at 85 °C and rated voltage, above 100 V",
        -0.10,
        0.10,
        1.3,
        NAN,
        1.0,
        SNAP_IN_85,
        READ,
        impedance_factor=2.0,
        voltage_above=100.0,
    ),
    EndOfLife(
        "useful_life_85_low_voltage",
        "useful life, 12 000 h at 85 °C with ripple, to 100 V (CECC 30301, 1.8.1)",
        -0.45,
        0.45,
        3.0,
        NAN,
        1.0,
        SNAP_IN_85,
        READ,
        impedance_factor=3.0,
        voltage_up_to=100.0,
    ),
    EndOfLife(
        "useful_life_85_high_voltage",
        "useful life, 12 000 h (450 V: 5000 h) at 85 °C with ripple, above 100 V",
        -0.30,
        0.30,
        3.0,
        NAN,
        1.0,
        SNAP_IN_85,
        READ,
        impedance_factor=3.0,
        voltage_above=100.0,
    ),
    EndOfLife(
        "endurance_105", "endurance test, 105 °C", -0.15, 0.15, 1.3, NAN, NAN, SNAP_IN_105, READ
    ),
    EndOfLife(
        "useful_life_105",
        "useful life, 5000 h at 105 °C",
        -0.20,
        0.20,
        3.0,
        NAN,
        NAN,
        SNAP_IN_105,
        READ,
    ),
    EndOfLife(
        "useful_life_low_impedance",
        "useful life, low impedance, long life",
        -0.40,
        0.40,
        NAN,
        3.0,
        1.0,
        "EPCOS/TDK B41856 data sheet (Dec 2014)",
        READ,
    ),
    EndOfLife(
        "load_life",
        "load life, 2000 h at 105 °C; tan δ against its limit when new",
        -0.20,
        0.20,
        NAN,
        2.0,
        1.0,
        RADIAL,
        READ,
    ),
    EndOfLife(
        "shelf_life",
        "shelf life, 1000 h at 105 °C without voltage; tan δ against its limit when new",
        -0.20,
        0.20,
        NAN,
        2.0,
        1.0,
        RADIAL,
        READ,
    ),
    EndOfLife(
        "shelf_test_85",
        "shelf test, 500 h at 85 °C without voltage, then 30 min rated voltage, 24-48 h rest",
        -0.10,
        0.10,
        1.2,
        NAN,
        2.0,
        f"{SNAP_IN_85} (IEC 60384-4, 4.17)",
        READ,
    ),
    EndOfLife(
        "shelf_test_105",
        "shelf test, 500 h at 105 °C without voltage, then 30 min rated voltage, 24-48 h rest",
        -0.15,
        0.15,
        1.5,
        NAN,
        2.0,
        f"{SNAP_IN_105} (IEC 60384-4, 4.17)",
        READ,
    ),
    EndOfLife(
        "degradation",
        "failure by degradation: C down more than 30 %, or ESR or tan δ up more than 3 times",
        -0.30,
        NAN,
        3.0,
        3.0,
        NAN,
        f"{ENCYCLOPEDIA}; the same in an open fault-simulation data set citing IEC 60384-4-1",
        REPORTED,
        impedance_factor=3.0,
    ),
    EndOfLife(
        "repair_shop",
        "repair shop: C below 0.8 of rated, or ESR more than twice that of a new part",
        -0.20,
        NAN,
        2.0,
        NAN,
        NAN,
        "no source",
        PRACTICE,
    ),
)
END_OF_LIFE: Final[Mapping[str, EndOfLife]] = MappingProxyType({row.key: row for row in _ROWS})
