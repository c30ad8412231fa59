"""The cautions that go with a judgement: always the first thing a report says."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from captriage.model.energy import discharge_peak_power, discharge_time, stored_energy
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement

DISCHARGE_RESISTANCES: Final = (10e3, 1e3, 100.0)
"""Resistors the cautions reckon with, the first that is quick enough; common practice. [Ω]"""

PATIENCE_S: Final = 10.0
"""Longest discharge that is still advised with a larger resistor; ours. [s]"""

NAMED: Final = 200
"""Parts that must see no voltage named in the cautions before they say "and others"."""

SAFE_VOLTAGE: Final = 50.0
"""Voltage to which a part is discharged before it is touched; practice of power capacitors. [V]"""

BURN_ENERGY: Final = 100.0
"""Energy from which a capacitor below 100 V is a thermal hazard: Berkeley Lab (LBL). [J]"""

LISTED: Final = 8
"""Parts named in one caution before it says "and others"."""

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
    said += stored_energies(judgement)
    never = judgement.verdicts.loc[judgement.verdicts["energise"] == "never", "part"]
    if len(never):
        more = f" and {len(never) - NAMED} others" if len(never) > NAMED else ""
        said.append("Put no voltage on: " + ", ".join(never[:NAMED]) + more + ".")
    said.append(
        "A discharged part can recover 10 to 15 % of its voltage by itself: leave it shorted, "
        "and measure again before touching."
    )
    return said


def stored_energies(judgement: Judgement) -> list[str]:
    """What the part of most energy and the part of highest voltage hold, and their discharge."""
    parts = judgement.parts
    names = parts["part"].to_numpy(object)
    capacitance = parts["capacitance_rated"].to_numpy(float)
    voltage = parts["voltage_rated"].to_numpy(float)
    energy = np.asarray(stored_energy(capacitance, voltage))
    known = np.flatnonzero(np.isfinite(energy))
    if not len(known):
        return []
    # Of equals the last in both, so that twins give one caution.
    most = known[np.lexsort((voltage[known], energy[known]))[-1]]
    highest = known[np.lexsort((energy[known], voltage[known]))[-1]]
    said = [
        f"{names[row]} stores {format_quantity(energy[row], 'J')} at "
        f"{format_quantity(voltage[row], 'V')}{discharge(capacitance[row], voltage[row])}."
        for row in dict.fromkeys((int(highest), int(most)))
    ]
    shock = names[(voltage >= SHOCK[0]) & (energy >= SHOCK[1])]
    burn = names[(voltage < SHOCK[0]) & (energy > BURN_ENERGY)]
    if len(burn):
        listed = ", ".join(burn[:LISTED]) + (" and others" if len(burn) > LISTED else "")
        said.append(f"Below 100 V but above 100 J, a burn and arc hazard: {listed}.")
    if len(shock):
        listed = ", ".join(shock[:LISTED]) + (" and others" if len(shock) > LISTED else "")
        said.append(f"At least 100 V and 10 J, a shock hazard each by itself: {listed}.")
    return said


def discharge(capacitance: float, voltage: float) -> str:
    """How long the resistor takes to make it safe, and what the resistor must stand."""
    if voltage <= SAFE_VOLTAGE:
        return ""
    times = [
        float(discharge_time(each, capacitance, from_v=voltage, to_v=SAFE_VOLTAGE))
        for each in DISCHARGE_RESISTANCES
    ]
    quick = [place for place, each in enumerate(times) if each <= PATIENCE_S] or [-1]
    seconds, resistance = times[quick[0]], DISCHARGE_RESISTANCES[quick[0]]
    peak = float(discharge_peak_power(voltage, resistance))
    return (
        f": {format_quantity(resistance, 'Ω')} takes it to "
        f"{format_quantity(SAFE_VOLTAGE, 'V')} in {format_quantity(seconds, 's')} "
        f"({format_quantity(peak, 'W')} at first: rate the resistor for that and for the full "
        "voltage)"
    )
