"""Rules on capacitance: short, open, out of range, low, high."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from captriage.columns import CAPACITANCE, ESR, IMPEDANCE, RESISTANCE, TAN_DELTA
from captriage.judging.case import Case, beyond
from captriage.judging.evidence import Mask
from captriage.judging.held import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    NOT_JUDGED,
    NOTED,
    PASS,
)
from captriage.judging.rules.finding import (
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

DOUBT = {"measure": MEASURE, "reform": REFORM, "replace": REPLACE}


def parts_flagged(case: Case, flag: str, *quantities: str) -> Mask:
    """Parts with an undisputed reading of these quantities whose flag begins so."""
    evidence = case.evidence
    flagged = evidence.flagged(flag) & ~case.disputed
    flagged &= evidence.of_quantity(*quantities)
    mask = np.zeros(evidence.n, bool)
    mask[evidence.reading_part[flagged]] = True
    return mask


@rule(
    PRACTICE,
    {
        "written": "It was found shorted.",
        "written in circuit": "It was found shorted in circuit, where a winding or another part "
        "may be the short: lift one end and read again.",
        "conducts": "{value} between the terminals would pass more than the leakage limit at its "
        "voltage: it leaks, or was still charging when it was read.",
        "resistance": "{value} between the terminals, below {high}: it is shorted.",
        "in_circuit": "{value} between the terminals, in circuit: lift one end and read again.",
    },
    danger=("written", "resistance", "conducts"),
    unit="Ω",
)
def not_shorted(case: Case) -> Iterator[Batch]:
    """There is no short between the terminals."""
    evidence = case.evidence
    sure = evidence.policy.confidence.open_or_short
    written = parts_flagged(case, "short", CAPACITANCE, ESR, IMPEDANCE, RESISTANCE)
    inside = evidence.in_circuit
    yield of_parts(written & ~inside, FAIL, "written", advice=REPLACE, confidence=sure)
    yield of_parts(written & inside, NOT_JUDGED, "written in circuit", advice=MEASURE)
    bound = evidence.policy.short.resistance_below
    ohms = evidence.of_quantity(RESISTANCE)
    read = ohms & (evidence.reading("value") >= 0) & ~evidence.superseded
    value = np.full(evidence.n, np.nan)
    value[evidence.reading_part[read]] = evidence.reading("value")[read]
    short = value < bound
    most = np.full(evidence.n, bound)
    conducts = (evidence.voltage_proof > case.criteria.lenient * value) & ~short
    unproven = conducts & ~case.leakage_kept
    for parts, outcome, wording, advice in (
        (short & ~inside, FAIL, "resistance", REPLACE),
        (short & inside, NOT_JUDGED, "in_circuit", MEASURE),
        (unproven & ~inside, FAIL, "conducts", MEASURE),
    ):
        yield of_parts(
            parts, outcome, wording, advice=advice, confidence=sure, value=value, high=most
        )


@rule(
    PRACTICE,
    {
        "written": "It was found open.",
        "gone": "Capacitance {value} of {rated} rated, {percent}: it is open.",
    },
)
def not_open(case: Case) -> Iterator[Batch]:
    """The capacitance is there: the part is not open."""
    evidence = case.evidence
    sure = evidence.policy.confidence.open_or_short
    written = parts_flagged(case, "open", CAPACITANCE, ESR, IMPEDANCE)
    yield of_parts(written, FAIL, "written", advice=REPLACE, confidence=sure)
    held = case.capacitance
    gone = is_open(case) & ~written
    wanted = beyond(held) & gone[held.part] & (held.value < held.low)
    yield of_readings(held, wanted, "gone", advice=REPLACE, confidence=sure)


def is_open(case: Case) -> Mask:
    """Parts whose capacitance is a few per cent of rated at most."""
    few = case.evidence.policy.capacitance.open_below
    return case.capacitance_is_low & (case.capacitance_fraction < few)


@rule(
    "a reading beyond the meter's range is none; common practice",
    {
        "no bound": "The meter showed over-range: leaky, shorted, or only beyond the meter.",
        "no reading": "The meter gave no reading.",
        "negative": "The meter showed a series resistance below nought, beyond its uncertainty: "
        "zero it with its leads, and read again.",
    },
)
def meter_in_range(case: Case) -> Iterator[Batch]:
    """The meter was in its range.

    What is beyond it may be a fault of the part, so nothing is kept on the other readings
    while neither capacitance nor loss, whichever was beyond, has been read since.
    """
    beyond_it = over_range(case)
    lossless = unbounded(case, "over range", of=(ESR, TAN_DELTA, IMPEDANCE)) & ~case.loss_kept
    unread = unbounded(case, "over range", of=(CAPACITANCE,)) & (case.capacitance.worst < 0)
    settles = lossless | (unread & ~case.leakage_kept)
    yield of_parts(beyond_it & ~settles, NOT_JUDGED, "no bound")
    yield of_parts(settles, NOT_JUDGED, "no bound", advice=MEASURE)
    yield of_parts(negative_loss(case), NOT_JUDGED, "negative", advice=MEASURE)
    silent = ("no reading", "not a number", "not measured", "ambiguous")
    yield of_parts(unbounded(case, *silent), NOT_JUDGED, "no reading")


def over_range(case: Case) -> Mask:
    """Parts that showed over-range on a meter whose range is not told."""
    return unbounded(case, "over range")


def negative_loss(case: Case) -> Mask:
    """Parts whose loss was read below nought by more than the meter's uncertainty."""
    evidence = case.evidence
    value = evidence.captures.value
    told = np.nan_to_num(evidence.captures.stated)
    below = evidence.of_quantity(ESR, TAN_DELTA) & (value < -told) & ~evidence.superseded
    mask = np.zeros(evidence.n, bool)
    mask[evidence.reading_part[below]] = True
    return mask


