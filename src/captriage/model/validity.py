"""Where a number can be used at all: everything else becomes NaN at the door of the core.

The core never extrapolates, clips or guesses, so each function first passes its arguments
through one of these. The magnitudes allowed are wider than any capacitor, voltage, time or
frequency, and narrow enough that no product of several of them overflows.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

SMALLEST: Final = 1e-30
LARGEST: Final = 1e30


def positive(values: ArrayLike) -> Floats:
    """Values as floats, NaN where they are not above zero and finite.

    Parameters
    ----------
    values : array_like, any shape
        In SI units.

    Returns
    -------
    ndarray, same shape
        The value where it lies from 1e-30 to 1e30, else NaN.
    """
    x = np.asarray(values, float)
    return np.where((x >= SMALLEST) & (x <= LARGEST), x, np.nan)


def not_negative(values: ArrayLike) -> Floats:
    """Values as floats, NaN where they are negative or not finite.

    Parameters
    ----------
    values : array_like, any shape
        In SI units.

    Returns
    -------
    ndarray, same shape
        The value where it is zero or lies from 1e-30 to 1e30, else NaN.
    """
    x = np.asarray(values, float)
    return np.where((x == 0) | ((x >= SMALLEST) & (x <= LARGEST)), x, np.nan)


def within(values: ArrayLike, low: float, high: float) -> Floats:
    """Values as floats, NaN where they lie outside a closed interval.

    Parameters
    ----------
    values : array_like, any shape
        In any unit.
    low, high : float
        Ends of the interval, both allowed, in that unit.

    Returns
    -------
    ndarray, same shape
        The value where ``low <= value <= high``, else NaN.
    """
    x = np.asarray(values, float)
    return np.where((x >= low) & (x <= high), x, np.nan)
