"""Limits in words: which a verdict rests on, and where each comes from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
import pandas as pd

from captriage.judging.end_of_life import END_OF_LIFE, REFORM_CHANGE, SHELF_TEST
from captriage.judging.limits import (
    LEAKAGE_LIMITS,
    LIMIT_KEYS,
    TAN_DELTA_LIMITS,
    TOLERANCE,
    TOLERANCE_KEYS,
    TOLERANCES_USUAL,
)
from captriage.judging.policy import Policy
from captriage.judging.rules.finding import KEEP, categories

if TYPE_CHECKING:
    from captriage.judging.verdicts import Decision

TOLERANCE_TEXT: Final = "tolerance as marked"


def limit_text(key: str, policy: Policy) -> str:
    """A limit in words, with where it comes from and how that source was come by."""
    if key in LEAKAGE_LIMITS:
        row = LEAKAGE_LIMITS[key]
        return f"leakage {row.title} [{row.reference}; {row.standing}]"
    if key in TAN_DELTA_LIMITS:
        loss = TAN_DELTA_LIMITS[key]
        times = f"{policy.loss.times_new:g} × " if policy.loss.times_new != 1 else ""
        return (
            f"loss {times}tan δ, {loss.title} [{loss.reference}; {loss.standing}; "
            f"factor: policy {policy.name}]"
        )
    if key in TOLERANCE_KEYS:
        usual = TOLERANCES_USUAL[TOLERANCE_KEYS.index(key)]
        return f"tolerance not marked, taken: {usual.title} [{usual.reference}; {usual.standing}]"
    if key == REFORM_CHANGE:
        test = END_OF_LIFE[SHELF_TEST]
        return (
            f"after a reform: capacitance within {100 * policy.reform.capacitance_change:g} % of "
            f"before, ESR at most {policy.reform.esr_times:g} times [{test.reference}; "
            f"{test.standing}; numbers: policy {policy.name}]"
        )
    return TOLERANCE_TEXT if key == TOLERANCE else ""


def limits_named(decision: Decision) -> pd.Categorical:
    """The limits the verdict rests on, and where they come from."""
    case, policy = decision.case, decision.case.evidence.policy
    decided = decision.findings["limit"].cat.codes.to_numpy(np.int64)
    rests_on = np.append(decided, 0)[decision.finding]  # several limits as one number
    for held in (case.capacitance, case.loss, case.leakage, case.change):
        kept = np.where(decision.advice == KEEP, np.append(held.limit, 0)[held.worst], 0)
        rests_on = rests_on * len(LIMIT_KEYS) + kept
    numbers, place = np.unique(rests_on, return_inverse=True)
    keys = np.stack(np.unravel_index(numbers, (len(LIMIT_KEYS),) * 5), axis=-1)
    words = [
        "; ".join(limit_text(LIMIT_KEYS[code], policy) for code in row if code)
        for row in keys.tolist()
    ]
    # The limit a rule decided by may be the one of a reading as well: the same words twice.
    said, which = np.unique(np.array(words, object), return_inverse=True)
    return categories(which[place], said.tolist())