def unbounded(case: Case, *flags: str, of: tuple[str, ...] = ()) -> Mask:
    """Parts with a reading of these flags that gives no bound either; of all quantities or few."""
    evidence = case.evidence
    bound = ~np.isnan(evidence.reading("at_least")) | ~np.isnan(evidence.reading("range_high"))
    mask = np.zeros(evidence.n, bool)
    flagged = evidence.flagged(*flags) & ~bound
    if of:
        flagged &= evidence.of_quantity(*of)
    mask[evidence.reading_part[flagged]] = True
    return mask


@rule(
    "limits of tan δ, and capacitance, as the rules on each; that drying shows in both: "
    "A. Albertsen, Electrolytic Capacitor Lifetime Estimation, 2012",
    {
        "dried": "Dried out: capacitance {value} is below {low} and {loss}. "
        "Reforming brings no electrolyte back."
    },
)
def not_dried_out(case: Case) -> Iterator[Batch]:
    """Capacitance is not low while ESR is high: the part has not dried out."""
    dried = case.capacitance_is_low & case.loss.parts_with(FAIL) & ~is_open(case)
    held = case.capacitance
    wanted = beyond(held) & dried[held.part] & (held.value < held.low)
    sure = case.evidence.policy.confidence.combined
    yield of_readings(held, wanted, "dried", advice=REPLACE, confidence=sure)


@rule(
    "tolerance as marked, or usual for the era (its row names the source); end of life at C down "
    "> 30 %, as reported by Wikipedia, Aluminum electrolytic capacitor",
    {
        "within": "Capacitance {value} is within {low} to {high}.",
        "idle": "Capacitance {value} is below {low} ({percent} of rated) with good {loss}, on a "
        "part long without voltage: reforming may bring it back.",
        "untold": "Capacitance {value} is below {low} ({percent} of rated) with good {loss}, on "
        "a part that may have been long without voltage: reforming may bring it back.",
        "no loss": "Capacitance {value} is below {low} ({percent} of rated), and ESR is not "
        "read: if that is good reforming may bring it back, if not it has dried out.",
        "worn": "Capacitance {value} is below {low} ({percent} of rated): worn, but not yet at "
        "the end of life.",
        "spent": "Capacitance {value} is {percent} of rated, beyond the end of life.",
        "too far": "Capacitance {value} is {percent} of rated: too far gone for reforming.",
        "just low": "Capacitance {value} is more likely below {low} than not.",
    },
)
def capacitance_not_low(case: Case) -> Iterator[Batch]:
    """Capacitance is not below its tolerance."""
    held, evidence = case.capacitance, case.evidence
    sure = evidence.policy.confidence
    passed = np.isin(held.outcome, (PASS, CONDITIONAL_PASS))
    yield of_readings(held, passed, "within")
    low = case.capacitance_is_low & ~is_open(case) & ~case.loss.parts_with(FAIL)
    idle, untold = evidence.long_idle, evidence.untold
    used = ~evidence.perhaps_idle
    told = np.where(idle, sure.history_known, sure.history_assumed)
    hopeless = case.capacitance_fraction < evidence.policy.capacitance.reform_from
    good = case.loss_kept
    clear = case.capacitance.parts_with(FAIL)
    below = beyond(held) & (held.value < held.low)
    if_worn = {"keep": NONE, "replace": REPLACE}[evidence.policy.doubt.worn]
    just = doubt_advice(case)
    for parts, wording, advice, confidence in (
        (low & clear & ~used & hopeless, "too far", REPLACE, sure.history_known),
        (low & clear & idle & good & ~hopeless, "idle", REFORM, sure.history_known),
        (low & clear & untold & good & ~hopeless, "untold", REFORM, sure.history_assumed),
        (low & clear & ~used & ~good & ~hopeless, "no loss", REFORM, told * sure.without_loss),
        (low & clear & used & ~worn(case), "spent", REPLACE, sure.history_known),
        (low & worn(case), "worn", if_worn, sure.history_known),
        (low & ~clear & ~worn(case), "just low", just, 1.0),
    ):
        wanted = below & parts[held.part]
        yield of_readings(held, wanted, wording, advice=advice, confidence=confidence)
    yield from not_judged(held)


