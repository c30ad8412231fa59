"""Simulated multimeters: one that speaks SCPI, one asked over a serial line, one that streams."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Final

from captriage.bench.rehearsal.instrument import Instrument
from captriage.bench.rehearsal.probes import Probe
from captriage.bench.rehearsal.scpi import ILLEGAL_VALUE, INFINITE, Refused, choice, number

OVER_RANGING: Final = 1.2  # of a range's nominal end
GAIN_ERROR: Final = 1e-4  # of the reading, the same all day
NOISE: Final = 5e-6  # of the range
NOISY_TIMES: Final = 50
FUNCTIONS: Final = {
    # function: ends of its ranges, in SI
    "CURR": (1e-4, 1e-3, 1e-2, 1e-1, 1.0),
    "VOLT": (0.1, 1.0, 10.0, 100.0, 1000.0),
    "RES": (1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8),
    "TEMP": (200.0,),
}


def _unseen(value: float) -> None:
    """Nobody watches the display."""
    del value


class Sense:
    """What any of these meters makes of its leads: chance, ranges, and faults of the reading."""

    def __init__(self, meter: Instrument, probe: Probe, *, seed: int) -> None:
        self._meter = meter
        self._probe = probe
        self._chance = random.Random(f"{seed}/{meter.name}")  # noqa: S311
        self._gain = 1 + self._chance.uniform(-GAIN_ERROR, GAIN_ERROR)

    def found(self, function: str) -> float:
        """What lies between the leads, without noise; infinite for over range."""
        if self._meter.has("over-range"):
            return math.inf
        match function:
            case "CURR":
                return self._probe.current()
            case "VOLT":
                return self._probe.voltage()
            case "RES":
                return self._probe.resistance()
            case _:
                return self._probe.temperature()

    def with_noise(self, value: float, range_end: float, *, noise: float) -> float:
        """The value as a meter shows it in a range: its gain, and noise in proportion to it."""
        if self._meter.has("noise"):
            noise *= NOISY_TIMES
        return value * self._gain + self._chance.gauss(0, noise * range_end)


class Multimeter(Instrument):
    """Speaks SCPI: ``CONF:CURR:DC``, ``READ?`` and what goes with them."""

    faults_of_readings = ("over-range", "noise", "stuck")

    def __init__(self, name: str, probe: Probe, *, seed: int = 0) -> None:
        super().__init__(name, f"CAPTRIAGE,REHEARSAL {name.upper()},SIMULATED,1")
        self._sense = Sense(self, probe, seed=seed)
        self._function = "VOLT"
        self._range: float | None = None  # None: it chooses
        self._latest = INFINITE
        self.on_shown: Callable[[float], None] = _unseen
        self._learn()

    def _learn(self) -> None:
        learn = self.language.learn
        learn("*RST", lambda _: self._configure("VOLT", ""))
        for header, function in (
            ("CURRent[:DC]", "CURR"),
            ("VOLTage[:DC]", "VOLT"),
            ("RESistance", "RES"),
            ("TEMPerature", "TEMP"),
        ):
            learn(f"CONFigure:{header}", partial(self._configure, function))
            learn(f"MEASure[:SCALar]:{header}?", partial(self._measure, function))
            learn(f"[SENSe]:{header}:NPLCycles", lambda text: _checked(text, 0.001, 100))
        learn("[SENSe]:FUNCtion[:ON]?", lambda _: f'"{self._function}"')
        learn("CONFigure?", lambda _: f'"{self._function} {self._range or "AUTO"}"')
        learn("READ?", lambda _: self._read())
        learn("INITiate[:IMMediate]", self._initiate)
        learn("FETCh?", lambda _: f"{self._latest:+.8E}")
        learn("ABORt", lambda _: None)
        learn("TRIGger:SOURce", self._check_trigger)
        learn("SAMPle:COUNt", lambda text: _checked(text, 1, 1))
        learn("UNIT:TEMPerature", self._check_unit)
        learn("UNIT:TEMPerature?", lambda _: "C")
        learn("SYSTem:BEEPer[:IMMediate]", lambda _: self.on_beep())
        learn("SYSTem:REMote", lambda _: None)
        learn("SYSTem:LOCal", lambda _: None)

    def _configure(self, function: str, text: str) -> None:
        told = text.partition(",")[0].strip().upper()
        if told in ("", "AUTO", "DEF"):
            self._range = None
        else:
            asked = number(told, 0.0, FUNCTIONS[function][-1])
            self._range = next(end for end in FUNCTIONS[function] if end >= asked)
        self._function = function
        self._latest = INFINITE

    def _measure(self, function: str, text: str) -> str:
        self._configure(function, text)
        return self._read()

    def _initiate(self, _: str) -> None:
        self._read()

    def _read(self) -> str:
        self.take_reading()
        value = self._sense.found(self._function)
        ends = FUNCTIONS[self._function] if self._range is None else (self._range,)
        end = next((end for end in ends if abs(value) <= OVER_RANGING * end), None)
        if end is None:
            self._latest = math.copysign(INFINITE, value)
        else:
            step = end * 1e-6  # it has a million counts
            noisy = self._sense.with_noise(value, end, noise=NOISE)
            self._latest = round(noisy / step) * step
        text = self.shown(self._function, f"{self._latest:+.8E}")
        self._latest = float(text)
        self.on_shown(self._latest)
        return text

    @staticmethod
    def _check_trigger(text: str) -> None:
        choice(text, ("IMM", "BUS", "EXT"))

    @staticmethod
    def _check_unit(text: str) -> None:
        choice(text, ("C",))


def _checked(text: str, low: float, high: float) -> None:
    """Take a number that changes nothing here, if it is one that a meter would take."""
    number(text, low, high)


@dataclass(frozen=True, slots=True)
class Display:
    """One range of a hand-held meter: its end, the unit it shows, and how many decimals."""

    end: float  # SI
    unit: str
    scale: float  # of the unit, in SI
    decimals: int


HAND_HELD: Final = {
    # 50 000 counts
    "CURR": (
        Display(5e-4, "uA", 1e-6, 2),
        Display(5e-3, "mA", 1e-3, 4),
        Display(5e-2, "mA", 1e-3, 3),
        Display(5e-1, "mA", 1e-3, 2),
        Display(5.0, "A", 1.0, 4),
    ),
    "VOLT": (
        Display(5.0, "V", 1.0, 4),
        Display(50.0, "V", 1.0, 3),
        Display(500.0, "V", 1.0, 2),
        Display(1000.0, "V", 1.0, 1),
    ),
    "RES": (
        Display(5e2, "Ohm", 1.0, 2),
        Display(5e3, "kOhm", 1e3, 4),
        Display(5e4, "kOhm", 1e3, 3),
        Display(5e5, "kOhm", 1e3, 2),
        Display(5e6, "MOhm", 1e6, 4),
        Display(5e7, "MOhm", 1e6, 3),
    ),
}
HAND_HELD_NOISE: Final = 2e-5  # of the range


class HandHeld:
    """Value to text as a hand-held meter shows it; between two ranges, it shows no number."""

    def __init__(self, sense: Sense) -> None:
        self._sense = sense
        self._display: Display | None = None

    def text(self, function: str) -> str:
        """What stands in the display now."""
        value = self._sense.found(function)
        ranges = HAND_HELD[function]
        display = next((d for d in ranges if abs(value) <= d.end), None)
        if display is None:
            return f"{'-' if value < 0 else ''}OL {ranges[-1].unit}"
        if display is not self._display:
            changed = self._display in ranges
            self._display = display
            if changed:
                return f"---- {display.unit}"
        noisy = self._sense.with_noise(value, display.end, noise=HAND_HELD_NOISE)
        return f"{noisy / display.scale:.{display.decimals}f} {display.unit}"


class SerialMeter(Instrument):
    """Asked over a serial line; deaf until it has heard ``SYST:REM``."""

    faults_of_readings = ("over-range", "noise", "stuck")

    def __init__(self, name: str, probe: Probe, *, seed: int = 0) -> None:
        super().__init__(name, "CAPTRIAGE,REHEARSAL SERIAL METER,SIMULATED,1")
        self._hand_held = HandHeld(Sense(self, probe, seed=seed))
        self._function = "VOLT"
        self.hears = False
        learn = self.language.learn
        learn("SYSTem:REMote", lambda _: None)
        learn("SYSTem:LOCal", self._go_deaf)
        learn("CONFigure:VOLTage[:DC]", lambda _: self._configure("VOLT"))
        learn("CONFigure:CURRent[:DC]", lambda _: self._configure("CURR"))
        learn("CONFigure:RESistance", lambda _: self._configure("RES"))
        learn("CONFigure:TEMPerature", self._refuse)
        learn("READ?", lambda _: self._read())

    def answer(self, line: str) -> str | None:
        """Do what a line says, once it listens."""
        if line.strip().upper().lstrip(":") in ("SYST:REM", "SYSTEM:REMOTE"):
            self.hears = True
        return super().answer(line) if self.hears else None

    def _go_deaf(self, _: str) -> None:
        self.hears = False

    def _configure(self, function: str) -> None:
        self._function = function

    def _refuse(self, _: str) -> None:
        raise Refused(ILLEGAL_VALUE)

    def _read(self) -> str:
        self.take_reading()
        return self.shown(self._function, self._hand_held.text(self._function))


class StreamingMeter(Instrument):
    """Its switch stands at direct current; it sends a line for every reading, unasked."""

    faults_of_readings = ("over-range", "noise", "stuck")

    def __init__(self, name: str, probe: Probe, *, seed: int = 0) -> None:
        super().__init__(name, "")
        self._hand_held = HandHeld(Sense(self, probe, seed=seed))

    @property
    def possible_faults(self) -> tuple[str, ...]:
        """Those of its lines; it is asked nothing, so there is nothing to echo or to be."""
        return tuple(f for f in super().possible_faults if f not in ("echo", "stranger"))

    def answer(self, line: str) -> str | None:
        """Nothing: it has no ears."""
        del line
        return None

    def unasked(self) -> str:
        """The next line."""
        self.take_reading()
        return f"DC {self.shown('CURR', self._hand_held.text('CURR'))}"
