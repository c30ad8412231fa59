"""The case before the rules: the evidence and its readings held against their limits."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from captriage.columns import HEALED
from captriage.judging.disputes import disputed_readings
from captriage.judging.evidence import Evidence, Mask
from captriage.judging.held import CONDITIONAL_FAIL, CONDITIONAL_PASS, FAIL, PASS, Held, any_of
from captriage.judging.hold import hold_capacitance, hold_loss
from captriage.judging.reform_change import hold_change, parts_of, read_before
from captriage.judging.soak import Criteria, hold_leakage, leakage_criteria


@dataclass(frozen=True)
class Case:
    """Everything a rule may look at; masks are over the n parts."""

    evidence: Evidence

    @cached_property
    def disputed(self) -> Mask:
        """Readings that another reading contradicts; one per reading."""
        return disputed_readings(self.evidence)

    @cached_property
    def capacitance(self) -> Held:
        """Capacitance readings against rated capacitance and tolerance."""
        return hold_capacitance(self.evidence, self.disputed)

    @cached_property
    def loss(self) -> Held:
        """ESR and tan δ readings against the loss limit."""
        return hold_loss(self.evidence, self.disputed)

    @cached_property
    def leakage(self) -> Held:
        """The telling leakage reading of each part against its criterion."""
        return hold_leakage(self.evidence, self.disputed, self.criteria)

    @cached_property
    def change(self) -> Held:
        """Capacitance and loss of reformed parts against those of before the reform."""
        return hold_change(self.evidence, self.disputed)

    @cached_property
    def known_before(self) -> Mask:
        """Parts of which capacitance or loss before a reform is known."""
        return parts_of(self.evidence, read_before(self.evidence))

    @cached_property
    def criteria(self) -> Criteria:
        """Leakage criteria of each part at rated voltage."""
        return leakage_criteria(self.evidence)

    @cached_property
    def capacitance_is_low(self) -> Mask:
        """Capacitance below its band, surely or more likely than not."""
        held = self.capacitance
        return held.at_worst(beyond(held) & (held.value < held.low))

    @cached_property
    def capacitance_is_high(self) -> Mask:
        """Capacitance above its band, surely or more likely than not."""
        held = self.capacitance
        return held.at_worst(beyond(held) & (held.value > held.high))

    @cached_property
    def capacitance_fraction(self) -> np.ndarray:
        """Worst capacitance as a fraction of rated, its condition allowed for; NaN unread."""
        held = self.capacitance
        tolerance_low, _ = self.evidence.tolerance
        fraction = held.value / held.low * (1 + tolerance_low[held.part])
        return np.append(fraction, np.nan)[held.worst]

    @cached_property
    def loss_kept(self) -> Mask:
        """ESR or tan δ read, and within its limit."""
        return self.loss.parts_with(PASS, CONDITIONAL_PASS)

    @cached_property
    def leakage_kept(self) -> Mask:
        """Leakage read near the working voltage, and within its limit."""
        return self.leakage.parts_with(PASS, CONDITIONAL_PASS)

    @cached_property
    def leakage_proven(self) -> Mask:
        """Leakage shown to be good, by a reading or by the re-test after a reform."""
        healed = self.evidence.word("reform_outcome", HEALED)
        return self.leakage_kept | (healed & ~self.leakage.parts_with(CONDITIONAL_FAIL, FAIL))


def beyond(held: Held) -> Mask:
    """Readings beyond their limit, surely or more likely than not."""
    return any_of(held.outcome, CONDITIONAL_FAIL, FAIL)
