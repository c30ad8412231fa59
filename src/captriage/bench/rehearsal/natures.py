"""What an invented part is, and what perfect meters would read of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from captriage.model.leakage import VOLTAGE_EXPONENT
from captriage.model.spectrum import TAN_DELTA_OXIDE

KINDS: Final = {
    "fresh": "sound, as the drawer gave it",
    "dried out": "capacitance lost and resistance risen",
    "leaky": "more leakage current than it may have",
    "open": "a lead has come off inside: picofarads",
    "shorted": "a fraction of an ohm, whatever it once was",
    "intermittent": "a contact inside that comes and goes",
}


@dataclass(frozen=True, slots=True)
class Nature:
    """What an invented part is.

    Attributes
    ----------
    part, kind : str
        Its name in the drawer; a key of :data:`KINDS`.
    capacitance_rated, voltage_rated : float
        As printed. [F], [V]
    capacitance : float
        At 120 Hz. [F]
    resistance : float
        Of electrolyte, foil and leads: the share of the ESR that is the same at every
        frequency. [Ω]
    tan_delta_oxide : float
        Loss of the oxide alone.
    absorption_share, absorption_exponent : float
        Capacitance of the absorption over ``capacitance``; :math:`n` of its current t^-n.
    leakage_residual : float
        Current that stays, at rated voltage and 20 °C. [A]
    leakage_exponent : float
        It goes with voltage to this power; 1 for a leak that is a resistance.
    leakage_flaws : float
        Further current through flaws of the oxide, which mend as charge passes. [A]
    flawed_area : float
        Share of the foil that has to be formed anew before that current is gone.
    film_v : float
        Voltage that the film at the flaws was formed to: ``leakage_flaws`` is then the current at
        that voltage, goes with the field, and fades as the film grows; 0 for flaws whose current
        goes with voltage as the rest does. [V]
    loose_share, loose_s : float
        Share of the film grown that does not stay, and the time in which it goes; [1], [s]
    thermal_resistance, thermal_s : float
        Of the case to the room, 0 for a part that stays cool; its time constant. [K/W], [s]
    leakage_growth_per_k : float
        By which the logarithm of the leakage current grows as the part warms. [1/K]
    breakdown_v : float
        Voltage at which it breaks down and is a short from then on; 0 for never. [V]
    vents_at_rise_k : float
        Rise over the room at which it vents, and is a short from then on; 0 for never. [K]
    holds_v : float
        Voltage it is found with. [V]
    closed_s, broken_s : float
        Mean times for which the contact of an intermittent part holds, and is broken. [s]
    """

    part: str
    kind: str
    capacitance_rated: float
    voltage_rated: float
    capacitance: float
    resistance: float
    tan_delta_oxide: float = TAN_DELTA_OXIDE
    absorption_share: float = 0.1
    absorption_exponent: float = 0.9
    leakage_residual: float = 0.0
    leakage_exponent: float = VOLTAGE_EXPONENT
    leakage_flaws: float = 0.0
    flawed_area: float = 1e-4
    film_v: float = 0.0
    loose_share: float = 0.0
    loose_s: float = 3600.0
    thermal_resistance: float = 0.0
    thermal_s: float = 300.0
    leakage_growth_per_k: float = math.log(4) / 65  # captriage.model.leakage
    breakdown_v: float = 0.0
    vents_at_rise_k: float = 0.0
    holds_v: float = 0.0
    closed_s: float = 1.5
    broken_s: float = 0.4


@dataclass(frozen=True, slots=True)
class Truth:
    """What a perfect meter would read of a part."""

    part: str
    kind: str
    frequency_hz: float
    capacitance: float  # F; NaN for a part that has none
    esr: float  # Ω
    tan_delta: float
    voltage: float  # V across it now
    leakage_current: float  # A at rated voltage after the soak; NaN where it cannot be read
