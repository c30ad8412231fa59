"""Verdicts are kept as they were given, and the same one not twice."""

import pandas as pd
import pytest

from captriage import __version__
from captriage.columns import VERDICTS
from captriage.errors import BookError
from store.entered import job_with_parts


def given(*parts, **changes):
    """Verdicts frame with a line a part."""
    said = {
        "can": "", "section": "", "verdict": "replace", "confidence": 0.97,
        "decided_by": "leakage_within_limit", "because": "2 mA, limit 1.1 mA", "limit": "own",
        "next": "", "energise": "never", "assumed": "", "source": "rack.csv:3",
    } | changes  # fmt: skip
    return pd.DataFrame([{"part": part, **said} for part in parts]).astype(VERDICTS)


def test_a_verdict_is_kept_with_policy_and_program(book):
    job, (part, _), _ = job_with_parts(book, "C1", "C2")
    assert book.give_verdicts(job, given("C1", "C2"), "ordinary service") == 2
    row = book.verdicts(job)[0]
    assert (row.part_id, row.part, row.verdict, row.confidence) == (part, "C1", "replace", 0.97)
    assert (row.policy, row.program) == ("ordinary service", __version__)
    assert row.because == "2 mA, limit 1.1 mA"


def test_a_verdict_that_says_nothing_new_is_not_kept_again(book):
    job, _, _ = job_with_parts(book, "C1", "C2")
    book.give_verdicts(job, given("C1", "C2"), "ordinary service")
    assert book.give_verdicts(job, given("C1", "C2"), "ordinary service") == 0
    assert book.give_verdicts(job, given("C1"), "strict") == 1
    assert book.give_verdicts(job, given("C1", verdict="keep"), "strict") == 1
    assert book.give_verdicts(job, given("C1"), "strict") == 1  # back to what was said before
    assert [row.verdict for row in book.verdicts(job) if row.part == "C1"] == [
        "replace", "replace", "keep", "replace",
    ]  # fmt: skip


def test_a_verdict_without_confidence_is_kept_once_as_well(book):
    job, _, _ = job_with_parts(book, "C1")
    unsure = given("C1", verdict="not judged", confidence=float("nan"))
    assert book.give_verdicts(job, unsure, "strict") == 1
    assert book.give_verdicts(job, unsure, "strict") == 0
    assert book.verdicts(job)[0].confidence != book.verdicts(job)[0].confidence


def test_a_verdict_on_another_part_is_refused_with_all_beside_it(book):
    job, _, _ = job_with_parts(book, "C1")
    with pytest.raises(BookError, match="job rack: there is no part C9; judge the job as it is"):
        book.give_verdicts(job, given("C1", "C9"), "strict")
    assert book.verdicts(job) == []
