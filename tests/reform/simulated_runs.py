"""Reforming runs that never were: physics of films, absorption, heat and breakdown, and a meter.

Many runs at once, as arrays; the laws are stepped here by themselves, not by the fit that they try.
What is assumed, because no open data set of reforming curves exists: flaws by the thousand whose
films are thinner than the voltage asks for, spread about a mean, growing by Faraday's law at high
field; a floor that does not heal; absorption of 1 % to 8 % of the charge; a series resistor that
takes at most a tenth of the voltage at the limit; 300 to 2000 readings a step, their noise 3 % to
10 %, one run in three with a gap.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

FIELD: Final = 38.9  # B·E, handbook 6.4
VOLT_CHARGE: Final = 318.0  # Q = k·C·Vf·dV, handbook 6.3
AREA: Final = 6.64  # C·Vf/A in µF·V/cm², handbook 6.3
VOLTAGE_EXPONENT: Final = 1.943  # handbook 2.2
CLASSES, BRANCHES, STEPS = 12, 7, 260  # of flaws, of absorption, of time in one voltage step

SPREAD: Final = np.linspace(-1.7, 1.7, CLASSES)  # of the films about their mean, in its share

HEALS, PLATEAU, RUNS_AWAY, BREAKS_DOWN, CREEPS = (
    "heals",
    "plateau",
    "runs away",
    "breaks down",
    "creeps",
)
FATES: Final = (HEALS, PLATEAU, RUNS_AWAY, BREAKS_DOWN, CREEPS)


@dataclass
class Parts:
    """Parts of one ensemble: arrays of one length, SI."""

    fate: np.ndarray
    capacitance: np.ndarray
    rated_v: np.ndarray
    limit: np.ndarray
    series: np.ndarray
    floor: np.ndarray  # at rated voltage, cold
    film_v: np.ndarray  # (n, CLASSES)
    volt_charge: np.ndarray  # (n, CLASSES)
    film_a: np.ndarray  # (n, CLASSES) current at V = w
    absorbed: np.ndarray  # (n, BRANCHES) capacitance
    absorb_s: np.ndarray  # (BRANCHES,)
    heat: np.ndarray  # K/W
    heat_s: np.ndarray
    warmth: np.ndarray  # 1/K
    breaks_v: np.ndarray
    breaks_share: np.ndarray  # of the whole time, at the earliest
    short_ohm: np.ndarray
    creep: np.ndarray  # share that the floor rises by in the end
    noise: np.ndarray
    stepped: np.ndarray


def draw(n: int, seed: int) -> Parts:
    """Parts by chance."""
    dice = np.random.default_rng(seed)

    def log(low: float, high: float, *shape: int) -> np.ndarray:
        return np.exp(dice.uniform(np.log(low), np.log(high), (n, *shape)))

    fate = dice.choice(FATES, n, p=[0.5, 0.2, 0.1, 0.12, 0.08])
    rated = dice.choice([63.0, 160.0, 250.0, 350.0, 450.0], n, p=[0.1, 0.1, 0.2, 0.25, 0.35])
    farads = log(8e-6, 100e-6)
    factor = np.select([rated <= 100, rated <= 250, rated <= 350], [0.01, 0.02, 0.025], 0.04)
    limit = factor * farads * 1e3 + 0.3e-3  # K·C + 0.3 mA, handbook 1.1
    formed = rated * dice.uniform(1.2, 1.5, n)
    share = log(1e-3, 2e-2, 1) * np.ones(CLASSES) / CLASSES
    whole = VOLT_CHARGE * farads * formed / dice.uniform(0.4, 1.0, n)
    area = farads * 1e6 * formed / AREA
    floor = limit * np.where(fate == PLATEAU, log(1.15, 8.0), log(0.02, 0.7))
    floor = np.where(fate == CREEPS, limit * log(0.1, 0.55), floor)
    heat = log(8, 25)
    warmth = np.where(fate == RUNS_AWAY, log(0.04, 0.08), 0.0213)
    hot = 1 / (np.e * warmth * heat) / rated  # the current above which there is no steady state
    floor = np.where(fate == RUNS_AWAY, hot * log(1.15, 2.5), floor)
    absorbing = log(0.01, 0.08, 1) * farads[:, None]
    branches = 4.0 ** np.arange(BRANCHES)
    weight = branches ** (1 - dice.uniform(0.6, 1.0, (n, 1)))
    series = np.where(
        fate == RUNS_AWAY, rated / np.maximum(12 * hot, 5e-3), rated / log(2e-3, 6e-3)
    )
    series = np.where(series * limit > 0.1 * rated, 0.1 * rated / limit, series)
    faded = dice.uniform(0.3, 0.95, (n, 1)) + log(0.02, 0.25, 1) * SPREAD
    return Parts(
        fate=fate,
        capacitance=farads,
        rated_v=rated,
        limit=limit,
        series=series,
        floor=floor,
        film_v=rated[:, None] * np.clip(faded, 0.1, 0.99),
        volt_charge=share * whole[:, None],
        film_a=log(0.1e-3, 3e-3, 1) * share * area[:, None],
        absorbed=absorbing * weight / weight.sum(1, keepdims=True),
        absorb_s=branches,
        heat=heat,
        heat_s=log(200, 1200),
        warmth=warmth,
        breaks_v=np.where(fate == BREAKS_DOWN, rated * dice.uniform(0.3, 0.95, n), np.inf),
        breaks_share=dice.uniform(0.02, 0.39, n),
        short_ohm=log(20, 2000),
        creep=np.where(fate == CREEPS, dice.uniform(0.05, 0.35, n), 0.0),
        noise=dice.uniform(0.03, 0.10, n),
        stepped=dice.random(n) < 0.5,
    )


KEPT: Final = (
    "time_s",
    "supply_v",
    "part_v",
    "current",
    "charging",
    "floor",
    "broken",
    "step",
)
CREEP_S: Final = 7200.0  # in which the floor of a part that creeps comes up
HOTTEST_K: Final = 150.0  # beyond it a part has long burst


@dataclass
class Runs:
    """What came of the parts, without noise: arrays (n, points)."""

    parts: Parts
    time_s: np.ndarray
    supply_v: np.ndarray
    part_v: np.ndarray
    current: np.ndarray
    charging: np.ndarray  # current into the capacitance itself
    floor: np.ndarray  # what does not heal, at that voltage
    broken: np.ndarray
    step: np.ndarray


QUARTERS: Final = 4
HOURS: Final = (2.0, 8.0)  # of a whole run


def simulate(parts: Parts, seed: int) -> Runs:
    """Run the parts: at once to the rated voltage, or by quarters, for some hours."""
    n = len(parts.fate)
    whole = 3600 * np.random.default_rng(seed).uniform(*HOURS, n)
    state = _State(parts, whole)
    for step in range(QUARTERS):
        volts = parts.rated_v * np.where(parts.stepped, (step + 1) / QUARTERS, 1.0)
        length = np.where(parts.stepped, whole / QUARTERS, whole if step == 0 else 0.0)
        goes = length > 0
        first = np.minimum(0.05 * parts.series * parts.capacitance, whole / 200)
        spread = np.log(np.where(goes, length, first) / first)
        at = first[:, None] * np.exp(np.linspace(0, 1, STEPS) * spread[:, None])
        for seconds in np.diff(np.where(goes[:, None], at, 0.0), prepend=0.0).T:
            state.advance(volts, seconds, step)
    kept = {name: np.array(values).T for name, values in state.kept.items()}
    return Runs(parts, **kept)


class _State:
    """All parts at one moment, and what was kept of the moments before."""

    def __init__(self, parts: Parts, whole: np.ndarray) -> None:
        n = len(parts.fate)
        self.parts = parts
        self.breaks_s = parts.breaks_share * whole
        self.volts, self.rise, self.clock = np.zeros(n), np.zeros(n), np.zeros(n)
        self.film, self.held = parts.film_v.copy(), np.zeros((n, BRANCHES))
        self.broken = np.zeros(n, bool)
        self.kept: dict[str, list[np.ndarray]] = {name: [] for name in KEPT}

    def advance(self, supply: np.ndarray, seconds: np.ndarray, step: int) -> None:
        """Go on by these seconds; a part whose step is over stands still, and is not kept."""
        parts, goes = self.parts, seconds > 0
        self.clock = self.clock + seconds
        aged = parts.creep * (1 - np.exp(-self.clock / CREEP_S))
        warm = np.exp(parts.warmth * np.minimum(self.rise, HOTTEST_K))
        rated_floor = parts.floor * (1 + aged) * warm
        settled = self._settled(supply, seconds, rated_floor)
        self.volts = np.where(goes, settled, self.volts)
        volts = np.maximum(self.volts, 1e-3)
        floor = rated_floor * (volts / parts.rated_v) ** VOLTAGE_EXPONENT
        flaws = self._flaws(volts)
        fall = FIELD * volts[:, None] / self.film**2 * flaws * seconds[:, None] / parts.volt_charge
        self.film += np.log1p(fall) * self.film**2 / (FIELD * volts[:, None])
        ease = 1 - np.exp(-seconds[:, None] / parts.absorb_s)
        self.held += (volts[:, None] - self.held) * ease
        current = (supply - self.volts) / parts.series
        leak = np.minimum(flaws.sum(1) + floor, current)
        heat = np.where(self.broken, 0.0, volts * leak) * parts.heat
        self.rise += (heat - self.rise) * (1 - np.exp(-seconds / parts.heat_s))
        self.broken |= goes & (self.clock > self.breaks_s) & (self.volts > parts.breaks_v)
        said = (self.clock, supply, self.volts, current, np.abs(current - leak), floor)
        for name, value in zip(KEPT, (*said, self.broken, np.full(len(goes), step)), strict=True):
            self.kept[name].append(
                value.copy() if value.dtype == bool else np.where(goes, value, np.nan)
            )

    def _flaws(self, volts: np.ndarray) -> np.ndarray:
        share = np.clip(volts[:, None] / self.film - 1, -1.0, 0.6)
        return self.parts.film_a * np.exp(FIELD * share)

    def _settled(
        self, supply: np.ndarray, seconds: np.ndarray, rated_floor: np.ndarray
    ) -> np.ndarray:
        """Voltage after a step of time: implicit, by halving between bounds."""
        parts = self.parts
        low, high = np.zeros_like(self.volts), np.maximum(supply, self.volts)
        span = np.where(seconds > 0, seconds, 1.0)
        ease = (1 - np.exp(-span[:, None] / parts.absorb_s)) * parts.absorbed / span[:, None]
        short = np.where(self.broken, 1 / parts.short_ohm, 0.0)
        guess = np.clip(self.volts, low, high)
        for _ in range(40):
            flaws = self._flaws(guess)
            fold = FIELD * guess[:, None] / self.film**2 * flaws * span[:, None] / parts.volt_charge
            # Their films grow within the step: what they carry on average.
            mean = flaws * np.where(fold > 1e-9, np.log1p(fold) / np.maximum(fold, 1e-12), 1.0)
            leak = mean.sum(1) + rated_floor * (guess / parts.rated_v) ** VOLTAGE_EXPONENT
            absorb = (ease * (guess[:, None] - self.held)).sum(1)
            out = leak + absorb + short * guess - (supply - guess) / parts.series
            excess = parts.capacitance * (guess - self.volts) / span + out
            high, low = np.where(excess > 0, guess, high), np.where(excess <= 0, guess, low)
            guess = 0.5 * (low + high)
        return guess
