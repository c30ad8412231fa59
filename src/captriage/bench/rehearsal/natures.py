"""What an invented part is, and what perfect meters would read of it."""

from __future__ import annotations

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
