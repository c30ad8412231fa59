"""The cautions that go with a judgement: always the first thing a report says."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from captriage.model.energy import discharge_peak_power, discharge_time, stored_energy
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.judge.verdicts import Judgement

DISCHARGE_RESISTANCE: Final = 10e3
"""Resistor the cautions reckon with; common practice for high-voltage filter capacitors. [Ω]"""

SAFE_VOLTAGE: Final = 50.0
"""Voltage to which a part is discharged before it is touched; practice of power capacitors. [V]"""

SHOCK: Final = (100.0, 10.0)
"""Voltage [V] and energy [J] from which a capacitor is a shock hazard: Berkeley Lab (LBL)."""


def cautions(judgement: Judgement) -> list[str]:
    """Cautions for these parts: stored energy, discharge, what not to energise, who decides.

    Returns
    -------
    list of str
        Sentences, the most pressing first.
    """
    said = [
        "Mains and charged capacitors kill. Unplug, discharge and measure before touching; local "
        "rules and qualified people come before anything written here."
    ]
    stored = worst_energy(judgement)
    if stored:
        said.append(stored)
    never = judgement.verdicts.loc[judgement.verdicts["energise"] == "never", "part"]
    if len(never):
        said.append("Put no voltage on: " + ", ".join(never) + ".")
    said.append(
        "A discharged part can recover 10 to 15 % of its voltage by itself: leave it shorted, "
        "and measure again before touching."
    )
    return said


def worst_energy(judgement: Judgement) -> str:
    """The part that stores most at its rated voltage, and how long it takes to discharge."""
    parts = judgement.parts
    capacitance = parts["capacitance_rated"].to_numpy(float)
    voltage = parts["voltage_rated"].to_numpy(float)
    energy = np.asarray(stored_energy(capacitance, voltage))
    if not np.isfinite(energy).any():
        return ""
    row = int(np.nanargmax(energy))
    text = (
        f"{parts['part'].iat[row]} stores {format_quantity(energy[row], 'J')} at "
        f"{format_quantity(voltage[row], 'V')}"
    )
    if voltage[row] > SAFE_VOLTAGE:
        seconds = float(
            discharge_time(
                DISCHARGE_RESISTANCE, capacitance[row], from_v=voltage[row], to_v=SAFE_VOLTAGE
            )
        )
        peak = float(discharge_peak_power(voltage[row], DISCHARGE_RESISTANCE))
        text += (
            f": {format_quantity(DISCHARGE_RESISTANCE, 'Ω')} takes it to "
            f"{format_quantity(SAFE_VOLTAGE, 'V')} in {format_quantity(seconds, 's')} "
            f"(rate the resistor for {format_quantity(peak, 'W')} peak and the full voltage)"
        )
    shock = (voltage >= SHOCK[0]) & (energy >= SHOCK[1])
    if shock.any():
        names = ", ".join(parts["part"].to_numpy(object)[shock][:8])
        text += f". At least 100 V and 10 J, a shock hazard by itself: {names}"
    return text + "."
