"""Which resistor, or which equal ones in series, stand a voltage for ever."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Final

from captriage.errors import CapTriageError
from captriage.model.preferred import E_SERIES
from captriage.reform.equipment import OwnedResistor, volts_borne
from captriage.reform.steps import Resistor
from captriage.units import format_quantity

Watts = Callable[[float], float]

WATT_SIZES: Final = (0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 25.0, 50.0)
"""Usual sizes of resistors, each taken at its full watts; common practice. [W]"""

WATTS_MARGIN: Final = 1.5
"""Watts that are asked for over those that are lost: a resistor at its full watts burns fingers;
ours."""

MOST_PIECES: Final = 10
"""More in one string are not proposed; ours."""

FILM_WATTS: Final = 2.0
WIREWOUND_OHM: Final = 22e3
"""Film types up to the former are had in any value, larger, wirewound ones up to about the latter;
from memory. [W], [Ω]"""

SPREAD: Final = (1 / 2, 2.2)
"""How far from the resistor that is wanted one may lie, as a ratio; ours."""

E6_STEP: Final = 1.5
SLACK: Final = 1e-9  # beyond the last digit of a ratio of round figures


def fitted(
    wanted_ohm: float,
    volts: float,
    *,
    owned: Sequence[OwnedResistor] = (),
    watts: Watts | None = None,
    at_most: bool = False,
    what: str = "series resistor",
) -> Resistor:
    """One resistor, or equal ones in series, near a wanted one, that stand a voltage.

    Parameters
    ----------
    wanted_ohm, volts : float
        The resistance that is wanted, and what may stand across all of it. [Ω], [V]
    owned : sequence of OwnedResistor
        To choose from; none: any value of the E12 series.
    watts : callable, optional
        Watts to be borne for ever, all together, by ohms; those of the voltage across the
        resistance where not given.
    at_most : bool
        Whether it may not be above the wanted one.
    what : str
        What it is for, as a message calls it.

    Returns
    -------
    Resistor
        Ohms of all; watts and volts that each piece must be rated for at least.

    Raises
    ------
    CapTriageError
        None near the wanted one stands it.
    """
    highest = wanted_ohm if at_most else wanted_ohm * SPREAD[1]
    stand = [
        resistor
        for resistor in (_owned(owned, volts, watts) if owned else _made(wanted_ohm, volts, watts))
        if wanted_ohm * SPREAD[0] <= resistor.ohm <= highest * (1 + SLACK)
    ]
    if not stand:
        raise CapTriageError(_none_stands(wanted_ohm, volts, watts, at_most, what, owned))
    return min(stand, key=lambda resistor: _preference(resistor, wanted_ohm))


def stands(resistor: Resistor, volts: float, *, watts: float | None = None) -> bool:
    """Whether its pieces bear a voltage across all of them, and the watts of it, for ever."""
    lost = volts**2 / resistor.ohm if watts is None else watts
    return resistor.pieces * resistor.watt >= lost * (
        1 - SLACK
    ) and resistor.pieces * resistor.volt >= volts * (1 - SLACK)


def asked_for(resistor: Resistor, volts: float, *, watts: Watts | None = None) -> Resistor:
    """Resistors at hand, with what they must be rated for in place of what they are rated for.

    ``volts`` and ``watts`` are those of :func:`fitted`.
    """
    lost = WATTS_MARGIN * _lost(resistor.ohm, volts, watts) / resistor.pieces
    sizes = [size for size in WATT_SIZES if lost * (1 - SLACK) <= size <= resistor.watt]
    watt = sizes[0] if sizes else resistor.watt
    return replace(resistor, watt=watt, volt=min(volts / resistor.pieces, resistor.volt))


def left_over(
    owned: Sequence[OwnedResistor], in_use: Sequence[Resistor]
) -> tuple[OwnedResistor, ...]:
    """Resistors at hand that none of those in use has taken; each of these at another time."""
    left = []
    for kind in owned:
        taken = max((_taken(kind, resistor) for resistor in in_use), default=0)
        if kind.count > taken:
            left.append(replace(kind, count=kind.count - taken))
    return tuple(left)


def _taken(kind: OwnedResistor, resistor: Resistor) -> int:
    """How many of one kind are in a string."""
    each = (resistor.ohm / resistor.pieces, resistor.watt, resistor.volt)
    same = math.isclose(each[0], kind.ohm) and each[1:] == (kind.watt, kind.volt)
    return resistor.pieces if same else 0


def in_words(resistor: Resistor) -> str:
    """The resistor as it is asked for at a counter."""
    rated = (
        f"{format_quantity(resistor.watt, 'W')} and {format_quantity(resistor.volt, 'V')} at least"
    )
    if resistor.pieces == 1:
        return f"{format_quantity(resistor.ohm, 'Ω')}, rated for {rated}"
    each = format_quantity(resistor.ohm / resistor.pieces, "Ω")
    total = format_quantity(resistor.ohm, "Ω")
    return f"{resistor.pieces} × {each} in series ({total}), each rated for {rated}"


def _lost(ohm: float, volts: float, watts: Watts | None) -> float:
    """Watts in a resistance. [W]"""
    return volts**2 / ohm if watts is None else watts(ohm)


def _made(wanted_ohm: float, volts: float, watts: Watts | None) -> Iterator[Resistor]:
    """Equal pieces of the E12 series near the wanted resistance that stand the voltage."""
    for pieces in range(1, MOST_PIECES + 1):
        for ohm in _near(wanted_ohm / pieces):
            lost = WATTS_MARGIN * _lost(pieces * ohm, volts, watts) / pieces
            for size in WATT_SIZES:
                made = size <= FILM_WATTS or ohm <= WIREWOUND_OHM
                if made and size >= lost and volts_borne(size) >= volts / pieces:
                    yield Resistor(pieces * ohm, pieces, size, volts / pieces)
                    break


def _near(ohm: float) -> tuple[float, ...]:
    """Values of the E12 series next to a resistance, on both sides."""
    decade = math.floor(math.log10(ohm))
    values = [m * 10.0**d for d in (decade - 1, decade, decade + 1) for m in E_SERIES[12]]
    below = max(value for value in values if value <= ohm * (1 + SLACK))
    above = min(value for value in values if value >= ohm * (1 - SLACK))
    return tuple(float(f"{value:.2g}") for value in dict.fromkeys((below, above)))


def _owned(owned: Sequence[OwnedResistor], volts: float, watts: Watts | None) -> Iterator[Resistor]:
    """Equal pieces of those at hand that stand the voltage."""
    for kind in owned:
        for pieces in range(1, min(kind.count, MOST_PIECES) + 1):
            made = Resistor(pieces * kind.ohm, pieces, kind.watt, kind.volt)
            lost = WATTS_MARGIN * _lost(made.ohm, volts, watts)
            if stands(made, volts, watts=lost):
                yield made


def _preference(resistor: Resistor, wanted_ohm: float) -> tuple[float, ...]:
    """What is chosen by, the least first: within one E6 step, fewer pieces count for more."""
    off = abs(math.log(resistor.ohm / wanted_ohm))
    return round(off / math.log(E6_STEP)), resistor.pieces, off, resistor.watt


def _none_stands(
    wanted_ohm: float,
    volts: float,
    watts: Watts | None,
    at_most: bool,
    what: str,
    owned: Sequence[OwnedResistor],
) -> str:
    lost = WATTS_MARGIN * _lost(wanted_ohm, volts, watts)
    least, most = (format_quantity(ratio * wanted_ohm, "Ω") for ratio in SPREAD)
    if at_most:
        most = format_quantity(wanted_ohm, "Ω")
    needed = (
        f"{format_quantity(wanted_ohm, 'Ω')} for {format_quantity(volts, 'V')} and "
        f"{format_quantity(lost, 'W')} in all"
    )
    if owned:
        untold = [format_quantity(kind.ohm, "Ω") for kind in owned if not kind.watt_told]
        why = f" (no watts told of {', '.join(untold)}, so ¼ W is taken)" if untold else ""
        return (
            f"{what}: none of the resistors at hand, alone or equal ones in series, lies between "
            f"{least} and {most} and stands a shorted part for ever{why}; get {needed}, or list "
            "what they are rated for"
        )
    return (
        f"{what}: {needed} is more than {MOST_PIECES} resistors of "
        f"{format_quantity(WATT_SIZES[-1], 'W')} bear; choose a procedure with a larger resistor"
    )
