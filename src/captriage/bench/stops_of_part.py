"""Stops of a run that tell of the part: too much of something, failing, or another part."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from captriage.bench.moments import charging_ends_s
from captriage.bench.stopping import SLACK_V, amps, volts
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.moments import Moment

RATED_SLACK: Final = 0.01
"""Share of the rated voltage within which a setting, a supply and a meter may differ; ours."""

WARMER_K: Final = 10.0
"""A case that grows warmer by so much ends the run: common practice. [K]"""

RISEN: Final = 2.0
"""Times the lowest current at a steady voltage that ends the run; ours. A slow creep is left to
what the curve says."""

RISEN_UNSURE: Final = 5.0  # and times the uncertainty above it

REVERSE_V: Final = 1.0
"""Reverse voltage that aluminium electrolytics bear; see :mod:`captriage.model.withstand`. [V]"""

TOO_SMALL: Final = 0.3

TOO_LARGE: Final = 3.0
"""Of the rated capacitance, by the charge that the part took: beyond, it is another part, or a
clip holds nothing; ours. Leakage adds to the charge, so that the upper one is asked only where
little of the charge can be leakage."""

LEAKED_SHARE: Final = 0.3

CHARGE_SEEN_S: Final = 1.0
"""Charging time of a step from which on readings a fifth of a second apart tell its charge; ours.
A quicker one comes in pulses that are missed."""

TOO_LONG: Final = 3.0
"""Times the charging time, after which a part charges no more; ours."""

SURE: Final = 0.9
"""How sure the curve must be of what it says, for that to end a run; ours."""

SEEN_SHARE: Final = 0.4
"""Share of the longest time of a step before which a current that settles above its limit ends
nothing: it may still come down. Ours."""

NOTHING_LEFT: Final = 0.1
"""Share of the supply's voltage below which what is left across a part is that of a short, both as
it is measured and by what the resistor takes; ours."""

SHORTED: Final = "it is shorted, or another one"
HAS_RISEN: Final = "the current has risen from"


def above_rated(at: Moment) -> str:
    """More than the rated voltage stands on the part, or comes from the supply."""
    rated = at.plan.voltage_rated
    most = (1 + RATED_SLACK) * rated + at.unsure_v
    found = max(at.supply_v if at.supply_v > most else 0.0, at.part_v if at.part_v > most else 0.0)
    return f"{volts(found)} is above the rated {volts(rated)}" if found else ""


def reversed_part(at: Moment) -> str:
    """The part has its voltage the wrong way round."""
    if at.part_v < -REVERSE_V:
        return f"{volts(at.part_v)} on the part: it is the wrong way round"
    return ""


def too_much_current(at: Moment) -> str:
    """After charging, the current is more than the step allows."""
    if at.charged and at.current_a > at.step.stop_a:
        left_v = at.feeds_v - at.current_a * at.step.series_ohm  # a clip may have slipped
        if max(at.across_v, left_v) < NOTHING_LEFT * at.feeds_v:
            name = at.plan.part or "the part"
            left = "next to nothing is left across"
            return f"{amps(at.current_a)} flows and {left} {name}: {SHORTED}"
        return f"{amps(at.current_a)} at {volts(at.across_v)}; {amps(at.step.stop_a)} stops the run"
    return ""


def too_much_power(at: Moment) -> str:
    """The part is heated by more than the step allows."""
    watts = at.across_v * at.current_a
    if at.charged and watts > at.step.stop_w:
        said = format_quantity(watts, "W")
        return f"{said} in the part; {format_quantity(at.step.stop_w, 'W')} stops the run"
    return ""


def too_warm(at: Moment) -> str:
    """The case has grown warm."""
    if at.warmer_k > WARMER_K:
        return f"the part is {at.warmer_k:.1f} K warmer than at the beginning; {WARMER_K:g} K stops"
    return ""


def risen(at: Moment) -> str:
    """The current rises at a steady voltage."""
    well_above = at.current_a - at.lowest_a > RISEN_UNSURE * at.unsure_a
    if at.charged and well_above and at.current_a > RISEN * at.lowest_a:
        return f"{HAS_RISEN} {amps(at.lowest_a)} to {amps(at.current_a)} at a steady voltage"
    return ""


def curve_says_so(at: Moment) -> str:
    """The curve says that the part rises, or has broken down, and the current is above its limit.

    Below it, nothing is broken; should it rise on, it is stopped above.
    """
    from captriage.reform.curves import BROKEN_DOWN, RISING  # with numpy, so not sooner

    progress = at.progress
    if not at.charged or progress is None or progress.sure < SURE:
        return ""
    if progress.state in (RISING, BROKEN_DOWN) and at.current_a > at.step.below_a:
        return f"{progress.state}: {progress.because}"
    return ""


def charges_for_ever(at: Moment) -> str:
    """The supply gives its current limit long after the part should be charged."""
    limit = at.plan.supply_limit_a
    by_limit = at.plan.capacitance_rated * at.step.supply_v / limit
    expected = charging_ends_s(at.step) + by_limit
    if at.limited and at.held_s > TOO_LONG * expected:
        return (
            f"the supply gives its limit of {amps(limit)} still after {at.held_s:.0f} s, and "
            f"{expected:.0f} s charge the part: {SHORTED}"
        )
    return ""


def settled_above(at: Moment) -> str:
    """The curve says that the current stays above its limit."""
    from captriage.reform.curves import SETTLED_ABOVE  # with numpy, so not sooner

    progress = at.progress
    if progress is None or progress.sure < SURE or at.held_s < SEEN_SHARE * at.step.most_s:
        return ""
    if progress.state == SETTLED_ABOVE:
        return f"{progress.state}: {progress.because}"
    return ""


def another_part(at: Moment) -> str:
    """The charge that the part took is not that of its rated capacitance."""
    slow = at.step.charging_s >= CHARGE_SEEN_S
    if not (at.first and at.charged and slow) or at.across_v < SLACK_V:
        return ""
    seen = at.charge_c / at.across_v
    rated = at.plan.capacitance_rated
    farads = format_quantity(rated, "F")
    if seen < TOO_SMALL * rated:
        return (
            f"it took the charge of {format_quantity(max(seen, 0.0), 'F')} of {farads}: a clip "
            "holds nothing, the part is open or another one, or the meter is not in the circuit"
        )
    leaked = at.current_a * at.charging_s
    if seen > TOO_LARGE * rated and leaked < LEAKED_SHARE * at.charge_c:
        return f"it took the charge of {format_quantity(seen, 'F')} of {farads}: another part"
    return ""
