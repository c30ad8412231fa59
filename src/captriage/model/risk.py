r"""Decision rules with guard bands, and the risk of deciding wrongly.

After ILAC-G8:09/2019 and JCGM 106:2012. A *guard band* :math:`w` draws the limit of acceptance
inside the limit of tolerance: :math:`A = T - w`. The rule is agreed before measuring.
Outcome codes are those of :mod:`captriage.model.uncertainty`.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.uncertainty import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    NOT_JUDGED,
    PASS,
    Codes,
    conformity_probability,
    normal_probability,
)
from captriage.model.validity import Floats, not_negative, positive

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(20)
_REACH: Final = 9.0
"""Standard deviations beyond which a normal density is left out of the integrals."""


class GlobalRisks(NamedTuple):
    """Shares of all items made: wrongly accepted, wrongly rejected, and conforming at all."""

    consumer: float
    producer: float
    conforming: float


def outcome_binary(
    value: ArrayLike,
    guard_band: ArrayLike = 0.0,
    *,
    low: ArrayLike = -math.inf,
    high: ArrayLike = math.inf,
) -> Codes:
    r"""Pass or fail, with a guard band; without one it is simple acceptance.

    Parameters
    ----------
    value : array_like
        Measured value, any unit.
    guard_band : array_like
        :math:`w`, same unit: 0 (simple acceptance, up to half of the accepted at the limit
        are wrong), or as a rule the expanded uncertainty.
    low, high : array_like
        Limits of tolerance; infinite where there is none on that side.

    Returns
    -------
    ndarray of int8
        0 pass where ``low + w <= value <= high - w``, else 3 fail; 4, not judged, where an
        argument is NaN, ``guard_band`` is negative or ``low`` is above ``high``.

    References
    ----------
    .. [1] ILAC-G8:09/2019, pp. 9, 10: binary statement for simple acceptance and with guard
       band.
    """
    margin, w = _margin(value, guard_band, low, high)
    code = np.where(margin >= w, PASS, FAIL)
    return np.where(np.isnan(margin), NOT_JUDGED, code).astype(np.int8)


def outcome_guarded(
    value: ArrayLike,
    guard_band: ArrayLike,
    *,
    low: ArrayLike = -math.inf,
    high: ArrayLike = math.inf,
) -> Codes:
    r"""Pass, conditional pass, conditional fail or fail, by bands on both sides of a limit.

    Parameters
    ----------
    value : array_like
        Measured value :math:`y`, any unit.
    guard_band : array_like
        :math:`w`, same unit.
    low, high : array_like
        Limits of tolerance :math:`T`; infinite where there is none on that side.

    Returns
    -------
    ndarray of int8
        For an upper limit: 0 pass (:math:`y \le T - w`), 1 conditional pass
        (:math:`T - w < y \le T`), 2 conditional fail (:math:`T < y \le T + w`), 3 fail
        (:math:`y > T + w`); the nearer limit decides. 4 as for :func:`outcome_binary`.

    References
    ----------
    .. [1] ILAC-G8:09/2019, pp. 9, 10: non-binary statement with guard band.
    """
    margin, w = _margin(value, guard_band, low, high)
    code = np.select(
        [np.isnan(margin), margin >= w, margin >= 0.0, margin >= -w],
        [NOT_JUDGED, PASS, CONDITIONAL_PASS, CONDITIONAL_FAIL],
        FAIL,
    )
    return code.astype(np.int8)


def false_accept_maximum(guard_multiple: ArrayLike) -> Floats:
    r"""Largest probability that an accepted value breaks a one-sided limit.

    .. math:: \Phi(-z), \qquad w = z\, u

    It is met by a value on the limit of acceptance itself.

    Parameters
    ----------
    guard_multiple : array_like
        :math:`z`, guard band in standard uncertainties, 0 or more.

    Returns
    -------
    ndarray
        Probability; NaN where ``guard_multiple`` is negative.

    References
    ----------
    .. [1] JCGM 106:2012; ILAC-G8:09/2019 for w = U and w = 0.
    """
    return normal_probability(-not_negative(guard_multiple))


def specific_risk(
    value: ArrayLike,
    uncertainty_standard: ArrayLike,
    *,
    accepted: ArrayLike,
    low: ArrayLike = -math.inf,
    high: ArrayLike = math.inf,
) -> Floats:
    r"""Probability that the decision on one measured item is wrong.

    .. math:: R^*_C = 1 - p_c \ \text{(accepted)}, \qquad R^*_P = p_c \ \text{(rejected)}

    Parameters
    ----------
    value, uncertainty_standard, low, high : array_like
        As for :func:`captriage.model.uncertainty.conformity_probability`.
    accepted : array_like of bool
        The decision.

    Returns
    -------
    ndarray
        Risk of the consumer where accepted, of the producer where rejected; NaN outside
        validity.

    References
    ----------
    .. [1] JCGM 106:2012, specific risk.
    """
    limits = {"low": low, "high": high}
    conforming = conformity_probability(value, uncertainty_standard, **limits)
    # Small risks of accepted items are worked out as such, not as what 1 leaves.
    below = conformity_probability(value, uncertainty_standard, high=low)
    above = conformity_probability(value, uncertainty_standard, low=high)
    outside = np.where(np.asarray(uncertainty_standard, float) > 0, below + above, 1 - conforming)
    outside = np.where(np.isnan(conforming), np.nan, outside)
    return np.where(np.asarray(accepted, bool), outside, conforming)


def global_risks(
    mean: float,
    deviation: float,
    *,
    uncertainty_standard: float,
    low: float = -math.inf,
    high: float = math.inf,
    accept_low: float = -math.inf,
    accept_high: float = math.inf,
) -> GlobalRisks:
    r"""Risks of accepting and rejecting wrongly over a whole production or drawer of parts.

    .. math::
        R_C = \int_{\eta \notin T} g_0(\eta)\, P(A \mid \eta)\, d\eta, \qquad
        R_P = \int_{\eta \in T} g_0(\eta)\, (1 - P(A \mid \eta))\, d\eta

    with a normal prior :math:`g_0` and a normal meter.

    Parameters
    ----------
    mean, deviation : float
        Of the true values beforehand, any unit.
    uncertainty_standard : float
        :math:`u` of a measurement, same unit; 0 for a perfect meter.
    low, high : float
        Limits of tolerance :math:`T`.
    accept_low, accept_high : float
        Limits of acceptance :math:`A`.

    Returns
    -------
    GlobalRisks
        Shares of all items; all NaN where ``deviation`` is not positive, the uncertainty is
        negative, or a pair of limits is not in order.

    References
    ----------
    .. [1] JCGM 106:2012, global risk; the sense of its resistor example is in the tests.
    """
    sigma, u = float(positive(deviation)), float(not_negative(uncertainty_standard))
    if not (math.isfinite(mean + sigma + u) and low <= high and accept_low <= accept_high):
        return GlobalRisks(math.nan, math.nan, math.nan)
    steps = np.arange(-_REACH, _REACH + 0.5, 0.5)
    ends = np.array([low, high, accept_low, accept_high])
    edges = np.concatenate([mean + sigma * steps, ends, accept_low + u * steps])
    edges = np.concatenate([edges, accept_high + u * steps])
    edges = np.unique(np.clip(edges, mean - _REACH * sigma, mean + _REACH * sigma))
    half, middle = np.diff(edges)[:, None] / 2.0, (edges[1:] + edges[:-1])[:, None] / 2.0
    true = middle + half * _NODES
    z = (true - mean) / sigma
    share = half * _WEIGHTS * np.exp(-0.5 * z**2) / (sigma * math.sqrt(2.0 * math.pi))
    accepted = conformity_probability(true, u, low=accept_low, high=accept_high)
    inside = (true >= low) & (true <= high)
    return GlobalRisks(
        consumer=float(np.sum(share * accepted, where=~inside)),
        producer=float(np.sum(share * (1.0 - accepted), where=inside)),
        conforming=float(np.sum(share, where=inside)),
    )


def _margin(
    value: ArrayLike, guard_band: ArrayLike, low: ArrayLike, high: ArrayLike
) -> tuple[Floats, Floats]:
    """Distance to the nearer limit, negative outside, and guard band; NaN outside validity."""
    y, w, lo, hi = np.broadcast_arrays(
        *(np.asarray(each, float) for each in (value, guard_band, low, high))
    )
    with np.errstate(invalid="ignore"):
        margin = np.minimum(hi - y, y - lo)
    return np.where(np.isfinite(y) & (w >= 0) & (lo <= hi), margin, np.nan), w
