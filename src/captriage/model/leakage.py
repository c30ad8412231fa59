r"""Leakage current against time, temperature and voltage.

The limits themselves stand in :mod:`captriage.model.leakage_limits`. The factors here are what
is usual of a sound part: good for comparing readings taken under different conditions, too
rough for turning a fail into a pass.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.validity import Floats, not_negative, positive, within

TEMPERATURE_REFERENCE: Final = 20.0
"""Temperature at which data sheets state leakage current. [°C]"""

TEMPERATURE_HIGHEST: Final = 85.0
"""Temperature at which the current is stated as four times that at 20 °C. [°C]"""

TEMPERATURE_LOWEST: Final = 15.0
"""Least temperature at which a reading is translated; no source covers colder. [°C]"""

VOLTAGE_EXPONENT: Final = math.log(0.5) / math.log(0.7)
"""1.943, so that 0.7 of rated voltage halves the current."""


def leakage_temperature_factor(temperature_degc: ArrayLike) -> Floats:
    r"""Leakage current at a temperature as a multiple of that at 20 °C.

    .. math:: m_T = 4^{(T - 20) / 65}

    Parameters
    ----------
    temperature_degc : array_like
        :math:`T`, 15 °C to 85 °C. [°C]

    Returns
    -------
    ndarray
        :math:`m_T`; NaN outside 15 °C to 85 °C. After a short soak makers' curves are steeper
        (from memory, 5 to 10 times at 85 °C): take it as the least increase.

    References
    ----------
    .. [1] Wikipedia, "Aluminum electrolytic capacitor": the current at 85 °C is about four
       times that at 20 °C. Exponential in between, and below 20 °C, is ours.
    """
    degc = within(temperature_degc, TEMPERATURE_LOWEST, TEMPERATURE_HIGHEST)
    span = TEMPERATURE_HIGHEST - TEMPERATURE_REFERENCE
    return np.asarray(4.0 ** ((degc - TEMPERATURE_REFERENCE) / span))


def leakage_voltage_factor(fraction_of_rated: ArrayLike) -> Floats:
    r"""Leakage current at a voltage as a fraction of that at rated voltage.

    .. math:: m_V = (U / U_R)^{1.943}

    Parameters
    ----------
    fraction_of_rated : array_like
        :math:`U / U_R`, above 0 and at most 1.

    Returns
    -------
    ndarray
        :math:`m_V`; NaN above rated voltage, where the oxide begins to grow and the current
        rises far more steeply, and at or below zero. A long way under 0.7 it is the shape of
        the curve only.

    References
    ----------
    .. [1] Wikipedia, "Aluminum electrolytic capacitor": 0.7 of rated voltage halves the
       current. The power law through that point is ours.
    """
    return np.asarray(positive(within(fraction_of_rated, 0.0, 1.0)) ** VOLTAGE_EXPONENT)


def leakage_time_exponent(
    current_early: ArrayLike,
    time_early: ArrayLike,
    current_late: ArrayLike,
    time_late: ArrayLike,
) -> Floats:
    r"""Exponent of the fall of leakage current, from two readings at steady voltage.

    .. math:: n = \frac{\ln(i_1 / i_2)}{\ln(t_2 / t_1)}

    Parameters
    ----------
    current_early, current_late : array_like
        :math:`i_1, i_2`. [A]
    time_early, time_late : array_like
        :math:`t_1 < t_2` since the voltage was applied. [s]

    Returns
    -------
    ndarray
        :math:`n`; about 0.5 to 1 in the first hour of an aluminium electrolytic (from
        memory); negative where the current rises. NaN where a current or time is not
        positive, or the times are not in order.

    References
    ----------
    .. [1] A. Teverovsky, NASA GSFC, NTRS 20060026218: :math:`i \propto t^{-n}`, 0.8 to 1.1 for
       solid tantalum.
    """
    t1, t2 = positive(time_early), positive(time_late)
    ratio = np.where(t2 > t1, t2 / t1, np.nan)
    return np.asarray(np.log(positive(current_early) / positive(current_late)) / np.log(ratio))


def leakage_at_time(
    current: ArrayLike, time_read: ArrayLike, *, time: ArrayLike, exponent: ArrayLike
) -> Floats:
    r"""Leakage current at another time at steady voltage.

    .. math:: i(t) = i_1 (t / t_1)^{-n}

    Parameters
    ----------
    current : array_like
        :math:`i_1` [A], read at
    time_read : array_like
        :math:`t_1`. [s]
    time : array_like
        :math:`t`. [s]
    exponent : array_like
        :math:`n`, see :func:`leakage_time_exponent`. A fixed :math:`n` goes on falling for
        ever, a part does not: it is good for the minutes about the readings.

    Returns
    -------
    ndarray
        :math:`i(t)`; NaN where a time is not positive or the current is negative. [A]

    References
    ----------
    .. [1] A. Teverovsky, NASA GSFC, NTRS 20060026218.
    """
    n = np.asarray(exponent, float)
    return np.asarray(not_negative(current) * (positive(time) / positive(time_read)) ** -n)


def leakage_settling(
    time: ArrayLike, *, absorption: ArrayLike, exponent: ArrayLike, residual: ArrayLike
) -> Floats:
    r"""Leakage current as the sum of absorption, which dies away, and a residual current.

    .. math:: i(t) = a\, t^{-n} + b

    On a second run after discharge, the same curve is absorption alone; a smaller :math:`b`
    is oxide repaired.

    Parameters
    ----------
    time : array_like
        :math:`t` since the voltage was applied. [s]
    absorption : array_like
        :math:`a`, the absorption current after 1 s. [A]
    exponent : array_like
        :math:`n`.
    residual : array_like
        :math:`b`. [A]

    Returns
    -------
    ndarray
        :math:`i(t)`; NaN where the time is not positive, or ``absorption`` or ``residual`` is
        negative. [A]

    References
    ----------
    .. [1] Our own sum of :math:`t^{-n}` (Teverovsky, NTRS 20060026218) and a constant.
    """
    n = np.asarray(exponent, float)
    return np.asarray(not_negative(absorption) * positive(time) ** -n + not_negative(residual))


def leakage_translated(
    current: ArrayLike,
    *,
    from_temperature_degc: ArrayLike = TEMPERATURE_REFERENCE,
    to_temperature_degc: ArrayLike = TEMPERATURE_REFERENCE,
    from_fraction_of_rated: ArrayLike = 1.0,
    to_fraction_of_rated: ArrayLike = 1.0,
) -> Floats:
    r"""Leakage current of a sound part as it would be at another temperature and voltage.

    .. math:: i' = i \frac{m_T(T')\, m_V(U'/U_R)}{m_T(T)\, m_V(U/U_R)}

    Parameters
    ----------
    current : array_like
        :math:`i`. [A]
    from_temperature_degc, to_temperature_degc : array_like
        :math:`T, T'`. [°C]
    from_fraction_of_rated, to_fraction_of_rated : array_like
        :math:`U/U_R, U'/U_R`.

    Returns
    -------
    ndarray
        :math:`i'` after the same soak; NaN outside the validity of
        :func:`leakage_temperature_factor` and :func:`leakage_voltage_factor`. [A]

    References
    ----------
    .. [1] Those of the two factors.
    """
    temperature = leakage_temperature_factor(to_temperature_degc) / leakage_temperature_factor(
        from_temperature_degc
    )
    voltage = leakage_voltage_factor(to_fraction_of_rated) / leakage_voltage_factor(
        from_fraction_of_rated
    )
    return np.asarray(not_negative(current) * temperature * voltage)
