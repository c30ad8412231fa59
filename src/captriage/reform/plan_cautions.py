"""What is said before a run: cautions, and what must be settled before any voltage is put on."""

from __future__ import annotations

import math
from typing import Final

from captriage.columns import LOOKS
from captriage.judging.discharge import GONE_V, SAFE_V
from captriage.model.energy import EnergyBand, Hazard, energy_band, hazard
from captriage.reform.equipment import Supply
from captriage.reform.part import PartToReform
from captriage.reform.resistors import in_words
from captriage.reform.steps import Plan
from captriage.units import format_quantity

DEADLY: Final = (
    "Mains and charged capacitors kill. Local rules and licensed practice come before anything "
    "written here; a stop of this program is no safety device."
)
NEVER_ALONE: Final = (
    "Never alone: somebody who can switch off and call for help stands by. One hand only, the "
    "other away from the bench; insulated leads and clips, and a fixture that is insulated."
)
BURST: Final = (
    "Old parts vent or burst without warning and spray hot electrolyte: eye protection, the part "
    "behind a shield or in a closed box, its vent away from people, the room aired."
)
BEFORE_TOUCHING: Final = (
    "Before touching, supply off, discharge resistor across the part, and then a voltmeter: only a "
    "reading below 1 V says that it is discharged, no time on paper does."
)
USUAL_TOLERANCE: Final = 0.5
"""Upper end of a tolerance of -10/+50 %, usual in old parts (from memory)."""
UNTREATED_YEARS: Final = 2.0
"""No treatment is needed within 2 years at 5 to 35 °C: a maker's note, as reported in a forum."""


def cautions(plan: Plan, part: PartToReform) -> tuple[str, ...]:
    """Cautions for this run, the most pressing first."""
    said = [DEADLY, _stored(plan), NEVER_ALONE, BURST, BEFORE_TOUCHING]
    said.append(_discharge(plan, part))
    low, high = (format_quantity(volts, "V") for volts in plan.recovery_v)
    again = ", more than is safe to touch" if plan.recovery_v[1] > SAFE_V else ""
    said.append(
        f"Voltage comes back by itself on open terminals, {low} to {high} here{again}: put a "
        "shorting link across the part as soon as it reads discharged, and leave it there."
    )
    said.append(
        "Take the part out of its circuit, or lift one lead: nothing else is to see this voltage, "
        "and a bleeder would be read as leakage."
    )
    if part.sections > 1:
        said.append(
            "One section at a time. Join the terminals of the other sections to the common "
            "negative through 1 kΩ each, so that they can neither charge nor be touched charged; "
            "one section that fails condemns the can, unless it is left unused (ours)."
        )
    if part.idle_at_most <= UNTREATED_YEARS:
        said.append(
            f"Parts without voltage for at most {UNTREATED_YEARS:g} years need no reforming (a "
            "maker's note, as reported): one that leaks so soon probably has another fault."
        )
    return tuple(said)


def questions(plan: Plan, part: PartToReform, *, supply: Supply) -> tuple[str, ...]:
    """What must be settled before any voltage is put on."""
    asked = []
    if supply.voltage_most < part.voltage_wanted:
        wanted, reached = (format_quantity(v, "V") for v in (part.voltage_wanted, plan.target_v))
        asked.append(
            f"Is there a supply that reaches {wanted}? This one ends at {reached}, and so it "
            f"cannot prove the part at {wanted}."
        )
    if part.polarity != "polar":
        asked.append(
            "Which terminal is positive? The part does not say here. More than 1 V the wrong way "
            "round destroys it (Vishay BCcomponents, documents 28309 and 28327): no voltage until "
            "its print, its can or its circuit shows it beyond doubt."
        )
    if not part.looked_at:
        asked.append(
            "What does it look like? Bulged, vented, leaked, scorched, split or burst: no voltage, "
            "replace it. Say it with --looks."
        )
    if part.blemishes:
        asked.append(
            f"It shows: {', '.join(LOOKS[look] for look in part.blemishes)}. Is that no more than "
            "age, and do clips hold on it without touching anything else?"
        )
    if not part.tried_for_short:
        asked.append(
            "Is it shorted? Read its resistance, out of circuit and discharged; a few ohms: no "
            "voltage, replace it. Say it with --resistance."
        )
    asked.append(
        "What are its capacitance and ESR now? Read them before the run, to be held against those "
        "after the re-test."
    )
    return tuple(asked)


def _stored(plan: Plan) -> str:
    """Voltage and energy of the run, and how dangerous they are."""
    volts, energy = plan.target_v, plan.steps[-1].energy_j
    said = (
        f"At {format_quantity(volts, 'V')} the part stores {format_quantity(energy, 'J')}"
        f"{_class(plan)}."
    )
    if volts > SAFE_V:
        return f"{said} Above {SAFE_V:g} V everything that is joined to it can kill."
    return said


def _class(plan: Plan) -> str:
    """Published class of the charged part; "" where it is below every threshold."""
    found = int(hazard(plan.capacitance_rated, plan.target_v))
    if found == Hazard.SHOCK:
        return ", a shock hazard by itself (100 V and 10 J or more, Berkeley Lab)"
    if found == Hazard.THERMAL:
        return ", a burn hazard by itself (more than 100 J, Berkeley Lab)"
    if int(energy_band(plan.capacitance_rated, plan.target_v)) > EnergyBand.BELOW_THRESHOLDS:
        return ", enough for the rules of work on capacitors to apply (NFPA 70E, from memory)"
    return ""


def _discharge(plan: Plan, part: PartToReform) -> str:
    """Resistor, times and what is uncertain about them."""
    told = not math.isnan(part.tolerance_high)
    most = 1 + (part.tolerance_high if told else USUAL_TOLERANCE)
    may = "by its tolerance it may hold" if told else "an old part may hold"
    times = f"below {GONE_V:g} V after {format_quantity(plan.to_1_s, 's')}"
    if plan.to_60_s:
        times = f"below {SAFE_V:g} V after {format_quantity(plan.to_60_s, 's')}, {times}"
    return (
        f"Discharge through {in_words(plan.discharge)}, able to take a pulse of "
        f"{format_quantity(plan.steps[-1].energy_j, 'J')}: {times} by rated capacitance; {may} "
        f"{most:g} times as much."
    )
