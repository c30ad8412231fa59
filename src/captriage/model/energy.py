"""Energy in a charged capacitor, how to discharge it, and how dangerous it is.

The classes sort capacitors by published thresholds; they do not make one safe to touch. A
part below every threshold is still discharged and checked, a voltage can come back afterwards
(:func:`captriage.model.withstand.recovery_voltage`), and local rules and qualified people come
first.
"""

from __future__ import annotations

from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from captriage.model.validity import Floats, not_negative, positive

Classes = NDArray[np.int8]


class Hazard(IntEnum):
    """Classes of :func:`hazard`, each worse than the one before."""

    UNKNOWN = -1
    BELOW_THRESHOLDS = 0
    THERMAL = 1
    SHOCK = 2
    SHOCK_AND_ARC = 3


class EnergyBand(IntEnum):
    """Classes of :func:`energy_band`: the voltage band whose energy threshold is exceeded."""

    UNKNOWN = -1
    BELOW_THRESHOLDS = 0
    UNDER_100_V = 1
    FROM_100_V_TO_400_V = 2
    OVER_400_V = 3


def stored_energy(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    r"""Energy in a charged capacitor, :math:`E = C V^2 / 2` (textbook).

    Parameters
    ----------
    capacitance : array_like
        Positive. [F]
    voltage : array_like
        Zero or more. [V]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [J]
    """
    return 0.5 * positive(capacitance) * not_negative(voltage) ** 2


def capacitance_at_energy(energy: ArrayLike, voltage: ArrayLike) -> Floats:
    r"""Capacitance that holds an energy at a voltage, :math:`C = 2 E / V^2` (textbook).

    Parameters
    ----------
    energy : array_like
        Positive. [J]
    voltage : array_like
        Positive. [V]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is not positive. [F]
    """
    return 2 * positive(energy) / positive(voltage) ** 2


def discharge_time(
    resistance: ArrayLike, capacitance: ArrayLike, *, from_v: ArrayLike, to_v: ArrayLike
) -> Floats:
    r"""Time for a resistor to bring a capacitor from one voltage down to another (textbook).

    .. math:: t = R C \ln(V_0 / V_1)

    Parameters
    ----------
    resistance : array_like
        Discharge resistor, positive. [Ω]
    capacitance : array_like
        Positive. [F]
    from_v, to_v : array_like
        Positive, the first at least the second. [V]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [s]
    """
    return positive(resistance) * positive(capacitance) * _time_constants(from_v, to_v)


def discharge_resistance(
    capacitance: ArrayLike, *, from_v: ArrayLike, to_v: ArrayLike, time_s: ArrayLike
) -> Floats:
    r"""Largest resistor that brings a capacitor down to a voltage in a time (textbook).

    .. math:: R = \frac{t}{C \ln(V_0 / V_1)}

    Parameters
    ----------
    capacitance : array_like
        Positive; use the upper end of the tolerance. [F]
    from_v, to_v : array_like
        Positive, the first above the second. [V]
    time_s : array_like
        Positive. [s]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [Ω]
    """
    time_constants = positive(_time_constants(from_v, to_v))
    return positive(time_s) / (positive(capacitance) * time_constants)


def discharge_peak_power(voltage: ArrayLike, resistance: ArrayLike) -> Floats:
    r"""Power in the discharge resistor at the first instant, :math:`P = V_0^2/R` (Joule).

    The resistor must also stand the voltage, and take :func:`stored_energy` as a pulse.

    Parameters
    ----------
    voltage : array_like
        At the start, zero or more. [V]
    resistance : array_like
        Discharge resistor, positive. [Ω]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [W]
    """
    return not_negative(voltage) ** 2 / positive(resistance)


def hazard(capacitance: ArrayLike, voltage: ArrayLike) -> Classes:
    """Hazard of a charged capacitor after the scheme of a national laboratory.

    Shock: 100 V or more and 10 J or more; arc besides: 10 kJ or more at 100 V or more; burns
    by heat: below 100 V and above 100 J. A supply that goes on feeding the capacitor has its
    own limit (direct current: 100 V and 40 mA) and is not looked at here.

    Parameters
    ----------
    capacitance : array_like
        Positive. [F]
    voltage : array_like
        On the capacitor, zero or more. [V]

    Returns
    -------
    ndarray of int8, broadcast shape
        Values of :class:`Hazard`; ``UNKNOWN`` where an argument is outside its validity.

    References
    ----------
    .. [1] Berkeley Lab, "Hazardous mean electrical safety" (Electrical Safety Manual, tables
       2.2.13, 2.3.3 and 2.3.5), https://electricalsafety.lbl.gov/
       electrical-safety-program-esp/hazardous-mean-electrical-safety
    """
    energy = stored_energy(capacitance, voltage)
    high = np.asarray(voltage, float) >= 100
    return _classes(
        [np.isnan(energy), high & (energy >= 10e3), high & (energy >= 10), ~high & (energy > 100)],
        [Hazard.UNKNOWN, Hazard.SHOCK_AND_ARC, Hazard.SHOCK, Hazard.THERMAL],
    )


def energy_band(capacitance: ArrayLike, voltage: ArrayLike) -> Classes:
    """Voltage band in which a charged capacitor exceeds the energy threshold for work on it.

    More than 100 J below 100 V, more than 1 J from 100 V to 400 V, more than 0.25 J above
    400 V. From memory of NFPA 70E-2021, article 360; the last is also told second-hand.

    Parameters
    ----------
    capacitance : array_like
        Positive. [F]
    voltage : array_like
        On the capacitor, zero or more. [V]

    Returns
    -------
    ndarray of int8, broadcast shape
        Values of :class:`EnergyBand`; ``UNKNOWN`` where an argument is outside its validity.
    """
    energy = stored_energy(capacitance, voltage)
    volts = np.asarray(voltage, float)
    return _classes(
        [
            np.isnan(energy),
            (volts < 100) & (energy > 100),
            (volts >= 100) & (volts <= 400) & (energy > 1),
            (volts > 400) & (energy > 0.25),
        ],
        [
            EnergyBand.UNKNOWN,
            EnergyBand.UNDER_100_V,
            EnergyBand.FROM_100_V_TO_400_V,
            EnergyBand.OVER_400_V,
        ],
    )


def _time_constants(from_v: ArrayLike, to_v: ArrayLike) -> Floats:
    """Natural logarithm of the ratio of two falling voltages, NaN where they rise."""
    return not_negative(np.log(positive(from_v)) - np.log(positive(to_v)))


def _classes(conditions: list[NDArray[np.bool_]], classes: list[IntEnum]) -> Classes:
    """First class whose condition holds, zero where none does."""
    return np.select(conditions, [np.int8(c) for c in classes], np.int8(0))
