r"""Invented parts with honest physics: what a meter would find, and what voltage does to them.

Time is passed in; nothing here reads a clock. The laws are those of :mod:`captriage.model`;
the parts are inventions.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from math import nan
from typing import Final, NamedTuple

import numpy as np

from captriage.bench.rehearsal.circuit import (
    NOTHING,
    Drive,
    Network,
    Voltages,
    absorption_branches,
    absorption_current,
)
from captriage.bench.rehearsal.contacts import Contact
from captriage.bench.rehearsal.leaks import Leak
from captriage.bench.rehearsal.natures import Nature, Truth
from captriage.model.impedance import esr_from_tan_delta, tan_delta_from_esr
from captriage.model.spectrum import capacitance_frequency_factor

SHORTED_RESISTANCE: Final = 0.4  # Ω
SHORTED_INDUCTANCE: Final = 40e-9  # H
OPEN_CAPACITANCE: Final = 25e-12  # F
BROKEN_DOWN_RESISTANCE: Final = 3.0  # Ω, of a part that has broken down or vented
BIG_MISS: Final = 0.004  # of the leak, by which its tangent may miss it within a step
UNSEEN: Final = 2e-4  # of what the source gives: a leak less than that is nothing beside it
BIG_FOLD: Final = 0.01  # of the leak, by which it may heal or warm within a step
UNSEEN_A: Final = 1e-12  # nothing at all
MOST_HALVINGS: Final = 40
OVERSHOOT_V: Final = 1.0


@dataclass(frozen=True, slots=True)
class _Source:
    """A current into the part with a conductance across it, and where it becomes another."""

    conductance: float  # S
    current: float  # A
    ends_at_v: float = math.inf  # a current limit ends above this
    begins_at_v: float = -math.inf  # and begins below this

    def into(self, voltage: float) -> float:
        """Current it gives at this voltage, its sign left aside. [A]"""
        return abs(self.current - self.conductance * voltage)


class _Half(NamedTuple):
    """Half a step of the circuit."""

    end: Voltages
    used: float  # s
    is_small: bool  # the leak's tangent stood for it well enough


class Specimen:
    """One part of the drawer: its nature, and the state that voltage has left it in."""

    def __init__(self, nature: Nature, *, time_s: float = 0.0, seed: int = 0) -> None:
        """Find it at ``time_s``, long at rest: its absorption follows the voltage it holds."""
        self.nature = nature
        self.time_s = time_s
        self._leak = Leak(nature)
        self._broken_down = False
        self._stride_s = math.inf  # of the next step, at most
        capacitance, share = nature.capacitance, nature.absorption_share
        if nature.kind == "open":
            capacitance, share = OPEN_CAPACITANCE, 0.0
        self._branches = absorption_branches(
            capacitance, share=share, exponent=nature.absorption_exponent
        )
        self._network = Network(capacitance, self._branches)
        self._held = np.full(self._network.size, nature.holds_v)
        self._contact = Contact(nature, random.Random(f"{seed}/{nature.part}"), time_s)  # noqa: S311

    @property
    def voltage(self) -> float:
        """Across its terminals, at the time it was last moved on to. [V]"""
        return float(self._held[0])

    @property
    def flaws(self) -> float:
        """Current through its flaws; see :class:`captriage.bench.rehearsal.leaks.Leak`. [A]"""
        return self._leak.flaws

    @property
    def film_v(self) -> float:
        """Voltage that the film at its flaws stands for now; 0 where there is none. [V]"""
        return self._leak.film_v + self._leak.loose_v

    @property
    def temperature_rise(self) -> float:
        """Of its case over the room. [K]"""
        return self._leak.rise_k

    @property
    def short_ohm(self) -> float:
        """Resistance of one that is shorted or has broken down; 0 of one that has not. [Ω]"""
        if self.nature.kind == "shorted":
            return SHORTED_RESISTANCE
        return BROKEN_DOWN_RESISTANCE if self._broken_down else 0.0

    def leakage(self, voltage: float, *, temperature_degc: float = 20.0) -> float:
        """Current through the oxide at a voltage, without what is still being absorbed. [A]"""
        return self._leak.current(voltage, temperature_degc)

    def absorption_current(self) -> float:
        """Current of the absorption at rated voltage, 1 s after it is applied. [A]"""
        unit = absorption_current(self._branches, exponent=self.nature.absorption_exponent)
        return unit * self.nature.voltage_rated

    def connected(self, time_s: float) -> bool:
        """Whether its contact holds at this time; only an intermittent part's ever does not."""
        return self._contact.holds(time_s)

    def impedance(self, frequency_hz: float) -> complex:
        """Between its terminals, by its capacitance and losses at this frequency. [Ω]"""
        omega = 2 * math.pi * frequency_hz
        nature = self.nature
        if self.short_ohm:
            return complex(self.short_ohm, omega * SHORTED_INDUCTANCE)
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
        while left > 0:
            if self.short_ohm or (not self._held.any() and not drive.voltage_v):
                self._held[:] = 0.0
                self._leak.held_at(0.0, left, temperature_degc)
                return
            left -= self._step(left, drive, temperature_degc)
            if self._leak.gives_way_at(self.voltage):
                self._broken_down = True
                self._held[:] = 0.0

    def _step(self, seconds: float, drive: Drive, room_degc: float) -> float:
        """One step of at most ``seconds``, shorter where the leak changes; the time used.

        The circuit for half of it, with the leak's tangent; then what the time does to the leak;
        then the other half, so that the voltage is the one that belongs to the leak.
        """
        source = self._source(drive)
        patience_s = self._leak.patience_s(self.voltage, room_degc)
        stride = tried_s = min(seconds, self._stride_s, patience_s)
        for _ in range(MOST_HALVINGS):
            first = self._half(self._held, stride / 2, source, self._leak, room_degc)
            leak = self._leak.copy()
            leak.held_at(float(first.end[0]), stride, room_degc)
            second = self._half(first.end, stride / 2, source, leak, room_degc)
            if first.used + second.used < 0.99 * stride:  # where the current limit ends
                stride = first.used + second.used
            elif first.is_small and second.is_small and self._changed_little(leak, second.end[0]):
                break
            else:
                stride /= 2
        if stride < tried_s:
            self._stride_s = 2 * stride
        elif stride >= self._stride_s:
            self._stride_s = 4 * stride
        self._leak, self._held = leak, second.end
        return first.used + second.used

    def _source(self, drive: Drive) -> _Source:
        """The source as it is at this voltage: at its current limit, or behind its resistor."""
        until_v = drive.limit_ends_at_v
        if self.voltage < until_v - 1e-9 * abs(until_v):
            return _Source(0.0, drive.current_limit_a, ends_at_v=until_v)
        outer = 0.0 if math.isinf(drive.resistance_ohm) else 1 / drive.resistance_ohm
        return _Source(outer, outer * drive.voltage_v, begins_at_v=until_v)

    def _half(
        self, held: Voltages, seconds: float, source: _Source, leak: Leak, room_degc: float
    ) -> _Half:
        """The circuit moved on by a time, or to where the current limit ends if that is sooner."""
        before_v = float(held[0])
        start, slope = leak.current(before_v, room_degc), leak.slope(before_v, room_degc)

        def after(time_s: float) -> Voltages:
            return self._network.step(
                held,
                conductance=source.conductance + slope,
                current=source.current - start + slope * before_v,
                seconds=time_s,
            )

        end, used = after(seconds), seconds
        if end[0] > source.ends_at_v:
            low, used = 0.0, seconds
            for _ in range(60):
                middle = 0.5 * (low + used)
                low, used = (low, middle) if after(middle)[0] > source.ends_at_v else (middle, used)
            end = after(used)
            end[0] = source.ends_at_v
        actual = leak.current(float(end[0]), room_degc)
        missed = abs(actual - start - slope * (end[0] - before_v))
        given = min(source.into(before_v), source.into(float(end[0])))
        unseen = max(
            UNSEEN_A,
            BIG_MISS * max(start, actual),
            UNSEEN * given,
            1e-5 * self._network.capacitance * abs(end[0]) / seconds,
        )
        fits = end[0] >= source.begins_at_v - OVERSHOOT_V
        return _Half(end, used, is_small=bool(fits and missed <= unseen))

    def _changed_little(self, leak: Leak, voltage: float) -> bool:
        """Whether time did so little to the leak that its voltage could stand for the while."""
        before, after = self._leak.current(voltage), leak.current(voltage)
        return abs(after - before) <= max(UNSEEN_A, BIG_FOLD * before)

    def truth(self, frequency_hz: float = 120.0, *, soak_s: float = 300.0) -> Truth:
        """What perfect meters would read, the leakage current after ``soak_s`` at rated voltage.

        The leakage current is that of a part without charge, switched on through nothing.
        """
        nature = self.nature
        z = self.impedance(frequency_hz)
        capacitance, tan_delta = nan, nan
        if not self.short_ohm:
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
        fresh = Specimen(self.nature)
        fresh._leak, fresh._broken_down = self._leak.copy(), self._broken_down
        fresh._leak.rise_k = 0.0
        fresh._held[:] = 0.0
        drive = Drive(self.nature.voltage_rated, 1.0)
        fresh.advance(soak_s, drive)
        return nan if fresh.short_ohm else drive.current(fresh.voltage)
