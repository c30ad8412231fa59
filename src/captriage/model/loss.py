r"""Published limits of tan δ by rated voltage, with the extra allowed for large capacitance.

Data sheets print one limit for each rated voltage they offer. For a rating between two
columns (an old 300 V part, say) the smaller of the two neighbouring limits is taken: a part
that keeps it keeps both, so no part passes only because of how the gap was bridged. Outside
the table's voltages there is no limit: NaN.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.impedance import tan_delta_from_power_factor
from captriage.model.validity import Floats, not_negative, positive

STEP: Final = 1000e-6
"""Capacitance for which, and beyond which, tables allow a further :data:`STEP_EXTRA`. [F]"""

STEP_EXTRA: Final = 0.02
"""Added to the limit for every further 1000 µF above 1000 µF."""

RADIAL_GENERAL: Final = MappingProxyType(
    {
        6.3: 0.23,
        10.0: 0.20,
        16.0: 0.16,
        25.0: 0.14,
        35.0: 0.12,
        50.0: 0.10,
        63.0: 0.09,
        100.0: 0.08,
        160.0: 0.12,
        200.0: 0.14,
        250.0: 0.17,
        350.0: 0.20,
        400.0: 0.25,
        450.0: 0.25,
    }
)
"""Rated voltage [V] to tan δ at 120 Hz, 20 °C: Lelon, RGA series data sheet."""

CAN_GENERAL: Final = MappingProxyType(
    {
        6.3: 0.28,
        10.0: 0.24,
        16.0: 0.20,
        25.0: 0.16,
        35.0: 0.14,
        50.0: 0.12,
        63.0: 0.12,
        100.0: 0.10,
        160.0: 0.20,
        450.0: 0.20,
    }
)
"""The same at 120 Hz, 20 °C: EPCOS, B41851/B43851 (Jan 2009); one limit 160 V to 450 V."""

LOW_IMPEDANCE: Final = MappingProxyType({16.0: 0.16, 25.0: 0.14, 35.0: 0.12, 50.0: 0.10})
"""The same at 120 Hz, 20 °C: EPCOS/TDK, B41856 (Dec 2014), low impedance, long life."""

SNAP_IN_LONG_LIFE: Final = MappingProxyType(
    {
        10.0: 0.20,
        16.0: 0.15,
        25.0: 0.11,
        35.0: 0.10,
        50.0: 0.08,
        63.0: 0.06,
        100.0: 0.06,
        200.0: 0.13,
        400.0: 0.13,
        450.0: 0.17,
    }
)
"""The same at 100 Hz, 20 °C: EPCOS, B41505/B43505 (Nov 2008); one limit 200 V to 400 V."""


def tan_delta_limit(
    table: Mapping[float, float],
    voltage: ArrayLike,
    *,
    capacitance: ArrayLike = 0.0,
    steps: Literal["full", "part", "none"] = "full",
) -> Floats:
    r"""Limit of tan δ from a table by rated voltage.

    .. math:: \tan\delta = t(U_R) + 0.02\, n(C_R)

    Parameters
    ----------
    table : mapping
        Rated voltage [V], rising, to limit.
    voltage : array_like
        Rated voltage; between two entries the smaller neighbouring limit holds. [V]
    capacitance : array_like
        Rated capacitance. [F]
    steps : {"full", "part", "none"}
        How "0.02 for every further 1000 µF above 1000 µF" counts: "full" steps only (the
        stricter reading), steps in "part" as some makers interpolate, or "none" for series
        whose sheet has no such rule.

    Returns
    -------
    ndarray
        Largest allowed tan δ at 20 °C and the table's frequency; NaN outside its voltages
        and where a rating is missing or negative.

    Raises
    ------
    ValueError
        If ``steps`` is none of the three words.
    """
    if steps not in ("full", "part", "none"):
        message = f"tan_delta_limit: steps is {steps!r}; it may be 'full', 'part' or 'none'"
        raise ValueError(message)
    volts = np.array(list(table))
    limits = np.array(list(table.values()))
    u, c = np.broadcast_arrays(positive(voltage), not_negative(capacitance))
    covered = (u >= volts[0]) & (u <= volts[-1]) & (c >= 0)
    inside = np.where(covered, u, volts[0])
    above = np.searchsorted(volts, inside, side="left")
    below = np.searchsorted(volts, inside, side="right") - 1
    limit = np.minimum(limits[above], limits[below])
    if steps != "none":
        limit = limit + STEP_EXTRA * _further_steps(np.where(covered, c, 0.0), steps)
    return np.where(covered, limit, np.nan)


def tan_delta_limit_radial_general(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    """Limit of general-purpose radial types, 6.3 V to 450 V, 120 Hz, 20 °C.

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    ndarray
        Largest allowed tan δ; NaN outside validity.

    References
    ----------
    .. [1] Lelon, RGA series data sheet; +0.02 per 1000 µF above 1000 µF.
    """
    return tan_delta_limit(RADIAL_GENERAL, voltage, capacitance=positive(capacitance))


def tan_delta_limit_can_general(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    """Limit of general-purpose grade cans, 6.3 V to 450 V, 120 Hz, 20 °C.

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    ndarray
        Largest allowed tan δ; NaN outside validity.

    References
    ----------
    .. [1] EPCOS, B41851/B43851 (Jan 2009); +0.02 per 1000 µF above 1000 µF.
    """
    return tan_delta_limit(CAN_GENERAL, voltage, capacitance=positive(capacitance))


def tan_delta_limit_snap_in_long_life(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    """Limit of long-life snap-in types, 10 V to 450 V, 100 Hz, 20 °C.

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V]. The sheet gives no extra for large
        capacitance.

    Returns
    -------
    ndarray
        Largest allowed tan δ; NaN outside validity.

    References
    ----------
    .. [1] EPCOS, B41505/B43505 (Nov 2008).
    """
    return tan_delta_limit(
        SNAP_IN_LONG_LIFE, voltage, capacitance=positive(capacitance), steps="none"
    )


def tan_delta_limit_low_impedance(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    """Limit of low-impedance, long-life types, 16 V to 50 V, 120 Hz, 20 °C.

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    ndarray
        Largest allowed tan δ; NaN outside validity.

    References
    ----------
    .. [1] EPCOS/TDK, B41856 (Dec 2014); +0.02 per 1000 µF above 1000 µF.
    """
    return tan_delta_limit(LOW_IMPEDANCE, voltage, capacitance=positive(capacitance))


def power_factor_band_vintage(capacitance: ArrayLike, voltage: ArrayLike) -> tuple[Floats, Floats]:
    """Band of power factor allowed to parts of the 1950s and 1960s, from memory, low confidence.

    10 % to 25 % up to 250 V; 35 % to 50 % for "low voltage and high capacitance", which is
    our reading of those words: at most 50 V and at least 100 µF. No figure is remembered
    above 250 V.

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    low, high : ndarray
        Strictest and most generous limit of power factor (sine of the loss angle, not its
        tangent) met with; NaN outside validity.

    References
    ----------
    .. [1] From memory; no document was read.
    """
    c, u = np.broadcast_arrays(positive(capacitance), np.asarray(voltage, float))
    covered = (c > 0) & (u > 0) & (u <= 250.0)
    large = (u <= 50.0) & (c >= 100e-6)
    low = np.where(covered, np.where(large, 0.35, 0.10), np.nan)
    high = np.where(covered, np.where(large, 0.50, 0.25), np.nan)
    return low, high


def tan_delta_limit_vintage(capacitance: ArrayLike, voltage: ArrayLike) -> Floats:
    """Most generous limit of :func:`power_factor_band_vintage` as a tangent.

    Parameters
    ----------
    capacitance, voltage : array_like
        Rated capacitance [F] and rated voltage [V].

    Returns
    -------
    ndarray
        Largest allowed tan δ at 120 Hz; NaN outside validity, so above 250 V.

    References
    ----------
    .. [1] From memory; no document was read. MIL-C-62F measures the loss at 120 Hz.
    """
    _, high = power_factor_band_vintage(capacitance, voltage)
    return tan_delta_from_power_factor(high)


def _further_steps(capacitance: Floats, steps: str) -> Floats:
    """Number of steps of 1000 µF above the first."""
    further = np.maximum(capacitance / STEP - 1.0, 0.0)
    # 7000 µF times 1e-6 is a hair below 0.007 F: that is six further steps, not five.
    return np.floor(further + 1e-9) if steps == "full" else further
