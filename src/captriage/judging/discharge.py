"""Through which resistor a part is discharged, how long that takes, and what it must stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from captriage.model.energy import discharge_peak_power, discharge_time, stored_energy

RESISTANCES: Final = (10e3, 1e3, 100.0)
"""Resistors that are reckoned with, the first that is quick enough; common practice. [Ω]"""

OVERLOAD: Final = 10.0
"""Watts at the first instant of a discharge over rated ones; wirewound, from memory. [1]"""
OVERLOAD_S: Final = 5.0
"""Time over which the energy of a discharge is spread in a resistor; from memory. [s]"""

PATIENCE_S: Final = 10.0
"""Longest discharge that is still advised with a larger resistor; ours. [s]"""


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
        Voltage at first, and to which it is brought; above nought and falling, else the time is
        NaN. [V]
    """
    for ohm in RESISTANCES:
        seconds = float(discharge_time(ohm, farads, from_v=from_v, to_v=to_v))
        if seconds <= PATIENCE_S:
            break
    at_first, pulse = (
        float(discharge_peak_power(from_v, ohm)),
        float(stored_energy(farads, from_v)),
    )
    rated = max(at_first / OVERLOAD, pulse / max(OVERLOAD_S, ohm * farads))
    return Discharge(ohm, seconds, at_first, pulse, rated)
