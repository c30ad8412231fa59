"""Findings and verdicts in words; made on demand, and for many rows at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from string import Formatter
from typing import TYPE_CHECKING, Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.columns import LEAKAGE_CURRENT, QUANTITIES
from captriage.judge.case import Case
from captriage.judge.evidence import Floats, Rows
from captriage.judge.held import Held
from captriage.judge.limits import LEAKAGE_LIMITS, TAN_DELTA_LIMITS
from captriage.judge.phrasing import (
    format_percents,
    format_quantities,
    format_times,
)
from captriage.judge.policy import Policy
from captriage.judge.rules import RULES, Rule

if TYPE_CHECKING:
    from captriage.judge.verdicts import Decision, Judgement

SPOKEN: Final = {
    "capacitance": "Capacitance",
    "esr": "ESR",
    "tan_delta": "tan δ",
    "leakage_current": "Leakage",
    "resistance": "Resistance",
    "impedance": "Impedance",
}
TOLERANCE_TEXT: Final = "tolerance as marked, else the usual one of the era"


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
        every = self.case.evidence.sheets.readings[column].to_numpy(float)
        return np.append(every, np.nan)[self.reading]

    def quantities(self) -> NDArray[np.object_]:
        """Quantity of each reading, "" where the part was looked at."""
        every = self.case.evidence.sheets.readings["quantity"].to_numpy(object)
        return np.append(every, np.array([""], object))[self.reading]

    def numbers(self, values: Floats) -> list[str]:
        """Values in the unit of their quantity, or of the rule."""
        quantity = self.quantities()
        text = np.full(len(values), "", object)
        for name in pd.unique(quantity):
            unit = QUANTITIES[name][0] if name else self.rule.unit
            at = quantity == name
            text[at] = format_quantities(values[at], unit)
        return list(text)


def conditions(group: Group) -> list[str]:
    """What is to be said of the reading's conditions: " at 120 Hz", " after 5 min at 450 V"."""
    leakage = group.quantities() == LEAKAGE_CURRENT
    frequency = group.of_reading("frequency_hz")
    text = np.full(len(group.part), "", object)
    told = ~np.isnan(frequency) & ~leakage
    text[told] = [f" at {f}" for f in format_quantities(frequency[told], "Hz")]
    soak = np.where(leakage, group.of_reading("soak_s"), np.nan)
    voltage = np.where(leakage, group.of_reading("voltage_v"), np.nan)
    told = ~np.isnan(soak)
    text[told] += np.array([f" after {s}" for s in format_times(soak[told])], object)
    told = ~np.isnan(voltage)
    text[told] += np.array([f" at {v}" for v in format_quantities(voltage[told], "V")], object)
    return list(text)


def held_phrases(case: Case, held: Held, parts: Rows, between: bool) -> NDArray[np.object_]:
    """Say "ESR 1.2 Ω, at most 13 Ω" of the worst reading of each of ``parts``; "" where none."""
    at = held.worst[parts]
    text = np.full(len(parts), "", object)
    rows = np.flatnonzero(at >= 0)
    at = at[rows]
    readings = case.evidence.sheets.readings["quantity"].to_numpy(object)[held.row[at]]
    for name in pd.unique(readings):
        here, unit = readings == name, QUANTITIES[name][0]
        value = format_quantities(held.value[at[here]], unit)
        high = format_quantities(held.high[at[here]], unit)
        said = SPOKEN[name]
        if between:
            low = format_quantities(held.low[at[here]], unit)
            rows_of = zip(value, low, high, strict=True)
            phrase = [f"{said} {v} in {lo} to {hi}" for v, lo, hi in rows_of]
        else:
            phrase = [f"{said} {v}, limit {hi}" for v, hi in zip(value, high, strict=True)]
        text[rows[here]] = phrase
    return text


def all_readings(group: Group) -> list[str]:
    """The worst reading of each kind with its limits, "; " between."""
    case, parts = group.case, group.part
    joined = held_phrases(case, case.capacitance, parts, between=True)
    for held in (case.loss, case.leakage):
        phrase = held_phrases(case, held, parts, between=False)
        gap = np.where((joined != "") & (phrase != ""), "; ", "")
        joined = joined + gap + phrase
    return list(joined)


def disputed_values(group: Group) -> list[str]:
    """The readings of each part that contradict each other."""
    readings = group.case.evidence.sheets.readings
    disputed = readings.loc[group.case.disputed, ["part_row", "quantity", "value", "flag"]]
    said: dict[int, list[str]] = {}
    for row, quantity, value, flag in disputed.itertuples(index=False):
        number = format_quantities(np.array([value]), QUANTITIES[quantity][0])[0]
        text = flag if np.isnan(value) else number
        said.setdefault(row, []).append(f"{SPOKEN[quantity]} {text}")
    return [", ".join(said.get(part, [])) for part in group.part.tolist()]


