"""The law that each of many steps follows best, by least squares, all of them at once.

Levenberg and Marquardt's method on the averages of :class:`captriage.reform.law.Seen`, begun at the
most probable law of each. Standard errors, and a failure that is said, are what
:mod:`captriage.reform.fitted` adds for the one step that is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from captriage.model.leakage import VOLTAGE_EXPONENT
from captriage.reform.curves import Floats
from captriage.reform.law import EXPONENTS, FIELDS, Law, Seen

ROUNDS: Final = 12
"""Of the search: from a point of the grid it arrives in half as many."""

NUDGE: Final = 1e-4
"""By which the exponent is changed for its derivative."""

DAMPING: Final = (0.3, 4.0)
"""Factors on the damping after a round that helped, and after one that did not."""


@dataclass(frozen=True)
class BestLaws:
    """Least-squares laws: arrays of shape (curves,).

    Attributes
    ----------
    floor_a, flaw_a : ndarray
        b and a. [A]
    onset : ndarray
        τ₀. [s^p]
    exponent, field : ndarray
        p and β.
    """

    floor_a: Floats
    flaw_a: Floats
    onset: Floats
    exponent: Floats
    field: Floats


def best_laws(seen: Seen, law: Law) -> BestLaws:
    """Law of each step by least squares; the most probable one where that is below nought.

    A current that hardly falls does not tell floor from flaws: its least-squares law may have
    either below nought, which no part has.

    Parameters
    ----------
    seen : Seen
    law : Law
        Weighed by it.

    Returns
    -------
    BestLaws
    """
    rows = np.arange(len(seen.slope))
    flat = law.share.reshape(len(rows), -1).argmax(axis=1)
    field, power, onset, point = np.unravel_index(flat, law.share.shape[1:])
    at = (rows, field, power, onset, point)
    beta = np.array(FIELDS)[field]
    start = law.onset_s[rows, field, power, onset]
    parameters = np.stack((law.floor_a[at], law.flaw_a[at], np.log(start), EXPONENTS[power]), 1)
    root = np.sqrt(seen.plain)
    shape = (1 - seen.drop) ** VOLTAGE_EXPONENT
    rate = 1 / (1 + beta[:, None] * seen.drop)
    found = _searched(_Problem(seen, shape, rate, root), parameters)
    found = np.where((found[:, :2] >= 0).all(axis=1, keepdims=True), found, parameters)
    return BestLaws(found[:, 0], found[:, 1], np.exp(found[:, 2]), found[:, 3], beta)


@dataclass(frozen=True)
class _Problem:
    """Averages of all curves, and what of the law does not change in the search."""

    seen: Seen
    shape: Floats
    rate: Floats
    root: Floats

    def tau(self, exponent: Floats) -> Floats:
        power = self.seen.time_s ** exponent[:, None]
        mean = 0.5 * (self.rate[:, 1:] + self.rate[:, :-1])
        first = power[:, :1] * self.rate[:, :1]
        steps = np.diff(power, axis=1) * mean
        return np.concatenate((first, first + np.cumsum(steps, axis=1)), axis=1)

    def away(self, parameters: Floats) -> tuple[Floats, Floats, Floats]:
        """Weighted differences, and what the derivatives are made of: τ/τ₀ and the fall."""
        share = self.tau(parameters[:, 3]) / np.exp(parameters[:, 2:3])
        fall = 1 / (1 + share)
        law = parameters[:, :1] * self.shape + parameters[:, 1:2] * fall
        return (law - self.seen.current_a) * self.root, share, fall

    def slopes(self, parameters: Floats, share: Floats, fall: Floats) -> Floats:
        """Derivatives of the weighted differences; shape (curves, averages, 4)."""
        nudged = self.tau(parameters[:, 3] + NUDGE) / np.exp(parameters[:, 2:3])
        steep = parameters[:, 1:2] * fall**2
        each = (self.shape, fall, steep * share, -steep * (nudged - share) / NUDGE)
        return np.stack(each, axis=2) * self.root[:, :, None]


def _searched(problem: _Problem, parameters: Floats) -> Floats:
    damping = np.full(len(parameters), 1e-3)
    away, share, fall = problem.away(parameters)
    cost = np.sum(away**2, axis=1)
    for _ in range(ROUNDS):
        slopes = problem.slopes(parameters, share, fall)
        normal = np.einsum("cti,ctj->cij", slopes, slopes)
        size = np.sqrt(np.maximum(np.einsum("cii->ci", normal), 1e-300))
        scaled = normal / size[:, :, None] / size[:, None, :]
        scaled = scaled + damping[:, None, None] * np.eye(4)
        downhill = np.einsum("cti,ct->ci", slopes, away) / size
        step = np.linalg.solve(scaled, downhill[..., None])[..., 0] / size
        tried = parameters - step
        tried[:, 2] = np.clip(tried[:, 2], -40.0, 40.0)
        tried[:, 3] = np.clip(tried[:, 3], 0.1, 2.0)
        tried_away, tried_share, tried_fall = problem.away(tried)
        tried_cost = np.sum(tried_away**2, axis=1)
        helped = tried_cost < cost
        parameters = np.where(helped[:, None], tried, parameters)
        away, share, fall = (
            np.where(helped[:, None], new, old)
            for new, old in ((tried_away, away), (tried_share, share), (tried_fall, fall))
        )
        cost = np.where(helped, tried_cost, cost)
        damping = np.clip(damping * np.where(helped, *DAMPING), 1e-9, 1e6)
    return parameters
