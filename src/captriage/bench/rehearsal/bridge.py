"""A simulated bridge: capacitance with loss, in each order of reply that benches meet."""

from __future__ import annotations

import cmath
import math
import random
from typing import Final

from captriage.bench.rehearsal.instrument import Instrument
from captriage.bench.rehearsal.scpi import INFINITE, choice, number, switch
from captriage.bench.rehearsal.wiring import STRAY_CAPACITANCE, Wiring

DIALECTS: Final = {
    "values_status": "the two values, then the status",
    "status_values": "the status, then the two values and a bin number",
    "four_values": "four values, then the status",
}

FUNCTIONS: Final = ("CSRS", "CSD", "CSQ", "CPD", "CPRP", "RX", "ZTD", "ZTR")
GOOD, NO_DATA, OVERLOAD, SOURCE_OVERLOADED = 0, -1, 1, 3
LARGEST_IMPEDANCE: Final = 100e6  # Ω; beyond it nothing is read
LARGEST_CAPACITANCE: Final = 1.0  # F
LARGEST_DIRECT_VOLTAGE: Final = 2.0  # V on the part, above which the source is overloaded

GAIN_ERROR: Final = 3e-4  # of the impedance: its own, the same all day
NOISE: Final = 5e-5  # of the impedance, each reading anew
NOISY_TIMES: Final = 50


