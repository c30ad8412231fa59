r"""Measurement uncertainty, and how sure it is that a value keeps a limit.

After JCGM 100 (GUM), JCGM 106 (conformity assessment) and ILAC-G8 (decision rules).
Uncertainties are standard uncertainties unless "expanded" is said.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from captriage.model.validity import Floats

Codes = NDArray[np.int8]

PASS: Final = 0
CONDITIONAL_PASS: Final = 1
CONDITIONAL_FAIL: Final = 2
FAIL: Final = 3
NOT_JUDGED: Final = 4
"""Codes of an outcome: places in ``captriage.columns.OUTCOMES``."""

THRESHOLDS: Final = (0.975, 0.5, 0.025)
"""Least probability of conformity for pass, conditional pass and conditional fail."""


def combined_uncertainty(sensitivities: ArrayLike, uncertainties: ArrayLike) -> Floats:
    r"""Combined standard uncertainty of independent inputs.

    .. math:: u_c = \sqrt{\textstyle\sum_i (c_i u_i)^2}

    Parameters
    ----------
    sensitivities : array_like, shape (k, ...)
        :math:`c_i`, the change of the result per unit of each input; inputs along axis 0.
    uncertainties : array_like, shape (k, ...)
        :math:`u_i`, standard uncertainty of each input.

    Returns
    -------
    ndarray, shape (...)
        :math:`u_c`; NaN where any part is NaN or an uncertainty is negative.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2, equation (10), without correlation.
    """
    u = np.asarray(uncertainties, float)
    parts = np.asarray(sensitivities, float) * np.where(u >= 0, u, np.nan)
    return np.asarray(np.sqrt(np.sum(parts**2, axis=0)))


def rectangular(half_width: ArrayLike) -> Floats:
    r"""Standard uncertainty of a value known only to lie within ± ``half_width``.

    .. math:: u = a / \sqrt{3}

    Parameters
    ----------
    half_width : array_like
        :math:`a`, as a meter's "± 2 %" is meant when nothing more is said.

    Returns
    -------
    ndarray
        :math:`u`, in the same unit; NaN where ``half_width`` is negative.

    References
    ----------
    .. [1] JCGM 100:2008, 4.3.7.
    """
    a = np.asarray(half_width, float)
    return np.where(a >= 0, a, np.nan) / math.sqrt(3.0)


def uncertainty_of_mean(squares: ArrayLike, number: ArrayLike) -> Floats:
    r"""Standard uncertainty of the mean of repeated readings, by their scatter alone (type A).

    .. math:: u = \sqrt{\frac{\sum_k (q_k - \bar q)^2}{n (n - 1)}}

    Parameters
    ----------
    squares : array_like
        Sum of the squared deviations :math:`q_k - \bar q` from the mean.
    number : array_like
        :math:`n`, how many readings.

    Returns
    -------
    ndarray
        :math:`u`, in the unit of the readings; NaN for fewer than two readings or a negative sum.

    References
    ----------
    .. [1] JCGM 100:2008, 4.2.2 and 4.2.3, equations (4) and (5).
    """
    total, n = np.asarray(squares, float), np.asarray(number, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where((n >= 2) & (total >= 0), np.sqrt(total / (n * (n - 1.0))), np.nan)


def resolution(step: ArrayLike) -> Floats:
    r"""Standard uncertainty from the last digit a meter shows.

    .. math:: u = \delta / \sqrt{12}

    Parameters
    ----------
    step : array_like
        :math:`\delta`, one count of the last digit.

    Returns
    -------
    ndarray
        :math:`u`, in the same unit; NaN where ``step`` is negative.

    References
    ----------
    .. [1] JCGM 100:2008, F.2.2.1.
    """
    return rectangular(np.asarray(step, float) / 2.0)


def expanded(uncertainty_standard: ArrayLike, *, coverage: float = 2.0) -> Floats:
    r"""Expanded uncertainty :math:`U = k u_c`.

    Parameters
    ----------
    uncertainty_standard : array_like
        :math:`u_c`.
    coverage : float
        :math:`k`; 2 covers about 95 % of a normal distribution.

    Returns
    -------
    ndarray
        :math:`U`, in the same unit.

    References
    ----------
    .. [1] JCGM 100:2008, 6.2.1.
    """
    return coverage * np.asarray(uncertainty_standard, float)


def normal_probability(z: ArrayLike) -> Floats:
    r"""Probability that a standard normal variable is at most ``z``.

    .. math:: \Phi(z) = \tfrac12 \operatorname{erfc}(-z/\sqrt2)

    Parameters
    ----------
    z : array_like
        Distance from the mean in standard deviations.

    Returns
    -------
    ndarray
        :math:`\Phi(z)`, accurate to a few parts in 10¹⁵ in the lower tail also.
    """
    x = np.asarray(z, float)
    flat = (x.ravel() * -math.sqrt(0.5)).tolist()
    return 0.5 * np.fromiter(map(math.erfc, flat), float, x.size).reshape(x.shape)


def conformity_probability(
    value: ArrayLike,
    uncertainty_standard: ArrayLike,
    *,
    low: ArrayLike = -math.inf,
    high: ArrayLike = math.inf,
) -> Floats:
    r"""Probability that the true value lies within its limits.

    .. math::
        p_c = \Phi\left(\frac{T_U - y}{u}\right) - \Phi\left(\frac{T_L - y}{u}\right)

    for a measured value with normal uncertainty and nothing known beforehand.

    Parameters
    ----------
    value : array_like
        :math:`y`, any unit.
    uncertainty_standard : array_like
        :math:`u`, standard (half of an expanded one with k = 2). Zero means that the value is
        taken as exact: the probability is then exactly 1 (a limit itself is kept) or 0.
    low, high : array_like
        :math:`T_L, T_U`; infinite where there is no limit on that side.

    Returns
    -------
    ndarray
        :math:`p_c`; NaN where any argument is NaN, ``uncertainty_standard`` is negative or
        infinite, or ``low`` is above ``high``.

    References
    ----------
    .. [1] JCGM 106:2012, one-sided and two-sided limits, normal distribution; the formula from
       memory, the guide's examples in the tests.
    """
    y, u, lo, hi = np.broadcast_arrays(
        *(np.asarray(each, float) for each in (value, uncertainty_standard, low, high))
    )
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        to_low = (lo - y) / u
        to_high = (hi - y) / u
    # A difference of two values near 1 loses the tail: look at the pair from its other side.
    mirrored = to_low > 0
    upper = np.where(mirrored, -to_low, to_high)
    lower = np.where(mirrored, -to_high, to_low)
    probability = np.asarray(_lower_tail(upper) - _lower_tail(lower))
    exact = u == 0
    if exact.any():
        probability = np.where(exact, (y >= lo) & (y <= hi), probability)
    known = np.isfinite(y) & np.isfinite(u) & (u >= 0) & (lo <= hi)
    return np.where(known, probability, np.nan)


def conformity_outcome(probability: ArrayLike) -> Codes:
    """Outcome that a probability of conformity amounts to.

    Parameters
    ----------
    probability : array_like
        Of conformity, 0 to 1.

    Returns
    -------
    ndarray of int8
        0 pass (at least 0.975), 1 conditional pass (at least 0.5), 2 conditional fail (at
        least 0.025), 3 fail; 4, not judged, where the probability is NaN.

    References
    ----------
    .. [1] ILAC-G8:09/2019, non-binary statement with guard band w = U, as probabilities;
       the thresholds are ours.
    """
    p = np.asarray(probability, float)
    code = np.zeros(p.shape, np.int8)
    for threshold in THRESHOLDS:
        code += p < threshold
    return np.where(np.isnan(p), np.int8(NOT_JUDGED), code)


def _lower_tail(z: Floats) -> Floats:
    """:func:`normal_probability`, worked out only where a double differs from 0 and 1."""
    result = np.asarray(z > 0, float)
    between = (z > -38.6) & (z < 8.4)
    result[between] = normal_probability(z[between])
    return result
