"""The log of a reforming run that was read, and what its curve says: what the reports show."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from captriage.reform.curves import KEEP, SETTLED_BELOW, Curve, Progress, Rating
from captriage.report.figures import rating as rating_words

if TYPE_CHECKING:
    from captriage.reform.outcomes import Proof


@dataclass(frozen=True, slots=True)
class NotedLook:
    """A look that is told in a log beside its readings.

    Attributes
    ----------
    line : int
        Of the log.
    text : str
        As it is written there.
    look : str
        Key of :data:`captriage.columns.LOOKS`.
    condemns : bool
        The part is to be replaced for it, whatever it reads.
    """

    line: int
    text: str
    look: str
    condemns: bool


@dataclass(frozen=True)
class ReadCurve:
    """A log, and what its curve says.

    Attributes
    ----------
    file, part : str
        Where it comes from, and whose it is.
    made : float
        Year of making; NaN unknown.
    rating : Rating
        What it was held against.
    reference : str
        Where its limit comes from.
    curve, progress
        What was read, and what it says.
    outcome : str
        Key of :data:`captriage.columns.REFORM_OUTCOMES`.
    proof : Proof or None
        Where the run is the re-test after a rest.
    remarks : tuple of str
        What was taken for granted, and what was done to the lines.
    set_aside : DataFrame
        :data:`captriage.columns.SET_ASIDE`.
    policy : str
        Title of the house policy that gave the limit.
    ends_at : datetime64
        Instant of the last reading, NaT where it is not told.
    doubts : tuple of str
        Why the curve may not be believed up to its end.
    warnings : tuple of str
        What must not go unseen: said first.
    looks : tuple of NotedLook
        What was seen, heard or smelt of the part, as the log tells.
    """

    file: str
    part: str
    made: float
    rating: Rating
    reference: str
    curve: Curve
    progress: Progress
    outcome: str
    proof: Proof | None
    remarks: tuple[str, ...]
    set_aside: pd.DataFrame
    policy: str
    ends_at: np.datetime64
    doubts: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    looks: tuple[NotedLook, ...] = ()

    @property
    def title(self) -> str:
        """Part, rating and year of making in words."""
        made = "" if isnan(self.made) else f", made {self.made:.0f}"
        rated = rating_words(self.rating.capacitance_rated, self.rating.voltage_rated)
        return f"{self.part}: {rated}{made}"

    @property
    def is_good(self) -> bool:
        """Whether the current is below the limit, and nothing speaks against it."""
        if self.is_condemned:
            return False
        settled = self.progress.state == SETTLED_BELOW and self.proof is None
        return settled or self.progress.advice == KEEP

    @property
    def is_condemned(self) -> bool:
        """Whether something that was seen of the part forbids any voltage."""
        return any(each.condemns for each in self.looks)


@dataclass(frozen=True)
class Unread:
    """A log that could not be used, and why."""

    file: str
    why: str
