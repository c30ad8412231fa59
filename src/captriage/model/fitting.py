"""Least squares: parameters of a model, how sure they are, and whether they were found at all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from captriage.model.validity import Floats

Model = Callable[[Floats, Floats], Floats]

PRECISION: Final = 1e-15
"""Relative change of sum of squares and parameters at which the search ends: that of doubles."""

MOST_EVALUATIONS: Final = 5000
"""Of the model, before the search is given up."""

SINGULAR: Final = 1e-14
"""Least over greatest singular value, columns scaled, below which parameters cannot be told apart;
certified problems that are solved to ten digits stay well above it."""


@dataclass(frozen=True)
class Fitted:
    """Outcome of a fit.

    Attributes
    ----------
    parameters, standard_errors : ndarray, shape (parameters,)
        In the units of the model; NaN where the fit failed.
    residual : float
        Residual standard deviation, of the weighted differences.
    failure : str
        Why there is no fit; "" where there is one.
    """

    parameters: Floats
    standard_errors: Floats
    residual: float
    failure: str

    @property
    def converged(self) -> bool:
        """Whether the parameters are the least-squares ones."""
        return not self.failure


def fit_least_squares(
    model: Model,
    x: Floats,
    y: Floats,
    *,
    start: Floats,
    sigma: Floats | float = 1.0,
    most_evaluations: int = MOST_EVALUATIONS,
) -> Fitted:
    r"""Parameters that make a model agree best with readings.

    .. math:: \min_p \sum_i \left(\frac{f(p, x_i) - y_i}{\sigma_i}\right)^2, \quad
              u^2(p) = s^2 \,\mathrm{diag}\,(J^T J)^{-1}

    Levenberg and Marquardt's method (MINPACK), from one start.

    Parameters
    ----------
    model : callable
        :math:`f(p, x)`, arrays in and out.
    x, y : ndarray, shape (n,)
        Readings, more than there are parameters.
    start : ndarray, shape (parameters,)
        Where the search begins; it matters.
    sigma : ndarray or float
        Standard uncertainties of ``y``, up to a common factor; positive.
    most_evaluations : int
        Of the model, before the search is given up.

    Returns
    -------
    Fitted
        A failure is told in ``failure``, and its parameters are NaN.

    References
    ----------
    .. [1] Checked against the certified values of NIST, Statistical Reference Datasets, nonlinear
       regression.
    """
    from scipy.optimize import least_squares

    first = np.asarray(start, float)

    def differences(parameters: Floats) -> Floats:
        with np.errstate(all="ignore"):
            return (model(parameters, x) - y) / sigma

    if len(x) <= len(first):
        return _failed(first, f"{len(x)} readings for {len(first)} parameters")
    if not np.isfinite(differences(first)).all():
        return _failed(first, "the model has no finite values at the start")
    scale = np.where(first == 0, 1.0, np.abs(first))
    try:
        found = least_squares(
            differences,
            first,
            jac="3-point",
            method="lm",
            x_scale=scale,
            ftol=PRECISION,
            xtol=PRECISION,
            gtol=PRECISION,
            max_nfev=most_evaluations,
        )
    except ValueError as error:  # the search left the numbers that there are
        return _failed(first, f"the search failed: {error}")
    if found.status <= 0:
        return _failed(first, f"not converged after {found.nfev} evaluations")
    return _told(found.x, np.asarray(found.jac), np.asarray(found.fun))


def _told(parameters: Floats, jacobian: Floats, differences: Floats) -> Fitted:
    norms = np.linalg.norm(jacobian, axis=0)
    if not np.isfinite(jacobian).all() or not (norms > 0).all():
        return _failed(parameters, "a parameter has no influence where the search ended")
    _, singular, rotation = np.linalg.svd(jacobian / norms, full_matrices=False)
    if singular[-1] < SINGULAR * singular[0]:
        return _failed(parameters, "parameters cannot be told apart where the search ended")
    spare = len(differences) - len(parameters)
    residual = float(np.sqrt(np.sum(differences**2) / spare))
    errors = residual * np.sqrt(np.sum((rotation.T / singular) ** 2, axis=1)) / norms
    return Fitted(parameters, errors, residual, "")


def _failed(parameters: Floats, why: str) -> Fitted:
    nothing = np.full(len(parameters), np.nan)
    return Fitted(nothing, nothing, float("nan"), why)
