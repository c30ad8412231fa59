r"""Drying-out: what capacitance and ESR become as the electrolyte goes.

The wetted part of the foil falls with the electrolyte, and capacitance with it; the way through
what is left grows thinner and longer, and ESR rises faster than capacitance falls. All results
are ratios to the new part, at the same frequency and temperature.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.validity import Floats, not_negative, positive, within

CAPACITANCE_END: Final = -0.30
"""Change of capacitance taken as the end of life. Wikipedia, "Aluminum electrolytic
capacitor": degradation failure; the same in an open fault-simulation data set that cites
IEC 60384-4-1."""

ESR_END: Final = 3.0
"""ESR ratio taken as the end of life; sources as for :data:`CAPACITANCE_END`."""

LAHYANI_TEMPERATURE: Final = 4700.0
"""Activation temperature of the 1/ESR law, from memory. [K]"""


def electrolyte_left(time: ArrayLike, *, rate: ArrayLike) -> Floats:
    r"""Share of the electrolyte left after evaporation at a steady rate.

    .. math:: v = V / V_0 = 1 - r t

    Parameters
    ----------
    time : array_like
        :math:`t`. [any time]
    rate : array_like
        :math:`r`, share of the new volume lost per unit of time. [1/time]

    Returns
    -------
    ndarray
        :math:`v`; NaN once nothing is left, and where an argument is negative.

    References
    ----------
    .. [1] Celaya, Kulkarni, Biswas, Goebel, AIAA 2011-1519: linear loss of volume. The
       algebra is from memory.
    """
    return positive(1.0 - not_negative(time) * not_negative(rate))


def capacitance_ratio_dried(electrolyte: ArrayLike) -> Floats:
    r"""Capacitance in proportion to the foil still wetted: :math:`C / C_0 = v`.

    Parameters
    ----------
    electrolyte : array_like
        :math:`v`, share of the electrolyte left, above 0 and at most 1. That the wetted foil
        falls in proportion is the assumption.

    Returns
    -------
    ndarray
        :math:`C / C_0`; NaN outside validity.

    References
    ----------
    .. [1] Celaya, Kulkarni, Biswas, Goebel, AIAA 2011-1519; algebra from memory.
    """
    return positive(within(electrolyte, 0.0, 1.0))


def esr_ratio_dried(electrolyte: ArrayLike, *, exponent: float = 2.0) -> Floats:
    r"""ESR from the share of electrolyte left: :math:`R / R_0 = v^{-n}`.

    Parameters
    ----------
    electrolyte : array_like
        :math:`v`, above 0 and at most 1.
    exponent : float
        :math:`n`: 2 [1]_, or 1 [2]_. Both from memory.

    Returns
    -------
    ndarray
        :math:`R / R_0`; NaN outside validity.

    References
    ----------
    .. [1] Gasperi: end of life at 40 % loss of electrolyte. From memory.
    .. [2] Celaya, Kulkarni, Biswas, Goebel, AIAA 2011-1519. From memory.
    """
    return np.asarray(positive(within(electrolyte, 0.0, 1.0)) ** -exponent)


def capacitance_ratio_worn(consumed: ArrayLike, *, end: ArrayLike = CAPACITANCE_END) -> Floats:
    r"""Capacitance expected after a share of the life is consumed.

    .. math:: C / C_0 = 1 + e\, x

    The electrolyte is taken to go at a steady rate and capacitance with it, so that the
    criterion :math:`e` is met at :math:`x = 1`.

    Parameters
    ----------
    consumed : array_like
        :math:`x`, :func:`captriage.model.ageing.consumed_life`, 0 to 1.
    end : array_like
        :math:`e`, change at the end of life, -1 to 0; -0.30 is common, makers' own criteria
        stand in :data:`captriage.judging.limits.END_OF_LIFE`.

    Returns
    -------
    ndarray
        :math:`C / C_0`; NaN beyond the end of life, where nothing is known.

    References
    ----------
    .. [1] Our assumption; the criterion as :data:`CAPACITANCE_END`.
    """
    return np.asarray(1.0 + within(end, -1.0, 0.0) * within(consumed, 0.0, 1.0))


def esr_ratio_worn(consumed: ArrayLike, *, end: ArrayLike = ESR_END) -> Floats:
    r"""ESR expected after a share of the life is consumed.

    .. math:: R / R_0 = \left(1 - (1 - e^{-1/2})\, x\right)^{-2}

    The electrolyte is taken to go at a steady rate and ESR by :func:`esr_ratio_dried`, so that
    the criterion :math:`e` is met at :math:`x = 1`: three times the ESR is 42 % of the
    electrolyte gone.

    Parameters
    ----------
    consumed : array_like
        :math:`x`, 0 to 1.
    end : array_like
        :math:`e`, ratio at the end of life, at least 1; 3 is common.

    Returns
    -------
    ndarray
        :math:`R / R_0`; NaN beyond the end of life, where nothing is known.

    References
    ----------
    .. [1] Our assumption, on a law from memory; the criterion as :data:`ESR_END`.
    """
    lost = 1.0 - within(end, 1.0, 1e6) ** -0.5
    return esr_ratio_dried(1.0 - lost * within(consumed, 0.0, 1.0))


def esr_ratio_lahyani(
    time: ArrayLike, temperature_degc: ArrayLike, *, coefficient: ArrayLike
) -> Floats:
    r"""ESR by the law in which its reciprocal falls steadily, from memory.

    .. math:: \frac{R_0}{R} = 1 - k\, t\, e^{-4700 / (T + 273)}

    Parameters
    ----------
    time : array_like
        :math:`t`. [any time]
    temperature_degc : array_like
        :math:`T` of the part. [°C]
    coefficient : array_like
        :math:`k`, found from a life: at the end of it the right-hand side is 1/3. [1/time]

    Returns
    -------
    ndarray
        :math:`R / R_0`; NaN once the law gives no positive value.

    References
    ----------
    .. [1] Lahyani, Venet, Grellet, Viverge. From memory; no document was read.
    """
    kelvin = within(temperature_degc, -55.0, 150.0) + 273.0
    lost = not_negative(coefficient) * not_negative(time) * np.exp(-LAHYANI_TEMPERATURE / kelvin)
    return np.asarray(1.0 / positive(1.0 - lost))


def esr_ratio_exponential(time: ArrayLike, *, rate: ArrayLike) -> Floats:
    r"""ESR growing exponentially: :math:`R / R_0 = e^{c t}`, from memory.

    Parameters
    ----------
    time : array_like
        :math:`t`. [any time]
    rate : array_like
        :math:`c`. [1/time]

    Returns
    -------
    ndarray
        :math:`R / R_0`; NaN where an argument is negative or the ratio beyond 1e30.

    References
    ----------
    .. [1] From memory; no document was read.
    """
    growth = not_negative(rate) * not_negative(time)
    return np.exp(within(growth, 0.0, 69.0))


def capacitance_loss_overstressed(time: ArrayLike, *, rate: ArrayLike, offset: ArrayLike) -> Floats:
    r"""Loss of capacitance of parts run above their rated voltage, from memory.

    .. math:: \frac{-\Delta C}{C_0} = \frac{e^{\alpha t} + \beta}{100}

    Parameters
    ----------
    time : array_like
        :math:`t`. [any time; with the remembered figures, h]
    rate : array_like
        :math:`\alpha`: 0.016 to 0.018 per hour for 2200 µF 10 V parts cycled at 12 V for about
        200 h. [1/time]
    offset : array_like
        :math:`\beta`: -0.5 to -0.9, in per cent.

    Returns
    -------
    ndarray
        Loss as a fraction; NaN where it would be below 0 or above 1.

    References
    ----------
    .. [1] Celaya, Kulkarni, Biswas, Goebel, PHM 2011. Form and figures from memory, low
       confidence; no document was read.
    """
    growth = within(not_negative(rate) * not_negative(time), 0.0, 69.0)
    return within((np.exp(growth) + np.asarray(offset, float)) / 100.0, 0.0, 1.0)
