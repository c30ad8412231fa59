r"""Ripple current: brought from one frequency to another, added up, and the heat it makes."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.validity import Floats, not_negative, positive

FREQUENCIES: Final = (50.0, 100.0, 200.0, 400.0, 1000.0, 2000.0, 4000.0, 10000.0)
"""Columns of the printed table; the last also holds for every higher frequency. [Hz]"""

MULTIPLIERS: Final = (
    # lowest and highest rated voltage [V], multiplier at each of FREQUENCIES
    (10.0, 25.0, (0.93, 1.00, 1.04, 1.07, 1.11, 1.13, 1.15, 1.18)),
    (40.0, 100.0, (0.91, 1.00, 1.05, 1.09, 1.13, 1.15, 1.18, 1.22)),
    (100.0, np.inf, (0.86, 1.00, 1.13, 1.21, 1.29, 1.32, 1.35, 1.40)),
)

CORE_RISE_RATED: Final = MappingProxyType({85.0: 10.0, 105.0: 5.0, 125.0: 3.0})
"""Category temperature [°C] to rise of the core at rated ripple current [K].

As reported by Wikipedia, "Aluminum electrolytic capacitor"."""


def ripple_multiplier(frequency_hz: ArrayLike, voltage: ArrayLike) -> Floats:
    r"""Ripple current allowed at a frequency as a multiple of that allowed at 100 Hz.

    Between printed frequencies it is read along straight lines over log frequency. For a
    rating between two bands (35 V) the smaller multiplier of the two is taken: it allows
    less current.

    Parameters
    ----------
    frequency_hz : array_like
        Frequency of the ripple. [Hz]
    voltage : array_like
        Rated voltage. [V]

    Returns
    -------
    ndarray
        Multiplier; NaN below 50 Hz and below 10 V. Parts rated at 120 Hz differ little: take
        120 Hz as 1.

    References
    ----------
    .. [1] Vishay BCcomponents, doc. 28340 (07-Nov-05), 85 °C snap-in, p. 64.
    """
    f, u = np.broadcast_arrays(positive(frequency_hz), positive(voltage))
    f = np.where(f >= FREQUENCIES[0], f, np.nan)
    curves = [np.interp(np.log(f), np.log(FREQUENCIES), row) for _, _, row in MULTIPLIERS]
    low, middle, high = curves
    between = np.minimum(low, middle)
    return np.select(
        [np.isnan(f) | np.isnan(u) | (u < 10.0), u <= 25.0, u < 40.0, u <= 100.0],
        [np.full(f.shape, np.nan), low, between, middle],
        high,
    )


def ripple_equivalent(
    currents: ArrayLike, frequencies_hz: ArrayLike, *, voltage: ArrayLike
) -> Floats:
    r"""One current at 100 Hz that heats as much as several at their own frequencies.

    .. math:: I_{eq} = \sqrt{\textstyle\sum_i (I_i / F_i)^2}

    Parameters
    ----------
    currents : array_like, shape (k, ...)
        :math:`I_i`, along axis 0. [A rms]
    frequencies_hz : array_like, shape (k, ...)
        Of each current; :math:`F_i` is its :func:`ripple_multiplier`. [Hz]
    voltage : array_like
        Rated voltage. [V]

    Returns
    -------
    ndarray, shape (...)
        :math:`I_{eq}`; NaN where a current is negative or a multiplier unknown. [A rms]

    References
    ----------
    .. [1] Vishay BCcomponents, doc. 28340 (07-Nov-05), p. 64, for the multipliers.
    """
    i = not_negative(currents) / ripple_multiplier(frequencies_hz, voltage)
    return np.asarray(np.sqrt(np.sum(i**2, axis=0)))


def ripple_heating(
    current: ArrayLike, current_rated: ArrayLike, *, rise_rated: ArrayLike = 5.0
) -> Floats:
    r"""Rise of core temperature by ripple current.

    .. math:: \Delta T = \Delta T_0 \, (I / I_0)^2

    Parameters
    ----------
    current : array_like
        :math:`I`, brought to the rated frequency
        (:func:`ripple_equivalent`). [A rms]
    current_rated : array_like
        :math:`I_0`. [A rms]
    rise_rated : array_like
        :math:`\Delta T_0` at rated current; 5 K for 105 °C types, see
        :data:`CORE_RISE_RATED`. [K]

    Returns
    -------
    ndarray
        :math:`\Delta T`; NaN where a current is negative or the rated one not positive. [K]

    References
    ----------
    .. [1] Maker's application note, samtechk.com, low authority; Wikipedia, "Aluminum
       electrolytic capacitor", for the rise at rated current.
    """
    share = not_negative(current) / positive(current_rated)
    return np.asarray(positive(rise_rated) * share**2)


def ripple_power(current: ArrayLike, esr: ArrayLike) -> Floats:
    r"""Heat developed by ripple current: :math:`P = I^2 R_{ESR}`.

    Parameters
    ----------
    current : array_like
        :math:`I`. [A rms]
    esr : array_like
        :math:`R_{ESR}` at the ripple frequency and core temperature. [Ω]

    Returns
    -------
    ndarray
        :math:`P`; NaN where either is negative. [W]

    References
    ----------
    .. [1] Wikipedia, "Aluminum electrolytic capacitor".
    """
    return np.asarray(not_negative(current) ** 2 * not_negative(esr))


def case_heating(power: ArrayLike, area: ArrayLike, *, transfer: ArrayLike) -> Floats:
    r"""Rise of case temperature above the surroundings: :math:`\Delta T = P / (\beta A)`.

    Parameters
    ----------
    power : array_like
        :math:`P`. [W]
    area : array_like
        :math:`A`, surface of the case. [m²]
    transfer : array_like
        :math:`\beta`, heat transfer of the surface. [W/(m² K)]

    Returns
    -------
    ndarray
        :math:`\Delta T`; NaN where the power is negative or the others not positive. [K]

    References
    ----------
    .. [1] Wikipedia, "Aluminum electrolytic capacitor".
    """
    return np.asarray(not_negative(power) / (positive(transfer) * positive(area)))
