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

from captriage.reform.curves import Curve, Rating

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


def simulate(parts: Parts, seed: int, *, share_s: np.ndarray | None = None) -> Runs:
    """Run the parts: at once to the rated voltage, or by quarters."""
    dice = np.random.default_rng(seed)
    n = len(parts.fate)
    hours = dice.uniform(2, 8, n) if share_s is None else share_s / 3600
    tau = parts.series * parts.capacitance
    v, rise = np.zeros(n), np.zeros(n)
    film, held = parts.film_v.copy(), np.zeros((n, BRANCHES))
    broken = np.zeros(n, bool)
    kept: dict[str, list[np.ndarray]] = {k: [] for k in ("t", "u", "v", "i", "c", "f", "b", "s")}
    clock = np.zeros(n)
    for step in range(4):
        quarter = np.where(parts.stepped, (step + 1) / 4, 1.0)
        u = parts.rated_v * quarter
        length = hours * 3600 / 4
        if step:
            length = np.where(parts.stepped, length, 0.0)
        else:
            length = np.where(parts.stepped, length, hours * 3600)
        first = np.minimum(0.05 * tau, length / 50)
        grid = np.exp(
            np.linspace(0, 1, STEPS)[None, :] * np.log(np.maximum(length / first, 1.0))[:, None]
        )
        at = np.where(length[:, None] > 0, first[:, None] * grid, 0.0)
        dts = np.diff(at, prepend=0.0)
        for k in range(STEPS):
            dt = dts[:, k]
            go = dt > 0
            clock = clock + dt
            aged = parts.creep * (1 - np.exp(-clock / 7200.0))
            warm = np.exp(parts.warmth * np.minimum(rise, 150))
            rated_floor = parts.floor * (1 + aged) * warm
            v = np.where(go, _settle(parts, v, u, dt, film, held, rated_floor, broken), v)
            floor = rated_floor * (np.maximum(v, 0) / parts.rated_v) ** VOLTAGE_EXPONENT
            each = _flaws(parts, v, film)
            per_volt = parts.volt_charge
            fall = FIELD * v[:, None] / film**2 * each * dt[:, None] / per_volt
            passed = (
                np.log1p(np.maximum(fall, 0)) * film**2 / (FIELD * np.maximum(v[:, None], 1e-3))
            )
            film = np.where(go[:, None], film + passed, film)
            ease = 1 - np.exp(-dt[:, None] / parts.absorb_s[None, :])
            held = held + (v[:, None] - held) * ease
            current = (u - v) / parts.series
            leak = np.minimum(each.sum(1) + floor, current)
            heat = np.where(broken, 0.0, v * leak) * parts.heat
            rise = rise + (heat - rise) * (1 - np.exp(-dt / parts.heat_s))
            due = clock > parts.breaks_share * hours * 3600
            broken = broken | (go & due & (v > np.minimum(parts.breaks_v, np.inf)))
            broken = broken | (go & due & (parts.fate == BREAKS_DOWN) & (v > 0.9 * parts.breaks_v))
            for name, value in zip(
                "tuvicfbs",
                (clock, u, v, current, np.abs(current - leak), floor, broken, np.full(n, step)),
                strict=True,
            ):
                kept[name].append(np.where(go, value, np.nan if name != "b" else value))
    arrays = {k: np.array(x).T for k, x in kept.items()}
    return Runs(
        parts,
        arrays["t"],
        arrays["u"],
        arrays["v"],
        arrays["i"],
        arrays["c"],
        arrays["f"],
        arrays["b"] > 0,
        arrays["s"],
    )


def _flaws(parts: Parts, v: np.ndarray, film: np.ndarray) -> np.ndarray:
    share = np.clip(v[:, None] / film - 1, -1.0, 0.6)
    return parts.film_a * np.exp(FIELD * share)


def _settle(parts, v, u, dt, film, held, floor, broken):
    """Voltage after a step of time, implicitly, by Newton's method kept between bounds."""
    low, high = np.zeros_like(v), np.maximum(u, v)
    guess = np.clip(v, low, high)
    safe = np.where(dt > 0, dt, 1.0)
    ease = (1 - np.exp(-safe[:, None] / parts.absorb_s[None, :])) * parts.absorbed / safe[:, None]
    short = np.where(broken, 1 / parts.short_ohm, 0.0)
    # Flaws lose current as their film grows within the step: what remains on average.
    for _ in range(40):
        each = _flaws(parts, guess, film)
        fold = FIELD * guess[:, None] / film**2 * each * safe[:, None] / parts.volt_charge
        mean = each * np.where(fold > 1e-9, np.log1p(fold) / np.maximum(fold, 1e-12), 1.0)
        leak = mean.sum(1) + floor * (guess / parts.rated_v) ** VOLTAGE_EXPONENT + short * guess
        absorb = (ease * (guess[:, None] - held)).sum(1)
        excess = parts.capacitance * (guess - v) / safe + leak + absorb - (u - guess) / parts.series
        high = np.where(excess > 0, guess, high)
        low = np.where(excess <= 0, guess, low)
        guess = 0.5 * (low + high)
    return guess


def seen(
    runs: Runs, row: int, until_s: float, seed: int, *, ends_s: float = np.inf
) -> tuple[Curve, Rating]:
    """What a meter logs of one run up to a time: uneven, noisy, with gaps.

    ``ends_s``: when the run ends, over which the readings are spread.
    """
    dice = np.random.default_rng((seed, row))
    parts = runs.parts
    good = np.isfinite(runs.time_s[row])
    t, i = runs.time_s[row][good], runs.current[row][good]
    last = min(t[-1], ends_s)
    step = runs.step[row][good]
    count = int(dice.integers(300, 2000))  # of each step
    ends = [min(t[step == each].max(), last) for each in np.unique(step)]
    begins = [0.0, *ends[:-1]]
    spread = [dice.uniform(a, b, count) for a, b in zip(begins, ends, strict=True) if b > a]
    times = np.sort(np.concatenate(spread))
    early = np.geomspace(max(t[0], 0.2), last, 60)
    times = np.unique(np.concatenate([times, early]))
    if dice.random() < 0.3:  # a gap
        begins = dice.uniform(0, 0.8) * last
        times = times[(times < begins) | (times > begins + 0.08 * last)]
    times = times[times <= until_s]
    at = np.searchsorted(t, times).clip(1, len(t) - 1)
    edge = runs.supply_v[row][good]
    same = edge[at] == edge[at - 1]
    share = np.clip((times - t[at - 1]) / np.maximum(t[at] - t[at - 1], 1e-12), 0, 1)
    true = np.where(same, i[at - 1] + share * (i[at] - i[at - 1]), i[at])
    floor = 0.002 * parts.limit[row]
    read = true * (1 + parts.noise[row] * dice.standard_normal(len(times)))
    read += 0.5 * floor * dice.standard_normal(len(times))
    curve = Curve(
        times,
        edge[at],
        read,
        np.full(len(times), np.nan),
        series_ohm=float(parts.series[row]),
        floor_a=float(floor),
    )
    rating = Rating(
        float(parts.capacitance[row] * dice.uniform(0.75, 1.1)),
        float(parts.rated_v[row]),
        float(parts.rated_v[row]),
        float(parts.limit[row]),
    )
    return curve, rating
