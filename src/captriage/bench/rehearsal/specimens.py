r"""Invented parts with honest physics: what a meter would find, and what voltage does to them.

Time is passed in; nothing here reads a clock. The laws are those of :mod:`captriage.model`;
the parts are inventions.
"""

from __future__ import annotations

import math
import random
from math import nan
from typing import Final

import numpy as np

from captriage.bench.rehearsal.circuit import (
    NOTHING,
    Drive,
    Network,
    absorption_branches,
    absorption_current,
)
from captriage.bench.rehearsal.contacts import Contact
from captriage.bench.rehearsal.natures import Nature, Truth
from captriage.model.impedance import esr_from_tan_delta, tan_delta_from_esr
from captriage.model.leakage import leakage_temperature_factor
from captriage.model.oxide import charge_to_thicken, forming_voltage, high_field_exponent
from captriage.model.spectrum import capacitance_frequency_factor

SHORTED_RESISTANCE: Final = 0.4  # Ω
SHORTED_INDUCTANCE: Final = 40e-9  # H
OPEN_CAPACITANCE: Final = 25e-12  # F
BIG_STEP: Final = 0.004  # of the leak's conductance, or of a flaw: steps are halved above it
MOST_HALVINGS: Final = 40
OVERSHOOT_V: Final = 1.0


