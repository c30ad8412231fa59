r"""Calculated life: temperature, ripple heating, voltage, mixed duty.

A life is a time, in whatever unit the caller uses for all of them (data sheets print hours).
What is calculated is the time until a part meets its maker's criterion of wear, not until it
fails; see :data:`captriage.judging.limits.END_OF_LIFE` and :mod:`captriage.model.drying`.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.validity import Floats, not_negative, positive, within

HALVING: Final = 10.0
"""Rise of temperature that halves the life: the "10-degree rule". [K]"""

LIFE_CAP_YEARS: Final = 15.0
LIFE_CAP_HOURS: Final = LIFE_CAP_YEARS * 8760.0
"""Longest calculated life that is believed (131 400 h): seals and leads age as well. [h]"""

COLDEST: Final = -55.0
HOTTEST: Final = 150.0
"""Range of temperature in which a life is calculated at all. [°C]"""


def arrhenius_life(
    life_rated: ArrayLike,
    temperature_rated_degc: ArrayLike,
    *,
    temperature_degc: ArrayLike,
    halving: float = HALVING,
) -> Floats:
    r"""Life at a temperature, doubling for every 10 K below the rated one.

    .. math:: L = L_0 \, 2^{(T_0 - T) / \Delta}

    Parameters
    ----------
    life_rated : array_like
        :math:`L_0` at the rated temperature. [any time]
    temperature_rated_degc : array_like
        :math:`T_0`. [°C]
    temperature_degc : array_like
        :math:`T` of the core where known, else of its surroundings. [°C]
    halving : float
        :math:`\Delta`, 10 K unless two printed lives of one series say otherwise
        (:func:`halving_between`). [K]

    Returns
    -------
    ndarray
        :math:`L`; NaN above the rated temperature, outside -55 °C to 150 °C, and where
        ``life_rated`` is not positive. Far below the rated temperature the figure outgrows
        the seals: see :func:`capped_life`. [time of ``life_rated``]

    References
    ----------
    .. [1] Wikipedia, "Aluminum electrolytic capacitor": 2000 h at 105 °C is 128 000 h at 45 °C.
    """
    hot = within(temperature_rated_degc, COLDEST, HOTTEST)
    below = hot - within(temperature_degc, COLDEST, HOTTEST)
    return np.asarray(positive(life_rated) * 2.0 ** (not_negative(below) / halving))


def halving_between(
    life_hot: ArrayLike,
    temperature_hot_degc: ArrayLike,
    *,
    life_cool: ArrayLike,
    temperature_cool_degc: ArrayLike,
) -> Floats:
    r"""Rise of temperature that halves the life, from two printed lives of one series.

    .. math:: \Delta = \frac{T_1 - T_2}{\log_2 (L_2 / L_1)}

    Parameters
    ----------
    life_hot, life_cool : array_like
        :math:`L_1, L_2`. [any time]
    temperature_hot_degc, temperature_cool_degc : array_like
        :math:`T_1 > T_2`. [°C]

    Returns
    -------
    ndarray
        :math:`\Delta`; NaN unless both the temperatures and the lives are in order. [K]

    References
    ----------
    .. [1] Algebra of :func:`arrhenius_life`.
    """
    span = within(temperature_hot_degc, COLDEST, HOTTEST) - within(
        temperature_cool_degc, COLDEST, HOTTEST
    )
    ratio = positive(life_cool) / positive(life_hot)
    doublings = np.log2(np.where(ratio > 1.0, ratio, np.nan))
    return np.asarray(positive(span) / doublings)


def equivalent_temperature_degc(
    life: ArrayLike, life_rated: ArrayLike, *, temperature_rated_degc: ArrayLike
) -> Floats:
    r"""Steady temperature that would give a life.

    .. math:: T = T_0 - 10 \log_2 (L / L_0)

    Parameters
    ----------
    life : array_like
        :math:`L`. [any time]
    life_rated : array_like
        :math:`L_0`. [same]
    temperature_rated_degc : array_like
        :math:`T_0`. [°C]

    Returns
    -------
    ndarray
        :math:`T`; NaN where ``life`` is shorter than ``life_rated``. [°C]

    References
    ----------
    .. [1] Cosel, technical Q&A a0057, worked example.
    """
    doublings = np.log2(positive(life) / positive(life_rated))
    return within(temperature_rated_degc, COLDEST, HOTTEST) - HALVING * not_negative(doublings)


def mixed_duty_life(shares: ArrayLike, lives: ArrayLike) -> Floats:
    r"""Life under conditions that take turns, each wearing the part at its own rate.

    .. math:: \frac{1}{L} = \sum_i \frac{w_i}{L_i}, \qquad \sum_i w_i = 1

    Parameters
    ----------
    shares : array_like, shape (k, ...)
        :math:`w_i`, share of the time spent in each condition, along axis 0; any common
        scale (8 h, 8 h, 8 h will do).
    lives : array_like, shape (k, ...)
        :math:`L_i`. [any time]

    Returns
    -------
    ndarray, shape (...)
        :math:`L`; NaN where a share is negative, a life not positive, or all shares are zero.

    References
    ----------
    .. [1] Cosel, technical Q&A a0057, worked example.
    """
    w, life = np.broadcast_arrays(not_negative(shares), positive(lives))
    return np.asarray(positive(w.sum(axis=0)) / positive((w / life).sum(axis=0)))


def consumed_life(times: ArrayLike, lives: ArrayLike) -> Floats:
    r"""Share of a life used up by times spent under one or more conditions.

    .. math:: x = \sum_i t_i / L_i

    Parameters
    ----------
    times : array_like, shape (k, ...)
        :math:`t_i`, along axis 0. [any time]
    lives : array_like, shape (k, ...)
        :math:`L_i`. [same]

    Returns
    -------
    ndarray, shape (...)
        :math:`x`; 1 is the end of the calculated life, and more is beyond it. NaN where a
        time is negative or a life not positive.

    References
    ----------
    .. [1] Linear accumulation, as in :func:`mixed_duty_life`.
    """
    t, life = np.broadcast_arrays(not_negative(times), positive(lives))
    return np.asarray((t / life).sum(axis=0))


def life_with_ripple(
    life_ambient: ArrayLike,
    rise: ArrayLike,
    *,
    rise_rated: ArrayLike = 5.0,
    halving: float = HALVING,
) -> Floats:
    r"""Life when ripple heats the core by less or more than at rated current, from memory.

    .. math:: L = L_a \, 2^{(\Delta T_0 - \Delta T) / \Delta}

    Parameters
    ----------
    life_ambient : array_like
        :math:`L_a`, :func:`arrhenius_life` at the temperature of the surroundings, for a part
        whose life is rated with its ripple current flowing. [any time]
    rise, rise_rated : array_like
        :math:`\Delta T, \Delta T_0` of :func:`captriage.model.ripple.ripple_heating`. [K]
    halving : float
        :math:`\Delta`: makers differ, 10 K (cans) or 5 K (small types). [K]

    Returns
    -------
    ndarray
        :math:`L`; NaN where a rise is negative. [time of ``life_ambient``]

    References
    ----------
    .. [1] From memory; no document was read.
    """
    cooler = positive(rise_rated) - not_negative(rise)
    return np.asarray(positive(life_ambient) * 2.0 ** (cooler / halving))


def voltage_life_factor_power(fraction_of_rated: ArrayLike, *, exponent: ArrayLike = 3.0) -> Floats:
    r"""Gain of life from running below rated voltage, large cans, from memory.

    .. math:: m = (U_R / U)^n

    Parameters
    ----------
    fraction_of_rated : array_like
        :math:`U / U_R`, 0.5 to 1.
    exponent : array_like
        :math:`n`: about 3 from 0.8 to 1, about 5 from 0.5 to 0.8; 3 everywhere is the
        cautious choice.

    Returns
    -------
    ndarray
        :math:`m`; NaN outside 0.5 to 1. Small radial types gain nothing.

    References
    ----------
    .. [1] From memory; no document was read.
    """
    return np.asarray(within(fraction_of_rated, 0.5, 1.0) ** -np.asarray(exponent, float))


def voltage_life_factor_linear(fraction_of_rated: ArrayLike) -> Floats:
    r"""Gain of life from running below rated voltage, US form, from memory.

    .. math:: m = 4.3 - 3.3\, U / U_R

    Parameters
    ----------
    fraction_of_rated : array_like
        :math:`U / U_R`, 0.5 to 1.

    Returns
    -------
    ndarray
        :math:`m`; NaN outside 0.5 to 1.

    References
    ----------
    .. [1] From memory; no document was read.
    """
    return np.asarray(4.3 - 3.3 * within(fraction_of_rated, 0.5, 1.0))


def capped_life(life: ArrayLike, *, cap: float = LIFE_CAP_HOURS) -> Floats:
    """Calculated life, no longer than what is believed of any electrolytic.

    Parameters
    ----------
    life : array_like
        Calculated life. [h, or the unit of ``cap``]
    cap : float
        Longest life; 15 years. [h]

    Returns
    -------
    ndarray
        The shorter of the two; NaN where ``life`` is not positive. [h]

    References
    ----------
    .. [1] Beckhoff, power-supply note PS9011, lifetime: about 15 years.
    """
    return np.minimum(positive(life), cap)
