"""What to do or to measure next, by the verdict and by what is missing."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

import numpy as np

from captriage.columns import CAPACITANCE, HEALED, UNDER_WAY
from captriage.judging.evidence import Evidence, Floats, Mask, Rows
from captriage.judging.held import NOT_JUDGED
from captriage.judging.leakage_steps import (
    AGAIN,
    leakage_first,
    leakage_reading,
    missing_readings,
    then_leakage,
)
from captriage.judging.phrasing import Texts, format_quantities
from captriage.judging.rules.by_capacitance import over_range
from captriage.judging.rules.by_history import REFORMING_LOG, life_used
from captriage.judging.rules.finding import KEEP, REFORM, REPLACE
from captriage.model.preferred import preferred_value_from, rated_voltage_from

if TYPE_CHECKING:
    from captriage.judging.verdicts import Decision

Piece = str | Callable[["Decision", Rows], Texts]


def next_steps(decision: Decision) -> Texts:
    """The measurement or act that would settle the verdict, change it, or carry it out."""
    case, advice = decision.case, decision.advice
    evidence = case.evidence
    replace, reform, keep = advice == REPLACE, advice == REFORM, advice == KEEP
    unrated = np.isnan(evidence.voltage_rated)
    no_leakage, no_loss = ~case.leakage_proven, ~case.loss_kept
    no_capacitance = case.capacitance.worst < 0
    steps: tuple[tuple[Mask, tuple[Piece, ...]], ...] = (
        (
            replace & decision.danger,
            ("Put no voltage on it. Discharge, remove, and fit ", new_part, "."),
        ),
        (replace & ~decision.danger, ("Discharge, remove, and fit ", new_part, ".")),
        (
            reform & evidence.word("reform_outcome", UNDER_WAY) & ~unrated,
            (
                "Go on raising its voltage slowly, as far as it has settled; then 24 to 48 h "
                "without voltage, ",
                leakage_reading,
                ", and capacitance and ESR again.",
            ),
        ),
        (reform & unrated, ("Then judge it again.",)),
        (
            reform & ~unrated & (no_capacitance | no_loss) & ~case.known_before,
            (
                "Read capacitance and ESR first, at 100 or 120 Hz. Raise the voltage slowly "
                "through a resistor, watching the current; then read ",
                leakage_reading,
                ", and capacitance and ESR again: the reform may change them little.",
            ),
        ),
        (
            reform & ~unrated,
            (
                "Raise the voltage slowly through a resistor, watching the current; then read ",
                leakage_reading,
                ", and capacitance and ESR again.",
            ),
        ),
        (
            keep & no_capacitance,
            ("Read capacitance at 100 or 120 Hz", then_leakage, "."),
        ),
        (
            keep & no_leakage & no_loss,
            ("Read ESR or tan δ at 100 or 120 Hz", then_leakage, "."),
        ),
        (keep & no_leakage, (leakage_first,)),
        (keep & no_loss, ("Read ESR or tan δ at 100 or 120 Hz.",)),
        (keep, ("Nothing more; read it again when the machine has run a week.",)),
        *open_steps(decision),
    )
    text = np.full(evidence.n, "", object)
    left = np.ones(evidence.n, bool)
    for mask, pieces in steps:
        rows = np.flatnonzero(mask & left)
        left[rows] = False
        for piece in pieces if len(rows) else ():
            text[rows] = text[rows] + (piece if isinstance(piece, str) else piece(decision, rows))
    find_rating(text, unrated & ~replace, evidence.capacitance_rated)
    shared = decision.bad_sections & keep
    text[shared] = (
        "Replace the can, or leave the bad section disconnected and keep this one. " + text[shared]
    )
    outlived = keep & (life_used(case) > 1)
    text[outlived] += " By hours and temperature it has outlived its life: renew it before long."
    text += after_reform(decision)
    residue = evidence.look("residue") & ~replace
    text[residue] += " Residue: your judgement; clean it, and look for fresh wet after a day's use."
    return text


FIND_IT: Final = "from the circuit, the service data or its neighbours"


def find_rating(text: Texts, mask: Mask, capacitance: Floats) -> None:
    """Put before the steps of these parts that they see no voltage before their rating is known."""
    for also, what in (
        (np.isnan(capacitance), "Rating"),
        (~np.isnan(capacitance), "Rated voltage"),
    ):
        rows = np.flatnonzero(mask & also)
        text[rows] = [
            f"{what} not known: find it {FIND_IT}; put no voltage on it before. {then}".rstrip()
            for then in text[rows]
        ]


def after_reform(decision: Decision) -> Texts:
    """What is still to be held against before the reform of a part that is kept; "" where nothing.

    Where nothing of before is known it is for the one who has it on paper.
    """
    case = decision.case
    evidence, held = case.evidence, case.change
    text = np.full(evidence.n, "", object)
    keep = decision.advice == KEEP
    untold = keep & evidence.word("reform_outcome", HEALED) & ~case.known_before
    bounds = evidence.policy.reform
    text[untold] = (
        f" After the reform capacitance is within {100 * bounds.capacitance_change:g} % of that "
        f"before, and ESR at most {bounds.esr_times:g} times: write 'C before' and 'ESR before' in "
        "a sheet, and they are held against them."
    )
    judged = held.outcome != NOT_JUDGED
    of_capacitance = evidence.quantity[held.row] == CAPACITANCE
    compared = [np.zeros(evidence.n, bool) for _ in range(2)]
    for mask, own in zip(compared, (of_capacitance, ~of_capacitance), strict=True):
        mask[held.part[judged & own]] = True
    known = keep & case.known_before & evidence.reformed
    for missing, what in (
        (~compared[0] & ~compared[1], "capacitance and ESR"),
        (~compared[0] & compared[1], "capacitance"),
        (compared[0] & ~compared[1], "ESR"),
    ):
        text[known & missing] = f" Before and after the reform, {what}{OPEN_CHANGE}"
    return text


OPEN_CHANGE: Final = (
    " could not be compared: read it at the same frequency as then, out of circuit."
)


def open_steps(decision: Decision) -> list[tuple[Mask, tuple[Piece, ...]]]:
    """What to measure where the verdict is open, by the rule that left it so."""
    from captriage.judging.verdicts import DECIDERS

    evidence = decision.case.evidence

    def by(*names: str) -> Mask:
        return np.isin(decision.decider, [DECIDERS.index(name) for name in names])

    return [
        (
            by("polarity_clear"),
            ("Settle the polarity from the circuit and the can before any voltage.",),
        ),
        (
            by("reform_settled"),
            (
                "Leave it without voltage for 24 to 48 h; then read ",
                leakage_reading,
                ", and capacitance and ESR again.",
            ),
        ),
        (
            by("unchanged_by_reform") & ~evidence.reformed,
            (
                "Write in a column 'reforming' what came of it, or judge with the log of its "
                "run; and read capacitance and ESR again.",
            ),
        ),
        (
            by("unchanged_by_reform"),
            (
                "Read capacitance and ESR again, out of circuit, at the frequency and the "
                "temperature of those before the reform.",
            ),
        ),
        (
            by("cells_understood") & of_log(evidence),
            ("See why with captriage reform read and the log, then judge again.",),
        ),
        (by("cells_understood"), ("See it with captriage check, mend the cell, judge again.",)),
        (by("looks_understood"), ("Look at it again before any voltage goes on it.",)),
        (
            by("readings_agree"),
            (AGAIN, "."),
        ),
        (
            by("not_shorted"),
            ("Discharge it, lift one end, and read the resistance until it stands still.",),
        ),
        (
            by("nothing_usable", "too_little_read", "meter_in_range") & over_range(decision.case),
            (
                "Read its DC resistance with an ohmmeter first: it may be shorted. Then "
                "capacitance and ESR at 100 or 120 Hz, on the highest range.",
            ),
        ),
        (by("capacitance_not_high", "leakage_within_limit"), (leakage_first,)),
        (
            by("loss_within_limit", "capacitance_not_low"),
            ("Read it again at 100 or 120 Hz out of circuit.",),
        ),
        (
            by("too_little_read"),
            (missing_readings,),
        ),
        (
            np.ones(evidence.n, bool),
            (
                "Read capacitance and ESR at 100 or 120 Hz, out of circuit",
                then_leakage,
                ".",
            ),
        ),
    ]


def of_log(evidence: Evidence) -> Mask:
    """Parts of which a reforming log could not be used, or told of something."""
    mask = np.zeros(evidence.n, bool)
    for row, found in evidence.unread.items():
        mask[row] = found.startswith(f"{REFORMING_LOG}: ")
    return mask


def new_part(decision: Decision, rows: Rows) -> Texts:
    """What to fit instead: no less capacitance than rated, and voltage no lower.

    The preferred value named is the least of the E6 series that is not below rated. More
    capacitance than that is common practice, but not after a rectifier, whose peak current the
    first capacitor sets. The voltage has a margin over the working voltage.
    """
    evidence = decision.case.evidence
    fit = evidence.policy.fit
    capacitance, voltage = evidence.capacitance_rated[rows], evidence.voltage_rated[rows]
    need = np.fmax(voltage, fit.voltage_margin * evidence.number("voltage_working")[rows])
    first = evidence.word("role", "reservoir")[rows]
    most = np.where(first, capacitance, capacitance * (1 + fit.capacitance_above))
    value = preferred_value_from(capacitance, series=6)
    text: Texts = (
        "a new part: "
        + format_quantities(capacitance, "F")
        + np.where(
            first,
            " (no more: the rectifier limits it)",
            " to " + format_quantities(most, "F"),
        )
        + np.where(
            (value <= most) & ~np.isclose(value, capacitance),
            " (today " + format_quantities(value, "F") + ")",
            "",
        )
        + ", at least "
        + format_quantities(rated_voltage_from(need), "V")
    )
    text[np.isnan(capacitance) | np.isnan(need)] = "a new part"
    bipolar = evidence.word("polarity", "bipolar")[rows]
    text = text + np.where(bipolar, ", bipolar", ", the right way round").astype(object)
    for missing, what in (
        (np.isnan(capacitance) & np.isnan(need), "rating"),
        (np.isnan(capacitance) & ~np.isnan(need), "rated capacitance"),
        (~np.isnan(capacitance) & np.isnan(need), "rated voltage"),
    ):
        text[missing] += f"; its {what} is not known, find it {FIND_IT}"
    return text
