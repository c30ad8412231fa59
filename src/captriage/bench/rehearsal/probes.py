"""Where the leads of a meter go, and what lies between them there."""

from __future__ import annotations

import math
from typing import Protocol

from captriage.bench.rehearsal.specimens import Specimen
from captriage.bench.rehearsal.wiring import Wiring

OHMMETER_VOLTAGE = 1.0  # V, what an ohmmeter puts across a part


class Probe(Protocol):
    """What a meter's leads meet, in SI."""

    def current(self) -> float:
        """Through the meter. [A]"""

    def voltage(self) -> float:
        """Between its leads. [V]"""

    def resistance(self) -> float:
        """Between its leads, as direct current finds it; infinite where they meet nothing. [Ω]"""

    def temperature(self) -> float:
        """Of the room. [°C]"""


class AcrossClips:
    """Leads on the clips of the bridge: a voltmeter that says whether a part holds a charge."""

    def __init__(self, wiring: Wiring) -> None:
        self._wiring = wiring

    def current(self) -> float:
        """None: no current is made to flow there."""
        return 0.0

    def voltage(self) -> float:
        """Of what makes contact in the clips."""
        specimen = self._wiring.clipped()
        return 0.0 if specimen is None else self._wiring.voltage(specimen.nature.part)

    def resistance(self) -> float:
        """Of what makes contact in the clips."""
        return _resistance(self._wiring.clipped())

    def temperature(self) -> float:
        """Of the room."""
        return self._wiring.temperature_degc


class InJig:
    """Leads in the leakage jig: current through the part, voltage of the source that feeds it.

    A meter of one input could have only one of them; here its leads are moved as its function
    asks.
    """

    def __init__(self, wiring: Wiring) -> None:
        self._wiring = wiring

    def current(self) -> float:
        """Through the series resistor into the part."""
        return self._wiring.jig_current()

    def voltage(self) -> float:
        """Of the source, before the series resistor; that of the part where nothing feeds it."""
        source = self._wiring.jig_source()
        if math.isinf(source.resistance_ohm):
            return self._wiring.jig_voltage()
        return self._wiring.jig_voltage() + source.resistance_ohm * self._wiring.jig_current()

    def resistance(self) -> float:
        """Of the part in the jig."""
        part = None if self._wiring.has_slipped else self._wiring.jig
        return _resistance(self._wiring.named(part) if part else None)

    def temperature(self) -> float:
        """Of the room."""
        return self._wiring.temperature_degc


class AcrossPart(AcrossClips):
    """Leads on the part in the jig, behind the series resistor; on the clips while it is empty."""

    def voltage(self) -> float:
        """Of the part in the jig; of the source where the jig's clip has slipped off it."""
        return self._wiring.jig_voltage() if self._wiring.jig else super().voltage()

    def resistance(self) -> float:
        """Of the part in the jig."""
        if self._wiring.jig is None:
            return super().resistance()
        return InJig(self._wiring).resistance()


class OnCase:
    """A probe on the case of the part in the jig: of a thermometer, so that it meets no current."""

    def __init__(self, wiring: Wiring) -> None:
        self._wiring = wiring

    def current(self) -> float:
        """None."""
        return 0.0

    def voltage(self) -> float:
        """None: the case is insulated from it."""
        return 0.0

    def resistance(self) -> float:
        """Of nothing between leads that are not there."""
        return math.inf

    def temperature(self) -> float:
        """Of the case; of the room where the jig is empty."""
        return self._wiring.temperature_of_jig()


def _resistance(specimen: Specimen | None) -> float:
    """What an ohmmeter settles at once the part has charged to its small voltage. [Ω]"""
    if specimen is None or specimen.nature.kind == "open":
        return math.inf
    if specimen.short_ohm:
        return specimen.short_ohm
    leak = specimen.leakage(OHMMETER_VOLTAGE)
    return OHMMETER_VOLTAGE / leak if leak > 0 else math.inf
