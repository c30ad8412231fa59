r"""Healing of an oxide with flaws: leakage current against time while the flaws are grown over.

Over a small share of the anode the film is thinner than the voltage asks for. High-field
current flows there, :math:`i = i_0 e^{B E}` with :math:`E = V/d`, and grows the film by Faraday's
law, which lowers the current: at steady voltage it falls as :math:`1/t`. What does not heal (a
floor), and what is only absorbed, are in :mod:`captriage.model.leakage`.

The film is told by the voltage :math:`w` that formed it, :math:`d = a w`.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.oxide import high_field_exponent
from captriage.model.validity import Floats, not_negative, positive, within

MOST_FIELD: Final = 10.0
"""Voltage over that which formed the film, up to which a current is reckoned at all; ours."""


def flaw_current(
    voltage: ArrayLike,
    film_v: ArrayLike,
    *,
    current_at_film: ArrayLike,
    exponent: ArrayLike | None = None,
) -> Floats:
    r"""Current through flaws whose film a voltage formed.

    .. math:: I = I_w \, e^{k (V/w - 1)}

    Parameters
    ----------
    voltage : array_like
        On the part, :math:`V`, zero or more. [V]
    film_v : array_like
        Voltage :math:`w` that the film at the flaws was formed to, positive. [V]
    current_at_film : array_like
        Current :math:`I_w` at :math:`V = w`, zero or more. [A]
    exponent : array_like, optional
        :math:`k`, positive; that of :func:`captriage.model.oxide.high_field_exponent` (38.9) where
        it is not given. [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity, and above ten times the film's voltage,
        where no law is left. Nothing limits the current but the resistor. [A]

    References
    ----------
    .. [1] M. M. Lohrengel, Materials Science and Engineering R, 1993, abstract (high-field law).
    """
    k = _exponent(exponent)
    share = within(not_negative(voltage) / positive(film_v), 0, MOST_FIELD)
    return np.asarray(not_negative(current_at_film) * np.exp(k * (share - 1)))


def healing_charge(
    voltage: ArrayLike,
    film_v: ArrayLike,
    *,
    charge_per_volt: ArrayLike,
    exponent: ArrayLike | None = None,
) -> Floats:
    r"""Charge that lowers the current through flaws e-fold, at steady voltage on the part.

    .. math:: Q_h = \frac{w^2 \, Q_1}{k V}

    From :math:`dw/dt = I/Q_1` and :math:`d \ln I = -k V\,dw/w^2`. As long as the film grows by a
    small share, it stays the same.

    Parameters
    ----------
    voltage : array_like
        On the part, positive. [V]
    film_v : array_like
        Voltage :math:`w` that the film was formed to, positive. [V]
    charge_per_volt : array_like
        Charge :math:`Q_1` that thickens the film at the flaws by one volt: that of the whole foil
        (:func:`captriage.model.oxide.charge_to_thicken`) times the flawed share of its area;
        positive. [C/V]
    exponent : array_like, optional
        As in :func:`flaw_current`. [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is not positive. [C]
    """
    film = positive(film_v)
    return film**2 * positive(charge_per_volt) / (_exponent(exponent) * positive(voltage))


def slowing_current(
    film_v: ArrayLike, resistance: ArrayLike, *, exponent: ArrayLike | None = None
) -> Floats:
    r"""Current above which a series resistor, and not the film, governs how healing goes on.

    .. math:: I_R = \frac{w}{k R}

    The drop across the resistor takes voltage off the flaws: as the current falls the voltage on
    the part rises, and :math:`d \ln I\,(1 + I/I_R) = -k V\,dw/w^2`.

    Parameters
    ----------
    film_v : array_like
        Voltage that the film was formed to, positive. [V]
    resistance : array_like
        Series resistor, positive. [Ω]
    exponent : array_like, optional
        As in :func:`flaw_current`. [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is not positive. [A]
    """
    return positive(film_v) / (_exponent(exponent) * positive(resistance))


def healing_current(
    time_s: ArrayLike,
    *,
    current_start: ArrayLike,
    charge: ArrayLike,
    slowing: ArrayLike = np.inf,
) -> Floats:
    r"""Current through flaws that heal, a time after it began, at steady supply voltage.

    Inverse-logarithmic growth of the film gives, without a resistor,

    .. math:: I(t) = \frac{I_0}{1 + I_0 t / Q_h}

    and through one, with :math:`x = I_R/I`,

    .. math:: x + \ln x = x_0 + \ln x_0 + I_R t / Q_h,

    which Wright's omega function solves. Late, it falls as :math:`Q_h/t`.

    Parameters
    ----------
    time_s : array_like
        Zero or more. [s]
    current_start : array_like
        :math:`I_0`, positive. [A]
    charge : array_like
        :math:`Q_h` of :func:`healing_charge`, positive. [C]
    slowing : array_like
        :math:`I_R` of :func:`slowing_current`; infinite without a resistor. [A]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [A]
    """
    from scipy.special import wrightomega

    start, time = positive(current_start), not_negative(time_s) / positive(charge)
    free = np.isposinf(np.asarray(slowing, float))
    governed = np.where(free, 1.0, 1 / np.where(free, 1.0, _inverse(slowing)))
    ratio = governed / start
    bound = governed / wrightomega(ratio + np.log(ratio) + governed * time)
    return np.where(free, start / (1 + start * time), bound)


def healing_time(
    current: ArrayLike,
    *,
    current_start: ArrayLike,
    charge: ArrayLike,
    slowing: ArrayLike = np.inf,
) -> Floats:
    r"""Time until the current through flaws that heal has fallen to a value.

    .. math:: t = Q_h \left(\frac1I - \frac1{I_0} + \frac{\ln (I_0/I)}{I_R}\right)

    Parameters
    ----------
    current : array_like
        :math:`I`, positive and at most ``current_start``. [A]
    current_start, charge, slowing : array_like
        As in :func:`healing_current`.

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [s]
    """
    start, end = positive(current_start), positive(current)
    folds = not_negative(np.log(start / end))
    return positive(charge) * (1 / end - 1 / start + folds * _inverse(slowing))


def charge_to_heal(
    current: ArrayLike,
    *,
    current_start: ArrayLike,
    charge: ArrayLike,
    slowing: ArrayLike = np.inf,
) -> Floats:
    r"""Charge that passes until the current through flaws has fallen to a value.

    .. math:: Q = Q_h \left(\ln \frac{I_0}{I} + \frac{I_0 - I}{I_R}\right)

    Parameters
    ----------
    current, current_start, charge, slowing : array_like
        As in :func:`healing_time`.

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [C]
    """
    start, end = positive(current_start), positive(current)
    folds = not_negative(np.log(start / end))
    return positive(charge) * (folds + (start - end) * _inverse(slowing))


def temperature_rise(
    power_cold: ArrayLike, thermal_resistance: ArrayLike, *, growth_per_k: ArrayLike
) -> Floats:
    r"""Rise of a part over the room, whose leakage current grows as it warms.

    The heat :math:`P_0 e^{\alpha \Delta T}` and its removal :math:`\Delta T / R_{th}` meet at

    .. math:: \Delta T = -\frac{1}{\alpha} W_0(-\alpha R_{th} P_0)

    with Lambert's function; above :math:`\alpha R_{th} P_0 = 1/e` they never do, and the part runs
    away.

    Parameters
    ----------
    power_cold : array_like
        :math:`P_0`, voltage times leakage current at room temperature, zero or more. [W]
    thermal_resistance : array_like
        :math:`R_{th}` of the case to the room, positive. [K/W]
    growth_per_k : array_like
        :math:`\alpha`, by which the logarithm of the current grows for each kelvin, positive; four
        times from 20 °C to 85 °C is 0.0213 (:mod:`captriage.model.leakage`). [1/K]

    Returns
    -------
    ndarray, broadcast shape
        Infinite where the part runs away; NaN where an argument is outside its validity. [K]

    References
    ----------
    .. [1] Textbook physics of thermal runaway (Semenov's condition); derived by us.
    """
    from scipy.special import lambertw

    alpha = positive(growth_per_k)
    loop = alpha * positive(thermal_resistance) * not_negative(power_cold)
    steady = loop <= np.exp(-1)
    cold: Floats = np.where(steady, -loop, 0.0)
    rise = -np.real(lambertw(cold)) / alpha  # type: ignore[call-overload] # any shape
    return np.where(np.isnan(loop), np.nan, np.where(steady, rise, np.inf))


def _exponent(exponent: ArrayLike | None) -> Floats:
    return high_field_exponent() if exponent is None else positive(exponent)


def _inverse(slowing: ArrayLike) -> Floats:
    """One over a current that may be infinite."""
    free = np.isposinf(np.asarray(slowing, float))
    return np.where(free, 0.0, 1 / positive(np.where(free, 1.0, slowing)))
