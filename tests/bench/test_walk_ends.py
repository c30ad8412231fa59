"""How a walk ends: what is done, what is left, and what is said of it."""

import pytest

from bench.at_the_bench import PARTS, Sitting

NAMES = [part["part"] for part in PARTS[:2]]


@pytest.fixture
def sitting(tmp_path):
    with Sitting(tmp_path) as at_work:
        yield at_work


def test_ended_while_the_last_part_is_taken_off_every_part_is_done(sitting):
    sitting.by_itself("D1").on("ready  D3", "clip D3").on("done   D3", "key q")
    summary = sitting.log()
    assert (summary.done, summary.left, summary.ended) == (NAMES, [], "")
    assert not sitting.shown.having("left: ")
    assert sitting.log(resume=True).taken == 0
    assert sitting.shown.lines[-2].startswith("done   all 2 parts are done already: nothing is ")
    assert sitting.shown.lines[-1].startswith("captriage judge --book ")
    with sitting.opened() as (book, job):
        assert len(book.runs(job)) == 1


def test_ended_in_a_part_that_is_done_it_is_not_left(sitting):
    sitting.on("ready  D1", "clip D1").on("done   D1", "key q")
    summary = sitting.log()
    assert (summary.done, summary.left) == (["D1"], ["D3"])
    assert summary.ended == "ended by the person"


def test_a_part_that_is_taken_anew_and_not_to_its_end_is_left(sitting):
    sitting.on("ready  D1", "clip D1", "key q").on("done   D1", "off")
    sitting.on("ready  D3", "key b").on("D1 has answers 1.1 to 1.5", "key r")
    summary = sitting.log()
    assert (summary.done, summary.left) == ([], NAMES)
    assert sitting.shown.having("kept   0 parts, 0 answers, and 5 struck out")


def test_a_part_that_was_passed_over_and_taken_after_all_is_not_passed_over(sitting):
    sitting.on("ready  D1", "key s", "clip D1").on("done   D1", "off")
    sitting.on("ready  D3", "key b", "clip D3").on("done   D3", "off")
    summary = sitting.log()
    assert (summary.done, summary.skipped, summary.left) == (NAMES, [], [])
