"""What to do or to measure next, by the verdict and by what is missing."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from captriage.judge.evidence import Mask
from captriage.judge.phrasing import format_quantities, format_times
from captriage.judge.rules.finding import KEEP, MEASURE, NONE, REFORM, REPLACE

if TYPE_CHECKING:
    from captriage.judge.verdicts import Decision

Texts = NDArray[np.object_]


def next_steps(decision: Decision) -> Texts:
    """The measurement or act that would settle the verdict, change it, or carry it out."""
    case = decision.case
    evidence = case.evidence
    advice = decision.advice
    text = np.full(evidence.n, "", object)
    leakage = leakage_reading(decision)

    def put(mask: Mask, *pieces: str | Texts) -> None:
        joined = np.full(int(mask.sum()), "", object)
        for piece in pieces:
            joined = joined + (piece if isinstance(piece, str) else piece[mask])
        text[mask] = joined

    replace = advice == REPLACE
    put(replace & decision.danger, "Put no voltage on it. Discharge, remove, ", fit(decision))
    put(replace & ~decision.danger, "Discharge, remove, ", fit(decision))
    reform = advice == REFORM
    unrated = np.isnan(evidence.voltage_rated)
    put(reform & unrated, "Find its rated voltage before any voltage goes on it.")
    put(
        reform & ~unrated,
        "Raise the voltage slowly through a resistor, watching the current; then read ",
        leakage,
        ", and capacitance and ESR again.",
    )
    measure = (advice == MEASURE) | (advice == NONE)
    put(measure, measure_step(decision, leakage))
    keep = advice == KEEP
    no_leakage = keep & ~case.leakage_proven
    no_loss = keep & ~case.loss_kept
    no_c = keep & (case.capacitance.worst < 0)
    put(keep, "Nothing more; read it again when the machine has run a week.")
    put(no_loss, "Read ESR or tan δ at 100 or 120 Hz.")
    put(no_leakage, "Read ", leakage, ".")
    put(no_leakage & no_loss, "Read ", leakage, "; and ESR or tan δ at 100 or 120 Hz.")
    put(no_c, "Read capacitance at 100 or 120 Hz; then ", leakage, ".")
    residue = evidence.look("residue") & ~replace
    text[residue] += " Residue: your judgement; clean it, and look for fresh wet after a day's use."
    return text


def leakage_reading(decision: Decision) -> Texts:
    """Say "leakage at 450 V after 5 min: limit 385 µA", as far as the rating tells."""
    case = decision.case
    voltage = case.evidence.voltage_proof
    limit, soak = case.criteria.lenient, case.criteria.soak_s
    at = np.array(format_quantities(voltage, "V"), object)
    after = np.array(format_times(soak), object)
    most = np.array(format_quantities(limit, "A"), object)
    text = "leakage at " + at + " after " + after + " (limit " + most + ")"
    text[np.isnan(limit)] = "leakage near its working voltage after 5 min"
    return np.asarray(text)


def fit(decision: Decision) -> Texts:
    """What to fit instead: capacitance from rated to half as much again, voltage no lower."""
    evidence = decision.case.evidence
    capacitance = np.array(format_quantities(evidence.capacitance_rated, "F"), object)
    need = np.fmax(evidence.voltage_rated, evidence.number("voltage_working"))
    voltage = np.array(format_quantities(need, "V"), object)
    text = (
        "and fit a new part: "
        + capacitance
        + " (to +50 %), at least "
        + voltage
        + ", the right way round."
    )
    unknown = np.isnan(evidence.capacitance_rated) | np.isnan(need)
    text[unknown] = "and fit a new part of its rating, the right way round."
    return np.asarray(text)


def measure_step(decision: Decision, leakage: Texts) -> Texts:
    """What to measure where the verdict is open."""
    from captriage.judge.verdicts import DECIDERS

    names = np.array(DECIDERS, object)[decision.decider]
    text = "Read capacitance and ESR at 100 or 120 Hz, out of circuit; then " + leakage + "."
    for name, step in (
        ("polarity_clear", "Settle the polarity from the circuit and the can before any voltage."),
        ("readings_agree", "Read it again out of circuit, with the frequency written down."),
        ("not_shorted", "Lift one end and read the resistance again."),
    ):
        text[names == name] = step
    for name in ("capacitance_not_high", "leakage_within_limit"):
        at = names == name
        text[at] = "Read " + leakage[at] + "."
    for name in ("loss_within_limit", "capacitance_not_low"):
        text[names == name] = "Read it again at 100 or 120 Hz with a better meter, out of circuit."
    return np.asarray(text)
