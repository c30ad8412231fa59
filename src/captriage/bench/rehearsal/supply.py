"""A simulated DC supply, and the knob of one that is turned by hand."""

from __future__ import annotations

import random
from collections.abc import Callable
from math import inf
from typing import Final

from captriage.bench.rehearsal.circuit import NOTHING, Drive
from captriage.bench.rehearsal.faults import SUPPLY_FAULTS
from captriage.bench.rehearsal.instrument import Instrument
from captriage.bench.rehearsal.multimeter import NOISY_TIMES
from captriage.bench.rehearsal.scpi import INFINITE, number, switch
from captriage.bench.rehearsal.wiring import Wiring

HIGHEST_V: Final = 500.0
HIGHEST_A: Final = 0.1
PROTECTED_AT_V: Final = 550.0  # where its voltage protection stands until told otherwise
OVER_VOLTAGE, OVER_CURRENT = "voltage", "current"
"""What has switched the output off; "" where nothing has."""

DRIFT_V_PER_S: Final = 1.0
READ_BACK_V: Final = 0.02
READ_BACK_A: Final = 1e-5
"""Noise of what it reads back."""


class Supply(Instrument):
    """Voltage, current limit, an output that is switched, and two protections.

    What it feeds is the leakage jig, through a resistor. While the knob of the hand
    supply stands at more than nought, that one is wired to the jig instead.

    Parameters
    ----------
    name : str
    wiring : Wiring
    seed : int
        Of the noise of what it reads back.
    """

    faults_of_readings = ("over-range", "noise", "stuck", *SUPPLY_FAULTS)

    def __init__(self, name: str, wiring: Wiring, *, seed: int = 0) -> None:
        super().__init__(name, "CAPTRIAGE,REHEARSAL SUPPLY,SIMULATED,1")
        self._wiring = wiring
        self._chance = random.Random(f"{seed}/{name}")  # noqa: S311
        self._knob_v = 0.0
        self._fault = ""  # of the output, whoever asks
        self._fault_at_s = 0.0
        self._stuck_v = 0.0  # what the output cannot come down from
        self._start_values()
        wiring.feed_jig_from(self.drive)
        wiring.on_jig_changed = self._protect
        self._learn()

    def _start_values(self) -> None:
        self._voltage_v, self._limit_a = 0.0, 0.01
        self._protected_at_v, self._trips_on_limit = PROTECTED_AT_V, False
        self._on, self._tripped = False, ""

    def _learn(self) -> None:
        learn = self.language.learn
        learn("*RST", self._reset)
        learn("[SOURce]:VOLTage[:LEVel]", self._setter("_voltage_v", HIGHEST_V, "V"))
        learn("[SOURce]:VOLTage[:LEVel]?", lambda _: f"{self._voltage_v:.3f}")
        learn("[SOURce]:CURRent[:LEVel]", self._setter("_limit_a", HIGHEST_A, "A"))
        learn("[SOURce]:CURRent[:LEVel]?", lambda _: f"{self._limit_a:.5f}")
        learn("[SOURce]:VOLTage:PROTection[:LEVel]", self._setter("_protected_at_v", 550.0, "V"))
        learn("[SOURce]:VOLTage:PROTection[:LEVel]?", lambda _: f"{self._protected_at_v:.3f}")
        learn("[SOURce]:VOLTage:PROTection:TRIPped?", self._has_tripped(OVER_VOLTAGE))
        learn("[SOURce]:VOLTage:PROTection:CLEar", self._clear)
        learn("[SOURce]:CURRent:PROTection:STATe", self._set_trips_on_limit)
        learn("[SOURce]:CURRent:PROTection:STATe?", lambda _: self._told(self._trips_on_limit))
        learn("[SOURce]:CURRent:PROTection:TRIPped?", self._has_tripped(OVER_CURRENT))
        learn("[SOURce]:CURRent:PROTection:CLEar", self._clear)
        learn("OUTPut:PROTection:CLEar", self._clear)
        learn("OUTPut[:STATe]", self._switch)
        learn("OUTPut[:STATe]?", lambda _: self._is_on())
        learn("MEASure[:SCALar]:VOLTage[:DC]?", lambda _: self._read_voltage())
        learn("MEASure[:SCALar]:CURRent[:DC]?", lambda _: self._read_current())
        learn("SYSTem:BEEPer[:IMMediate]", lambda _: self.on_beep())
        learn("SYSTem:REMote", lambda _: None)
        learn("SYSTem:LOCal", lambda _: None)

    def drive(self, time_s: float) -> Drive:
        """What feeds the jig at this time."""
        if self._knob_v > 0:
            return Drive(self._knob_v, self._wiring.series_ohm, HIGHEST_A)
        volts = self._output_v(time_s)
        if not volts:
            return NOTHING
        # While a part charges at the current limit, its voltage holds the terminals down. The
        # protection trips as they pass its level: so the part is never driven beyond that, even
        # where nobody looks at the supply meanwhile.
        return Drive(min(volts, self._protected_at_v), self._wiring.series_ohm, self._limit_a)

    def fault_set(self, kind: str) -> None:
        """A fault of the output begins now, or has ended."""
        with self._wiring.lock:
            self._wiring.source_changed()
            self._fault, self._fault_at_s = kind, self._wiring.clock()
            self._wiring.source_drifts = kind == "drift"
            self._stuck_v = 0.0
            self._stick()
            self._wiring.source_changed()

    def _output_v(self, time_s: float | None = None) -> float:
        """What the output is at where no limit holds it down; 0 where it is off. [V]"""
        volts = self._voltage_v if self._on else 0.0
        if self._on and self._fault == "drift":
            now = self._wiring.clock() if time_s is None else time_s
            volts += DRIFT_V_PER_S * (now - self._fault_at_s)
        return max(volts, self._stuck_v)

    def _stick(self) -> None:
        """Take note of what the output cannot come down from."""
        if self._fault == "stuck-on":
            self._stuck_v = self._output_v()

    def turn_knob(self, volts: float) -> None:
        """Feed the jig by hand, or give it back with nought."""
        with self._wiring.lock:
            self._knob_v = volts
            self._wiring.source_changed()

    def _reset(self, _: str) -> None:
        with self._wiring.lock:
            self._start_values()
            self._wiring.source_changed()

    def _setter(self, name: str, high: float, unit: str) -> Callable[[str], None]:
        def set_to(text: str) -> None:
            with self._wiring.lock:
                setattr(self, name, number(text, 0.0, high, unit=unit))
                self._stick()
                self._wiring.source_changed()
                self._protect()

        return set_to

    def _set_trips_on_limit(self, text: str) -> None:
        self._trips_on_limit = switch(text)
        with self._wiring.lock:
            self._protect()

    def _switch(self, text: str) -> None:
        on = switch(text)
        with self._wiring.lock:
            self._on = on and not self._tripped
            self._stick()
            self._wiring.source_changed()
            self._protect()

    def _clear(self, _: str) -> None:
        self._tripped = ""

    def _protect(self) -> None:
        """Switch off where a protection says so; called wherever one can have come to do so."""
        limited = self._knob_v == 0 and self._wiring.jig_is_limited()
        over = self._output_v() > self._protected_at_v and not limited
        if self._output_v() and (over or (limited and self._trips_on_limit)):
            self._on, self._tripped = False, OVER_VOLTAGE if over else OVER_CURRENT
            self._stuck_v = 0.0  # it acts on another switch than the one that sticks
            self._wiring.source_changed()

    def _is_on(self) -> str:
        with self._wiring.lock:
            self._protect()
            return self._told(self._on)

    def _has_tripped(self, why: str) -> Callable[[str], str]:
        def tell(_: str) -> str:
            with self._wiring.lock:
                self._protect()
                return self._told(self._tripped == why)

        return tell

    @staticmethod
    def _told(state: bool) -> str:
        return str(int(state))

    def _read_voltage(self) -> str:
        """At its terminals: what it was set to, less where its limit holds it down."""
        with self._wiring.lock:
            self._protect()
            volts = self._output_v()
            if volts and self._wiring.jig_is_limited():
                part = self._wiring.voltage(self._wiring.jig)
                volts = part + self._limit_a * self._wiring.series_ohm
        return self.shown("voltage", self._text(volts, READ_BACK_V, ".3f"))

    def _read_current(self) -> str:
        with self._wiring.lock:
            self._protect()
            feeds = self._output_v() and not self._knob_v
            amperes = self._wiring.jig_current() if feeds else 0.0
        return self.shown("current", self._text(amperes, READ_BACK_A, ".6f"))

    def _text(self, value: float, noise: float, form: str) -> str:
        self.take_reading()
        if self.has("over-range"):
            value = inf
        if value == inf:
            return f"{INFINITE:+.2E}"
        times = NOISY_TIMES if self.has("noise") else 1
        return f"{value + self._chance.gauss(0, noise * times):{form}}"
