"""A contact that comes and goes, inside an intermittent part."""

from __future__ import annotations

import random
from math import inf

from captriage.bench.rehearsal.natures import Nature


class Contact:
    """Times at which the contact inside an intermittent part holds and breaks, by chance."""

    def __init__(self, nature: Nature, chance: random.Random, time_s: float) -> None:
        self._means = (nature.closed_s, nature.broken_s)
        self._chance = chance
        self._holds = True
        self._until = inf
        if nature.kind == "intermittent":
            self._until = time_s + chance.expovariate(1 / nature.closed_s)

    def holds(self, time_s: float) -> bool:
        """Whether it makes contact at this time; to be asked in the order of time."""
        while time_s >= self._until:
            self._holds = not self._holds
            mean = self._means[0 if self._holds else 1]
            self._until += self._chance.expovariate(1 / mean)
        return self._holds
