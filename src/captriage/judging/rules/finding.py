"""What a rule is, and how its findings are made."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.columns import ADVICE, FINDINGS, OUTCOMES
from captriage.judging.case import Case
from captriage.judging.evidence import Floats, Mask, Rows
from captriage.judging.held import NOT_JUDGED, Codes, Held
from captriage.judging.limits import LIMIT_KEYS

NONE, KEEP, REFORM, MEASURE, REPLACE = range(len(ADVICE))
PRACTICE: Final = "common practice"


@dataclass(frozen=True)
class Batch:
    """Findings of one wording: arrays of one length, in the sense of :data:`FINDINGS`."""

    wording: str
    part: Rows
    reading: Rows
    outcome: Codes
    probability: Floats
    value: Floats
    low: Floats
    high: Floats
    limit: Codes
    advice: NDArray[np.int8]
    confidence: Floats


@dataclass(frozen=True)
class Rule:
    """A statement true of a good part, and what is found where it is not.

    ``find`` yields batches of findings; ``wordings`` gives the sentence of each, with fields
    in braces that :mod:`captriage.judging.wording` fills in. ``danger`` names the wordings
    after which no voltage may be put on the part; ``unit`` is that of ``{value}`` where
    the finding is on the part and not on a reading.
    """

    name: str
    sentence: str
    source: str
    find: Callable[[Case], Iterator[Batch]]
    wordings: Mapping[str, str]
    danger: frozenset[str]
    unit: str


def rule(
    source: str, wordings: Mapping[str, str], *, danger: tuple[str, ...] = (), unit: str = ""
) -> Callable[[Callable[[Case], Iterator[Batch]]], Rule]:
    """Make a rule of a function: its name, and the first line of its docstring, are the rule's."""

    def make(find: Callable[[Case], Iterator[Batch]]) -> Rule:
        sentence = (find.__doc__ or "").partition("\n")[0]
        return Rule(find.__name__, sentence, source, find, wordings, frozenset(danger), unit)

    return make


def of_parts(
    parts: Mask,
    outcome: int,
    wording: str,
    *,
    advice: int | NDArray[np.int8] = NONE,
    confidence: float | Floats = 1.0,
    value: Floats | None = None,
    high: Floats | None = None,
    limit: Codes | None = None,
) -> Batch:
    """Findings on whole parts; array arguments are over all n parts."""
    part = np.flatnonzero(parts)
    n = len(part)

    def picked(values: Floats | float | None) -> Floats:
        if values is None:
            return np.full(n, np.nan)
        return np.broadcast_to(np.asarray(values, float), parts.shape)[part]

    return Batch(
        wording,
        part,
        np.full(n, -1, np.int64),
        np.full(n, outcome, np.int8),
        np.full(n, np.nan),
        picked(value),
        np.full(n, np.nan),
        picked(high),
        np.zeros(n, np.int8) if limit is None else limit[part],
        np.broadcast_to(np.asarray(advice, np.int8), parts.shape)[part],
        picked(confidence),
    )


def of_readings(
    held: Held,
    wanted: Mask,
    wording: str,
    *,
    advice: int | NDArray[np.int8] = NONE,
    confidence: float | Floats = 1.0,
) -> Batch:
    """Findings on held readings; ``wanted`` is over them, array arguments over the n parts.

    The confidence given is multiplied by how sure the outcome itself is.
    """
    at = np.flatnonzero(wanted)
    part = held.part[at]
    n_parts = len(held.worst)
    sure = held.probability[at]
    sure = np.where(np.isnan(sure), 1.0, np.maximum(sure, 1.0 - sure))
    factor = np.broadcast_to(np.asarray(confidence, float), (n_parts,))[part]
    return Batch(
        wording,
        part,
        held.row[at],
        held.outcome[at],
        held.probability[at],
        held.value[at],
        held.low[at],
        held.high[at],
        held.limit[at],
        np.broadcast_to(np.asarray(advice, np.int8), (n_parts,))[part],
        factor * sure,
    )


def not_judged(held: Held, *, advice: int | NDArray[np.int8] = NONE) -> Iterator[Batch]:
    """Findings on held readings that could not be judged, one batch for each reason."""
    doubtful = held.outcome == NOT_JUDGED
    if doubtful.any():
        for reason in pd.unique(held.doubt[doubtful]):
            yield of_readings(held, doubtful & (held.doubt == reason), reason, advice=advice)


def categories(codes: NDArray[Any], names: Sequence[str]) -> pd.Categorical:
    """Codes as a categorical column over these names."""
    dtype = pd.CategoricalDtype(list(names))
    return pd.Categorical.from_codes(codes.astype(np.int64), dtype=dtype)


def assemble(batches: list[tuple[Rule, Batch]], rules: tuple[Rule, ...]) -> pd.DataFrame:
    """Frame of :data:`captriage.columns.FINDINGS` from the batches of all rules."""
    kept = [(each, batch) for each, batch in batches if len(batch.part)]
    names = [each.name for each in rules]
    lengths = [len(batch.part) for _, batch in kept]
    wordings = list(dict.fromkeys(batch.wording for _, batch in kept))

    def joined(column: str, dtype: type) -> NDArray[Any]:
        arrays = [getattr(batch, column) for _, batch in kept]
        return np.concatenate(arrays) if arrays else np.array([], dtype)

    rule_codes = np.repeat([names.index(each.name) for each, _ in kept], lengths)
    wording_codes = np.repeat([wordings.index(batch.wording) for _, batch in kept], lengths)
    frame = pd.DataFrame(
        {
            "part_row": joined("part", np.int64),
            "rule": categories(rule_codes, names),
            "reading_row": joined("reading", np.int64),
            "outcome": categories(joined("outcome", np.int8), OUTCOMES),
            "probability": joined("probability", float),
            "value": joined("value", float),
            "low": joined("low", float),
            "high": joined("high", float),
            "limit": categories(joined("limit", np.int8), LIMIT_KEYS),
            "advice": categories(joined("advice", np.int8), ADVICE),
            "confidence": joined("confidence", float),
            "wording": categories(wording_codes, wordings),
        },
        copy=False,
    )
    return frame[list(FINDINGS)]
