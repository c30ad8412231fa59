r"""Whether an ammeter shows the very same again and again where its current must have changed.

A hold key, a frozen display or a driver that gives its last answer again look like a current that
has settled, and hide one that rises. A settled current on a coarse meter repeats as well, for hours
and honestly; so repeating alone stops nothing. Two things speak against a meter:

* The voltage was moved while it stood still in its reading. Between a voltage that stands and one
  that is raised the current changes by :math:`C \, dU/dt` at least. Within a ramp it may be
  steady.
* At a steady voltage it showed many different readings, and then as many times only one. After
  charging a current falls as :math:`f + a t^{-n}` at most, with n up to 2. Where it crossed d steps
  of a meter from t/2 on at the earliest, it crosses at least 0.18 d in the same time from t on (n
  = 2: (1 - 1/1.5²)/(2² - 1)): of ten at least one. Noise that makes the readings differ does not
  end either. Only the last of the charging may end so soon, and is left out.
"""

from __future__ import annotations

from collections import deque
from math import inf, isnan, nan
from typing import Final

AS_MANY: Final = 30
"""Readings that are the very same, and of those before them, that are held against each other."""

SEEN_FROM: Final = 0.5
"""Share of its time at a voltage from which on the readings before count; see above."""

CHARGING_OVER: Final = 5.0
"""Times its charging time (4.6 RC), after which nothing of the charging is left to be seen of an
old part with up to +50 %: exp(-4.6 · 5/1.5) is 2e-7."""


class Repeats:
    """Readings of one ammeter in a run.

    Attributes
    ----------
    alike : int
        Readings in a row that were the very same, the last one included.
    """

    def __init__(self) -> None:
        self.alike = 0
        self._shown_a = nan
        self._set_v = self._from_v = nan
        self._from_rest = self._rests = False
        self._held: deque[tuple[float, float]] = deque(maxlen=AS_MANY)  # time at it, current
        self._before: list[tuple[float, float]] = []  # those before the first that was the same
        self._same_from_s = self._held_s = nan

    def step_begins(self) -> None:
        """Another voltage: what was read at the one before says nothing of it."""
        self._held.clear()
        self._before = []

    def take(self, current_a: float, *, set_v: float, held_s: float, charging_s: float) -> None:
        """Take in a reading.

        Parameters
        ----------
        current_a : float
            Reading; NaN where it is no number. [A]
        set_v : float
            What the supply is set to. [V]
        held_s : float
            Since this was reached; NaN while it is raised. [s]
        charging_s : float
            Until the part is charged. [s]
        """
        self._rests = held_s >= charging_s or set_v == 0
        self._held_s = held_s
        if current_a != self._shown_a:  # NaN is never the same
            self.alike = 0
            self._from_v, self._from_rest = set_v, self._rests
            self._same_from_s, self._before = held_s, list(self._held)
        self.alike += 1
        self._shown_a, self._set_v = current_a, set_v
        if not isnan(current_a) and held_s >= CHARGING_OVER * charging_s:
            self._held.append((held_s, current_a))

    @property
    def moved_v(self) -> float:
        """By how much the setting has changed since the first of them; 0 within a ramp. [V]"""
        told = self._from_rest or self._rests
        return abs(self._set_v - self._from_v) if told else 0.0

    @property
    def differed(self) -> int:
        """Different readings before them, once these have come as often and for as long; else 0."""
        told = [each for each in self._before if each[0] >= SEEN_FROM * self._same_from_s]
        took_s = self._same_from_s - told[0][0] if told else inf
        if self.alike < AS_MANY or not self._held_s - self._same_from_s >= took_s:
            return 0
        return len({current for _, current in told})
