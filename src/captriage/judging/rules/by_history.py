"""Rules on the rating, the past, and on whether the readings can be believed together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from captriage.columns import CAPACITANCE, HEALED, REBOUNDED, UNDER_WAY
from captriage.judging.case import Case
from captriage.judging.evidence import Mask
from captriage.judging.held import CONDITIONAL_FAIL, CONDITIONAL_PASS, FAIL, NOT_JUDGED, NOTED, PASS
from captriage.judging.rules.by_capacitance import DOUBT, over_range, surplus, worn
from captriage.judging.rules.finding import (
    KEEP,
    MEASURE,
    NONE,
    PRACTICE,
    REFORM,
    REPLACE,
    Batch,
    not_judged,
    of_parts,
    of_readings,
    rule,
)
from captriage.model.ageing import arrhenius_life
from captriage.model.withstand import RATED_PRECISELY

REFORMING_LOG: Final = "reforming log"
"""Heading of a log of a reforming run that stands set aside beside its part."""


@rule(
    "rated voltage is the most a part may stand for long, surge voltage is for starting only: "
    "Wikipedia, Aluminum electrolytic capacitor",
    {
        "over": "The circuit puts {value} on a part rated {high}: replace it with one rated "
        "higher.",
        "tested": "It was tested at {value}, above its rated {high}: do not do so again.",
    },
    danger=("over",),
    unit="V",
)
def voltage_within_rating(case: Case) -> Iterator[Batch]:
    """The working voltage does not exceed the rated voltage."""
    evidence = case.evidence
    working, rated = evidence.number("voltage_working"), evidence.voltage_rated
    over = working > rated
    seen = evidence.policy.confidence.seen
    yield of_parts(over, FAIL, "over", advice=REPLACE, confidence=seen, value=working, high=rated)
    tested = np.full(evidence.n, -np.inf)
    np.fmax.at(tested, evidence.reading_part, evidence.reading("voltage_v"))
    above = tested > (1 + RATED_PRECISELY) * rated
    yield of_parts(above, NOTED, "tested", value=tested, high=rated)


@rule(
    PRACTICE,
    {
        "contradict": "Readings contradict each other ({disputed}): read them again, out of "
        "circuit.",
        "superseded": "Readings of an earlier day gave way to later ones.",
    },
)
def readings_agree(case: Case) -> Iterator[Batch]:
    """The readings of the part agree with each other."""
    evidence = case.evidence
    mask = np.zeros(evidence.n, bool)
    rows = evidence.reading_part
    mask[rows[case.disputed]] = True
    sure = evidence.policy.confidence.combined
    yield of_parts(mask, NOT_JUDGED, "contradict", advice=MEASURE, confidence=sure)
    earlier = np.zeros(evidence.n, bool)
    earlier[evidence.reading_part[evidence.superseded]] = True
    yield of_parts(earlier, NOTED, "superseded")


@rule(
    "reject what settles above the limit or rises while reforming: surplus-trade and museum "
    "practice; rest of 24 to 48 h before the re-test: IEC 60384-4 subclause 4.17, as data sheets "
    "give it",
    {
        HEALED: "It was reformed, and after a rest its current was within the limit again.",
        "read since": "It was reformed, and its current settled below the limit.",
        "settled below limit": "It was reformed, and its current settled below the limit; whether "
        "it stays there after a rest has not been read.",
        UNDER_WAY: "Its reforming has not come to an end yet.",
        REBOUNDED: "It was reformed, but after a rest its current was above the limit again: it "
        "had not healed.",
        "settled above limit": "It was reformed, and its current settled above the limit.",
        "rising": "Reforming was stopped because the current rose at steady voltage.",
        "broken down": "It broke down while it was reformed.",
        "can": "Another section of its can broke down while it was reformed: gas and heat went "
        "through the whole can.",
    },
    danger=("rising", "broken down", "can"),
)
def reform_settled(case: Case) -> Iterator[Batch]:
    """A reform that was done settled below the limit, and stayed there over a rest.

    A current that settles is no proof of healing: what only soaked up charge falls as well, and
    comes back. Without a reading within the limit the part is measured again, never kept.
    """
    evidence = case.evidence
    yield of_parts(evidence.word("reform_outcome", HEALED), PASS, HEALED)
    settled = evidence.word("reform_outcome", "settled below limit")
    yield of_parts(settled & case.leakage_kept, PASS, "read since")
    unproven = settled & ~case.leakage_kept
    yield of_parts(unproven, NOT_JUDGED, "settled below limit", advice=MEASURE)
    sure = evidence.policy.confidence.combined
    under_way = evidence.word("reform_outcome", UNDER_WAY)
    yield of_parts(under_way, NOT_JUDGED, UNDER_WAY, advice=REFORM, confidence=sure)
    for outcome in ("settled above limit", REBOUNDED, "rising", "broken down"):
        failed = evidence.word("reform_outcome", outcome)
        yield of_parts(failed, FAIL, outcome, advice=REPLACE, confidence=sure)
    broken = evidence.word("reform_outcome", "broken down")
    cans = np.zeros(evidence.n, bool)
    cans[evidence.can_row[broken]] = True
    yield of_parts(cans[evidence.can_row] & ~broken, FAIL, "can", advice=REPLACE, confidence=sure)


@rule(
    "after rated voltage and a rest of 24 to 48 h, capacitance within 10 % and ESR at most 1.2 "
    "times: shelf-life test, IEC 60384-4 subclause 4.17, as an 85 °C snap-in data sheet gives it; "
    "that what fails it is replaced: ours",
    {
        "as before": "Capacitance {value}{at}, before the reform {before}: within {low} to {high}.",
        "loss as before": "{quantity} {value}{at}, before the reform {before}: at most {high}.",
        "fell": "Capacitance {value}{at} is below {low}: before the reform it was {before}, and a "
        "part that comes good loses less.",
        "rose": "Capacitance {value}{at} is above {high}: before the reform it was {before}, and "
        "no reform explains that.",
        "lossier": "{quantity} {value}{at} is above {high}: before the reform it was {before}, and "
        "a part that comes good gains less.",
        "just": "{quantity} {value}{at}, before the reform {before}, has more likely changed "
        "too far than not.",
        "unread": "It was reformed, and neither capacitance nor ESR has been read since, to be "
        "held against those before.",
        "no reform": "Capacitance or ESR before a reform is told, but not what came of the reform.",
        "untold": "{quantity} {value}{at}, before a reform {before}, has changed too far for one "
        "that went well, and what came of it is not told.",
    },
)
def unchanged_by_reform(case: Case) -> Iterator[Batch]:
    """Capacitance and ESR are after a reform what they were before it, or nearly.

    The current alone may come back into its limit while the part dries out or gases. More ESR,
    or less capacitance, than the test allows is not undone by reading again; more capacitance
    is no damage that a reform does, so the readings are doubted and not the part.
    """
    evidence, held = case.evidence, case.change
    before = case.known_before
    if not before.any():
        return
    sure = evidence.policy.confidence.combined
    of_capacitance = evidence.quantity[held.row] == CAPACITANCE
    passed = np.isin(held.outcome, (PASS, CONDITIONAL_PASS))
    less = held.value < held.low
    told = evidence.reformed[held.part]
    fail, just = ((held.outcome == each) & told for each in (FAIL, CONDITIONAL_FAIL))
    untold = np.isin(held.outcome, (FAIL, CONDITIONAL_FAIL)) & ~told
    doubt = DOUBT[evidence.policy.doubt.conditional_fail]
    again = MEASURE if doubt == REFORM else doubt  # a second reform mends neither
    for wanted, wording, advice in (
        (passed & of_capacitance, "as before", NONE),
        (passed & ~of_capacitance, "loss as before", NONE),
        (fail & of_capacitance & less, "fell", REPLACE),
        (fail & of_capacitance & ~less, "rose", MEASURE),
        (fail & ~of_capacitance, "lossier", REPLACE),
        (just, "just", again),
        (untold, "untold", MEASURE),
    ):
        yield of_readings(held, wanted, wording, advice=advice, confidence=sure)
    yield from not_judged(held)
    read = case.capacitance.parts_with(PASS, CONDITIONAL_PASS, CONDITIONAL_FAIL, FAIL)
    read |= case.loss.parts_with(PASS, CONDITIONAL_PASS, CONDITIONAL_FAIL, FAIL)
    unread = before & evidence.reformed & ~read
    yield of_parts(unread, NOT_JUDGED, "unread", advice=MEASURE)
    silent = before & ~evidence.reformed & ~evidence.word("reform_outcome", UNDER_WAY)
    yield of_parts(silent, NOTED, "no reform")


@rule(
    PRACTICE,
    {
        "unread": "A cell of its row could not be used ({unread}), and may speak against it: mend "
        "it and judge again.",
        "log": "Its log could not be used to its end, or tells of something to be looked at, and "
        "may speak against it ({unread}): see why with 'captriage reform read' and the log.",
    },
)
def cells_understood(case: Case) -> Iterator[Batch]:
    """Every cell of the part that says something of it could be used, and every log."""
    cells, logs = np.zeros((2, case.evidence.n), bool)
    for row, found in case.evidence.unread.items():
        (logs if found.startswith(f"{REFORMING_LOG}: ") else cells)[row] = True
    yield of_parts(cells, NOT_JUDGED, "unread", advice=MEASURE)
    yield of_parts(logs, NOT_JUDGED, "log", advice=MEASURE)


def life_used(case: Case) -> np.ndarray:
    """Share of its life a part has used, by its hours and temperature; NaN untold."""
    evidence = case.evidence
    life = evidence.policy.life
    expected = arrhenius_life(
        life.hours,
        life.temperature_degc,
        temperature_degc=evidence.number("service_temperature_degc"),
    )
    return evidence.number("service_hours") / expected


@rule(
    "L = L0 · 2^((T0 - T)/10): Wikipedia, Aluminum electrolytic capacitor",
    {"used": "By its hours and temperature it has used {percent_life} of its expected life."},
)
def life_left(case: Case) -> Iterator[Batch]:
    """By hours and temperature of service, some of its life is left."""
    used = life_used(case)
    yield of_parts(used > 1, NOTED, "used", value=used)


def enough_read(case: Case) -> Mask:
    """Parts with a good reading that shows the part is there: capacitance or loss."""
    return case.capacitance.parts_with(PASS, CONDITIONAL_PASS) | case.loss_kept | worn(case)


def nothing_against(case: Case) -> Mask:
    """Parts with no reading beyond its limit, but for a capacitance that has its reason."""
    explained = worn(case) | (case.capacitance_is_high & case.leakage_proven)
    beyond = case.capacitance.parts_with(CONDITIONAL_FAIL, FAIL) & ~explained
    for held in (case.loss, case.leakage, case.change):
        beyond |= held.parts_with(CONDITIONAL_FAIL, FAIL)
    return ~beyond


@rule(
    "the limits named with each reading",
    {
        "sound": "{readings}.",
        "leakage only": "{readings}, but an open part does not leak either: capacitance and ESR "
        "prove it.",
    },
)
def readings_within_limits(case: Case) -> Iterator[Batch]:
    """What was read is within its limits."""
    enough = enough_read(case) & nothing_against(case)
    only = case.leakage_kept & ~enough_read(case) & nothing_against(case)
    yield of_parts(enough, PASS, "sound", advice=KEEP, confidence=keep_confidence(case))
    yield of_parts(only, NOT_JUDGED, "leakage only", advice=MEASURE)


def keep_confidence(case: Case) -> np.ndarray:
    """How sure a keep is: the least sure reading, times a factor for each that is missing."""
    evidence = case.evidence
    sure = evidence.policy.confidence
    confidence = np.full(evidence.n, sure.combined)  # readings of a day prove no more
    for held in (case.capacitance, case.loss, case.leakage, case.change):
        kept = held.parts_with(PASS, CONDITIONAL_PASS)
        probability = np.append(held.probability, np.nan)[held.worst]
        confidence = np.where(kept, np.minimum(confidence, probability), confidence)
    missing_c = ~case.capacitance.parts_with(PASS, CONDITIONAL_PASS)
    confidence *= np.where(missing_c, sure.without_capacitance, 1.0)
    confidence *= np.where(case.loss_kept, 1.0, sure.without_loss)
    blocking = evidence.word("role", "coupling", "timing")
    without = np.where(blocking, sure.without_leakage_blocking, sure.without_leakage)
    confidence *= np.where(case.leakage_proven, 1.0, without)
    unsettled = np.zeros(evidence.n, bool)
    unsettled[case.loss.part] = True
    unsettled &= case.loss.worst < 0  # read, but at no known frequency or the like
    unsettled |= over_range(case)
    weak = surplus(case) | unsettled | evidence.look("residue") | (life_used(case) > 1)
    return confidence * np.where(weak, sure.history_assumed, 1.0)
