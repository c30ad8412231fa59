"""What a user asks of the book is done by the same code as for sheets."""

import pandas as pd
import pytest

from captriage.errors import BookError, PolicyError, ReadingsError
from captriage.jobs import book as jobs
from captriage.jobs import sheets


@pytest.fixture
def where(tmp_path):
    """A book with the rack of the demonstration in it."""
    where = tmp_path / "bench.book"
    jobs.new_job(where, "rack", machine="amplifier rack of 1959")
    jobs.import_sheets(where, sheets.demo_sheets()[:2], "rack")
    return where


def test_a_job_is_judged_word_for_word_as_its_sheets(where):
    of_sheets = sheets.judge(sheets.demo_sheets()[:2], today_year=2026)
    of_book = jobs.judge(where, "rack", today_year=2026)
    pd.testing.assert_frame_equal(of_book.verdicts, of_sheets.verdicts)
    pd.testing.assert_frame_equal(of_book.findings, of_sheets.findings)


def test_verdicts_stay_in_the_book_unless_that_is_not_wanted(where):
    jobs.judge(where, "rack", today_year=2026, record=False)
    assert jobs.list_job(where, "rack").verdicts == []
    judged = jobs.judge(where, "rack", today_year=2026)
    kept = jobs.list_job(where, "rack").verdicts
    assert [row["verdict"] for row in kept] == judged.verdicts["verdict"].tolist()
    assert {row["policy"] for row in kept} == {judged.policy.title}
    jobs.judge(where, "rack", today_year=2026)
    assert len(jobs.list_job(where, "rack").verdicts) == len(kept)


def test_a_struck_reading_no_longer_decides(where):
    before = jobs.judge(where, "rack", today_year=2026).verdicts.set_index("part")["verdict"]
    short = [
        (row["run_id"], row["answer"])
        for row in jobs.list_job(where, "rack").readings
        if row["part"] == "P3 b" and row["quantity"] == "capacitance"
    ]
    told = jobs.strike_answer(where, *short[0], "the clip had slipped")
    assert told == f"answer {short[0][0]}.{short[0][1]} of P3 b: capacitance 310 pF"
    after = jobs.judge(where, "rack", today_year=2026).verdicts.set_index("part")["verdict"]
    assert (before["P3 b"], after["P3 b"]) == ("replace", "not judged")
    assert before.drop("P3 b").equals(after.drop("P3 b"))


def test_an_export_is_judged_as_the_book_is(where, tmp_path):
    files = jobs.export(where, "rack", tmp_path / "out")
    of_book = jobs.judge(where, "rack", today_year=2026)
    pd.testing.assert_frame_equal(sheets.judge(files, today_year=2026).verdicts, of_book.verdicts)
    other = tmp_path / "other.book"
    jobs.new_job(other, "rack")
    jobs.import_sheets(other, files, "rack")
    again = jobs.export(other, "rack", tmp_path / "again")
    assert [path.read_bytes() for path in again] == [path.read_bytes() for path in files]


def test_lists_hold_what_was_kept(where):
    (job,) = jobs.list_jobs(where).jobs
    assert (job["name"], job["machine"], job["parts"], job["readings"]) == (
        "rack", "amplifier rack of 1959", 17, 47,
    )  # fmt: skip
    listed = jobs.list_job(where, "rack")
    assert (len(listed.parts), len(listed.readings), len(listed.looks)) == (17, 47, 18)
    assert listed.runs[0]["address"] == "rack_parts.csv, rack_readings.csv"
    assert listed.readings[0]["raw"] == "36.1"


def test_a_copy_is_sound(where, tmp_path):
    jobs.backup(where, tmp_path / "copy.book")
    assert jobs.problems(where) == []
    assert jobs.problems(tmp_path / "copy.book") == []


def test_a_sheet_that_cannot_be_read_leaves_the_book_as_it_was(where, tmp_path):
    (tmp_path / "bad.csv").write_text("hello\n", encoding="utf-8")
    with pytest.raises(ReadingsError, match=r"bad.csv: "):
        jobs.import_sheets(where, [tmp_path / "bad.csv"], "rack")
    assert len(jobs.list_job(where, "rack").runs) == 1


def test_a_job_without_parts_is_not_judged(where):
    jobs.new_job(where, "empty")
    with pytest.raises(BookError, match="job empty has no parts; take a list in with"):
        jobs.judge(where, "empty")


def test_a_policy_that_is_missing_is_told_before_the_book_is_touched(tmp_path):
    with pytest.raises(PolicyError, match="mine"):
        jobs.judge(tmp_path / "missing.book", "rack", policy="mine")
