r"""Published limits of leakage current, each a function of rated capacitance and rated voltage.

Data sheets print these limits with µF, V and µA. The product of µF and V is µC, so a factor
such as 0.01 is the same number in SI: it has the unit 1/s. Limits printed in mA per µF become
1000 times as many A per F.

A limit holds at the soak time and temperature its source gives; those stand in the registry
:data:`captriage.judging.limits.LEAKAGE_LIMITS`. All functions broadcast, and return NaN where a
rating is missing, not positive or outside the range the source covers.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.validity import Floats, positive

VINTAGE_BANDS: Final = ((100.0, 10.0), (250.0, 20.0), (350.0, 25.0), (500.0, 40.0))
"""Upper edge of each band of rated voltage [V], and K in it [A/F]: 10 A/F is 0.01 mA/µF."""

HIGH_VOLTAGE: Final = 100.0
"""Rated voltage above which data sheets change to their high-voltage forms. [V]"""

CHARGE_STEP: Final = 1e-3
"""Product of rated capacitance and voltage where two-step limits change slope: 1000 µC. [C]"""


def rated_charge(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    """Product of rated capacitance and rated voltage.

    Parameters
    ----------
    capacitance : array_like
        Rated capacitance. [F]
    voltage : array_like
        Rated voltage. [V]

    Returns
    -------
    ndarray
        Their product; NaN where either is missing, not positive or not finite. [C]
    """
    c, u = _usable(capacitance, voltage)
    return c * u


def leakage_limit_vintage(
    capacitance: ArrayLike, voltage: ArrayLike, *, cap: float | None = None
) -> Floats:
    r"""Limit of the US military and entertainment specifications of the 1940s to 1960s.

    .. math:: I_L = K \, C_R + 0.3\ \text{mA}

    with K = 0.01 mA/µF up to 100 V, 0.02 from 101 V to 250 V, 0.025 from 251 V to 350 V and
    0.04 from 351 V to 500 V.

    Parameters
    ----------
    capacitance : array_like
        Rated capacitance. [F]
    voltage : array_like
        Rated (working) voltage. [V]
    cap : float, optional
        Largest limit whatever the capacitance. Some printed tables stop at 10 mA; the formula
        itself does not, so no cap is applied unless it is asked for. [A]

    Returns
    -------
    ndarray
        Largest allowed current at the end of 5 min at rated voltage; NaN above 500 V. [A]

    References
    ----------
    .. [1] JAN-C-62, as reported by a post to the amradio mailing list (msg21215), which says
       that the EIA form was the same; a second post extends the last band from 450 V to 500 V.
    .. [2] MIL-C-62F, 4.5.3: rated voltage for 5 min, read at their end.
    """
    c, u = _usable(capacitance, voltage)
    edges = np.array([edge for edge, _ in VINTAGE_BANDS])
    slopes = np.array([slope for _, slope in VINTAGE_BANDS] + [np.nan])
    slope = slopes[np.searchsorted(edges, u, side="left")]
    limit = slope * c + 0.3e-3
    return limit if cap is None else np.minimum(limit, cap)


def leakage_limit_prewar(
    capacitance: ArrayLike, voltage: ArrayLike, *, per_farad: float = 100.0
) -> Floats:
    r"""Rule of thumb of radio service literature before 1940, from memory, low confidence.

    .. math:: I_L = k \, C_R

    Parameters
    ----------
    capacitance : array_like
        Rated capacitance. [F]
    voltage : array_like
        Rated voltage; it must be known, but does not enter. [V]
    per_farad : float
        :math:`k`: 100 A/F (0.1 mA/µF) for dry types; wet types when formed are remembered
        as 200 to 500 A/F (0.2 to 0.5 mA/µF). [A/F]

    Returns
    -------
    ndarray
        Usual largest current of a formed part at its voltage. [A]

    References
    ----------
    .. [1] From memory; no document was read.
    """
    c, _ = _usable(capacitance, voltage)
    return per_farad * c


def leakage_limit_cv(
    capacitance: ArrayLike, voltage: ArrayLike, *, factor: float = 0.01, floor: float = 3e-6
) -> Floats:
    r"""Limit in proportion to rated capacitance times rated voltage, with a floor.

    .. math:: I_L = \max(k \, C_R \, U_R,\; I_0)

    Parameters
    ----------
    capacitance : array_like
        Rated capacitance :math:`C_R`. [F]
    voltage : array_like
        Rated voltage :math:`U_R`. [V]
    factor : float
        :math:`k`; 0.01 is the same number for µA from µF and V. [1/s]
    floor : float
        :math:`I_0`, the least limit a maker states for small parts. [A]

    Returns
    -------
    ndarray
        Largest allowed leakage current at 20 °C, 2 min after :math:`U_R` is applied. [A]

    References
    ----------
    .. [1] Vishay BCcomponents, doc. 28309 (16-Nov-05), radial standard.
    .. [2] Nippon Chemi-Con, FAQ, leakage current versus time.
    .. [3] Xiamen Wanming, RA series, characteristic W of JIS C 5141: "whichever is greater".
    """
    return np.maximum(factor * rated_charge(capacitance, voltage), floor)


def leakage_limit_cv_additive(
    capacitance: ArrayLike, voltage: ArrayLike, *, factor: float, offset: float
) -> Floats:
    r"""Limit in proportion to capacitance times voltage, plus a constant.

    .. math:: I_L = k \, C_R \, U_R + I_0

    Parameters
    ----------
    capacitance : array_like
        Rated capacitance. [F]
    voltage : array_like
        Rated voltage. [V]
    factor : float
        :math:`k`: 0.002 [1]_, 0.01 [2]_, 0.006 (long-life cans, from memory). [1/s]
    offset : float
        :math:`I_0`: 3 µA [1]_ [2]_, 4 µA (long-life cans, from memory). [A]

    Returns
    -------
    ndarray
        Largest allowed leakage current at 20 °C, as a rule after 5 min at rated voltage. [A]

    References
    ----------
    .. [1] Vishay BCcomponents, doc. 28309 (16-Nov-05): 0.002 CV + 3 µA, 5 min.
    .. [2] Wikipedia, "Aluminum electrolytic capacitor": 0.01 CV + 3 µA, 2 or 5 min.
    """
    return factor * rated_charge(capacitance, voltage) + offset


def leakage_limit_high_voltage(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    r"""Limit of general-purpose radial types above 100 V, 5 min, 20 °C.

    .. math::
        I_L = 0.03\,C_R U_R + 15\ \text{µA} \quad (C_R U_R \le 1000\ \text{µC}),\qquad
        I_L = 0.02\,C_R U_R + 25\ \text{µA} \quad (C_R U_R > 1000\ \text{µC})

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    ndarray
        Largest allowed leakage current; NaN at and below 100 V. [A]

    References
    ----------
    .. [1] Lelon, RGA series data sheet. The table was read from a flattened copy; that these
       lines belong to > 100 V and 5 min is our reading.
    """
    c, u = _usable(capacitance, voltage)
    charge = np.where(u > HIGH_VOLTAGE, c * u, np.nan)
    return np.where(charge <= CHARGE_STEP, 0.03 * charge + 15e-6, 0.02 * charge + 25e-6)


def leakage_limit_general_purpose(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    """Limit of one general-purpose radial series over its whole range of voltage.

    0.01 CV or 3 µA, whichever is greater, read at 2 min, up to 100 V;
    :func:`leakage_limit_high_voltage`, read at 5 min, above.

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    ndarray
        Largest allowed leakage current at 20 °C. [A]

    References
    ----------
    .. [1] Lelon, RGA series data sheet.
    """
    return np.where(
        np.asarray(voltage, float) > HIGH_VOLTAGE,
        leakage_limit_high_voltage(capacitance, voltage),
        leakage_limit_cv(capacitance, voltage),
    )


def leakage_limit_axial(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    """Limit of standard axial types in the larger cases, 1 min, 20 °C.

    6.3 V to 63 V: the two-step form of :func:`leakage_limit_long_life`; 100 V: 0.02 CV + 4 µA.

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    ndarray
        Largest allowed leakage current; NaN for voltages the series is not made in. [A]

    References
    ----------
    .. [1] Vishay BCcomponents, doc. 28327 (15-Oct-08), axial standard, p. 183.
    """
    at_100_v = 0.02 * rated_charge(capacitance, voltage) + 4e-6
    return _axial(voltage, leakage_limit_long_life(capacitance, voltage), at_100_v)


def leakage_limit_axial_small(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    """Limit of standard axial types in the smallest cases, 1 min, 20 °C.

    6.3 V to 63 V: 0.05 CV or 5 µA, whichever is greater; 100 V: 0.02 CV + 4 µA.

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    ndarray
        Largest allowed leakage current; NaN for voltages the series is not made in. [A]

    References
    ----------
    .. [1] Vishay BCcomponents, doc. 28327 (15-Oct-08), axial standard, p. 183.
    """
    charge = rated_charge(capacitance, voltage)
    return _axial(voltage, np.maximum(0.05 * charge, 5e-6), 0.02 * charge + 4e-6)


def leakage_limit_axial_5min(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    """Limit of standard axial types, 5 min, 20 °C.

    6.3 V to 63 V: 0.002 CV + 5 µA; 100 V: 0.006 CV + 4 µA.

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    ndarray
        Largest allowed leakage current; NaN for voltages the series is not made in. [A]

    References
    ----------
    .. [1] Vishay BCcomponents, doc. 28327 (15-Oct-08), axial standard, p. 183.
    """
    charge = rated_charge(capacitance, voltage)
    return _axial(voltage, 0.002 * charge + 5e-6, 0.006 * charge + 4e-6)


def leakage_limit_sqrt_cv(
    capacitance: ArrayLike, voltage: ArrayLike, *, factor: float = 3.0
) -> Floats:
    r"""Limit in proportion to the square root of charge, 5 min, large cans.

    .. math:: I_L[\text{µA}] = k \sqrt{C_R[\text{µF}]\, U_R[\text{V}]}

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].
    factor : float
        :math:`k`; guides give 1.5 to 4 (from memory). [µA/√µC]

    Returns
    -------
    ndarray
        Largest allowed leakage current. [A]

    References
    ----------
    .. [1] Data sheets of can types, 16 V to 250 V, seen as "3, C, V, µA, 5 minutes" with the
       radical sign lost; the square root itself is from memory.
    """
    return factor * 1e-6 * np.sqrt(rated_charge(capacitance, voltage) / 1e-6)


def leakage_limit_power_cv(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    r"""Limit of European large cans, 5 min, 20 °C, from memory.

    .. math:: I_L[\text{µA}] = 0.3\,(C_R[\text{µF}]\, U_R[\text{V}])^{0.7} + 4

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    ndarray
        Largest allowed leakage current. [A]

    References
    ----------
    .. [1] From memory; no document was read.
    """
    return 1e-6 * (0.3 * (rated_charge(capacitance, voltage) / 1e-6) ** 0.7 + 4.0)


def leakage_limit_iec_general(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    r"""Limit of the general-purpose grade of IEC 60384-4, 5 min, 20 °C, from memory.

    .. math::
        I_L = \max(0.05\,C_R U_R,\ 5\ \text{µA}) \quad (C_R U_R \le 1000\ \text{µC}),\qquad
        I_L = 0.03\,C_R U_R + 20\ \text{µA} \quad (C_R U_R > 1000\ \text{µC})

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    ndarray
        Largest allowed leakage current. [A]

    References
    ----------
    .. [1] IEC 60384-4 and EN 130300 by name; the figures are from memory.
    """
    charge = rated_charge(capacitance, voltage)
    return np.where(charge <= CHARGE_STEP, np.maximum(0.05 * charge, 5e-6), 0.03 * charge + 20e-6)


def leakage_limit_long_life(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    r"""Limit of the long-life grade, and of larger axial cases.

    .. math::
        I_L = \max(0.01\,C_R U_R,\ 1\ \text{µA}) \quad (C_R U_R \le 1000\ \text{µC}),\qquad
        I_L = 0.006\,C_R U_R + 4\ \text{µA} \quad (C_R U_R > 1000\ \text{µC})

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    ndarray
        Largest allowed leakage current at 20 °C. [A]

    References
    ----------
    .. [1] Vishay BCcomponents, doc. 28327 (15-Oct-08), p. 183: larger axial cases, 1 min.
    .. [2] IEC 60384-4 and EN 130300, long-life grade, 5 min: figures from memory.
    """
    charge = rated_charge(capacitance, voltage)
    return np.where(charge <= CHARGE_STEP, np.maximum(0.01 * charge, 1e-6), 0.006 * charge + 4e-6)


def _usable(capacitance: ArrayLike, voltage: ArrayLike) -> tuple[Floats, Floats]:
    """Both ratings broadcast together, both NaN where either cannot be a rating."""
    c, u = np.broadcast_arrays(positive(capacitance), positive(voltage))
    usable = ~(np.isnan(c) | np.isnan(u))
    return np.where(usable, c, np.nan), np.where(usable, u, np.nan)


def _axial(voltage: ArrayLike, low: Floats, at_100_v: Floats) -> Floats:
    """Of two limits, the one for 6.3 V to 63 V or the one for 100 V; NaN elsewhere. [A]"""
    u = np.asarray(voltage, float)
    return np.where(u == 100.0, at_100_v, np.where((u >= 6.3) & (u <= 63.0), low, np.nan))
