"""Readings of a log that contradict each other: a wrong unit, column, resistor or polarity.

Of a curve that Ohm's law does not allow nothing may be said at all: neither that its part is good,
nor that it is shorted.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.errors import ReadingsError
from captriage.reform.curves import Curve
from captriage.units import format_quantity

Floats = NDArray[np.float64]

OFF_SHARE: Final = 0.02
"""Of the highest voltage: below it the supply is off, and the part discharges or rests."""

TIMES: Final = 3.0
"""By which readings may disagree: a wrong prefix makes a thousand, a band misread ten;
two resistors used in turn (the last step of a plan) make 2; ours."""

MANY: Final = 0.25
"""Share of the readings that have to contradict; the rest may be slips."""

FEWEST: Final = 3
"""Readings that have to contradict."""

TELLING: Final = 0.05
"""Of the supply: a smaller drop is lost in what two voltmeters disagree by; common practice."""


BEYOND: Final = 1.3
"""Drop over the supply, from which it cannot be if the current is no steady one: that of a short
is. Resistors are off by 20 % at most, meters by a few per cent; ours."""

STEADY: Final = 1.5
"""By which the current into a short may differ; ours."""

BURNS_W: Final = 20.0
"""Power that no single can bears for long: at 10 W/m²K one of 35 mm by 80 mm is 180 K warmer than
the room then; ours. [W]"""

HIGH: Final = 0.75
"""Quantile of the conductance that tells what resistor there can be at most: above it are slips."""


def refuse_contradictions(file: str, curve: Curve) -> None:
    """Raise where the readings of a log cannot all be true; do nothing where they can.

    Parameters
    ----------
    file : str
        What messages call the log.
    curve : Curve
        As read, nothing reckoned from Ohm's law but what the log has no column for.

    Raises
    ------
    ReadingsError
        The voltage is below nought, Ohm's law does not hold at the series resistor, or more power
        would have gone into the part than any bears.
    """
    for found, remedy in (*_below_nought(curve), *_through_resistor(curve), *_burning(curve)):
        raise ReadingsError(f"{file}: {found}; {remedy}")


def _below_nought(curve: Curve) -> Iterator[tuple[str, str]]:
    for what, volts in (("of the supply", curve.supply_v), ("on the part", curve.part_v)):
        on = _on(volts)
        if on.any() and np.median(volts[on]) < 0:
            yield (
                f"the voltage {what} is below nought ({np.median(volts[on]):.0f} V)",
                "put on the wrong way round a part heats and bursts: switch off, see which "
                "terminal was positive, and turn the signs only if it was the meter's leads",
            )


def _through_resistor(curve: Curve) -> Iterator[tuple[str, str]]:
    ohm, supply = curve.series_ohm, curve.supply_v
    if not ohm > 0:
        return
    on = _on(supply) & np.isfinite(curve.current_a)
    through = curve.current_a * ohm
    for times in (TIMES, BEYOND):
        beyond = on & (np.abs(through) > times * np.abs(supply) + curve.floor_a * ohm)
        if not _many(beyond, on):
            continue
        low, high = np.quantile(np.abs(through[beyond] / supply[beyond]), (0.1, 0.9))
        if times == BEYOND and high <= STEADY * low:
            continue  # a short, through a resistor somewhat smaller than the one that is told
        at = int(np.flatnonzero(beyond)[-1])
        yield (
            f"{format_quantity(curve.current_a[at], 'A')} is more than "
            f"{format_quantity(supply[at], 'V')} drives through {format_quantity(ohm, 'Ω')}, "
            f"even into a short ({format_quantity(supply[at] / ohm, 'A')})",
            "correct the unit of the current, the columns or the series resistor; until then "
            "nothing is known of this part, and no voltage may be put on it",
        )
    drop = supply - curve.part_v
    telling = on & (np.maximum(np.abs(through), np.abs(drop)) > TELLING * np.abs(supply))
    if telling.sum() < FEWEST:
        return
    taken, lost = float(np.median(drop[telling])), float(np.median(through[telling]))
    if taken * TIMES < lost or taken > TIMES * lost:
        yield (
            f"from the supply to the part {format_quantity(taken, 'V')} are lost, and the current "
            f"through {format_quantity(ohm, 'Ω')} makes {format_quantity(lost, 'V')}",
            "correct the series resistor, the unit of the current, or supply and part voltage if "
            "they are swapped",
        )


def _burning(curve: Curve) -> Iterator[tuple[str, str]]:
    """More power in the part than any bears, whatever a resistor takes that is not told."""
    supply, current = np.abs(curve.supply_v), np.abs(curve.current_a)
    supply = np.where(np.isfinite(supply), supply, np.abs(curve.part_v))
    on = _on(supply) & np.isfinite(current)
    if on.sum() < FEWEST:
        return
    ohm = curve.series_ohm
    if not ohm >= 0:  # no larger than lets the highest currents through into a short
        ohm = 1 / max(float(np.quantile(current[on] / supply[on], HIGH)), 1e-12)
    part = np.where(np.isfinite(curve.part_v), curve.part_v, np.maximum(supply - current * ohm, 0))
    late = np.flatnonzero(on)[on.sum() // 2 :]
    watts = float(np.median(part[late] * current[late]))
    if watts > BURNS_W:
        yield (
            f"{format_quantity(float(np.median(current[late])), 'A')} at "
            f"{format_quantity(float(np.median(supply[late])), 'V')} would put "
            f"{format_quantity(watts, 'W', digits=2)} into the part, which none bears",
            "correct the unit of the current, or the columns; if it is true, the part burns: "
            "switch off, and put no voltage on it again",
        )


def _on(volts: Floats) -> NDArray[np.bool_]:
    """Readings with a voltage on."""
    size = np.abs(volts)
    known = np.isfinite(size)
    if not known.any():
        return known
    return known & (size > OFF_SHARE * float(size[known].max()))


def _many(which: NDArray[np.bool_], of: NDArray[np.bool_]) -> bool:
    return bool(which.sum() >= max(FEWEST, MANY * of.sum()))
