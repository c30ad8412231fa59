"""From findings to one verdict a part."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.columns import ADVICE, NOT_JUDGED, VERDICT_WORDS, Sheets
from captriage.judging.case import Case
from captriage.judging.evidence import Evidence, Floats, Mask
from captriage.judging.held import note_accuracy
from captriage.judging.policy import Policy
from captriage.judging.rules import RULES
from captriage.judging.rules.finding import (
    KEEP,
    MEASURE,
    NONE,
    REFORM,
    REPLACE,
    assemble,
    categories,
)

TOO_LITTLE: Final = "too_little_read"
"""Decides where nothing speaks against a part, but too little was read to keep it."""

UNDECIDED: Final = "nothing_usable"
"""Decides where no reading could be used at all."""

NOT_WORTH: Final = "reforming_worth_bench_time"
"""Decides where a fresh part costs less than reforming."""

RENEWED: Final = "doubt_allowed_by_policy"
"""Decides where the policy renews rather than reforms."""

DECIDERS: Final = (
    *(rule.name for rule in RULES),
    NOT_WORTH,
    RENEWED,
    TOO_LITTLE,
    UNDECIDED,
)
BY_READING: Final = ("leakage_within_limit", "loss_within_limit")
"""Rules whose "replace" rests on the conditions of one reading."""

WORDS: Final = {
    NONE: NOT_JUDGED,
    KEEP: "keep",
    REFORM: "reform",
    MEASURE: NOT_JUDGED,
    REPLACE: "replace",
}
ENERGISE: Final = (
    "never",
    "not before reforming",
    "full voltage only after this reading",
    "not before it is replaced",
    "with care",
    "not before its rated voltage is known",
    "not before this is settled",
)
SETTLED_WITHOUT_VOLTAGE: Final = ("looks_understood", "cells_understood", "not_shorted")
"""Rules whose open question is answered by eye, by the sheet or by an ohmmeter."""


@dataclass(frozen=True)
class Judgement:
    """Verdicts with all that led to them; row i of ``verdicts`` is row i of ``parts``.

    ``verdicts`` and ``findings`` are frames of :data:`captriage.columns.VERDICTS` and
    :data:`captriage.columns.FINDINGS`. ``checked_by`` is what has to follow "captriage check" to
    see the sheets once more; nothing where no sheets were named. ``curves`` are the reforming
    curves of parts, by row: they decided what became of a reform, and are only handed on here.
    """

    verdicts: pd.DataFrame
    findings: pd.DataFrame
    case: Case
    checked_by: tuple[str, ...] = ()
    curves: Mapping[int, tuple[Any, ...]] = field(default_factory=dict)

    @property
    def policy(self) -> Policy:
        """The house policy that was applied."""
        return self.case.evidence.policy

    @property
    def today_year(self) -> int:
        """The year ages were counted to."""
        return self.case.evidence.today_year

    @property
    def parts(self) -> pd.DataFrame:
        """The parts as read."""
        return self.case.evidence.sheets.parts

    @property
    def readings(self) -> pd.DataFrame:
        """The readings as read."""
        return self.case.evidence.sheets.readings

    @property
    def looks(self) -> pd.DataFrame:
        """The looks as read."""
        return self.case.evidence.sheets.looks

    @property
    def set_aside(self) -> pd.DataFrame:
        """The cells that could not be used."""
        return self.case.evidence.sheets.set_aside


@dataclass(frozen=True)
class Decision:
    """The outcome for each of n parts, as codes; ``finding`` is the findings row, -1 for none."""

    case: Case
    findings: pd.DataFrame
    finding: NDArray[np.int64]
    advice: NDArray[np.int8]
    decider: NDArray[np.int64]

    @cached_property
    def confidence(self) -> Floats:
        """How sure the verdict is; nought where nothing could be judged."""
        every = np.append(self.findings["confidence"].to_numpy(float), 0.0)
        sure = np.clip(every[self.finding] * self.assumed_factor, 0.0, 1.0)
        return np.where(np.isin(self.advice, (NONE, MEASURE)), 0.0, sure)

    @cached_property
    def assumed_factor(self) -> Floats:
        """Lowered once where a condition of a reading had to be assumed."""
        evidence = self.case.evidence
        factor = np.ones(evidence.n)
        for mask, text in evidence.assumptions:
            if "reading" in text:
                factor[mask] = evidence.policy.confidence.assumed_condition
        by_reading = np.isin(self.decider, [DECIDERS.index(name) for name in BY_READING])
        return np.where((self.advice == REPLACE) & ~by_reading, 1.0, factor)

    @cached_property
    def danger(self) -> Mask:
        """Parts that must not see voltage; damage of a can is found on each of its sections."""
        dangerous = np.zeros(len(self.findings), bool)
        for rule in RULES:
            if rule.danger:
                dangerous |= (
                    (self.findings["rule"] == rule.name)
                    & self.findings["wording"].isin(list(rule.danger))
                ).to_numpy(bool)
        mask = np.zeros(self.case.evidence.n, bool)
        mask[self.findings["part_row"].to_numpy(np.int64)[dangerous]] = True
        return mask

    @cached_property
    def bad_sections(self) -> Mask:
        """Sections of a can in which another section is to be replaced."""
        evidence = self.case.evidence
        bad: Mask = (self.advice == REPLACE) & evidence.in_can
        return self.spread_over_can(np.flatnonzero(bad)) & np.logical_not(bad)

    def spread_over_can(self, rows: NDArray[np.int64]) -> Mask:
        """Parts in the same container as one of these rows."""
        can = self.case.evidence.can_row
        marked = np.zeros(self.case.evidence.n, bool)
        marked[can[rows]] = True
        return np.asarray(marked[can])

    @cached_property
    def energise(self) -> NDArray[np.int64]:
        """Place in :data:`ENERGISE` for each part."""
        settled = [DECIDERS.index(name) for name in SETTLED_WITHOUT_VOLTAGE]
        return np.select(
            [
                self.danger,
                self.advice == REPLACE,
                np.isnan(self.case.evidence.voltage_rated),
                self.advice == REFORM,
                self.advice == KEEP,
                np.isin(self.decider, settled),
            ],
            [0, 3, 5, 1, 4, 6],
            2,
        )


def decide(case: Case, findings: pd.DataFrame) -> Decision:
    """Pick for each part the finding of the strongest advice, the first rule's among equals."""
    n = case.evidence.n
    part = findings["part_row"].to_numpy(np.int64)
    strength = findings["advice"].cat.codes.to_numpy(np.int64)
    order = findings["rule"].cat.codes.to_numpy(np.int64)
    rank = (strength * len(RULES) + (len(RULES) - 1 - order)) * (len(findings) + 1)
    key = np.where(strength == NONE, -1, rank + len(findings) - np.arange(len(findings)))
    best = np.full(n, -1, np.int64)
    np.maximum.at(best, part, key)
    finding = np.where(best >= 0, len(findings) - best % (len(findings) + 1), -1)
    advice = np.append(strength, NONE)[finding].astype(np.int8)
    decider = np.append(order, DECIDERS.index(UNDECIDED))[finding]
    evidence = case.evidence
    sure = Decision(case, findings, finding, advice, decider).confidence
    weak = (advice == KEEP) & (sure < evidence.policy.confidence.keep_at_least)
    decider = np.where(weak, DECIDERS.index(TOO_LITTLE), decider)
    advice = np.where(weak, MEASURE, advice)
    if not evidence.policy.doubt.reform:
        renewed = (advice == REFORM) | weak
        decider = np.where(renewed, DECIDERS.index(RENEWED), decider)
    else:
        renewed = (advice == REFORM) & cheap(evidence)
        decider = np.where(renewed, DECIDERS.index(NOT_WORTH), decider)
    advice = np.where(renewed, REPLACE, advice).astype(np.int8)
    return Decision(case, findings, finding, advice, decider)


