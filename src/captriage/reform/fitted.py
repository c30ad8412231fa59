r"""The law that one step follows best, by least squares, with standard errors: what is shown.

It is one of those of :mod:`captriage.reform.law`, which weighs all of them for the forecast.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from captriage.model.fitting import fit_least_squares
from captriage.model.leakage import VOLTAGE_EXPONENT
from captriage.model.validity import Floats
from captriage.reform.curves import FittedLaw
from captriage.reform.law import EXPONENTS, FIELDS, Law, Seen, slowed_time

MOST_EXPONENT: Final = 2.0
"""Of time; nothing that heals or is absorbed falls faster for long."""

PATIENCE: Final = 400
"""Evaluations before the search is given up: a current that hardly falls tells no law."""


def fitted_law(seen: Seen, law: Law, row: int) -> FittedLaw:
    """Law of one step by least squares, begun at the most probable one.

    Parameters
    ----------
    seen : Seen
    law : Law
        Weighed by it.
    row : int
        Which step of them.

    Returns
    -------
    FittedLaw
    """
    use = seen.weight[row] > 0
    one = Seen(*(each[row : row + 1] for each in _arrays(seen)))
    at = np.unravel_index(int(np.argmax(law.share[row])), law.share[row].shape)
    field, power, onset = int(at[0]), int(at[1]), int(at[2])
    start = np.array(
        [
            law.floor_a[row][at],
            law.flaw_a[row][at],
            np.log(law.onset_s[row, field, power, onset]),
            EXPONENTS[power],
        ]
    )
    shape = (1 - one.drop[0, use]) ** VOLTAGE_EXPONENT

    def model(parameters: Floats, _: Floats) -> Floats:
        floor, flaw, log_onset, exponent = parameters
        tau = slowed_time(one, np.array([exponent]), FIELDS[field : field + 1])[0, 0, 0, use]
        return np.asarray(floor * shape + flaw / (1 + tau / np.exp(log_onset)))

    fitted = fit_least_squares(
        model,
        one.time_s[0, use],
        one.current_a[0, use],
        start=start,
        sigma=one.plain[0, use] ** -0.5,
        most_evaluations=PATIENCE,
    )
    if not fitted.converged:
        return FittedLaw(failure=fitted.failure)
    floor, flaw, _, exponent = fitted.parameters
    if floor < 0 or flaw < 0 or not 0 < exponent < MOST_EXPONENT:
        return FittedLaw(failure="the readings do not tell what heals from what does not")
    read = one.current_a[0, use]
    flows = read > 0  # an average of noughts is no share of anything
    away = model(fitted.parameters, read)[flows] / read[flows] - 1
    value, error = fitted.parameters, fitted.standard_errors
    return FittedLaw(
        floor_a=float(value[0]),
        flaw_a=float(value[1]),
        exponent=float(value[3]),
        floor_error_a=float(error[0]),
        flaw_error_a=float(error[1]),
        exponent_error=float(error[3]),
        residual=float(np.sqrt(np.mean(away**2))),
    )


def _arrays(seen: Seen) -> tuple[Floats, ...]:
    return (
        seen.time_s,
        seen.current_a,
        seen.plain,
        seen.weight,
        seen.drop,
        seen.slope,
        seen.now_s,
    )
