"""Rules on what is seen, felt and heard."""

from __future__ import annotations

from collections.abc import Iterator

from captriage.judging.case import Case
from captriage.judging.held import FAIL, NOT_JUDGED, NOTED, PASS
from captriage.judging.rules.finding import MEASURE, NONE, PRACTICE, REPLACE, Batch, of_parts, rule

CASE_DAMAGE = {
    "bulged": "The case or its end is bulged: gas has formed inside.",
    "vented": "The vent has opened or the seal is pushed out.",
    "leaked": "Electrolyte has leaked out.",
    "scorched": "The part is scorched.",
    "split": "The case or seal is split.",
    "burst": "The case has burst.",
}


@rule(
    PRACTICE,
    {**CASE_DAMAGE, "sound": "Nothing wrong is to be seen."},
    danger=tuple(CASE_DAMAGE),
)
def case_undamaged(case: Case) -> Iterator[Batch]:
    """The case is not bulged, vented, leaked, scorched, split or burst."""
    evidence = case.evidence
    seen = evidence.policy.confidence.seen
    for look in CASE_DAMAGE:
        yield of_parts(evidence.look(look), FAIL, look, advice=REPLACE, confidence=seen)
    yield of_parts(evidence.look("sound") & ~evidence.look(*CASE_DAMAGE), PASS, "sound")


@rule(
    PRACTICE,
    {
        "residue": "Old hard residue at a seal or terminal: a judgement, which readings alone "
        "cannot make."
    },
)
def seal_free_of_residue(case: Case) -> Iterator[Batch]:
    """No residue at the seals and terminals."""
    doubt = case.evidence.policy.doubt
    advice = {"keep": NONE, "measure": MEASURE, "replace": REPLACE}[doubt.residue]
    confidence = case.evidence.policy.confidence.history_assumed
    yield of_parts(
        case.evidence.look("residue"), NOTED, "residue", advice=advice, confidence=confidence
    )


@rule(
    "reverse voltage at most 1 V: Vishay BCcomponents docs 28309 and 28327",
    {
        "reversed": "It was fitted the wrong way round: voltage of the wrong sign forms the "
        "cathode, makes gas and can burst the case.",
        "bipolar": "It is bipolar, so that the way round does not matter.",
    },
    danger=("reversed",),
)
def polarity_right(case: Case) -> Iterator[Batch]:
    """The part has not been run with reversed polarity."""
    evidence = case.evidence
    bipolar = evidence.word("polarity", "bipolar")
    turned = evidence.look("reversed")
    seen = evidence.policy.confidence.seen
    yield of_parts(turned & ~bipolar, FAIL, "reversed", advice=REPLACE, confidence=seen)
    yield of_parts(turned & bipolar, NOTED, "bipolar")


@rule(
    PRACTICE,
    {
        "unclear": "The polarity marks are missing or contradict each other: no voltage before "
        "the polarity is settled."
    },
    danger=("unclear",),
)
def polarity_clear(case: Case) -> Iterator[Batch]:
    """The polarity is marked, and the marks agree."""
    evidence = case.evidence
    unclear = evidence.look("polarity unclear") & ~evidence.word("polarity", "bipolar")
    seen = evidence.policy.confidence.seen
    yield of_parts(unclear, FAIL, "unclear", advice=MEASURE, confidence=seen)


@rule(
    PRACTICE,
    {
        "unclear": "What was written of its looks was not understood: look again, and say it in a "
        "word of the vocabulary."
    },
)
def looks_understood(case: Case) -> Iterator[Batch]:
    """What was written of its looks is understood."""
    unclear = case.evidence.look("unclear")
    yield of_parts(unclear, NOT_JUDGED, "unclear", advice=MEASURE)


@rule(
    PRACTICE,
    {
        "broken terminal": "A terminal or lead is broken off.",
        "corroded": "A terminal or lead is corroded: clean it and look again.",
        "sleeve": "The sleeve is shrunk, torn or missing: the case may be live.",
        "dented": "The case is dented: look for a short when it is read.",
    },
)
def outside_in_order(case: Case) -> Iterator[Batch]:
    """Terminals, leads and sleeve are in order."""
    evidence = case.evidence
    broken = evidence.look("broken terminal")
    seen = evidence.policy.confidence.seen
    yield of_parts(broken, FAIL, "broken terminal", advice=REPLACE, confidence=seen)
    for look in ("corroded", "sleeve", "dented"):
        yield of_parts(evidence.look(look), NOTED, look)


@rule(
    PRACTICE,
    {
        "warm": "It grew warm with voltage on: the leakage heats it.",
        "noisy": "It hissed or crackled with voltage on: sparking or gas inside.",
    },
    danger=("warm", "noisy"),
)
def cool_and_quiet(case: Case) -> Iterator[Batch]:
    """The part stays cool and quiet with voltage on."""
    evidence = case.evidence
    seen = evidence.policy.confidence.seen
    for look in ("warm", "noisy"):
        yield of_parts(evidence.look(look), FAIL, look, advice=REPLACE, confidence=seen)
