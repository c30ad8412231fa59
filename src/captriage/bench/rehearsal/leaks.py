r"""The leak of an invented part: what passes through its oxide, and what voltage makes of that.

Two laws of flaws. Without a film of its own, the current through flaws goes with voltage as that
of the whole part does, and fades with charge: :math:`dI/dt = -I^2/Q`. With one, it is the
high-field current of :mod:`captriage.model.reforming`, which grows the film.
"""

from __future__ import annotations

import copy
import math
from typing import Final

from captriage.bench.rehearsal.natures import Nature
from captriage.model.leakage import leakage_temperature_factor
from captriage.model.oxide import charge_to_thicken, forming_voltage, high_field_exponent
from captriage.model.reforming import MOST_FIELD

BIG_WARMING: Final = 1e-3  # of the leakage current
MOST_FOLDS: Final = 50.0
FIELD_EXPONENT: Final = float(high_field_exponent())


class Leak:
    """State that voltage leaves the oxide and its temperature in.

    Attributes
    ----------
    flaws : float
        Current through the flaws, at rated voltage; where they have a film, at its voltage. [A]
    film_v : float
        Voltage that the film at the flaws was formed to and keeps; 0 where there is none. [V]
    loose_v : float
        What has grown on top of that and goes again with time. [V]
    rise_k : float
        Of the case over the room. [K]
    """

    def __init__(self, nature: Nature) -> None:
        self.nature = nature
        self.flaws = nature.leakage_flaws
        self.film_v = nature.film_v
        self.loose_v = 0.0
        self.rise_k = 0.0
        formed_at = float(forming_voltage(nature.voltage_rated)[0])
        # How steeply the current rises above rated voltage: the oxide's law, at its own field.
        self._field = FIELD_EXPONENT * nature.voltage_rated / formed_at
        per_volt = float(charge_to_thicken(nature.capacitance_rated, formed_at, by_v=1.0))
        self.charge_per_volt = nature.flawed_area * per_volt
        self._mending_c = self.charge_per_volt * formed_at

    def copy(self) -> Leak:
        """One in the same state, to be moved on by itself."""
        return copy.copy(self)

    def current(self, voltage: float, room_degc: float = 20.0) -> float:
        """At a voltage, without what is still being absorbed. [A]"""
        if voltage <= 0:
            return 0.0
        flawed = self._flaw_current(voltage)
        return (self.nature.leakage_residual * self._power(voltage) + flawed) * self._warmth(
            room_degc
        )

    def slope(self, voltage: float, room_degc: float = 20.0) -> float:
        """How fast that grows with the voltage. [S]"""
        nature = self.nature
        if voltage <= 0:
            straight = voltage == 0 and nature.leakage_exponent == 1  # a leak that is a resistance
            return nature.leakage_residual / nature.voltage_rated if straight else 0.0
        rated = voltage / nature.voltage_rated
        steep = nature.leakage_exponent + (self._field * rated if rated > 1 else 0.0)
        of_flaws = FIELD_EXPONENT * voltage / self._film if self.film_v else steep
        whole = nature.leakage_residual * self._power(voltage) * steep
        return (whole + self._flaw_current(voltage) * of_flaws) * self._warmth(room_degc) / voltage

    def held_at(self, voltage: float, seconds: float, room_degc: float = 20.0) -> None:
        """Move on by a time at steady voltage: flaws heal, what is loose goes, the case warms."""
        power_before = max(voltage, 0.0) * self.current(voltage, room_degc)
        self._let_go(seconds / 2)
        if voltage > 0 and self.flaws:
            self._heal(voltage, seconds, room_degc)
        self._let_go(seconds / 2)
        self._warm(power_before, voltage, seconds, room_degc)

    def patience_s(self, voltage: float, room_degc: float = 20.0) -> float:
        """Time within which its own heat changes the leak at this voltage little. [s]"""
        nature = self.nature
        warms_k = nature.thermal_resistance * voltage * self.current(voltage, room_degc)
        if nature.leakage_growth_per_k * warms_k < BIG_WARMING:
            return math.inf
        return nature.thermal_s / 5

    def gives_way_at(self, voltage: float) -> bool:
        """Whether the part breaks down here and now, to be a short from then on."""
        nature = self.nature
        pierced = 0 < nature.breakdown_v <= voltage * (1 + 1e-6)
        return pierced or 0 < nature.vents_at_rise_k <= self.rise_k

    @property
    def _film(self) -> float:
        return self.film_v + self.loose_v

    def _power(self, voltage: float) -> float:
        rated = voltage / self.nature.voltage_rated
        over = math.exp(self._field * (rated - 1)) if rated > 1 else 1.0
        return math.pow(rated, self.nature.leakage_exponent) * over

    def _flaw_current(self, voltage: float) -> float:
        """Through the flaws of a part at 20 °C."""
        if not self.film_v:
            return self.flaws * self._power(voltage)
        share = min(voltage / self._film, MOST_FIELD)
        return self.flaws * math.exp(FIELD_EXPONENT * (share - 1))

    def _warmth(self, room_degc: float) -> float:
        """Over the leakage of a part at 20 °C."""
        room = 1.0 if room_degc == 20.0 else float(leakage_temperature_factor(room_degc))
        # A step that is tried and found too long may reach any temperature.
        return room * math.exp(min(self.nature.leakage_growth_per_k * self.rise_k, MOST_FOLDS))

    def _heal(self, voltage: float, seconds: float, room_degc: float) -> None:
        passed = self._flaw_current(voltage) * self._warmth(room_degc) * seconds
        if not self.film_v:
            self.flaws /= 1 + passed / self._mending_c  # of dI/dt = -I²/Q
            return
        film = self._film
        for _ in range(2):  # the second time with the film as it is halfway
            charge = film**2 * self.charge_per_volt / (FIELD_EXPONENT * voltage)
            grown_v = charge * math.log1p(passed / charge) / self.charge_per_volt
            film = self._film + grown_v / 2
        self.loose_v += self.nature.loose_share * grown_v
        self.film_v += (1 - self.nature.loose_share) * grown_v

    def _let_go(self, seconds: float) -> None:
        if self.loose_v:
            self.loose_v *= math.exp(-seconds / self.nature.loose_s)

    def _warm(self, power_before: float, voltage: float, seconds: float, room_degc: float) -> None:
        nature = self.nature
        if not nature.thermal_resistance:
            return
        stays = math.exp(-seconds / nature.thermal_s)
        began_k = self.rise_k

        def warmed(power: float) -> float:
            return stays * began_k + (1 - stays) * power * nature.thermal_resistance

        self.rise_k = warmed(power_before)
        if voltage > 0:
            power_after = voltage * self.current(voltage, room_degc)
            self.rise_k = warmed((power_before + power_after) / 2)
