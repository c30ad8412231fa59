"""The temperature of the case of a part in a run, where a thermometer is on it."""

from __future__ import annotations

from collections.abc import Callable
from math import isnan, nan
from typing import TYPE_CHECKING

from captriage.columns import TEMPERATURE
from captriage.errors import MeterError

if TYPE_CHECKING:
    from captriage.bench.run_data import Samples


class CaseTemperature:
    """What a thermometer shows.

    Parameters
    ----------
    thermometer : Samples or None
        On the case of the part; None where there is none.

    Attributes
    ----------
    degc : float
        Last reading; NaN not known. [°C]
    """

    def __init__(self, thermometer: Samples | None) -> None:
        self.thermometer = thermometer
        self.degc = self._began_degc = nan

    @property
    def warmer_k(self) -> float:
        """Above its first reading; NaN not known. [K]"""
        return self.degc - self._began_degc

    def look(self, fault: Callable[[str], None]) -> None:
        """Take in what it has shown; ``fault`` is told what is wrong with it."""
        for each in [] if self.thermometer is None else self.thermometer.take():
            if isinstance(each, MeterError):
                fault(str(each))
                continue
            value = each.of(TEMPERATURE)
            self.degc = nan if value is None else value.value
            if isnan(self._began_degc):
                self._began_degc = self.degc