def cheap(evidence: Evidence) -> Mask:
    """Parts whose fresh replacement costs less than the bench time of reforming them."""
    worth = evidence.policy.worth
    if not worth.replace_rather_than_reform:
        return np.zeros(evidence.n, bool)
    small = evidence.capacitance_rated <= worth.capacitance_at_most
    board = np.isnan(evidence.voltage_rated) & evidence.board_mount
    low = (evidence.voltage_rated <= worth.voltage_at_most) | board
    single = evidence.sheets.parts["can"].to_numpy(object) == ""
    return np.asarray(small & low & single.astype(bool))


def judge_parts(sheets: Sheets, *, policy: Policy, today_year: int) -> Judgement:
    """Judge every part that was read.

    Parameters
    ----------
    sheets : Sheets
        What was read, in SI.
    policy : Policy
        The house policy.
    today_year : int
        Year to which ages are counted.

    Returns
    -------
    Judgement
        One verdict for each row of ``sheets.parts``, in that order, and all findings.
    """
    from captriage.judging.limit_words import limits_named
    from captriage.judging.steps import next_steps
    from captriage.judging.wording import because

    case = Case(Evidence(sheets, policy, today_year))
    batches = [(rule, batch) for rule in RULES for batch in rule.find(case)]
    findings = assemble(batches, RULES)
    note_accuracy(case.evidence)
    decision = decide(case, findings)
    parts = sheets.parts
    words = [VERDICT_WORDS.index(WORDS[code]) for code in range(len(ADVICE))]
    source = (
        parts["source_file"].to_numpy(object) + ":" + parts["line"].astype(str).to_numpy(object)
    )
    verdicts = pd.DataFrame(
        {
            "part": parts["part"].to_numpy(object),
            "can": parts["can"].to_numpy(object),
            "section": parts["section"].to_numpy(object),
            "verdict": categories(np.array(words)[decision.advice], VERDICT_WORDS),
            "confidence": np.round(decision.confidence, 3),
            "decided_by": categories(decision.decider, DECIDERS),
            "because": because(decision),
            "limit": limits_named(decision),
            "next": next_steps(decision),
            "energise": categories(decision.energise, ENERGISE),
            "assumed": assumptions(case.evidence),
            "source": source,
        }
    )
    return Judgement(verdicts, findings, case)


def assumptions(evidence: Evidence) -> pd.Categorical:
    """What had to be assumed of each part, "; " between."""
    sentences = [sentence for _, sentence in evidence.assumptions]
    sets = np.zeros(evidence.n, np.int64)  # which sentences apply to a part, as bits
    for place, (mask, _) in enumerate(evidence.assumptions):
        sets |= mask.astype(np.int64) << place
    distinct, at = np.unique(sets, return_inverse=True)
    texts = [
        "; ".join(each for place, each in enumerate(sentences) if bits >> place & 1)
        for bits in distinct.tolist()
    ]
    return categories(at, texts)
