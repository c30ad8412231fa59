"""Through which resistor a part is discharged, how long that takes, and what it must stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from captriage.model.energy import discharge_peak_power, discharge_time

RESISTANCES: Final = (10e3, 1e3, 100.0)
"""Resistors that are reckoned with, the first that is quick enough; common practice. [Ω]"""

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
    """

    ohm: float
    seconds: float
    watts: float


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
    return Discharge(ohm, seconds, float(discharge_peak_power(from_v, ohm)))
