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
        The voltage is below nought, or Ohm's law does not hold at the series resistor.
    """
    for found, remedy in (*_below_nought(curve), *_through_resistor(curve)):
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
    most = TIMES * np.abs(supply) + curve.floor_a * ohm
    if _many(on & (np.abs(through) > most), on):
        at = int(np.flatnonzero(on & (np.abs(through) > most))[-1])
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


def _on(volts: Floats) -> NDArray[np.bool_]:
    """Readings with a voltage on."""
    size = np.abs(volts)
    known = np.isfinite(size)
    if not known.any():
        return known
    return known & (size > OFF_SHARE * float(size[known].max()))


def _many(which: NDArray[np.bool_], of: NDArray[np.bool_]) -> bool:
    return bool(which.sum() >= max(FEWEST, MANY * of.sum()))