def fraction_of_rated(group: Group) -> Floats:
    """Worst capacitance of each part as a fraction of rated."""
    return np.asarray(group.case.capacitance_fraction[group.part])


Field = Callable[[Group], list[str]]
FIELDS: Final[dict[str, Field]] = {
    "value": lambda group: group.numbers(group.value),
    "low": lambda group: group.numbers(group.low),
    "high": lambda group: group.numbers(group.high),
    "quantity": lambda group: [SPOKEN.get(name, "") for name in group.quantities()],
    "at": conditions,
    "rated": lambda group: format_quantities(
        group.case.evidence.capacitance_rated[group.part], "F"
    ),
    "percent": lambda group: format_percents(fraction_of_rated(group)),
    "percent_life": lambda group: format_percents(group.value),
    "loss": lambda group: list(
        held_phrases(group.case, group.case.loss, group.part, between=False)
    ),
    "readings": all_readings,
    "disputed": disputed_values,
    "working": lambda group: [
        "its working voltage" if text == "–" else text
        for text in format_quantities(group.case.evidence.voltage_proof[group.part], "V")
    ],
    "frequency": lambda group: format_quantities(group.of_reading("frequency_hz"), "Hz"),
    "temperature": lambda group: [f"{t:.3g} °C" for t in group.of_reading("temperature_degc")],
    "voltage": lambda group: format_quantities(group.of_reading("voltage_v"), "V"),
    "soak": lambda group: format_times(group.of_reading("soak_s")),
    "wanted": lambda group: format_times(group.case.criteria.soak_s[group.part]),
}


def filled(template: str, group: Group) -> list[str]:
    """The template with its fields filled for every row of the group."""
    names = [name for _, name, _, _ in Formatter().parse(template) if name]
    if not names:
        return [template] * len(group.part)
    columns = [FIELDS[name](group) for name in names]
    return [
        template.format(**dict(zip(names, row, strict=True))) for row in zip(*columns, strict=True)
    ]


def sentences(case: Case, findings: pd.DataFrame, rows: Rows) -> NDArray[np.object_]:
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
    return TOLERANCE_TEXT if key == "tolerance" else ""


def because(decision: Decision) -> NDArray[np.object_]:
    """Why: the deciding finding in a sentence, and what the policy or the can adds to it."""
    from captriage.judge.verdicts import DECIDERS, NOT_WORTH, RENEWED

    finding = decision.finding.copy()
    fallback = first_doubts(decision)
    finding = np.where(finding < 0, fallback, finding)
    text = np.full(len(finding), "Nothing that was read of it could be used.", object)
    some = finding >= 0
    text[some] = sentences(decision.case, decision.findings, finding[some])
    for decider, addition in (
        (NOT_WORTH, " A fresh part costs less than the bench time of reforming it."),
        (RENEWED, " The house policy renews rather than reforms."),
    ):
        text[decision.decider == DECIDERS.index(decider)] += addition
    shared = decision.bad_sections
    if shared.any():
        text[shared] += np.array([f" But {each}." for each in bad_section_names(decision)], object)
    return text


def first_doubts(decision: Decision) -> Rows:
    """For each part its first finding that says why a reading was not judged; -1: none."""
    findings = decision.findings
    doubtful = np.flatnonzero((findings["outcome"] == "not judged").to_numpy(bool))
    first = np.full(decision.case.evidence.n, -1, np.int64)
    first[findings["part_row"].to_numpy(np.int64)[doubtful[::-1]]] = doubtful[::-1]
    return first


def bad_section_names(decision: Decision) -> list[str]:
    """For each part that shares a can with bad sections: which, and what that means."""
    from captriage.judge.rules.finding import REPLACE

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
            f"{noun} {', '.join(bad)} of this can must be replaced: that condemns the can, "
            f"unless {'it' if len(bad) == 1 else 'they'} can be left unused"
        )
    return text


def limits_named(decision: Decision) -> NDArray[np.object_]:
    """The limits the verdict rests on, and where they come from."""
    case, policy = decision.case, decision.case.evidence.policy
    text = np.full(case.evidence.n, "", object)
    keys = decision.findings["limit"].to_numpy(object)
    decided = decision.finding >= 0
    text[decided] = named(keys[decision.finding[decided]], policy)
    from captriage.judge.rules.finding import KEEP

    kept = decision.advice == KEEP
    for held in (case.capacitance, case.loss, case.leakage):
        used = kept & (held.worst >= 0)
        phrase = named(held.limit[held.worst[used]], policy)
        gap = np.where(text[used] == "", "", "; ")
        text[used] = text[used] + gap + phrase
    return text


def named(keys: NDArray[np.object_], policy: Policy) -> NDArray[np.object_]:
    """Each key as :func:`limit_text` words it."""
    codes, unique = pd.factorize(keys)
    words = np.array([limit_text(str(key), policy) for key in unique], object)
    return np.asarray(words[codes]) if len(words) else np.full(len(keys), "", object)