class Bridge(Instrument):
    """Measures what makes contact in the clips."""

    faults_of_readings = ("noise", "over-range", "bad-status")

    def __init__(
        self, name: str, wiring: Wiring, *, dialect: str = "values_status", seed: int = 0
    ) -> None:
        super().__init__(name, "CAPTRIAGE,REHEARSAL BRIDGE,SIMULATED,1")
        self._wiring = wiring
        self._chance = random.Random(f"{seed}/{name}")  # noqa: S311
        self._gain = 1 + self._chance.uniform(-GAIN_ERROR, GAIN_ERROR)
        self._dialect = dialect
        self._latest = ""
        self._reset("")
        self._learn()

    def _learn(self) -> None:
        learn = self.language.learn
        learn("*RST", self._reset)
        learn("FUNCtion:IMPedance[:TYPE]", self._set_function)
        learn("FUNCtion:IMPedance[:TYPE]?", lambda _: self._function)
        learn("FREQuency[:CW]", self._set_frequency)
        learn("FREQuency[:CW]?", lambda _: f"{self._frequency_hz:.6E}")
        learn("VOLTage[:LEVel]", self._set_level)
        learn("VOLTage[:LEVel]?", lambda _: f"{self._level_v:.6E}")
        learn("TRIGger:SOURce", self._set_trigger)
        learn("TRIGger:SOURce?", lambda _: self._trigger)
        learn("TRIGger[:IMMediate]", self._measure_quietly)
        learn("*TRG", lambda _: self._measure())
        learn("FETCh[:IMPedance]?", lambda _: self._fetch())
        learn("APERture", self._set_aperture)
        learn("APERture?", lambda _: f"{self._aperture},1")
        learn("BIAS:STATe", self._set_bias)
        learn("BIAS:STATe?", lambda _: str(int(self._bias)))
        learn("SYSTem:BEEPer[:IMMediate]", self._beep)
        learn("SYSTem:BEEP[:IMMediate]", self._beep)
        learn("ABORt", lambda _: None)
        learn("INITiate[:IMMediate]", lambda _: None)
        learn("INITiate:CONTinuous", lambda _: None)

    def _reset(self, _: str) -> None:
        self._function = "CPD"
        self._frequency_hz = 1000.0
        self._level_v = 1.0
        self._trigger = "INT"
        self._aperture = "MED"
        self._bias = False
        self._latest = ""

    def _set_function(self, text: str) -> None:
        self._function = choice(text, FUNCTIONS)

    def _set_frequency(self, text: str) -> None:
        self._frequency_hz = number(text, 20.0, 1e6, unit="HZ")

    def _set_level(self, text: str) -> None:
        self._level_v = number(text, 0.005, 2.0, unit="V")

    def _set_trigger(self, text: str) -> None:
        self._trigger = choice(text, ("INT", "BUS", "HOLD", "EXT"))
        self._latest = ""

    def _set_aperture(self, text: str) -> None:
        self._aperture = choice(text.partition(",")[0].strip(), ("SHOR", "MED", "LONG"))

    def _set_bias(self, text: str) -> None:
        self._bias = switch(text)

    def _beep(self, _: str) -> None:
        self.on_beep()

    def _measure(self) -> str:
        self.take_reading()
        self._latest = self._reading()
        return self._latest

    def _measure_quietly(self, _: str) -> None:
        self._measure()

    def _fetch(self) -> str:
        if self._trigger == "INT":
            return self._measure()
        return self._latest or self._reply(INFINITE, INFINITE, (INFINITE, INFINITE), NO_DATA)

    def _reading(self) -> str:
        """One measurement of the clips, arranged as this dialect has it."""
        z, status = self._impedance()
        if self.has("over-range"):
            status = OVERLOAD
        omega = 2 * math.pi * self._frequency_hz
        if status != OVERLOAD and self._capacitance_of(z, omega) > LARGEST_CAPACITANCE:
            status = OVERLOAD
        if status == OVERLOAD:
            return self._reply(INFINITE, INFINITE, (INFINITE, INFINITE), OVERLOAD)
        if self.has("bad-status"):
            z, status = z * self._chance.uniform(0.3, 3.0), SOURCE_OVERLOADED
        first, second = self._parameters(z, omega)
        return self._reply(first, second, (abs(z), math.degrees(cmath.phase(z))), status)

    def _impedance(self) -> tuple[complex, int]:
        """What the bridge makes of the clips: an impedance [Ω] and a status."""
        specimen = self._wiring.firmly_clipped()
        omega = 2 * math.pi * self._frequency_hz
        if specimen is None:
            z = complex(0.0, -1 / (omega * STRAY_CAPACITANCE))
        else:
            z = specimen.impedance(self._frequency_hz)
        noise = NOISE * (NOISY_TIMES if self.has("noise") else 1)
        wander = complex(self._chance.gauss(0, noise), self._chance.gauss(0, noise))
        if abs(z) > LARGEST_IMPEDANCE:
            return z, OVERLOAD
        z = z * (self._gain + wander)
        if specimen is not None and self._direct_voltage() > LARGEST_DIRECT_VOLTAGE:
            # The input is driven out of its range: a number comes that means nothing.
            return z * self._chance.uniform(0.3, 3.0), SOURCE_OVERLOADED
        return z, GOOD

    def _direct_voltage(self) -> float:
        return abs(self._wiring.voltage(self._wiring.clips))

    @staticmethod
    def _capacitance_of(z: complex, omega: float) -> float:
        """Series capacitance; infinite where the reactance is none or that of a coil. [F]"""
        return -1 / (omega * z.imag) if z.imag < 0 else math.inf

    def _parameters(self, z: complex, omega: float) -> tuple[float, float]:
        """The two values that the chosen function names."""
        series, loss = self._capacitance_of(z, omega), -z.real / z.imag
        parallel = series / (1 + loss**2)
        match self._function:
            case "CSRS":
                return series, z.real
            case "CSD":
                return series, loss
            case "CSQ":
                return series, 1 / loss
            case "CPD":
                return parallel, loss
            case "CPRP":
                return parallel, abs(z) ** 2 / z.real
            case "RX":
                return z.real, z.imag
            case "ZTD":
                return abs(z), math.degrees(cmath.phase(z))
            case _:
                return abs(z), cmath.phase(z)

    def _reply(self, first: float, second: float, others: tuple[float, float], status: int) -> str:
        rest = ",".join(_spelt(value) for value in others)
        values = f"{_spelt(first)},{_spelt(second)}"
        match self._dialect:
            case "status_values":
                return f"{status:+d},{values},+0"
            case "four_values":
                return f"{values},{rest},{status:+d}"
            case _:
                return f"{values},{status:+d}"


def _spelt(value: float) -> str:
    """A number as the bridge sends it: six digits and an exponent."""
    return f"{value:+.5E}"
