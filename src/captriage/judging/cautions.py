"""The cautions that go with a judgement: always the first thing a report says."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from captriage.judging.discharge import GONE_V, SAFE_V, discharge_of, time_to
from captriage.model.energy import Hazard, hazard, stored_energy
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.judging.verdicts import Judgement

NAMED: Final = 200
"""Parts that must see no voltage named in the cautions before they say "and others"."""

HARMLESS_J: Final = 0.1
"""Energy above which something to discharge with is called for at any voltage: a laboratory's
sheet (https://de.scribd.com/doc/24300159). [J]"""

LISTED: Final = 8
"""Parts named in one caution before it says "and others"."""

HAZARDS: Final = (
    ((Hazard.THERMAL,), "Below 100 V but above 100 J, a burn hazard"),
    (
        (Hazard.SHOCK, Hazard.SHOCK_AND_ARC),
        "At least 100 V and 10 J, a shock hazard each by itself",
    ),
    ((Hazard.SHOCK_AND_ARC,), "At least 100 V and 10 kJ, an arc hazard besides"),
)
"""Classes of :func:`captriage.model.energy.hazard` (Berkeley Lab), and what is said of them."""


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
    said += _above_rated(judgement)
    said.append(
        "A discharged part can recover 10 to 15 % of its voltage by itself: leave it shorted, "
        "and measure again before touching."
    )
    return said


def _above_rated(judgement: Judgement) -> list[str]:
    """Parts that were measured at more than they are rated for."""
    findings = judgement.findings
    meant = (findings["rule"] == "voltage_within_rating") & (findings["wording"] == "tested")
    if not meant.any():
        return []
    found = judgement.parts["part"].to_numpy(object)[findings.loc[meant, "part_row"].to_numpy()]
    listed = ", ".join(found[:LISTED]) + (" and others" if len(found) > LISTED else "")
    return [f"Measured above the rated voltage, which can burst a part: {listed}. Never again."]


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
    classes = hazard(capacitance, voltage)
    for meant, what in HAZARDS:
        found = names[np.isin(classes, meant)]
        if len(found):
            listed = ", ".join(found[:LISTED]) + (" and others" if len(found) > LISTED else "")
            said.append(f"{what}: {listed}.")
    return said


def discharge(capacitance: float, voltage: float) -> str:
    """How long the resistor takes to make it safe and to empty it, and what it must stand.

    Returns
    -------
    str
        "" where neither voltage nor energy does harm.
    """
    found = discharge_of(capacitance, from_v=voltage, to_v=GONE_V)
    if voltage <= GONE_V or (voltage <= SAFE_V and found.joules <= HARMLESS_J):
        return ""
    safe_s = time_to(SAFE_V, ohm=found.ohm, farads=capacitance, from_v=voltage)
    safe = f"below {SAFE_V:g} V in {format_quantity(safe_s, 's')}, and " if safe_s else ""
    return (
        f": {format_quantity(found.ohm, 'Ω')} takes it {safe}below {GONE_V:g} V in "
        f"{format_quantity(found.seconds, 's')} ({format_quantity(found.watts, 'W')} at first: a "
        f"resistor rated for {format_quantity(found.rated_watts, 'W')} and "
        f"{format_quantity(voltage, 'V')} at least, able to take a pulse of "
        f"{format_quantity(found.joules, 'J')})"
    )
