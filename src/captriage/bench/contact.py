"""Whether a part is in the clips, from what the bridge reads.

An open pair of clips shows a few picofarads, nothing at all, or over range, whichever the
meter makes of it; a part shows an impedance far below that. How far is told by its rating,
and by what these clips showed while they were open.
"""

from __future__ import annotations

from collections import deque
from enum import Enum
from math import hypot, inf, isfinite, isnan, nan, pi
from typing import Final

from captriage.bench.measured import Answer, Value
from captriage.columns import CAPACITANCE, ESR, IMPEDANCE, RESISTANCE, TAN_DELTA

TIMES_RATED: Final = 1000.0
"""A part has at most so many times its rated impedance; more is open clips, or an open part.

Ours: a part of a thousandth of its capacitance is to be filed by a key, not by itself. It also
keeps fingers across the clips (100 kΩ and more) from being taken for a large capacitor."""

UNRATED_OHM: Final = 100e3
"""The same bound for a part whose rated capacitance is not told; ours. [Ω]"""

BELOW_OPEN: Final = 0.1
"""And it has at most this share of what the open clips showed; ours."""

MAINS_HZ: Final = 120.0
"""Frequency to reckon with where a meter does not tell its own. [Hz]"""

REMEMBERED: Final = 5  # readings of the open clips, the median of which is believed


class Clips(Enum):
    """What the clips hold, by one answer."""

    OPEN = "nothing, or an open part"
    PART = "a part"
    UNCLEAR = "something of which the meter gives no number"


def impedance_ohm(answer: Answer, *, frequency_hz: float) -> float:
    """Modulus of the impedance that an answer tells of.

    Parameters
    ----------
    answer : Answer
        Holds an impedance, a capacitance with ESR or tan δ or alone, a resistance or an ESR.
    frequency_hz : float
        Measuring frequency. [Hz]

    Returns
    -------
    float
        Infinite for a capacitance of nought; NaN where no number tells it. [Ω]
    """
    told = number(answer.of(IMPEDANCE))
    if isfinite(told):
        return abs(told)
    esr = number(answer.of(ESR))
    capacitance = answer.of(CAPACITANCE)
    if capacitance is None:
        return abs(esr) if isfinite(esr) else abs(number(answer.of(RESISTANCE)))
    farads = capacitance.value
    if isnan(farads):  # over range: beyond what it reads, so hardly any reactance
        return abs(esr) if capacitance.flag.startswith("over range") else nan
    reactance = 1 / (2 * pi * frequency_hz * abs(farads)) if farads else inf
    if isfinite(esr):
        return hypot(esr, reactance)
    loss = number(answer.of(TAN_DELTA))
    return reactance * hypot(1.0, loss) if isfinite(loss) else reactance


def _beyond(said: tuple[str, ...]) -> bool:
    """Whether these flags of all values of an answer say over range."""
    return all(flag.startswith("over range") for flag in said)


def number(value: Value | None) -> float:
    """The number of a value; NaN where there is none."""
    return nan if value is None else value.value


class OpenClips:
    """What these clips show while they are open, learnt as the work goes on.

    Parameters
    ----------
    frequency_hz : float
        Measuring frequency. [Hz]
    """

    def __init__(self, *, frequency_hz: float = MAINS_HZ) -> None:
        known = isfinite(frequency_hz) and frequency_hz > 0
        self.frequency_hz = frequency_hz if known else MAINS_HZ
        self._seen: deque[float] = deque(maxlen=REMEMBERED)
        self._wordless: set[tuple[str, ...]] = set()  # what is said in place of a number
        self._learning = REMEMBERED  # answers left in which a word is taken for that of open clips

    def holds(self, answer: Answer, *, capacitance_rated: float = nan) -> Clips:
        """What the clips hold; answers of open clips are remembered.

        Parameters
        ----------
        answer : Answer
            Of the bridge.
        capacitance_rated : float
            Of the part that is expected; NaN where it is not told. [F]

        Returns
        -------
        Clips
            OPEN for an answer without a number where the meter said the same at first, before
            any number, or where it is over range and open clips were never seen otherwise:
            that is what it makes of them. Such a meter may say the same of a short.
        """
        ohm = impedance_ohm(answer, frequency_hz=self.frequency_hz)
        if isnan(ohm):
            said = tuple(value.flag for value in answer.values)
            if self._may_be_open(said):
                self._wordless.add(said)
            return Clips.OPEN if said in self._wordless else Clips.UNCLEAR
        self._learning = 0
        if ohm <= self.bound_ohm(capacitance_rated):
            return Clips.PART
        self._seen.append(ohm)
        return Clips.OPEN

    def _may_be_open(self, said: tuple[str, ...]) -> bool:
        """Whether this may be what the meter says of open clips, which is not known yet."""
        if self._learning > 0:
            self._learning -= 1
            return True
        return _beyond(said) and not self._seen and not any(map(_beyond, self._wordless))

    def bound_ohm(self, capacitance_rated: float) -> float:
        """Largest impedance that is taken for a part. [Ω]"""
        rated = UNRATED_OHM
        if isfinite(capacitance_rated) and capacitance_rated > 0:
            rated = TIMES_RATED / (2 * pi * self.frequency_hz * capacitance_rated)
        usual = self._usual()
        return rated if isnan(usual) else min(rated, BELOW_OPEN * usual)

    def _usual(self) -> float:
        """Median of the last open readings; NaN before the first."""
        numbers = sorted(self._seen)
        return numbers[len(numbers) // 2] if numbers else nan
