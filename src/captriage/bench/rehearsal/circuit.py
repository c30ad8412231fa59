r"""A capacitor with dielectric absorption, stepped exactly from one event to the next.

The part is a capacitance with branches of resistance and capacitance across it, one for each
time constant of its absorption. Between two events the circuit is linear, so its voltages are
sums of exponentials and a step may be of any length.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

Voltages = NDArray[np.float64]

SHORTEST_S: Final = 0.25
SPACING: Final = 4.0
BRANCHES: Final = 12
"""Time constants of the absorption: 0.25 s to 12 days, each four times the one before; what an
open part recovers is said to peak after 10 to 20 days (Nippon Chemi-Con, FAQ, recovery voltage)."""

_KEPT_MODES: Final = 64


@dataclass(frozen=True, slots=True)
class Drive:
    """What a part is wired to: a source behind a resistor, with a current limit.

    Attributes
    ----------
    voltage_v : float
        Open-circuit voltage of the source.
    resistance_ohm : float
        In series; infinite where nothing is connected.
    current_limit_a : float
        What the source gives at most.
    """

    voltage_v: float = 0.0
    resistance_ohm: float = inf
    current_limit_a: float = inf

    def current(self, part_v: float) -> float:
        """Current into a part at this voltage, in A; negative where the part discharges."""
        if math.isinf(self.resistance_ohm):
            return 0.0
        return min((self.voltage_v - part_v) / self.resistance_ohm, self.current_limit_a)

    @property
    def limit_ends_at_v(self) -> float:
        """Voltage of the part below which the source gives its limit."""
        if math.isinf(self.current_limit_a) or math.isinf(self.resistance_ohm):
            return -inf
        return self.voltage_v - self.current_limit_a * self.resistance_ohm


NOTHING: Final = Drive()
"""Nothing connected."""


@dataclass(frozen=True, slots=True)
class Branch:
    """One time constant of the absorption."""

    capacitance: float  # F
    time_constant_s: float


def absorption_branches(capacitance: float, *, share: float, exponent: float) -> tuple[Branch, ...]:
    r"""Branches that together absorb a share of the charge, with a current falling as t^-n.

    A sum of exponentials whose weights fall as :math:`\tau^{-n}` decays as :math:`t^{-n}`
    (the integral of :math:`\tau^{-n-1} e^{-t/\tau}` is :math:`\Gamma(n)\, t^{-n}`).

    Parameters
    ----------
    capacitance : float
        Without absorption, as a bridge reads it at 120 Hz. [F]
    share : float
        Capacitance of all branches over ``capacitance``; 0 for none.
    exponent : float
        :math:`n`, about 0.5 to 1.
    """
    if share == 0:
        return ()
    times = [SHORTEST_S * SPACING**step for step in range(BRANCHES)]
    weights = [time_s ** (1 - exponent) for time_s in times]
    unit = share * capacitance / sum(weights)
    return tuple(
        Branch(unit * weight, time_s) for weight, time_s in zip(weights, times, strict=True)
    )


def absorption_current(branches: Sequence[Branch], *, exponent: float) -> float:
    r"""Current that the branches take at 1 V, 1 s after it is applied: :math:`a` of a·t^-n. [A]"""
    if not branches:
        return 0.0
    first = branches[0]
    weight = first.capacitance / math.pow(first.time_constant_s, 1 - exponent)
    return math.gamma(exponent) * weight / math.log(SPACING)


class Network:
    """The linear circuit of one part: its capacitance and its absorption branches."""

    def __init__(self, capacitance: float, branches: Sequence[Branch]) -> None:
        """Prepare a circuit of ``capacitance`` [F] with these branches."""
        held = np.array([capacitance, *(b.capacitance for b in branches)])
        ties = np.array([b.capacitance / b.time_constant_s for b in branches])
        self.capacitance = capacitance
        self.size = held.size
        self._root = np.sqrt(held)
        self._matrix = np.zeros((self.size, self.size))
        self._matrix[0, 0] = ties.sum()
        self._matrix[0, 1:] = self._matrix[1:, 0] = -ties
        self._matrix[1:, 1:] = np.diag(ties)
        self._modes: dict[float, tuple[Voltages, Voltages]] = {}

    def step(
        self, voltages: Voltages, *, conductance: float, current: float, seconds: float
    ) -> Voltages:
        """Voltages after a time at constant conductance across the part and current into it.

        Parameters
        ----------
        voltages : ndarray
            Of the part, then of each branch. [V]
        conductance : float
            Across the terminals: of the source's resistor, and of a leak. [S]
        current : float
            Into the terminals: voltage over resistor of the source, or its limit. [A]
        seconds : float
            Zero or more.
        """
        rates, shapes = self._modes_at(conductance)
        passed = -rates * seconds
        fade = np.exp(passed)
        with np.errstate(divide="ignore", invalid="ignore"):
            gain = np.where(rates > 0, -np.expm1(passed) / rates, seconds)
        push = shapes[0] * (current / self._root[0])
        state = fade * (shapes.T @ (self._root * voltages)) + gain * push
        return np.asarray((shapes @ state) / self._root)

    def _modes_at(self, conductance: float) -> tuple[Voltages, Voltages]:
        """Decay rates [1/s] and shapes of the circuit with this conductance across it."""
        found = self._modes.get(conductance)
        if found is None:
            matrix = self._matrix.copy()
            matrix[0, 0] += conductance
            rates, shapes = np.linalg.eigh(matrix / np.outer(self._root, self._root))
            found = (np.where(rates > rates[-1] * 1e-14, rates, 0.0), shapes)
            if len(self._modes) >= _KEPT_MODES:
                self._modes.clear()
            self._modes[conductance] = found
        return found
