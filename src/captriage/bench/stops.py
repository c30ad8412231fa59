"""What stops a reforming run: each stop is a function of the moment, with its reason in words."""

from __future__ import annotations

from typing import Final

from captriage.bench.stopping import Stop
from captriage.bench.stops_of_bench import (
    blind,
    clip_has_slipped,
    meter_is_stuck,
    meter_repeats_itself,
    meters_disagree,
    more_than_the_resistor_passes,
    no_current,
    no_number,
    over_range,
    part_has_another_voltage,
    resistor_is_too_small,
    reversed_current,
    supply_does_not_follow,
)
from captriage.bench.stops_of_part import (
    HAS_RISEN,
    SHORTED,
    above_rated,
    another_part,
    charges_for_ever,
    curve_says_so,
    reversed_part,
    risen,
    settled_above,
    too_much_current,
    too_much_power,
    too_warm,
)


def of_failing(why: str) -> bool:
    """Whether a stop says that the part rises, is shorted, or has broken down: no voltage again."""
    from captriage.reform.curves import BROKEN_DOWN, RISING  # with numpy, so not sooner

    failing = why.startswith((f"{RISING}: ", f"{BROKEN_DOWN}: ", HAS_RISEN))
    return failing or why.endswith(f": {SHORTED}")


STOPS: Final = (
    Stop(above_rated),
    Stop(reversed_part),
    Stop(more_than_the_resistor_passes, readings=2),
    Stop(too_much_current, readings=2),
    Stop(too_much_power, readings=2),
    Stop(charges_for_ever, readings=2),
    Stop(over_range, readings=2),
    Stop(blind, readings=6),
    Stop(no_number, readings=6),
    Stop(too_warm, readings=2),
    Stop(risen, readings=3),
    Stop(no_current),
    Stop(meter_is_stuck),
    Stop(meter_repeats_itself),
    Stop(clip_has_slipped),
    Stop(reversed_current, readings=3),
    Stop(supply_does_not_follow, readings=3),
    Stop(meters_disagree, readings=3),
    Stop(part_has_another_voltage, readings=3),
    Stop(resistor_is_too_small, readings=3),
    Stop(another_part),
    Stop(curve_says_so, readings=2),
    Stop(settled_above, readings=2, urgent=False),
)
