"""How a part is brought to its leakage reading, in words: an idle one never at once."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from captriage.judging.evidence import Evidence, Floats, Rows
from captriage.judging.phrasing import Texts, format_quantities, format_times
from captriage.model.leakage import leakage_voltage_factor

if TYPE_CHECKING:
    from captriage.judging.verdicts import Decision


AGAIN: Final = "Read it again out of circuit, writing down date, frequency, voltage and soak time"


def missing_readings(decision: Decision, rows: Rows) -> Texts:
    """Say which of capacitance, loss and leakage still have to be read, leakage last.

    Where all were, but too unsurely, they are read once more.
    """
    case = decision.case
    capacitance, loss = case.capacitance.worst[rows] < 0, ~case.loss_kept[rows]
    text = np.full(len(rows), AGAIN, object)
    for missing, words in (
        (capacitance & loss, "Read capacitance, and ESR or tan δ, at 100 or 120 Hz"),
        (capacitance & ~loss, "Read capacitance at 100 or 120 Hz"),
        (loss & ~capacitance, "Read ESR or tan δ at 100 or 120 Hz"),
    ):
        text[missing] = words
    proven = case.leakage_proven[rows]
    alone = ~capacitance & ~loss & ~proven
    text[~proven] += then_leakage(decision, rows[~proven])
    text += "."
    text[alone] = leakage_first(decision, rows[alone])
    return text


def then_leakage(decision: Decision, rows: Rows) -> Texts:
    """Say "; then leakage at 450 V after 5 min" behind what is read without voltage.

    A part that has been without voltage for long, or may have, is not put to it at once; one
    whose rating is not known has none that could be read.
    """
    evidence = decision.case.evidence
    reading = leakage_reading(decision, rows)
    text: Texts = "; then " + reading
    slowly = evidence.must_prove_leakage[rows]
    text[slowly] = "; then r" + raised_slowly(decision, rows[slowly]) + reading[slowly]
    text[np.isnan(evidence.voltage_rated[rows])] = ""
    return text


def leakage_first(decision: Decision, rows: Rows) -> Texts:
    """Say "Read leakage at 450 V after 5 min." where nothing else is to be read before."""
    evidence = decision.case.evidence
    reading = leakage_reading(decision, rows)
    text: Texts = "Read " + reading + "."
    slowly = evidence.must_prove_leakage[rows]
    text[slowly] = "R" + raised_slowly(decision, rows[slowly]) + reading[slowly] + "."
    text[np.isnan(evidence.voltage_rated[rows])] = ""
    return text


def raised_slowly(decision: Decision, rows: Rows) -> Texts:
    """Say how an idle part is brought to the voltage at which it is read, but for the first R."""
    volts = format_quantities(proof_voltage(decision.case.evidence, rows), "V")
    text: Texts = "aise the voltage slowly to " + volts
    text += " through a resistor, watching the current; only then read "
    return text


def proof_voltage(evidence: Evidence, rows: Rows) -> Floats:
    """Voltage at which leakage is asked for: never above the rated one. [V]"""
    return np.fmin(evidence.voltage_proof[rows], evidence.voltage_rated[rows])


def leakage_reading(decision: Decision, rows: Rows) -> Texts:
    """Say "leakage at 450 V after 5 min (limit 385 µA)", as far as the rating tells."""
    evidence, criteria = decision.case.evidence, decision.case.criteria
    voltage = proof_voltage(evidence, rows)
    share = leakage_voltage_factor(voltage / evidence.voltage_rated[rows])
    limit = criteria.lenient[rows] * share
    at = "leakage at " + format_quantities(voltage, "V") + " after "
    text: Texts = (
        at + format_times(criteria.soak_s[rows]) + " (limit " + format_quantities(limit, "A") + ")"
    )
    text[np.isnan(limit)] = at[np.isnan(limit)] + "5 min"
    return text