class Specimen:
    """One part of the drawer: its nature, and the state that voltage has left it in."""

    def __init__(self, nature: Nature, *, time_s: float = 0.0, seed: int = 0) -> None:
        """Find it at ``time_s``, long at rest: its absorption follows the voltage it holds."""
        self.nature = nature
        self.time_s = time_s
        self.flaws = nature.leakage_flaws
        self._fields = _field_exponent(nature)
        self._mending_c = _mending_charge(nature)
        capacitance, share = nature.capacitance, nature.absorption_share
        if nature.kind == "open":
            capacitance, share = OPEN_CAPACITANCE, 0.0
        self._branches = absorption_branches(
            capacitance, share=share, exponent=nature.absorption_exponent
        )
        self._network = Network(capacitance, self._branches)
        self._held = np.full(self._network.size, nature.holds_v)
        self._contact = Contact(nature, random.Random(f"{seed}/{nature.part}"), time_s)  # noqa: S311
        self._seen: dict[float, complex] = {}

    @property
    def voltage(self) -> float:
        """Across its terminals, at the time it was last moved on to. [V]"""
        return float(self._held[0])

    def leakage(self, voltage: float, *, temperature_degc: float = 20.0) -> float:
        """Current through the oxide at a voltage, without what is still being absorbed. [A]"""
        nature = self.nature
        rated = voltage / nature.voltage_rated
        if rated <= 0:
            return 0.0
        factor = math.pow(rated, nature.leakage_exponent) * _warmth(temperature_degc)
        if rated > 1:
            factor *= math.exp(self._fields * (rated - 1))
        return (nature.leakage_residual + self.flaws) * factor

    def absorption_current(self) -> float:
        """Current of the absorption at rated voltage, 1 s after it is applied. [A]"""
        unit = absorption_current(self._branches, exponent=self.nature.absorption_exponent)
        return unit * self.nature.voltage_rated

    def connected(self, time_s: float) -> bool:
        """Whether its contact holds at this time; only an intermittent part's ever does not."""
        return self._contact.holds(time_s)

    def impedance(self, frequency_hz: float) -> complex:
        """Between its terminals, by its capacitance and losses at this frequency. [Ω]"""
        found = self._seen.get(frequency_hz)
        if found is None:
            found = self._seen[frequency_hz] = self._impedance(frequency_hz)
        return found

    def _impedance(self, frequency_hz: float) -> complex:
        omega = 2 * math.pi * frequency_hz
        nature = self.nature
        if nature.kind == "shorted":
            return complex(SHORTED_RESISTANCE, omega * SHORTED_INDUCTANCE)
        if nature.kind == "open":
            return complex(nature.resistance, -1 / (omega * OPEN_CAPACITANCE))
        told = min(max(frequency_hz, 50.0), 1000.0)  # beyond it no figure is published: it stays
        capacitance = nature.capacitance * float(capacitance_frequency_factor(told))
        oxide = esr_from_tan_delta(
            nature.tan_delta_oxide, nature.capacitance, frequency_hz=frequency_hz
        )
        return complex(nature.resistance + float(oxide), -1 / (omega * capacitance))

    def advance(
        self, to_s: float, drive: Drive = NOTHING, *, temperature_degc: float = 20.0
    ) -> None:
        """Move on to a time, wired to ``drive`` since the time it was last moved on to."""
        left = to_s - self.time_s
        self.time_s = max(to_s, self.time_s)
        if self.nature.kind == "shorted":
            self._held[:] = 0.0
            return
        if left <= 0 or (not self._held.any() and not drive.voltage_v):
            return
        limited_below = drive.limit_ends_at_v
        while left > 0:
            if self.voltage < limited_below - 1e-9 * abs(limited_below):
                left -= self._step_limited(left, drive, limited_below, temperature_degc)
            else:
                left -= self._step(left, drive, temperature_degc)

    def _step_limited(
        self, seconds: float, drive: Drive, until_v: float, temperature_degc: float
    ) -> float:
        """Step at the source's current limit, at most until its resistor takes over; time used."""
        source = Drive(current_limit_a=drive.current_limit_a)
        before = self._held.copy()
        # The voltage cannot rise faster: no step goes far beyond where the resistor takes over.
        furthest_v = until_v - self.voltage + OVERSHOOT_V
        reach_s = self._network.capacitance * furthest_v / drive.current_limit_a
        used = self._step(min(seconds, reach_s), source, temperature_degc)
        if self.voltage <= until_v:
            return used
        conductance = self._conductance(0.5 * (before[0] + until_v), temperature_degc)
        low, high = 0.0, used
        for _ in range(60):
            middle = 0.5 * (low + high)
            reached = self._network.step(
                before,
                conductance=conductance,
                current=drive.current_limit_a,
                seconds=middle,
            )
            low, high = (middle, high) if reached[0] < until_v else (low, middle)
        self._held = reached
        self._held[0] = until_v
        return high

    def _step(self, seconds: float, drive: Drive, temperature_degc: float) -> float:
        """One step of at most ``seconds``, shorter where the leak changes; the time used."""
        limited = math.isinf(drive.resistance_ohm)
        outer = 0.0 if limited else 1 / drive.resistance_ohm
        current = 0.0 if limited else drive.voltage_v * outer
        if limited and not math.isinf(drive.current_limit_a):
            current = drive.current_limit_a
        before = self._conductance(self.voltage, temperature_degc)
        for _ in range(MOST_HALVINGS):
            half = self._network.step(
                self._held, conductance=outer + before, current=current, seconds=seconds / 2
            )
            between = self._conductance(half[0], temperature_degc)
            end = self._network.step(
                self._held, conductance=outer + between, current=current, seconds=seconds
            )
            after = self._conductance(end[0], temperature_degc)
            if self._is_small(before, after, outer, seconds) and self._mends_little(
                half[0], seconds
            ):
                break
            seconds /= 2
        self._mend(half[0], seconds, temperature_degc)
        self._held = end
        return seconds

    def _is_small(self, before: float, after: float, outer: float, seconds: float) -> bool:
        """Whether the leak stays nearly the same, or is nothing beside what it shunts."""
        change = abs(after - before)
        if change <= BIG_STEP * max(before, after):
            return True
        return change <= 1e-5 * outer or change * seconds <= 1e-5 * self.nature.capacitance

    def _conductance(self, voltage: float, temperature_degc: float) -> float:
        """Of the leak at this voltage. [S]"""
        if voltage <= 0:
            return 0.0
        return self.leakage(float(voltage), temperature_degc=temperature_degc) / float(voltage)

    def _flaw_current(self, voltage: float, temperature_degc: float = 20.0) -> float:
        whole = self.nature.leakage_residual + self.flaws
        share = self.flaws / whole if whole else 0.0
        return share * self.leakage(float(voltage), temperature_degc=temperature_degc)

    def _mends_little(self, voltage: float, seconds: float) -> bool:
        return self._flaw_current(voltage) * seconds <= BIG_STEP * self._mending_c

    def _mend(self, voltage: float, seconds: float, temperature_degc: float) -> None:
        """Flaws close as charge passes through them (Faraday)."""
        if self.flaws:
            passed = self._flaw_current(voltage, temperature_degc) * seconds
            # The current falls as the flaws close: dI/dt = -I²/Q at steady voltage.
            self.flaws /= 1 + passed / self._mending_c

    def truth(self, frequency_hz: float = 120.0, *, soak_s: float = 300.0) -> Truth:
        """What perfect meters would read, the leakage current after ``soak_s`` at rated voltage.

        The leakage current is that of a part without charge, switched on through nothing.
        """
        nature = self.nature
        z = self.impedance(frequency_hz)
        capacitance, tan_delta = nan, nan
        if nature.kind != "shorted":
            capacitance = -1 / (2 * math.pi * frequency_hz * z.imag)
            tan_delta = float(tan_delta_from_esr(z.real, capacitance, frequency_hz=frequency_hz))
        return Truth(
            nature.part,
            nature.kind,
            frequency_hz,
            capacitance,
            z.real,
            tan_delta,
            self.voltage,
            self._leakage_after(soak_s),
        )

    def _leakage_after(self, soak_s: float) -> float:
        if self.nature.kind == "shorted":
            return nan
        fresh = Specimen(self.nature)
        fresh.flaws = self.flaws
        fresh._held[:] = 0.0
        drive = Drive(self.nature.voltage_rated, 1.0)
        fresh.advance(soak_s, drive)
        return drive.current(fresh.voltage)


def _warmth(temperature_degc: float) -> float:
    """Leakage at a room's temperature over that at 20 °C."""
    return 1.0 if temperature_degc == 20.0 else float(leakage_temperature_factor(temperature_degc))


def _field_exponent(nature: Nature) -> float:
    """How steeply the current rises above rated voltage: the oxide's own law, at its field."""
    formed_at = float(forming_voltage(nature.voltage_rated)[0])
    return float(high_field_exponent()) * nature.voltage_rated / formed_at


def _mending_charge(nature: Nature) -> float:
    """Charge that forms the flawed share of the foil from nothing to its forming voltage. [C]"""
    formed_at = float(forming_voltage(nature.voltage_rated)[0])
    whole = charge_to_thicken(nature.capacitance_rated, formed_at, by_v=formed_at)
    return nature.flawed_area * float(whole)
