"""Findings and verdicts in words; made on demand, and for many rows at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from string import Formatter
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.columns import LEAKAGE_CURRENT, QUANTITIES
from captriage.judging.case import Case
from captriage.judging.evidence import Floats, Rows
from captriage.judging.held import CONDITIONAL_PASS, PASS, Held
from captriage.judging.phrasing import (
    SPOKEN,
    UNKNOWN,
    Texts,
    format_percents,
    format_quantities,
    format_temperatures,
    format_times,
    joined,
)
from captriage.judging.rules import RULES, Rule
from captriage.judging.rules.finding import REPLACE

if TYPE_CHECKING:
    from captriage.judging.verdicts import Decision, Judgement


def at_rows(column: NDArray[Any], rows: Rows, missing: float | str) -> NDArray[Any]:
    """The column at these rows, ``missing`` where a row is -1; the column is not copied."""
    out = np.full(len(rows), missing, column.dtype)
    some = rows >= 0
    out[some] = column[rows[some]]
    return out


@dataclass(frozen=True)
class Group:
    """Findings of one rule and one wording, as arrays."""

    case: Case
    rule: Rule
    part: Rows
    reading: Rows
    value: Floats
    low: Floats
    high: Floats

    def of_reading(self, column: str) -> Floats:
        """A numeric column of the readings found on; NaN where the part was looked at."""
        return at_rows(self.case.evidence.reading(column), self.reading, np.nan)

    @cached_property
    def quantities(self) -> Texts:
        """Quantity of each reading, "" where the part was looked at."""
        return at_rows(self.case.evidence.quantity, self.reading, "")

    def numbers(self, values: Floats) -> Texts:
        """Values in the unit of their quantity, or of the rule."""
        quantity = self.quantities
        text = np.full(len(values), "", object)
        for name in pd.unique(quantity):
            unit = QUANTITIES[name][0] if name else self.rule.unit
            at = quantity == name
            text[at] = format_quantities(values[at], unit)
        return text


def conditions(group: Group) -> Texts:
    """What is to be said of the reading's conditions: " at 120 Hz", " after 5 min at 450 V"."""
    leakage = group.quantities == LEAKAGE_CURRENT
    frequency = group.of_reading("frequency_hz")
    text = np.full(len(group.part), "", object)
    told = ~np.isnan(frequency) & ~leakage
    text[told] = " at " + format_quantities(frequency[told], "Hz")
    soak = np.where(leakage, group.of_reading("soak_s"), np.nan)
    voltage = np.where(leakage, group.of_reading("voltage_v"), np.nan)
    told = ~np.isnan(soak)
    text[told] += " after " + format_times(soak[told])
    told = ~np.isnan(voltage)
    text[told] += " at " + format_quantities(voltage[told], "V")
    return text


def bound_words(case: Case, rows: Rows) -> Texts:
    """Say "at most " or "at least " where a reading (-1: none) is only a bound."""
    evidence = case.evidence
    text = np.full(len(rows), "", object)
    bounded = np.isnan(at_rows(evidence.reading("value"), rows, 0.0))
    if bounded.any():
        most = ~np.isnan(evidence.reading("at_most")[rows[bounded]])
        text[bounded] = np.where(most, "at most ", "at least ")
    return text


def mean_words(case: Case, rows: Rows) -> Texts:
    """Say " (mean of 5)" of readings (-1: none) that stand for several taken in one go."""
    count = at_rows(case.evidence.captures.count, rows, 1)
    text = np.full(len(rows), "", object)
    for number in np.unique(count[count > 1]).tolist():
        text[count == number] = f" (mean of {number})"
    return text


def held_phrases(case: Case, held: Held, parts: Rows, between: bool) -> Texts:
    """Say "ESR 1.2 Ω, at most 13 Ω" of the worst reading of each of ``parts``; "" where none."""
    at = held.worst[parts]
    text = np.full(len(parts), "", object)
    rows = np.flatnonzero(at >= 0)
    at = at[rows]
    readings = case.evidence.quantity[held.row[at]]
    for name in pd.unique(readings):
        here, unit = readings == name, QUANTITIES[name][0]
        bound = bound_words(case, held.row[at[here]])
        value = format_quantities(held.value[at[here]], unit) + mean_words(case, held.row[at[here]])
        high = format_quantities(held.high[at[here]], unit)
        said = SPOKEN[name]
        if between:
            low = format_quantities(held.low[at[here]], unit)
            numbers = held.value[at[here]]
            words = np.where(numbers < held.low[at[here]], ", worn, of ", ", above ")
            kept = np.isin(held.outcome[at[here]], (PASS, CONDITIONAL_PASS))
            word = np.where(kept, " in ", words).astype(object)
            phrase = joined(len(value), f"{said} ", bound, value, word, low, " to ", high)
        else:
            phrase = joined(len(value), f"{said} ", bound, value, ", limit ", high)
        text[rows[here]] = phrase
    return text


