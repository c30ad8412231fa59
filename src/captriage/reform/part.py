"""What is known of a part that is to be reformed."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PartToReform:
    """One part, or one section of a can.

    Attributes
    ----------
    capacitance_rated, voltage_rated : float
        [F], [V]
    limit_a, soak_s : float
        Most leakage current at the rated voltage and 20 °C [A], and after which soak [s].
    reference : str
        Criterion of the limit, and its source.
    name, section : str
        Designation, "" where none is given; section of a can, "" where it is no can.
    sections : int
        In the can; 1 for a plain part.
    voltage_working : float
        Highest steady voltage of its circuit; NaN not told. [V]
    age_years, idle_years : float
        Since it was made, and without voltage; NaN not told. [a]
    polarity : str
        "polar", "bipolar", "" not told.
    diameter_m : float
        Of its case; NaN not told. [m]
    tolerance_high : float
        How much more than rated it may hold when new, as a fraction; NaN not told.
    looked_at, tried_for_short : bool
        Whether somebody says what it looks like, and what its resistance is.
    blemishes : tuple of str
        What is seen that forbids no voltage: keys of :data:`captriage.columns.LOOKS`.
    proof_fraction, diagnostic_fraction : float
        Of the wanted voltage, that a reading proves something good from, and tells anything
        from: of the policy.
    """

    capacitance_rated: float
    voltage_rated: float
    limit_a: float
    soak_s: float
    reference: str
    name: str = ""
    section: str = ""
    sections: int = 1
    voltage_working: float = math.nan
    age_years: float = math.nan
    idle_years: float = math.nan
    polarity: str = ""
    diameter_m: float = math.nan
    tolerance_high: float = math.nan
    looked_at: bool = False
    tried_for_short: bool = False
    blemishes: tuple[str, ...] = ()
    proof_fraction: float = 0.9
    diagnostic_fraction: float = 0.5

    @property
    def voltage_wanted(self) -> float:
        """Its working voltage where that is told, else the rated one. [V]"""
        told = not math.isnan(self.voltage_working)
        return self.voltage_working if told else self.voltage_rated

    @property
    def idle_at_most(self) -> float:
        """Years without voltage; since it was made where they are not told; NaN unknown. [a]"""
        return self.age_years if math.isnan(self.idle_years) else self.idle_years
