"""How far a reading may be from the truth, and from the next reading of the same part.

Plain floats, because a meter gives one number at a time; the arithmetic is that of
``rectangular`` and ``expanded`` of :mod:`captriage.model.uncertainty`.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import nan, sqrt
from typing import Final

from captriage.bench.profile import Accuracy

EXPANDED_PER_LARGEST: Final = 2.0 / sqrt(3.0)
"""k = 2 times the standard uncertainty of an error known only to lie within ± 1."""


def step_of(value: float, steps: Sequence[Accuracy]) -> Accuracy | None:
    """The line of an accuracy table that holds for this reading; None above the last."""
    size = abs(value)
    return next((step for step in steps if size <= step.up_to), None)


def uncertainty(value: float, steps: Sequence[Accuracy]) -> float:
    r"""Expanded uncertainty of a reading, k = 2, from the largest error its meter may have.

    .. math:: U = 2 \, \frac{r |x| + f}{\sqrt 3}

    Parameters
    ----------
    value : float
        The reading :math:`x`, SI.
    steps : sequence of Accuracy
        Share of the reading :math:`r` and floor :math:`f`, by range, ascending.

    Returns
    -------
    float
        In the unit of the reading; NaN where it is NaN, above the last range, or where no
        accuracy is stated. An error is taken to lie anywhere within its limits alike.

    References
    ----------
    .. [1] JCGM 100:2008, 4.3.7 and 6.2.1.
    """
    step = step_of(value, steps)
    if step is None:
        return nan
    return EXPANDED_PER_LARGEST * (step.of_reading * abs(value) + step.floor)


def noise(value: float, steps: Sequence[Accuracy]) -> float:
    """Largest difference that readings of a steady part show on this meter.

    Parameters
    ----------
    value : float
        One of the readings, SI.
    steps : sequence of Accuracy
        By range, ascending.

    Returns
    -------
    float
        In the unit of the reading; NaN where it is NaN, above the last range, or where no
        accuracy is stated.
    """
    step = step_of(value, steps)
    if step is None:
        return nan
    return step.noise * abs(value) + step.noise_floor
