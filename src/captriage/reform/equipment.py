"""What is at hand to reform with: a supply, resistors, and something that tells the current."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import Final

from captriage.errors import CapTriageError
from captriage.units import normalise, parse_quantity

AMMETER: Final = "ammeter"
VOLTMETER: Final = "voltmeter"
NO_METER: Final = "none"
METERS: Final = {
    AMMETER: "reads the current into the part",
    VOLTMETER: "reads the voltage across the series resistor, and of the part",
    NO_METER: "nothing is read",
}
FLOORS: Final = {AMMETER: 1e-6, VOLTMETER: 0.01, NO_METER: math.inf}
"""Least that is told from nought where nothing is said: 1 µA, 10 mV; common practice of hand-held
meters. [A], [V]"""

SUPPLY_STEPS: Final = ((30.0, 0.1), (math.inf, 1.0))
"""Voltage up to which, and the step of a supply of which none is told; common practice. [V]"""

VOLTS_BY_WATTS: Final = ((0.25, 250.0), (0.5, 350.0), (1.0, 350.0), (2.0, 500.0))
"""Watts up to which, and volts that a resistor of that size bears: from memory, 250 V for ¼ W and
350 to 500 V for 1 to 2 W; larger ones are taken as 500 V. Its maker's figure comes first."""
LARGE_RESISTOR_VOLTS: Final = 500.0

UNTOLD_WATTS: Final = 0.25
"""What a resistor counts as whose watts are not told: the smallest usual size. [W]"""
MOST_OHM: Final = 100e6
_WATTS: Final = re.compile(r"(\d+(?:[.,]\d+)?|1/[248])\s*W", re.IGNORECASE)
_VOLTS: Final = re.compile(r"(\d+(?:[.,]\d+)?)\s*V", re.IGNORECASE)
_COUNT: Final = re.compile(r"^(\d{1,3})\s*[x×*]\s*(?=\d)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Supply:
    """A supply of direct voltage.

    Attributes
    ----------
    voltage_least, voltage_most : float
        It can be set from and up to; infinite where that is not told. [V]
    voltage_step : float
        Its settings are multiples of this; NaN not told. [V]
    current_least, current_most : float
        Its current limit can be set from and up to; infinite where that is not told. [A]
    power_most : float
        It gives; infinite where that is not told. [W]
    """

    voltage_least: float = 0.0
    voltage_most: float = math.inf
    voltage_step: float = math.nan
    current_least: float = 0.0
    current_most: float = math.inf
    power_most: float = math.inf

    def step_up_to(self, voltage: float) -> float:
        """Step of its settings; that of a usual supply for this voltage where none is told. [V]"""
        usual = next(step for most, step in SUPPLY_STEPS if voltage <= most)
        return usual if math.isnan(self.voltage_step) else self.voltage_step


@dataclass(frozen=True, slots=True)
class OwnedResistor:
    """A resistor at hand, and how many of it; whether its watts are told. [Ω], [W], [V]"""

    ohm: float
    watt: float
    volt: float
    count: int = 1
    watt_told: bool = True


@dataclass(frozen=True, slots=True)
class Equipment:
    """What is at hand.

    Attributes
    ----------
    supply : Supply
        It feeds the part through the series resistor.
    resistors : tuple of OwnedResistor
        At hand; () where any of the E12 series can be had.
    meter : str
        One of :data:`METERS`.
    meter_floor : float
        Least that the meter tells from nought; [A] of an ammeter, [V] of a voltmeter.
    """

    supply: Supply = field(default_factory=Supply)
    resistors: tuple[OwnedResistor, ...] = ()
    meter: str = VOLTMETER
    meter_floor: float = FLOORS[VOLTMETER]


def volts_borne(watt: float) -> float:
    """Voltage that one resistor of this size is taken to bear; see :data:`VOLTS_BY_WATTS`. [V]"""
    return next((volt for size, volt in VOLTS_BY_WATTS if watt <= size), LARGE_RESISTOR_VOLTS)


def current_floor(equipment: Equipment, series_ohm: float) -> float:
    """Least current that the meter tells from nought; infinite without a meter. [A]"""
    if equipment.meter == VOLTMETER:
        return equipment.meter_floor / series_ohm
    return equipment.meter_floor


def checked_supply(supply: Supply) -> Supply:
    """The supply, where its figures make one.

    Raises
    ------
    CapTriageError
        A figure is not positive, or the least is above the most.
    """
    positive = {
        "highest voltage": supply.voltage_most,
        "voltage step": supply.voltage_step,
        "current limit": supply.current_most,
        "power": supply.power_most,
    }
    for what, value in positive.items():
        if value <= 0:
            raise CapTriageError(f"supply: {what} {value:g}; above 0 is wanted")
    for what, least, most in (
        ("voltage", supply.voltage_least, supply.voltage_most),
        ("current limit", supply.current_least, supply.current_most),
    ):
        if not 0 <= least <= most:
            raise CapTriageError(
                f"supply: lowest {what} {least:g}; from 0 to its highest, {most:g}, is allowed"
            )
    return supply


def checked_resistor(resistor: OwnedResistor, where: str) -> OwnedResistor:
    """The resistor, where its figures make one.

    Raises
    ------
    CapTriageError
        Ohms, watts, volts or count are out of range.
    """
    for what, value, most in (
        ("Ω", resistor.ohm, MOST_OHM),
        ("W", resistor.watt, 1000.0),
        ("V", resistor.volt, 100e3),
        ("pieces", resistor.count, 1000),
    ):
        if not 0 < value <= most:
            raise CapTriageError(f"{where}: {value:g} {what}; above 0 and up to {most:g} {what}")
    return resistor


def parse_resistors(text: str) -> tuple[OwnedResistor, ...]:
    """Resistors at hand, from a list.

    Parameters
    ----------
    text : str
        "10k 2W 350V, 47k, 4x 56k 1W": ohms, then watts and volts where they are known, a count
        before them. Watts not told count as ¼ W, volts by :func:`volts_borne`.

    Raises
    ------
    CapTriageError
        One of them cannot be read.
    """
    found = []
    for entry in filter(
        None, (piece.strip() for piece in re.split(r"[,;]\s+|;", text.strip(", ")))
    ):
        rest = normalise(entry)
        count = _COUNT.search(rest)
        rest = _COUNT.sub("", rest)
        watts, volts = _WATTS.search(rest), _VOLTS.search(rest)
        ohm = parse_quantity(_VOLTS.sub(" ", _WATTS.sub(" ", rest)).strip(), "Ω")
        if math.isnan(ohm):
            raise CapTriageError(
                f"resistors: {entry!r} is not understood; write ohms, watts and volts, a comma and "
                "a space between resistors: 10k 2W 350V, 47k"
            )
        watt = _figure(watts.group(1)) if watts else UNTOLD_WATTS
        volt = _figure(volts.group(1)) if volts else volts_borne(watt)
        pieces = int(count.group(1)) if count else 1
        owned = OwnedResistor(ohm, watt, volt, pieces, watt_told=watts is not None)
        found.append(checked_resistor(owned, f"resistors: {entry!r}"))
    if not found:
        raise CapTriageError("resistors: none is listed; write some, such as 10k 2W 350V, 47k")
    return tuple(found)


def _figure(text: str) -> float:
    """Number in a text that holds digits, a decimal sign or a simple fraction."""
    whole, _, part = text.replace(",", ".").partition("/")
    return float(whole) / float(part or 1)
