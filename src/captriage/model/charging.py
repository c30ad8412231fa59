"""Charging through a resistor, and what a charge-timing meter reads on a leaky part.

A meter that times the charging takes the leakage for more capacitance: a high reading beside
a high leakage current is a sign of leakage, not a bonus. A meter that times the discharge
errs the other way. The factors here are reading over true capacitance, for a leak that acts
as a resistance.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.validity import Floats, not_negative, positive

ONE_TIME_CONSTANT: Final = 1 - np.exp(-1)
"""Fraction of the final voltage reached after one time constant, 63.2 %."""


def constant_current_factor(leak_fraction: ArrayLike) -> Floats:
    r"""Apparent over true capacitance, timed while a constant current charges the part.

    Solving :math:`I = C \, dV/dt + V/R_{leak}` for the time to reach :math:`V` gives

    .. math:: \frac{C_{app}}{C} = \frac{-\ln(1 - x)}{x}, \qquad x = \frac{V}{I R_{leak}}

    Parameters
    ----------
    leak_fraction : array_like
        Leakage current at the end voltage over the charging current, :math:`x`, from 0 to
        below 1. [1]

    Returns
    -------
    ndarray, same shape
        1 for no leak; NaN where negative, and from 1 on, where the voltage is never reached
        and the meter shows over-range or nothing. [1]
    """
    x = not_negative(leak_fraction)
    x = np.where(x < 1, x, np.nan)
    leaky = np.where(x > 0, x, 0.5)  # any stand-in: the limit 1 is put in below
    return np.where(x == 0, 1.0, -np.log1p(-leaky) / leaky + 0 * x)


def time_constant_factor(resistance_ratio: ArrayLike) -> Floats:
    r"""Apparent over true capacitance, timed to 63.2 % of the supply through a resistor.

    The leak lowers both the final voltage and the time constant by :math:`1 + k`:

    .. math:: \frac{C_{app}}{C} = \frac{-\ln\left(1 - (1 - e^{-1})(1 + k)\right)}{1 + k},
              \qquad k = \frac{R_s}{R_{leak}}

    Parameters
    ----------
    resistance_ratio : array_like
        Charging resistor over leak resistance, :math:`k`, zero or more. [1]

    Returns
    -------
    ndarray, same shape
        1 for no leak; NaN where negative, and from :math:`1/(e - 1) = 0.582` on, where 63.2 %
        is never reached. [1]
    """
    divider = 1 + not_negative(resistance_ratio)
    short_of_end = positive(1 - ONE_TIME_CONSTANT * divider)
    return -np.log(short_of_end) / divider


def discharge_factor(resistance_ratio: ArrayLike) -> Floats:
    r"""Apparent over true capacitance, timed while the part discharges into a resistor.

    .. math:: \frac{C_{app}}{C} = \frac{1}{1 + k}, \qquad k = \frac{R}{R_{leak}}

    Parameters
    ----------
    resistance_ratio : array_like
        Discharge resistor over leak resistance, :math:`k`, zero or more. [1]

    Returns
    -------
    ndarray, same shape
        NaN where negative. [1]
    """
    return 1 / (1 + not_negative(resistance_ratio))


def time_constant(resistance: ArrayLike, capacitance: ArrayLike) -> Floats:
    r"""Time constant :math:`\tau = R C` (textbook).

    Parameters
    ----------
    resistance : array_like
        Series resistor, positive. [Ω]
    capacitance : array_like
        Positive. [F]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is not positive. [s]
    """
    return positive(resistance) * positive(capacitance)


def charging_time(resistance: ArrayLike, capacitance: ArrayLike, *, fraction: ArrayLike) -> Floats:
    r"""Time until an empty part without leakage has reached a fraction of the supply voltage.

    .. math:: t = -R C \ln(1 - x)

    Parameters
    ----------
    resistance : array_like
        Series resistor, positive. [Ω]
    capacitance : array_like
        Positive. [F]
    fraction : array_like
        :math:`x`, from 0 to below 1; 0.99 takes 4.605 time constants. [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [s]
    """
    x = not_negative(fraction)
    x = np.where(x < 1, x, np.nan)
    return -np.log1p(-x) * time_constant(resistance, capacitance)


def charging_current(
    voltage: ArrayLike, resistance: ArrayLike, *, capacitance: ArrayLike, time_s: ArrayLike
) -> Floats:
    r"""Current into an empty part without leakage, a time after the supply is switched on.

    .. math:: i(t) = \frac{V_s}{R} \, e^{-t/(R C)}

    Parameters
    ----------
    voltage : array_like
        Supply :math:`V_s`, zero or more. [V]
    resistance : array_like
        Series resistor, positive. [Ω]
    capacitance : array_like
        Positive. [F]
    time_s : array_like
        Zero or more. [s]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [A]
    """
    elapsed = not_negative(time_s) / time_constant(resistance, capacitance)
    return short_circuit_current(voltage, resistance) * np.exp(-elapsed)


def short_circuit_current(voltage: ArrayLike, resistance: ArrayLike) -> Floats:
    r"""Most that a supply sends through its series resistor, :math:`I = V_s/R` (Ohm).

    It flows at the first instant of charging, and for ever when the part is shorted.

    Parameters
    ----------
    voltage : array_like
        Supply, zero or more. [V]
    resistance : array_like
        Series resistor, positive. [Ω]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [A]
    """
    return not_negative(voltage) / positive(resistance)


def limiting_resistance(voltage: ArrayLike, current: ArrayLike) -> Floats:
    r"""Series resistor that holds the current of a shorted part, :math:`R = V_s/I` (Ohm).

    Parameters
    ----------
    voltage : array_like
        Supply, positive. [V]
    current : array_like
        Largest allowed, positive. [A]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is not positive. [Ω]
    """
    return positive(voltage) / positive(current)


def peak_resistor_power(voltage: ArrayLike, resistance: ArrayLike) -> Floats:
    r"""Power in the series resistor at the first instant, :math:`P = V_s^2/R` (Joule).

    It lasts when the part is shorted: the resistor must stand it without end. A charge from
    empty leaves in the resistor as much energy as in the part,
    :func:`captriage.model.energy.stored_energy`.

    Parameters
    ----------
    voltage : array_like
        Supply, zero or more. [V]
    resistance : array_like
        Series resistor, positive. [Ω]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [W]
    """
    return not_negative(voltage) ** 2 / positive(resistance)


def resistor_current(
    supply_voltage: ArrayLike, part_voltage: ArrayLike, *, resistance: ArrayLike
) -> Floats:
    r"""Current into the part from the drop across its series resistor (Ohm).

    .. math:: i = \frac{V_s - V_c}{R}

    Once charging has ended this is the leakage current at :math:`V_c`.

    Parameters
    ----------
    supply_voltage, part_voltage : array_like
        Zero or more, the supply at least the part's. [V]
    resistance : array_like
        Series resistor, positive. [Ω]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [A]
    """
    drop = not_negative(supply_voltage) - not_negative(part_voltage)
    return not_negative(drop) / positive(resistance)