def all_readings(group: Group) -> Texts:
    """The worst reading of each kind with its limits, "; " between."""
    case, parts = group.case, group.part
    said = held_phrases(case, case.capacitance, parts, between=True)
    for held in (case.loss, case.leakage):
        phrase = held_phrases(case, held, parts, between=False)
        gap = np.where((said != "") & (phrase != ""), "; ", "")
        said = joined(len(parts), said, gap, phrase)
    return said


def disputed_values(group: Group) -> Texts:
    """The readings of each part that contradict each other."""
    evidence = group.case.evidence
    rows = np.flatnonzero(group.case.disputed)
    part = evidence.reading_part[rows]
    quantity = evidence.quantity[rows]
    value = evidence.reading("value")[rows]
    # What has no value was written down as open or short: its flag says so.
    said = evidence.sheets.readings["flag"].to_numpy(object)[rows]
    for name in pd.unique(quantity):
        at = quantity == name
        told = at & ~np.isnan(value)
        said[told] = format_quantities(value[told], QUANTITIES[name][0])
        said[at] = f"{SPOKEN[name]} " + said[at]
    by_part: dict[int, str] = {}
    for row, text in zip(part.tolist(), said.tolist(), strict=True):
        by_part[row] = f"{by_part[row]}, {text}" if row in by_part else text
    return np.array([by_part.get(row, "") for row in group.part.tolist()], object)


def fraction_of_rated(group: Group) -> Floats:
    """Worst capacitance of each part as a fraction of rated."""
    return np.asarray(group.case.capacitance_fraction[group.part])


def working_voltages(group: Group) -> Texts:
    """Voltage at which leakage counts for each part."""
    text = format_quantities(group.case.evidence.voltage_proof[group.part], "V")
    return np.where(text == UNKNOWN, "its working voltage", text)


Field = Callable[[Group], Texts]


def moved_limits(group: Group) -> Texts:
    """Say from where a leakage limit was moved to the conditions of the reading, if it was."""
    criteria = group.case.criteria
    kept = group.high <= criteria.lenient[group.part] * (1 + 1e-9)
    whole = np.where(kept, criteria.strict[group.part], criteria.lenient[group.part])
    text = np.full(len(group.part), "", object)
    moved = ~np.isclose(group.high, criteria.strict[group.part]) & ~np.isclose(
        group.high, criteria.lenient[group.part]
    )
    text[moved] = (
        " (moved from " + format_quantities(whole[moved], "A") + " at rated voltage, 20 °C)"
    )
    return text


def before_reform(group: Group) -> Texts:
    """What it was before the reform, at the conditions of the reading: from the limits it gave."""
    times = group.case.evidence.policy.reform.esr_times
    middle = (group.low + group.high) / 2
    return group.numbers(np.where(np.isnan(group.low), group.high / times, middle))


FIELDS: Final[dict[str, Field]] = {
    "value": lambda group: (
        bound_words(group.case, group.reading)
        + group.numbers(group.value)
        + mean_words(group.case, group.reading)
    ),
    "low": lambda group: group.numbers(group.low),
    "high": lambda group: group.numbers(group.high),
    "before": before_reform,
    "quantity": lambda group: np.array([SPOKEN.get(q, "") for q in group.quantities], object),
    "at": conditions,
    "rated": lambda group: format_quantities(
        group.case.evidence.capacitance_rated[group.part], "F"
    ),
    "percent": lambda group: format_percents(fraction_of_rated(group)),
    "percent_life": lambda group: format_percents(group.value),
    "moved": moved_limits,
    "loss": lambda group: held_phrases(group.case, group.case.loss, group.part, between=False),
    "readings": all_readings,
    "disputed": disputed_values,
    "unread": lambda group: np.array(
        [group.case.evidence.unread.get(row, "") for row in group.part.tolist()], object
    ),
    "working": working_voltages,
    "frequency": lambda group: format_quantities(group.of_reading("frequency_hz"), "Hz"),
    "temperature": lambda group: format_temperatures(group.of_reading("temperature_degc")),
    "voltage": lambda group: format_quantities(group.of_reading("voltage_v"), "V"),
    "soak": lambda group: format_times(group.of_reading("soak_s")),
    "wanted": lambda group: format_times(group.case.criteria.soak_s[group.part]),
}


