"""Fields of the sentences: many numbers at once, as the trade writes them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from captriage.unit_names import PREFIXES
from captriage.units import _WRITTEN, format_quantity

Floats = NDArray[np.float64]


def format_quantities(values: Floats, unit: str, *, digits: int = 3) -> list[str]:
    """Each value as :func:`captriage.units.format_quantity` writes it, many at once.

    Parameters
    ----------
    values : ndarray, shape (n,)
        SI values; NaN gives "–".
    unit : str
        Unit they are in.
    digits : int
        Significant digits.
    """
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        places = np.floor(np.log10(np.abs(values)))
        scale = 10.0 ** (digits - 1 - places)
        rounded = np.rint(values * scale) / scale
    number = np.full(len(values), np.nan)
    ending = np.full(len(values), "", object)
    steps = _WRITTEN.get(unit, ())
    for least, prefix in steps[::-1]:
        here = np.abs(rounded) >= least * (1 - 1e-12)
        multiply, divide = PREFIXES.get(prefix, (1.0, 1.0))
        number[here] = rounded[here] / multiply * divide
        ending[here] = f" {prefix}{unit}"
    plain = (np.abs(number) >= 1e-3) & (np.abs(number) < 1e6)
    text = [f"{x:.6g}{end}" for x, end in zip(number.tolist(), ending.tolist(), strict=True)]
    for row in np.flatnonzero(~plain):
        text[row] = format_quantity(float(values[row]), unit, digits=digits)
    return text


def format_percents(fractions: Floats) -> list[str]:
    """Fractions as whole per cents, one decimal below 10 %."""
    percents = (100 * fractions).tolist()
    return [f"{x:.0f} %" if abs(x) >= 10 else f"{x:.2g} %" for x in percents]


def format_times(seconds: Floats) -> list[str]:
    """Soak times as people say them: "20 s", "5 min", "3 h"; "" where not told."""
    return [time_words(each) for each in seconds.tolist()]


def time_words(seconds: float) -> str:
    """One time in the largest unit that leaves it above one."""
    if np.isnan(seconds):
        return ""
    if seconds < 120 and seconds != 60:
        return f"{seconds:.3g} s"
    return f"{seconds / 60:.3g} min" if seconds < 7200 else f"{seconds / 3600:.3g} h"
