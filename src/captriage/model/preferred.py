r"""Preferred numbers: values of the E series of IEC 60063, and rated voltages of data sheets."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.validity import Floats, positive

E_SERIES: Final = MappingProxyType(
    {
        3: (1.0, 2.2, 4.7),
        6: (1.0, 1.5, 2.2, 3.3, 4.7, 6.8),
        12: (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2),
    }
)
"""Mantissas of one decade by the number of values in it; IEC 60063."""

RATED_VOLTAGES: Final = (
    6.3, 10.0, 16.0, 25.0, 35.0, 50.0, 63.0, 100.0, 160.0, 200.0, 250.0, 350.0, 400.0, 450.0, 500.0
)  # fmt: skip
"""Rated voltages that are made today: columns of the Lelon RGA series data sheet; 500 V is
common practice. [V]"""


def preferred_value_from(value: ArrayLike, *, series: int = 6) -> Floats:
    """Least value of an E series that is not below a given one.

    Parameters
    ----------
    value : array_like
        Positive, in any unit.
    series : int
        Values in a decade: 3, 6 or 12.

    Returns
    -------
    ndarray
        In the same unit; NaN where ``value`` is not positive.

    Raises
    ------
    ValueError
        No such series is known here.

    References
    ----------
    .. [1] IEC 60063:2015, preferred number series for resistors and capacitors.
    """
    if series not in E_SERIES:
        raise ValueError(f"E series: E{series}; E{', E'.join(map(str, E_SERIES))} are known")
    x = positive(value)
    decade = 10.0 ** np.floor(np.log10(x))
    steps = np.array([*E_SERIES[series], 10.0])
    # A hair below a step is that step: 4.7e-5 / 1e-5 is not exactly 4.7.
    place = np.searchsorted(steps * (1 + 1e-9), np.nan_to_num(x / decade, nan=1.0))
    return np.asarray(np.where(np.isnan(x), np.nan, steps[place] * decade))


def rated_voltage_from(voltage: ArrayLike) -> Floats:
    """Least rated voltage made today that is not below a given one.

    Parameters
    ----------
    voltage : array_like
        Voltage the part must stand, positive. [V]

    Returns
    -------
    ndarray
        One of :data:`RATED_VOLTAGES`; above the last of them the voltage itself, since two
        parts in series are then needed; NaN where ``voltage`` is not positive. [V]

    References
    ----------
    .. [1] Lelon, RGA series data sheet (columns of its table).
    """
    u = positive(voltage)
    steps = np.array([*RATED_VOLTAGES, np.inf])
    rated = steps[np.searchsorted(steps, np.nan_to_num(u, nan=1.0))]
    return np.asarray(np.where(np.isinf(rated) | np.isnan(u), u, rated))