def filled(template: str, group: Group) -> Texts:
    """The template with its fields filled for every row of the group."""
    pieces: list[str | Texts] = []
    for literal, name, _, _ in Formatter().parse(template):
        pieces += [literal, FIELDS[name](group)] if name else [literal]
    return joined(len(group.part), *pieces)


def sentences(case: Case, findings: pd.DataFrame, rows: Rows) -> Texts:
    """The sentence of each of these rows of the findings."""
    chosen = findings.iloc[rows]
    codes = chosen["rule"].cat.codes.to_numpy(np.int64)
    wordings = chosen["wording"].cat.codes.to_numpy(np.int64)
    text = np.full(len(rows), "", object)
    pairs = codes * (len(findings["wording"].cat.categories) + 1) + wordings
    part, reading, value, low, high = (
        chosen[column].to_numpy() for column in ("part_row", "reading_row", "value", "low", "high")
    )
    for pair in np.unique(pairs):
        at = np.flatnonzero(pairs == pair)
        rule = RULES[codes[at[0]]]
        wording = str(chosen["wording"].iat[at[0]])
        group = Group(case, rule, part[at], reading[at], value[at], low[at], high[at])
        template = rule.wordings.get(wording, f"{{quantity}} {{value}} not judged: {wording}.")
        text[at] = filled(template, group)
    return text


def finding_sentences(judgement: Judgement, rows: Rows | None = None) -> list[str]:
    """One sentence for each row of the judgement's findings, or for these rows of them."""
    if rows is None:
        rows = np.arange(len(judgement.findings))
    return list(sentences(judgement.case, judgement.findings, rows))


def because(decision: Decision) -> Texts:
    """Why: the deciding finding in a sentence, and what the policy or the can adds to it."""
    from captriage.judging.verdicts import DECIDERS, NOT_WORTH, RENEWED, TOO_LITTLE

    finding = decision.finding.copy()
    fallback = first_doubts(decision)
    finding = np.where(finding < 0, fallback, finding)
    read = np.bincount(decision.case.evidence.reading_part, minlength=len(finding)) > 0
    unused = "Nothing that was read of it could be used."
    text = np.where(read, unused, "Nothing was read of it yet.").astype(object)
    some = finding >= 0
    text[some] = sentences(decision.case, decision.findings, finding[some])
    for decider, addition in (
        (TOO_LITTLE, " Nothing speaks against it, but too little was read to keep it."),
        (NOT_WORTH, " A fresh part costs less than the bench time of reforming it."),
        (RENEWED, " The house policy renews rather than reforms."),
    ):
        text[decision.decider == DECIDERS.index(decider)] += addition
    shared = decision.bad_sections
    if shared.any():
        text[shared] += bad_section_names(decision)
    return text


def first_doubts(decision: Decision) -> Rows:
    """For each part its first finding that says why a reading was not judged; -1: none."""
    findings = decision.findings
    doubtful = np.flatnonzero((findings["outcome"] == "not judged").to_numpy(bool))
    first = np.full(decision.case.evidence.n, -1, np.int64)
    first[findings["part_row"].to_numpy(np.int64)[doubtful[::-1]]] = doubtful[::-1]
    return first


def bad_section_names(decision: Decision) -> Texts:
    """For each part that shares a can with bad sections: which, and what that means."""
    evidence = decision.case.evidence
    section = evidence.sheets.parts["section"].to_numpy(object)
    names: dict[int, list[str]] = {}
    for row in np.flatnonzero((decision.advice == REPLACE) & evidence.in_can):
        names.setdefault(evidence.can_row[row], []).append(str(section[row]))
    text = []
    for row in np.flatnonzero(decision.bad_sections):
        bad = names[evidence.can_row[row]]
        noun = "section" if len(bad) == 1 else "sections"
        text.append(
            f" But {noun} {', '.join(bad)} of this can must be replaced: that condemns the can, "
            f"unless {'it' if len(bad) == 1 else 'they'} can be left unused."
        )
    return np.array(text, object)
