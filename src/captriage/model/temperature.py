"""Capacitance and ESR against temperature, as bands: the figures known are ranges.

Both bands are the envelope of a family of curves. Each curve joins one end of the range known
at the cold limit with one end of that known at the hot limit, and a part follows one curve, so
a translation to the temperature of the reading itself returns the reading.
"""

from __future__ import annotations

from functools import cache
from itertools import product
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.validity import Floats, not_negative, positive, within

COLDEST: Final = -40.0
HOTTEST: Final = 85.0
CAPACITANCE_REFERENCE: Final = 25.0
ESR_REFERENCE: Final = 20.0

CAPACITANCE_COLD: Final = (0.60, 0.90)
CAPACITANCE_HOT: Final = (1.00, 1.10)
"""C at -40 °C and 85 °C over that at 25 °C: 10 % to 40 % less, up to 10 % more; from memory."""

ESR_COLD: Final = (10.0, 100.0)
ESR_HOT: Final = (0.35, 0.50)
"""ESR at -40 °C and 85 °C over that at 20 °C; from memory."""


def capacitance_at_temperature(
    capacitance: ArrayLike, *, from_degc: ArrayLike, to_degc: ArrayLike
) -> tuple[Floats, Floats]:
    r"""Band of the capacitance that a part read at one temperature shows at another.

    From 25 °C to -40 °C capacitance falls by 10 % to 40 %, most in high-voltage parts; to
    85 °C it rises by up to 10 % (from memory). Between, ours, straight lines:

    .. math:: C(T_2) = C(T_1) \, g(T_2) / g(T_1), \qquad
              g(25) = 1, \; g(-40) \in [0.6, 0.9], \; g(85) \in [1, 1.1]

    Parameters
    ----------
    capacitance : array_like
        At ``from_degc``, positive. [F]
    from_degc, to_degc : array_like
        From -40 °C to 85 °C. [°C]

    Returns
    -------
    low, high : ndarray, broadcast shape
        Smallest and largest over the curves; NaN where an argument is outside its
        validity. [F]
    """
    grid = (COLDEST, CAPACITANCE_REFERENCE, HOTTEST)
    start, end = (within(t, COLDEST, HOTTEST) for t in (from_degc, to_degc))
    ratios = [
        np.interp(end, grid, (cold, 1.0, hot)) / np.interp(start, grid, (cold, 1.0, hot))
        for cold, hot in product(CAPACITANCE_COLD, CAPACITANCE_HOT)
    ]
    return _envelope(positive(capacitance), ratios)


def esr_at_temperature(
    esr: ArrayLike, *, from_degc: ArrayLike, to_degc: ArrayLike
) -> tuple[Floats, Floats]:
    r"""Band of the ESR that a part read at one temperature shows at another.

    ESR falls as the electrolyte grows thinner with heat [1]_. From 20 °C to 85 °C it falls to
    0.35 to 0.5, to -40 °C it rises 10 to 100 times; between lies an exponential with an
    offset (both from memory):

    .. math:: R(T_2) = R(T_1) \, g(T_2) / g(T_1), \qquad
              g(T) = a + b \, e^{-(T - 20)/c}, \quad a + b = 1

    Parameters
    ----------
    esr : array_like
        At ``from_degc``, zero or more. [Ω]
    from_degc, to_degc : array_like
        From -40 °C to 85 °C. [°C]

    Returns
    -------
    low, high : ndarray, broadcast shape
        Smallest and largest over the curves; NaN where an argument is outside its
        validity. [Ω]

    References
    ----------
    .. [1] A. Albertsen, "Electrolytic Capacitor Lifetime Estimation", Jianghai Europe, 2012,
       http://www.powerguru.org/electrolytic-capacitor-lifetime-estimation/
    """
    start, end = (within(t, COLDEST, HOTTEST) - ESR_REFERENCE for t in (from_degc, to_degc))
    ratios = []
    for cold, hot in product(ESR_COLD, ESR_HOT):
        b, c = _esr_curve(cold, hot)
        ratios.append((1 - b + b * np.exp(-end / c)) / (1 - b + b * np.exp(-start / c)))
    return _envelope(not_negative(esr), ratios)


@cache
def _esr_curve(cold: float, hot: float) -> tuple[float, float]:
    """Share b and scale c (in K) of the curve through both ends, found by bisection on c."""
    to_cold, to_hot = ESR_REFERENCE - COLDEST, HOTTEST - ESR_REFERENCE
    shallow, steep = 100.0, 1.0
    for _ in range(60):
        c = (shallow + steep) / 2
        b = (1 - hot) / (1 - np.exp(-to_hot / c))
        if 1 - b + b * np.exp(to_cold / c) > cold:
            steep = c
        else:
            shallow = c
    return float(b), float(c)


def _envelope(value: Floats, ratios: list[Floats]) -> tuple[Floats, Floats]:
    """Smallest and largest product; NaN in any curve is NaN in both."""
    stacked = np.stack(np.broadcast_arrays(*ratios))
    return value * stacked.min(axis=0), value * stacked.max(axis=0)
