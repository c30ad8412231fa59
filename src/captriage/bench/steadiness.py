"""Whether readings agree: with each other, and with those before."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from math import isfinite, isnan, log10, nan
from typing import Final

from captriage.bench.contact import impedance_ohm
from captriage.bench.measured import Answer
from captriage.columns import ESR, QUANTITIES, TAN_DELTA

Noise = Callable[[str, float], float]
"""Quantity and reading: largest difference between readings of a steady part; NaN untold."""

NOISE_UNTOLD: Final = 0.25
"""Share of the uncertainty taken for the noise of a meter that does not tell it; ours."""

SHARE_UNTOLD: Final = 2e-3
"""Share of the reading taken where neither is told; ours."""

PHASE: Final = 1e-3
"""Angle by which a bridge's phase may wander, as share of the impedance: what ESR and tan δ of a
part of small loss may differ by, however small they are; ours. [rad]"""

STEPS: Final = 1.5
"""Readings that differ by one step of the meter's resolution agree."""

_NUMBER: Final = re.compile(r"[+-]?(\d+(?:\.(\d*))?|\.(\d+))(?:[eE]([+-]?\d+))?")

POWER_OF_TEN: Final = 1e-9  # how near a logarithm lies to a whole number, to be one

DRIFT: Final = 0.5
"""Readings drift when the straight line through them rises, from the first to the last, by more
than this share of what steady readings may differ by; ours. The noise of 15 readings, spread
evenly over all that it may be, makes a line rise by a quarter of it (standard deviation)."""

JUMP: Final = 3.0
"""A reading jumps when it is so many times the agreed difference away from the mean; ours."""


def values_of(answer: Answer) -> dict[str, float]:
    """Number of each measured quantity of an answer, without those it has no number for."""
    return {
        value.quantity: value.value
        for value in answer.values
        if value.quantity in QUANTITIES and not isnan(value.value)
    }


def means(answers: Sequence[Answer]) -> dict[str, float]:
    """Mean of each quantity that all the answers have a number for."""
    numbers = [values_of(answer) for answer in answers]
    shared = [name for name in numbers[0] if all(name in each for each in numbers)]
    return {name: sum(each[name] for each in numbers) / len(numbers) for name in shared}


class Window:
    """The last answers of one part: at least so many, over at least so long a time.

    Parameters
    ----------
    count : int
        Number of answers that fill it.
    seconds : float
        Time that they must cover, too: many readings of a fast meter come before a slow drift
        shows. [s]
    """

    def __init__(self, count: int, seconds: float) -> None:
        self.count, self.seconds = count, seconds
        self.answers: list[Answer] = []

    def add(self, answer: Answer) -> None:
        """Take an answer, and let those go that are not needed to fill it."""
        self.answers.append(answer)
        while len(self.answers) > self.count and self._covers(1):
            del self.answers[0]

    @property
    def full(self) -> bool:
        """Whether it holds answers enough, over time enough."""
        return len(self.answers) >= self.count and self._covers(0)

    def _covers(self, first: int) -> bool:
        return self.answers[-1].monotonic_s - self.answers[first].monotonic_s >= self.seconds


class Steadiness:
    """How far readings of a steady part may differ on this meter.

    Parameters
    ----------
    noise : callable
        Of the meter's profile.
    frequency_hz : float
        Measuring frequency. [Hz]
    """

    def __init__(self, noise: Noise, *, frequency_hz: float) -> None:
        self.noise = noise
        self.frequency_hz = frequency_hz

    def allowed(self, answers: Sequence[Answer]) -> dict[str, float]:
        """Largest difference between readings of a steady part, by quantity.

        Of the meter's noise and a step of its resolution, as its replies are written, the
        larger.
        """
        middle = means(answers)
        ohm = impedance_ohm(answers[-1], frequency_hz=self.frequency_hz)
        return {
            name: max(
                self._noise(name, mean, answers[-1]),
                STEPS * max(resolution(each.raw, values_of(each)[name]) for each in answers),
                phase_share(name, ohm),
            )
            for name, mean in middle.items()
        }

    def agree(self, answers: Sequence[Answer]) -> bool:
        """Whether the readings differ by no more than the meter itself does, and do not drift."""
        kinds = {tuple(values_of(answer)) for answer in answers}
        if len(kinds) != 1:
            return False  # one has a number that another has not
        times = [each.monotonic_s for each in answers]
        for name, most in self.allowed(answers).items():
            numbers = [values_of(each)[name] for each in answers]
            if spread(numbers) > most or abs(rise(times, numbers)) > DRIFT * most:
                return False
        return True

    def follows(self, answer: Answer, before: Sequence[Answer]) -> bool:
        """Whether a reading goes on where these left off, or jumps."""
        numbers = values_of(answer)
        middle = means(before)
        if numbers.keys() != middle.keys():
            return False
        allowed = self.allowed(before)
        return all(
            abs(numbers[name] - mean) <= JUMP * allowed[name] for name, mean in middle.items()
        )

    def alike(self, first: Mapping[str, float], second: Mapping[str, float], like: Answer) -> bool:
        """Whether two means are those of one and the same part, as far as this meter can tell."""
        if not first or first.keys() != second.keys():
            return False
        ohm = impedance_ohm(like, frequency_hz=self.frequency_hz)
        return all(
            abs(first[name] - second[name])
            <= max(self._noise(name, first[name], like), phase_share(name, ohm))
            for name in first
        )

    def _noise(self, quantity: str, mean: float, like: Answer) -> float:
        told = self.noise(quantity, mean)
        if isfinite(told) and told > 0:
            return told
        value = like.of(quantity)
        uncertainty = nan if value is None else value.uncertainty
        return SHARE_UNTOLD * abs(mean) if isnan(uncertainty) else NOISE_UNTOLD * uncertainty


def phase_share(quantity: str, ohm: float) -> float:
    """What the wandering of the phase makes of ESR or tan δ; nought for any other."""
    if quantity == TAN_DELTA:
        return PHASE
    return PHASE * ohm if quantity == ESR and isfinite(ohm) else 0.0


def spread(numbers: Sequence[float]) -> float:
    """Largest less least."""
    return max(numbers) - min(numbers)


def rise(times: Sequence[float], numbers: Sequence[float]) -> float:
    """How far the least-squares line through the numbers rises from the first time to the last."""
    middle = sum(times) / len(times)
    apart = [each - middle for each in times]
    squares = sum(each * each for each in apart)
    if not squares:
        return 0.0
    slope = sum(t * number for t, number in zip(apart, numbers, strict=True)) / squares
    return slope * (times[-1] - times[0])


def resolution(raw: str, value: float) -> float:
    """One unit in the last digit in which a reply gives a value, in the unit of the value.

    Parameters
    ----------
    raw : str
        The reply, such as "C 34.6 uF".
    value : float
        What was understood of it, SI: 3.46e-5.

    Returns
    -------
    float
        1e-7 in the example; nought where no number of the reply is a power of ten of the value.
    """
    for found in _NUMBER.finditer(raw):
        written = float(found[0])
        if written == 0 or value == 0 or written * value < 0:
            continue
        power = log10(value / written)
        if abs(power - round(power)) > POWER_OF_TEN:
            continue
        decimals = len(found[2] or found[3] or "")
        return float(10.0 ** (int(found[4] or 0) - decimals + round(power)))
    return 0.0
