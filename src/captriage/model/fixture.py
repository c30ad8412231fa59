"""What clips, leads and stray admittance add to a reading, and how it is taken off."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from captriage.model.impedance import tan_delta_from_esr
from captriage.model.validity import Floats, positive

Complexes = NDArray[np.complex128]


def correct_fixture(z_measured: ArrayLike, *, z_short: ArrayLike, y_open: ArrayLike) -> Complexes:
    r"""Impedance of the part, with residual series impedance and stray admittance taken off.

    .. math:: Z = \frac{Z_m - Z_s}{1 - (Z_m - Z_s) \, Y_o}

    Parameters
    ----------
    z_measured : array_like of complex
        With the part in the fixture. [Ω]
    z_short : array_like of complex
        Residual series impedance: the reading with the fixture shorted. [Ω]
    y_open : array_like of complex
        Stray admittance across the part, without ``z_short``: the reading with the fixture
        open, where the stray impedance is far above ``z_short``. [S]

    Returns
    -------
    ndarray of complex, broadcast shape
        NaN where an argument is not finite or no finite impedance could give that reading.
        [Ω]

    References
    ----------
    .. [1] Agilent Impedance Measurement Handbook, appendix B, p. B-2 (same circuit; there the
       open reading includes the residual impedance, see :func:`correct_open_short`).
    """
    rest = _finite(z_measured) - _finite(z_short)
    return _quotient(rest, 1 - rest * _finite(y_open))


def correct_open_short(
    z_measured: ArrayLike, *, z_open: ArrayLike, z_short: ArrayLike
) -> Complexes:
    r"""Impedance of the part from readings with the fixture open and shorted.

    .. math:: Z = Z_o \, \frac{Z_s - Z_m}{Z_m - Z_o}

    The fixture limits of :func:`fixture_within_limits` apply: the expression leaves out
    :math:`Z_s` against :math:`Z_o`.

    Parameters
    ----------
    z_measured : array_like of complex
        With the part in the fixture. [Ω]
    z_open, z_short : array_like of complex
        With the fixture open and shorted, at the same frequency and level. [Ω]

    Returns
    -------
    ndarray of complex, broadcast shape
        NaN where an argument is not finite or no finite impedance could give that reading.
        [Ω]

    References
    ----------
    .. [1] Agilent Impedance Measurement Handbook, appendix B, p. B-2.
    """
    measured, opened, shorted = (_finite(z) for z in (z_measured, z_open, z_short))
    return _quotient(opened * (shorted - measured), measured - opened)


def fixture_within_limits(
    impedance: ArrayLike, *, open_impedance: ArrayLike, short_impedance: ArrayLike
) -> NDArray[np.bool_]:
    r"""Whether open and short residuals are small enough for a correction to be trusted.

    .. math:: |Z_o| > 100 \, |Z| \quad\text{and}\quad |Z_s| < |Z| / 100

    Parameters
    ----------
    impedance : array_like
        Modulus of the part's impedance, positive. [Ω]
    open_impedance, short_impedance : array_like
        Moduli with the fixture open and shorted, at the same frequency. [Ω]

    Returns
    -------
    ndarray of bool, broadcast shape
        False also where an argument is missing: it has not been shown. An ideal fixture
        (open infinite, short zero) is within the limits.

    References
    ----------
    .. [1] Agilent Impedance Measurement Handbook, section 4.3.5.
    """
    z = positive(impedance)
    opened, shorted = np.asarray(open_impedance, float), np.asarray(short_impedance, float)
    return (opened > 100 * z) & (shorted >= 0) & (shorted < z / 100)


def tan_delta_added_by_leads(
    lead_resistance: ArrayLike, capacitance: ArrayLike, *, frequency_hz: ArrayLike
) -> Floats:
    r"""How much too high two leads make the loss tangent: :math:`2\pi f C R_{lead}`.

    With two terminals the resistance of leads and contacts adds straight to the ESR; a
    four-terminal connection avoids it [1]_.

    Parameters
    ----------
    lead_resistance : array_like
        Both leads and contacts together, zero or more. [Ω]
    capacitance : array_like
        Series capacitance, positive. [F]
    frequency_hz : array_like
        Positive. [Hz]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [1]

    References
    ----------
    .. [1] Agilent Impedance Measurement Handbook, section 4.4.
    """
    return tan_delta_from_esr(lead_resistance, capacitance, frequency_hz=frequency_hz)


def _finite(z: ArrayLike) -> Complexes:
    """Complex values, NaN where not finite or beyond any impedance or admittance."""
    values = np.asarray(z, complex)
    with np.errstate(invalid="ignore"):
        usable = np.isfinite(values) & (np.abs(values) <= 1e30)
    return np.where(usable, values, complex(np.nan, np.nan))


def _quotient(numerator: Complexes, denominator: Complexes) -> Complexes:
    """Quotient, NaN where it is not finite."""
    with np.errstate(divide="ignore", invalid="ignore"):
        z = np.asarray(numerator / denominator)
    return np.where(np.isfinite(z), z, complex(np.nan, np.nan))
