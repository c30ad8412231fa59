"""Loss and impedance of a capacitor at one frequency: tan δ, ESR, Q, power factor, |Z|.

Scalars and arrays broadcast; what lies outside the validity stated comes back as NaN.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from captriage.model.validity import Floats, not_negative, positive


def esr_from_tan_delta(
    tan_delta: ArrayLike, capacitance: ArrayLike, *, frequency_hz: ArrayLike
) -> Floats:
    r"""Equivalent series resistance from the loss tangent.

    .. math:: R_s = \frac{\tan\delta}{2\pi f C_s}

    Parameters
    ----------
    tan_delta : array_like
        Tangent of the loss angle at ``frequency_hz``, zero or more. [1]
    capacitance : array_like
        Series capacitance at ``frequency_hz``, positive. [F]
    frequency_hz : array_like
        Positive. [Hz]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [Ω]

    References
    ----------
    .. [1] Vishay BCcomponents, document 28309, rev. 16-Nov-05.
    .. [2] Wikipedia, "Aluminum electrolytic capacitor",
       https://en.wikipedia.org/wiki/Aluminum_electrolytic_capacitor
    """
    return not_negative(tan_delta) * reactance(capacitance, frequency_hz=frequency_hz)


def tan_delta_from_esr(
    esr: ArrayLike, capacitance: ArrayLike, *, frequency_hz: ArrayLike
) -> Floats:
    r"""Loss tangent from the equivalent series resistance.

    .. math:: \tan\delta = 2\pi f C_s R_s

    Parameters
    ----------
    esr : array_like
        Series resistance at ``frequency_hz``, zero or more. [Ω]
    capacitance : array_like
        Series capacitance at ``frequency_hz``, positive. [F]
    frequency_hz : array_like
        Positive. [Hz]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [1]

    References
    ----------
    .. [1] Vishay BCcomponents, document 28309, rev. 16-Nov-05.
    """
    return not_negative(esr) / reactance(capacitance, frequency_hz=frequency_hz)


def tan_delta_from_q(q: ArrayLike) -> Floats:
    r"""Loss tangent from the quality factor, :math:`\tan\delta = 1/Q` (textbook identity).

    Parameters
    ----------
    q : array_like
        Quality factor, positive. [1]

    Returns
    -------
    ndarray, same shape
        NaN where :math:`Q` is not positive. [1]
    """
    return 1.0 / positive(q)


def q_from_tan_delta(tan_delta: ArrayLike) -> Floats:
    r"""Quality factor from the loss tangent, :math:`Q = 1/\tan\delta` (textbook identity).

    Parameters
    ----------
    tan_delta : array_like
        Positive; a part without loss has no finite :math:`Q`. [1]

    Returns
    -------
    ndarray, same shape
        NaN where :math:`\tan\delta` is not positive. [1]
    """
    return 1.0 / positive(tan_delta)


def tan_delta_from_power_factor(power_factor: ArrayLike) -> Floats:
    r"""Loss tangent from the power factor that older bridges read (textbook identity).

    .. math:: \tan\delta = \frac{\mathrm{PF}}{\sqrt{1 - \mathrm{PF}^2}}

    Parameters
    ----------
    power_factor : array_like
        Sine of the loss angle as a fraction (0.30 for 30 %), from 0 to below 1. [1]

    Returns
    -------
    ndarray, same shape
        NaN where the power factor is negative, or 1 and above. [1]
    """
    pf = not_negative(power_factor)
    pf = np.where(pf < 1, pf, np.nan)
    return pf / np.sqrt((1 - pf) * (1 + pf))


def power_factor_from_tan_delta(tan_delta: ArrayLike) -> Floats:
    r"""Power factor from the loss tangent (textbook identity).

    .. math:: \mathrm{PF} = \frac{\tan\delta}{\sqrt{1 + \tan^2\delta}}

    Parameters
    ----------
    tan_delta : array_like
        Zero or more. [1]

    Returns
    -------
    ndarray, same shape
        NaN where :math:`\tan\delta` is negative. [1]
    """
    d = not_negative(tan_delta)
    return d / np.sqrt(1 + d**2)


def reactance(capacitance: ArrayLike, *, frequency_hz: ArrayLike) -> Floats:
    r"""Modulus of the capacitive reactance, :math:`X_C = 1/(2\pi f C)` (textbook).

    Parameters
    ----------
    capacitance : array_like
        Positive. [F]
    frequency_hz : array_like
        Positive. [Hz]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is not positive. [Ω]
    """
    return 1.0 / (2 * np.pi * positive(frequency_hz) * positive(capacitance))


def complex_impedance(
    capacitance: ArrayLike,
    esr: ArrayLike,
    *,
    frequency_hz: ArrayLike,
    inductance: ArrayLike = 0.0,
) -> NDArray[np.complex128]:
    r"""Impedance of capacitance, resistance and inductance in series (textbook).

    .. math:: Z = R_s + j \left( 2\pi f L - \frac{1}{2\pi f C_s} \right)

    Parameters
    ----------
    capacitance : array_like
        Series capacitance, positive. [F]
    esr : array_like
        Series resistance at ``frequency_hz``, zero or more. [Ω]
    frequency_hz : array_like
        Positive. [Hz]
    inductance : array_like
        Series inductance of windings and leads, zero or more. Radial parts have about
        13 nH to 18 nH [1]_, axial ones 11 nH to 85 nH [2]_. [H]

    Returns
    -------
    ndarray of complex, broadcast shape
        NaN where an argument is outside its validity. [Ω]

    References
    ----------
    .. [1] Vishay BCcomponents, document 28309, rev. 16-Nov-05.
    .. [2] Vishay BCcomponents, document 28327, rev. 15-Oct-08, p. 183.
    """
    omega = 2 * np.pi * positive(frequency_hz)
    x = omega * not_negative(inductance) - reactance(capacitance, frequency_hz=frequency_hz)
    return not_negative(esr) + 1j * x


def impedance_modulus(
    capacitance: ArrayLike,
    esr: ArrayLike,
    *,
    frequency_hz: ArrayLike,
    inductance: ArrayLike = 0.0,
) -> Floats:
    r"""Modulus of the impedance of capacitance, resistance and inductance in series (textbook).

    .. math:: |Z| = \sqrt{R_s^2 + \left( 2\pi f L - \frac{1}{2\pi f C_s} \right)^2}

    Parameters, validity and sources are those of :func:`complex_impedance`.

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [Ω]
    """
    z = complex_impedance(capacitance, esr, frequency_hz=frequency_hz, inductance=inductance)
    return np.abs(z)


def series_equivalent(z: ArrayLike, *, frequency_hz: ArrayLike) -> tuple[Floats, Floats]:
    r"""Series capacitance and resistance of a measured complex impedance (textbook).

    .. math:: C_s = \frac{-1}{2\pi f \, \mathrm{Im} Z}, \qquad R_s = \mathrm{Re} Z

    Parameters
    ----------
    z : array_like of complex
        Impedance; capacitive (negative imaginary part) and not active (real part zero or
        more). [Ω]
    frequency_hz : array_like
        Positive. [Hz]

    Returns
    -------
    capacitance, esr : ndarray, broadcast shape
        Both NaN where the impedance is not that of a capacitor. [F], [Ω]
    """
    impedance = np.asarray(z, complex)
    x = positive(-impedance.imag)
    resistance = not_negative(impedance.real)
    capacitance = reactance(x, frequency_hz=frequency_hz)  # the same form: 1/(2πf·X)
    unusable = np.isnan(capacitance + resistance)
    return (
        np.where(unusable, np.nan, capacitance),
        np.where(unusable, np.nan, resistance),
    )


def resonance_frequency(capacitance: ArrayLike, inductance: ArrayLike) -> Floats:
    r"""Series resonance, above which a part is an inductor: :math:`f = 1/(2\pi\sqrt{LC})`.

    Parameters
    ----------
    capacitance : array_like
        Positive; the value near resonance, which is below the rated one. [F]
    inductance : array_like
        Positive. [H]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is not positive. [Hz]
    """
    return 1.0 / (2 * np.pi * np.sqrt(positive(capacitance) * positive(inductance)))
