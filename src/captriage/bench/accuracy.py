"""How far a reading may be from the truth, and from the next reading of the same part.

Plain floats, because a meter gives one number at a time; the arithmetic is that of
``rectangular`` and ``expanded`` of :mod:`captriage.model.uncertainty`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import hypot, isfinite, nan, pi, sqrt
from typing import Final

from captriage.bench.measured import Value
from captriage.bench.profile import Accuracy, Function
from captriage.columns import CAPACITANCE, ESR

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


def with_phase_error(
    values: tuple[Value, ...], function: Function, settings: Mapping[str, float]
) -> tuple[Value, ...]:
    r"""The values, the series resistance made as unsure as the phase error of the bridge makes it.

    A bridge that mistakes the phase by an angle :math:`p` takes :math:`p |X|` of the reactance
    for resistance: for a small capacitor that is more than all of its ESR.

    .. math:: U^2 = U_R^2 + \left(\frac{2}{\sqrt 3} \frac{p}{2 \pi f C}\right)^2

    Parameters
    ----------
    values : tuple of Value
        Of one reply, SI.
    function : Function
        ``of_reactance`` of its accuracy table is :math:`p`. [rad]
    settings : mapping of str to float
        ``frequency_hz`` is :math:`f`; where it is not told, the ESR has no stated uncertainty.

    References
    ----------
    .. [1] Z = R + jX, turned by a small angle p: its real part changes by p X.
    """
    if not any(step.of_reactance for step in function.accuracy.get(ESR, ())):
        return values
    read = {value.quantity: value for value in values}
    if ESR not in read or CAPACITANCE not in read:
        return values
    esr, farads = read[ESR], abs(read[CAPACITANCE].value)
    step = step_of(esr.value, function.accuracy[ESR])
    if step is None or not farads > 0:
        return values
    reactance = 1.0 / (2.0 * pi * settings.get("frequency_hz", nan) * farads)
    phase = EXPANDED_PER_LARGEST * step.of_reactance * reactance
    unsure = hypot(esr.uncertainty, phase) if isfinite(phase) else nan
    return tuple(replace(v, uncertainty=unsure) if v is esr else v for v in values)


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
