"""Fields of the sentences: many numbers at once, as the trade writes them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from captriage.unit_names import PREFIXES
from captriage.units import WRITTEN, format_quantity

Floats = NDArray[np.float64]
Texts = NDArray[np.object_]

UNKNOWN = "–"

SPOKEN: Final = {
    "capacitance": "Capacitance",
    "esr": "ESR",
    "tan_delta": "tan δ",
    "leakage_current": "Leakage",
    "resistance": "Resistance",
    "impedance": "Impedance",
    "capacitance_before": "Capacitance before",
    "esr_before": "ESR before",
    "tan_delta_before": "tan δ before",
}


def once_each(write: Callable[[Floats], list[str]], values: Floats) -> Texts:
    """Texts of all values, each distinct value written once: ratings and limits repeat."""
    distinct, place = np.unique(values, return_inverse=True)
    return np.array([*write(distinct), ""], object)[:-1][place]


def joined(size: int, *pieces: str | Texts) -> Texts:
    """Texts of ``size`` rows, each joined of these pieces in one go; a str is the same in all."""
    columns = [[each] * size if isinstance(each, str) else each.tolist() for each in pieces]
    text = np.empty(size, object)
    text[:] = list(map("".join, zip(*columns, strict=True)))
    return text


def format_quantities(values: Floats, unit: str, *, digits: int = 3) -> Texts:
    """Each value as :func:`captriage.units.format_quantity` writes it, many at once.

    Parameters
    ----------
    values : ndarray, shape (n,)
        SI values; NaN gives "–".
    unit : str
        Unit they are in, "" for a pure number.
    digits : int
        Significant digits.

    Returns
    -------
    ndarray of str, shape (n,)
    """
    # Measured values seldom repeat, but to three digits there are few: round before sorting.
    return once_each(lambda distinct: written(distinct, unit, digits), rounded(values, digits))


def rounded(values: Floats, digits: int) -> Floats:
    """Each value to so many significant digits; as it is where that has no meaning."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        scale = 10.0 ** (digits - 1 - np.floor(np.log10(np.abs(values))))
        scaled = values * scale
        short = np.rint(scaled) / scale
        halves = np.flatnonzero(np.abs(scaled % 1 - 0.5) < 1e-9)
    for row in halves:  # which way a half goes depends on digits that the scaling has lost
        short[row] = float(f"{values[row]:.{digits}g}")
    return np.where(np.isfinite(short), short, values)


def written(values: Floats, unit: str, digits: int) -> list[str]:
    """As :func:`format_quantities`, without looking for repeated values."""
    short = rounded(values, digits)
    number = np.full(len(values), np.nan)
    ending = np.full(len(values), "", object)
    for least, prefix in WRITTEN.get(unit, ((0.0, ""),))[::-1]:
        here = np.abs(short) >= least * (1 - 1e-12)
        multiply, divide = PREFIXES.get(prefix, (1.0, 1.0))
        number[here] = short[here] / multiply * divide
        ending[here] = f" {prefix}{unit}" if unit else ""
    text = [f"{x:.6g}{end}" for x, end in zip(number.tolist(), ending.tolist(), strict=True)]
    # What %g would write with an exponent, and nought, is rare: one at a time.
    for row in np.flatnonzero(~((np.abs(number) >= 1e-3) & (np.abs(number) < 1e6))):
        text[row] = format_quantity(float(values[row]), unit, digits=digits)
    return text


def format_percents(fractions: Floats) -> Texts:
    """Fractions as whole per cents, with two digits below 10 %."""
    return once_each(
        lambda values: [
            f"{x:.0f} %" if abs(x) >= 10 else f"{x:.2g} %" for x in (100 * values).tolist()
        ],
        fractions,
    )


def format_temperatures(degrees: Floats) -> Texts:
    """Temperatures in °C, without needless digits."""
    return once_each(lambda values: [f"{each:.3g} °C" for each in values.tolist()], degrees)


def format_times(seconds: Floats) -> Texts:
    """Soak times as people say them: "20 s", "5 min", "3 h"; "–" where not told."""
    return once_each(lambda values: [time_words(each) for each in values.tolist()], seconds)


def time_words(seconds: float) -> str:
    """One time in the largest unit that leaves it above one."""
    if np.isnan(seconds):
        return UNKNOWN
    if seconds < 120 and seconds != 60:
        return f"{seconds:.3g} s"
    return f"{seconds / 60:.3g} min" if seconds < 7200 else f"{seconds / 3600:.3g} h"
