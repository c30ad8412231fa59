"""Through which resistor a part is discharged, how long that takes, and what it must stand.

One story wherever it is told: first below :data:`SAFE_V`, then below :data:`GONE_V`, through the
resistor that is quick enough for both.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from captriage.model.energy import discharge_peak_power, discharge_time, stored_energy

SAFE_V: Final = 60.0
"""Direct voltage that counts as safe to touch when dry: what laboratories test for 5 s after an
instrument is disconnected, by IEC 61010-1, 6.10.3 (as reported in emc-pstc, message 65744). For
power capacitors 50 V is practice. [V]"""

GONE_V: Final = 1.0
"""Below it a part counts as discharged; ours, by the reverse voltage that data sheets allow
(Vishay BCcomponents, document 28309: 1 V). [V]"""

RESISTANCES: Final = (10e3, 1e3, 100.0)
"""Resistors that are reckoned with, the first that is quick enough; common practice. [Ω]"""

OVERLOAD: Final = 10.0
"""Watts at the first instant of a discharge over rated ones; wirewound, from memory. [1]"""
OVERLOAD_S: Final = 5.0
"""Time over which the energy of a discharge is spread in a resistor; from memory. [s]"""

SAFE_WITHIN_S: Final = 10.0
GONE_WITHIN_S: Final = 60.0
"""Longest discharge to either voltage that is still advised with a larger resistor; ours. [s]"""


@dataclass(frozen=True, slots=True)
class Discharge:
    """A resistor across a part.

    Attributes
    ----------
    ohm : float
        The resistor. [Ω]
    seconds : float
        Until the voltage has come down. [s]
    watts : float
        In the resistor at first. [W]
    joules : float
        Pulse that it takes: all that the part stores. [J]
    rated_watts : float
        What it must be rated for at least; less than it takes at first, for that is short. [W]
    """

    ohm: float
    seconds: float
    watts: float
    joules: float
    rated_watts: float


def discharge_of(farads: float, *, from_v: float, to_v: float) -> Discharge:
    """The largest usual resistor that is quick enough, else the smallest.

    Parameters
    ----------
    farads : float
        Capacitance, positive. [F]
    from_v, to_v : float
        Voltage at first, and to which the time is told; above nought and falling, else the time is
        NaN. The resistor is the same whichever it is told to. [V]
    """
    ohm = next((each for each in RESISTANCES if _quick(each, farads, from_v)), RESISTANCES[-1])
    return Discharge(
        ohm,
        float(discharge_time(ohm, farads, from_v=from_v, to_v=to_v)),
        float(discharge_peak_power(from_v, ohm)),
        float(stored_energy(farads, from_v)),
        rated_watts(ohm, farads, from_v=from_v),
    )


def rated_watts(ohm: float, farads: float, *, from_v: float) -> float:
    """What a resistor must be rated for that discharges a part now and then.

    Parameters
    ----------
    ohm, farads, from_v : float
        Resistor [Ω], capacitance [F], and voltage at first [V], each positive.

    Returns
    -------
    float
        The more of a tenth of the watts at first, and the energy spread over 5 s, or over a time
        constant where that is longer. [W]
    """
    energy = float(stored_energy(farads, from_v))
    return max(from_v**2 / ohm / OVERLOAD, energy / max(OVERLOAD_S, ohm * farads))


def time_to(volts: float, *, ohm: float, farads: float, from_v: float) -> float:
    """Time of a discharge to a voltage; 0 where it is no higher at first. [s]"""
    if from_v <= volts:
        return 0.0
    return float(discharge_time(ohm, farads, from_v=from_v, to_v=volts))


def _quick(ohm: float, farads: float, from_v: float) -> bool:
    return all(
        time_to(volts, ohm=ohm, farads=farads, from_v=from_v) <= longest
        for volts, longest in ((SAFE_V, SAFE_WITHIN_S), (GONE_V, GONE_WITHIN_S))
    )