def worn(case: Case) -> Mask:
    """Capacitance below tolerance, not yet at the end of life, and no idle time to explain it.

    Nor does a reading just below a tolerance that is only assumed ask for more than this.
    """
    evidence = case.evidence
    spent = case.capacitance_fraction < 1 + evidence.policy.capacitance.worn_below
    slight = ~case.capacitance.parts_with(FAIL) & ~evidence.tolerance_told
    return case.capacitance_is_low & ~spent & (~evidence.perhaps_idle | slight)


def doubt_advice(case: Case) -> np.ndarray:
    """What a reading just beyond its limit leads to, by part: reforming needs an idle part."""
    advice = DOUBT[case.evidence.policy.doubt.conditional_fail]
    if advice == REFORM:
        return np.where(case.evidence.perhaps_idle, REFORM, MEASURE).astype(np.int8)
    return np.full(case.evidence.n, advice, np.int8)


@rule(
    "a leak inflates what a charge-timing meter shows (arithmetic of the charging model); that "
    "a wide plus tolerance may be honest: common practice",
    {
        "settled": "Capacitance {value} is above {high}, but the leakage reading is good: an "
        "honest surplus.",
        "leaky": "Capacitance {value} is above {high}: a sign of leakage, which its own reading "
        "confirms.",
        "reform": "Capacitance {value} is above {high}: a sign of leakage, not a bonus, and no "
        "leakage reading settles it.",
        "measure": "Capacitance {value} is above {high}: a sign of leakage; read the leakage.",
        "absurd": "Capacitance {value} is far above {high} though it does not leak: a wrong "
        "reading, marking or section.",
        "wide": "Capacitance {value} is well above {rated} rated: honest if it was made with a "
        "wide plus tolerance, else a sign of leakage.",
    },
    unit="F",
)
def capacitance_not_high(case: Case) -> Iterator[Batch]:
    """Capacitance is not above its tolerance."""
    held, evidence = case.capacitance, case.evidence
    high = case.capacitance_is_high
    bad = case.leakage.parts_with(CONDITIONAL_FAIL, FAIL)
    proven = case.leakage_proven & ~bad
    idle = evidence.perhaps_idle
    sure = evidence.policy.confidence
    told = np.where(evidence.long_idle, sure.history_known, sure.history_assumed)
    above = beyond(held) & (held.value > held.high)
    far = evidence.policy.contradiction.ratio
    absurd = held.at_worst(held.value > far * held.high)
    for parts, wording, advice in (
        (high & proven & ~absurd, "settled", NONE),
        (high & proven & absurd, "absurd", MEASURE),
        (high & bad, "leaky", NONE),
        (high & ~proven & ~bad & idle, "reform", REFORM),
        (high & ~proven & ~bad & ~idle, "measure", MEASURE),
    ):
        wanted = above & parts[held.part]
        yield of_readings(held, wanted, wording, advice=advice, confidence=told)
    yield of_parts(surplus(case), NOTED, "wide", value=worst_capacitance(case))


def surplus(case: Case) -> Mask:
    """Parts well above rated, within a plus tolerance that is only assumed, leakage unproven."""
    allowed = case.evidence.policy.capacitance.surplus_above
    kept = case.capacitance.parts_with(PASS, CONDITIONAL_PASS)
    unsure = ~case.evidence.tolerance_told & ~case.leakage_proven
    return kept & unsure & (case.capacitance_fraction > 1 + allowed)


def worst_capacitance(case: Case) -> np.ndarray:
    """The capacitance reading of each part that tells the worst. [F]"""
    return np.append(case.capacitance.value, np.nan)[case.capacitance.worst]
