"""Print the speed of reading curves as ratios: ``python tests/benchmarks/reforming_speed.py``.

A thousand curves of two thousand readings are triaged (state, forecast and its interval, averages
and all), beside a loop of ``scipy.optimize.curve_fit`` over the same law with the same exponent of
the field: once with bounds that keep its floor and flaws from going below nought, once without.
Then the best law of each is held against all readings, beside what the loop found, unless that has
a floor below nought or an exponent of time that no current has: such a curve may fit better, and is
no such law. Last, one live run of ten thousand readings is asked for its state.
"""

from __future__ import annotations

import argparse
import os
import time

os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np
from scipy.optimize import curve_fit

from captriage.model.leakage import VOLTAGE_EXPONENT
from captriage.reform.best_laws import best_laws
from captriage.reform.curves import Curve, Rating
from captriage.reform.law import FIELDS, weigh
from captriage.reform.progress import Watch, read_curves, seen_of
from captriage.reform.step_data import steps_of

SUPPLY_V, OHM, NOISE = 450.0, 20e3, 0.05
RATING = Rating(32e-6, 450.0, 450.0, 1.58e-3)
BOUNDS = ([0, 0, -5, 0.3], [1, 1, 15, 1.3])
"""Of floor, flaws, logarithm of τ₀ and exponent of time."""

LIVE_READINGS, LIVE_BAR_MS = 10_000, 20.0


def curves(count: int, readings: int, seed: int = 7) -> list[Curve]:
    """Curves that fall to a floor, with noise."""
    dice = np.random.default_rng(seed)
    made = []
    for _ in range(count):
        times = np.sort(dice.uniform(5, 7200, readings))
        fall = dice.uniform(2e-3, 8e-3) / (1 + times / dice.uniform(200, 900))
        current = (dice.uniform(0.1e-3, 2e-3) + fall) * (1 + NOISE * dice.standard_normal(readings))
        unread = np.full(readings, np.nan)
        supply = np.full(readings, SUPPLY_V)
        made.append(Curve(times, supply, current, unread, series_ohm=OHM, floor_a=3e-6))
    return made


class SameLaw:
    """The law of :mod:`captriage.reform.law` at every reading of one curve."""

    def __init__(self, curve: Curve) -> None:
        (step,) = steps_of(curve, RATING)
        self.smooth = np.interp(step.time_s, step.averages.time_s, step.averages.current_a)
        drop = np.clip(self.smooth * step.slope, 0.0, 1.0)
        self.shape = (1 - drop) ** VOLTAGE_EXPONENT
        self.rate = 1 / (1 + FIELDS[-1] * drop)
        self.mean = 0.5 * (self.rate[1:] + self.rate[:-1])

    def __call__(
        self, times: np.ndarray, floor: float, flaw: float, log_onset: float, exponent: float
    ) -> np.ndarray:
        """Current at each time."""
        power = times**exponent
        first = power[0] * self.rate[0]
        tau = np.concatenate(([first], first + np.cumsum(np.diff(power) * self.mean)))
        return floor * self.shape + flaw / (1 + tau / np.exp(log_onset))


def looped(some: list[Curve], **options: object) -> tuple[float, list[np.ndarray | None]]:
    """Seconds a curve, and what the loop found; None where it did not converge."""
    laws = [SameLaw(curve) for curve in some]
    found: list[np.ndarray | None] = []
    begun = time.perf_counter()
    for curve, law in zip(some, laws, strict=True):
        y = curve.current_a
        start = (0.5 * y[-1], y[:20].mean(), np.log(200.0), 0.9)
        sigma = NOISE * law.smooth
        try:
            best, _ = curve_fit(law, curve.time_s, y, p0=start, sigma=sigma, **options)
        except RuntimeError:
            best = None
        found.append(best)
    return (time.perf_counter() - begun) / len(some), found


def away(curve: Curve, law: SameLaw, parameters: np.ndarray) -> float:
    """Root mean square of the weighted differences from all readings."""
    difference = law(curve.time_s, *parameters) - curve.current_a
    return float(np.sqrt(np.mean((difference / law.smooth) ** 2)))


def ours(curve: Curve) -> np.ndarray:
    """The law of one curve by least squares, as the triage has it."""
    seen = seen_of(steps_of(curve, RATING))
    law = weigh(seen)
    law.share[:, :-1] = 0  # with the exponent of the field that the loop has
    found = best_laws(seen, law)
    return np.array([found.floor_a[0], found.flaw_a[0], np.log(found.onset[0]), found.exponent[0]])


def is_law(found: np.ndarray | None) -> bool:
    """Whether the loop converged to a law within the bounds."""
    return found is not None and bool(np.all((found >= BOUNDS[0]) & (found <= BOUNDS[1])))


def main() -> None:
    """Print the ratios."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--curves", type=int, default=1000)
    parser.add_argument("--readings", type=int, default=2000)
    parser.add_argument("--looped", type=int, default=100, help="curves that the loop is given")
    told = parser.parse_args()
    many = curves(told.curves, told.readings)
    pairs = [(curve, RATING) for curve in many]
    read_curves(pairs[:40])  # imports and caches
    begun = time.perf_counter()
    read_curves(pairs)
    each = (time.perf_counter() - begun) / len(many)
    print(f"triage, {told.curves} curves of {told.readings}: {1e3 * each:.2f} ms a curve")
    some = many[: told.looped]
    laws = [SameLaw(curve) for curve in some]
    best = [away(curve, law, ours(curve)) for curve, law in zip(some, laws, strict=True)]
    for name, options in (("bounded", {"bounds": BOUNDS}), ("free", {"maxfev": 5000})):
        seconds, found = looped(some, **options)
        pairs_of = zip(some, laws, found, best, strict=True)
        ratios = [mine / away(c, law, f) for c, law, f, mine in pairs_of if is_law(f)]
        print(
            f"curve_fit, {name}: {seconds / each:.1f} times as long (bar 20), "
            f"{sum(f is None for f in found)} of {len(some)} without a fit, {len(ratios)} within "
            "bounds; our residual over theirs: "
            f"median {np.median(ratios):.4f}, most {max(ratios):.4f} (bar 1.001)"
        )
    live = curves(1, LIVE_READINGS)[0]
    watch = Watch(RATING, series_ohm=OHM, floor_a=3e-6)
    for at, current in zip(live.time_s, live.current_a, strict=True):
        watch.add(at, supply_v=SUPPLY_V, current_a=current)
    watch.progress()
    spans = []
    for _ in range(20):
        begun = time.perf_counter()
        watch.progress()
        spans.append(1e3 * (time.perf_counter() - begun))
    print(
        f"state of a live run of {LIVE_READINGS} readings: median {np.median(spans):.1f} ms, "
        f"most {max(spans):.1f} ms (bar {LIVE_BAR_MS:.0f} ms)"
    )


if __name__ == "__main__":
    main()
