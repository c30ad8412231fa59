"""Stops of a run that tell of meters, leads, resistor and supply: what is read is not so."""

from __future__ import annotations

from math import isnan
from typing import TYPE_CHECKING, Final

from captriage.bench.stopping import SLACK, SLACK_V, amps, volts
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.moments import Moment

VANISHES: Final = 10.0
"""Times its uncertainty that a current was, to be gone all at once when the next is within it."""

UNSEEN_READINGS: Final = 4
"""So many readings in a row that cannot be told from nought are none; ours."""

STUCK_READINGS: Final = 5
STUCK_V: Final = 10.0
STUCK_SHARE: Final = 0.2
"""So many readings alike while the voltage was moved by so much [V], or by this share of that of
the run, are those of a meter that is stuck, where raising sends a current that it shows; ours."""

DIFFERED: Final = 10
"""So many different readings, and then as many times the very same one, are those of a meter that
is stuck; see :mod:`captriage.bench.repeats`."""

HALF: Final = 0.5
"""Share of the plan's series resistor below which what is in its place is another one; ours."""

ACCURATE: Final = 0.01  # share of a voltage beside uncertainty that meters may differ by; ours


def reversed_current(at: Moment) -> str:
    """The current flows backwards."""
    if at.charged and at.current_a < -max(2 * at.unsure_a, SLACK * at.step.below_a):
        return f"{amps(at.current_a)} flows backwards: see to the leads of the meter and the part"
    return ""


def more_than_the_resistor_passes(at: Moment) -> str:
    """The current is more than the series resistor could let through."""
    ohms = at.step.series_ohm
    most = (1 + SLACK) * (at.feeds_v + at.unsure_v) / ohms + at.unsure_a
    if at.current_a > most:
        return (
            f"{amps(at.current_a)} is more than {format_quantity(ohms, 'Ω')} lets through: the "
            "series resistor is bridged, or is another one"
        )
    return ""


def over_range(at: Moment) -> str:
    """After charging, the ammeter cannot show the current."""
    if at.over_range and at.charged:
        return "the ammeter is over range: more flows than it can show"
    return ""


def blind(at: Moment) -> str:
    """While the voltage is raised, the ammeter cannot show the current."""
    return "the ammeter is over range: more flows than it can show" if at.over_range else ""


def no_number(at: Moment) -> str:
    """The ammeter answers, and with no number."""
    if isnan(at.current_a) and not at.over_range:
        return "the ammeter shows no number: nobody knows what flows"
    return ""


def no_current(at: Moment) -> str:
    """No current is seen: noughts of a meter that is out of the circuit look like health."""
    if at.charged and at.unseen >= UNSEEN_READINGS:
        return (
            "no current is seen at this voltage: a clip has slipped, a lead is open, a fuse has "
            "blown, a plug is in the wrong socket, the part is open, or the ammeter is too coarse"
        )
    return ""


def meter_is_stuck(at: Moment) -> str:
    """The very same reading comes again and again, whatever is set."""
    plan = at.plan
    far = at.moved_v > min(STUCK_V, STUCK_SHARE * plan.target_v)
    seen = plan.capacitance_rated * plan.ramp_v_per_s > 2 * at.unsure_a
    if at.alike >= STUCK_READINGS and far and seen and abs(at.current_a) > at.unsure_a:
        return (
            f"the ammeter shows the very same {amps(at.current_a)} since the voltage was moved by "
            f"{volts(at.moved_v)}: it is stuck"
        )
    return ""


def meter_repeats_itself(at: Moment) -> str:
    """At a steady voltage readings that differed from each other are followed by one alone."""
    if at.differed >= DIFFERED:
        return (
            f"the ammeter shows the very same {amps(at.current_a)} for {at.alike} readings, and "
            f"{at.differed} different ones just before: it is stuck, holds its display, or was "
            "set to a coarser range"
        )
    return ""


def clip_has_slipped(at: Moment) -> str:
    """A current that was well seen is gone all at once."""
    gone = abs(at.current_a) <= at.unsure_a < at.before_a / VANISHES
    if at.charged and gone:
        return (
            f"the current of {amps(at.before_a)} is gone all at once: a clip has slipped, a fuse "
            "has blown, or the part is open"
        )
    return ""


def supply_does_not_follow(at: Moment) -> str:
    """The supply gives another voltage than it was set to."""
    if isnan(at.held_s) or at.limited or isnan(at.supply_v):
        return ""
    if abs(at.supply_v - at.set_v) > SLACK * at.set_v + SLACK_V + at.unsure_v:
        return f"the supply gives {volts(at.supply_v)} and was set to {volts(at.set_v)}"
    return ""


def meters_disagree(at: Moment) -> str:
    """The supply and the ammeter tell different currents."""
    unsure = at.unsure_a + at.supply_unsure_a
    if at.charged and abs(at.supply_a - at.current_a) > SLACK * abs(at.supply_a) + 2 * unsure:
        return (
            f"the supply gives {amps(at.supply_a)} and the ammeter shows {amps(at.current_a)}: a "
            "clip has slipped, or the meter is not in the circuit"
        )
    return ""


def part_has_another_voltage(at: Moment) -> str:
    """The voltage on the part is not what the resistor leaves of the supply's."""
    left = at.supply_v - at.current_a * at.step.series_ohm
    if at.charged and abs(at.part_v - left) > SLACK * at.supply_v + SLACK_V + at.unsure_v:
        return (
            f"{volts(at.part_v)} on the part, where {volts(left)} is left by the series resistor: "
            "a clip has slipped, or the resistor is another one"
        )
    return ""


def resistor_is_too_small(at: Moment) -> str:
    """Voltage and current together tell a series resistor of less than half the plan's ohms.

    Whatever the readings may be off counts for the resistor: the supply gives the most it may, the
    ammeter shows too much, and where the part's voltage was read after the current, it went on
    charging. A knob says too little of its supply's voltage for that.
    """
    amperes = at.current_a - at.unsure_a
    unsure = at.unsure_v + at.part_unsure_v + ACCURATE * at.feeds_v
    risen = max(at.part_late_s, 0.0) * at.current_a / (HALF * at.plan.capacitance_rated)
    drop = at.feeds_v - at.part_v + unsure + risen
    half = HALF * at.step.series_ohm * amperes
    if at.unsure_v > 0 and half > unsure and drop < half:
        most = format_quantity(max(drop, 0.0) / amperes, "Ω", digits=2)
        return (
            f"{volts(at.part_v)} on the part with {amps(at.current_a)}: at most {most} are in "
            f"series, and {format_quantity(at.step.series_ohm, 'Ω')} are planned: put in the right "
            "resistor, and the voltmeter across the part alone"
        )
    return ""
