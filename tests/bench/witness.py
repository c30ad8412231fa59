"""What the simulated meters truly measured, held against what stands in the book."""

from __future__ import annotations

import time
from dataclasses import dataclass
from math import hypot, isfinite, pi

from captriage.bench.rehearsal import bridge as simulated

FIELDS = {
    # dialect: what stands where in a reply
    "values_status": ("capacitance", "esr", "status"),
    "status_values": ("status", "capacitance", "esr"),
    "four_values": ("capacitance", "esr", "impedance", "", "status"),
}
SIGMAS = 6.0
NO_NUMBER = ("over-range", "bad-status")
ROUNDING = 1e-5  # of a reply's six digits


@dataclass(frozen=True)
class Measured:
    """One measurement of the bridge, at the moment it was made."""

    at_s: float
    raw: str
    part: str | None
    volts: float  # on the part
    fault: str  # of the meter itself, that this answer shows


class Witness:
    """Stands behind the bridge and writes down what it measures."""

    def __init__(self, bench):
        self.bench = bench
        self.measured: list[Measured] = []
        meter = bench.ports["bridge"].instrument
        self._dialect = bench.profiles["bridge"].removeprefix("lcr_scpi_")
        meter.answer = self._listening(meter, meter.answer)

    def _listening(self, meter, answer):
        def heard(line):
            before = meter.readings
            reply = answer(line)
            if meter.readings != before:
                wiring = self.bench.wiring
                volts = wiring.voltage(wiring.clips)
                fault = meter.fault if meter.struck else ""
                now = time.monotonic()
                self.measured.append(Measured(now, reply, wiring.clips, volts, fault))
            return reply

        return heard

    def check(self, rows, strikes, *, readings):
        """Every value that stands is true, of its own question and part, and none is mixed."""
        for row in rows:
            self._check_row(row)
        parts = {row.part for row in rows if not row.struck}
        for part in parts:
            standing = [row for row in rows if row.part == part and not row.struck]
            assert len({row.answer for row in standing}) == readings, f"{part}: {len(standing)}"
            _check_nothing_between(part, standing, strikes)
        charged = [each for each in self.measured if abs(each.volts) > 1.0]
        assert not charged, f"measured with a charge: {charged[0]}"

    def _check_row(self, row):
        made = [each for each in self.measured if each.at_s <= row.monotonic_s]
        assert made, f"{row}: nothing had been measured"
        own = made[-1]
        assert row.raw == own.raw, f"{row}: is not the answer to its own question: {own}"
        if not isfinite(row.value):
            return
        assert own.fault not in NO_NUMBER, f"{row}: a number that was not meant: {own}"
        words = dict(zip(FIELDS[self._dialect], row.raw.split(","), strict=False))
        assert int(words["status"]) == 0, f"{row}: bad status"
        assert row.value == float(words[row.quantity]), f"{row}: not as sent"
        if row.struck:
            return
        assert own.part == row.part, f"{row}: {own.part} was in the clips"
        assert isfinite(row.uncertainty), row
        truth = self.bench.truth(row.part, row.frequency_hz)
        reactance = 1 / (2 * pi * row.frequency_hz * truth.capacitance)
        impedance = hypot(truth.esr, reactance)
        true, scale = {
            # and what a share of noise on the impedance is a share of
            "capacitance": (truth.capacitance, truth.capacitance),
            "esr": (truth.esr, impedance),
            "impedance": (impedance, impedance),
        }[row.quantity]
        noise = simulated.NOISE * (simulated.NOISY_TIMES if own.fault == "noise" else 1)
        allowed = row.uncertainty + SIGMAS * noise * scale + ROUNDING * true
        off = abs(row.value - true)
        assert off <= allowed, f"{row}: {off} from the truth, {allowed} allowed"


def _check_nothing_between(part, standing, strikes):
    """Nothing that failed lies between the first and the last reading of a capture."""
    times = [row.monotonic_s for row in standing]
    between = [
        each for each in strikes if each.kind != "noise" and min(times) < each.at_s < max(times)
    ]
    assert not between, f"{part}: readings from before and after {between[0]}"
