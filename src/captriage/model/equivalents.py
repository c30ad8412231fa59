"""Series and parallel equivalents: one impedance at one frequency, described in two ways.

"Series" is a capacitance and a resistance in series (what a bridge calls Cs, Rs), "parallel"
the same two side by side (Cp, Rp). Electrolytics are rated by the series values.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from captriage.model.validity import Floats, not_negative, positive


def series_from_parallel(capacitance: ArrayLike, tan_delta: ArrayLike) -> Floats:
    r"""Series capacitance of the same impedance, :math:`C_s = C_p (1 + \tan^2\delta)` (textbook).

    Parameters
    ----------
    capacitance : array_like
        Parallel capacitance :math:`C_p`, positive. [F]
    tan_delta : array_like
        At the same frequency, zero or more. [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [F]
    """
    return positive(capacitance) * (1 + not_negative(tan_delta) ** 2)


def parallel_from_series(capacitance: ArrayLike, tan_delta: ArrayLike) -> Floats:
    r"""Parallel capacitance of the same impedance, :math:`C_p = C_s / (1 + \tan^2\delta)`.

    Parameters
    ----------
    capacitance : array_like
        Series capacitance :math:`C_s`, positive. [F]
    tan_delta : array_like
        At the same frequency, zero or more. [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [F]
    """
    return positive(capacitance) / (1 + not_negative(tan_delta) ** 2)


def series_resistance_from_parallel(resistance: ArrayLike, tan_delta: ArrayLike) -> Floats:
    r"""Series resistance of the same impedance (textbook identity).

    .. math:: R_s = R_p \frac{\tan^2\delta}{1 + \tan^2\delta}

    Parameters
    ----------
    resistance : array_like
        Parallel resistance :math:`R_p`, positive. [Ω]
    tan_delta : array_like
        At the same frequency, positive: without loss :math:`R_p` is not finite. [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [Ω]
    """
    square = positive(tan_delta) ** 2
    return positive(resistance) * (square / (1 + square))


def parallel_resistance_from_series(resistance: ArrayLike, tan_delta: ArrayLike) -> Floats:
    r"""Parallel resistance of the same impedance (textbook identity).

    .. math:: R_p = R_s \frac{1 + \tan^2\delta}{\tan^2\delta}

    Parameters
    ----------
    resistance : array_like
        Series resistance :math:`R_s`, positive. [Ω]
    tan_delta : array_like
        At the same frequency, positive. [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [Ω]
    """
    square = positive(tan_delta) ** 2
    return positive(resistance) * ((1 + square) / square)
