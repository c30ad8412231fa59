"""What is filed of a meter's settings: as it says itself, or that it was not asked."""

import re
from pathlib import Path

import pytest

from bench.at_the_bench import PARTS, Sitting


@pytest.fixture
def sitting(tmp_path):
    with Sitting(tmp_path, PARTS[:1]) as at_work:
        yield at_work.by_itself("D1")


def test_what_is_filed_is_the_frequency_that_the_bridge_says_it_has(sitting):
    bridge = sitting.bench.ports["bridge"].instrument  # one whose clock cannot make 120 Hz
    answer = bridge.answer
    bridge.answer = lambda line: "+1.199040E+02" if line == "FREQ?" else answer(line)
    assert sitting.log().done == ["D1"]
    with sitting.opened() as (book, job):
        (run,) = book.runs(job)
        assert (run.settings["frequency_hz"], run.settings["level_v"]) == (119.904, 0.5)
        assert run.settings["not_read_back"] == []
        assert {row.frequency_hz for row in book.readings(job)} == {119.904}
    assert not sitting.shown.having("not read back")
    bridge.answer = answer
    sitting.log(resume=True)  # another bridge: the same measurement all the same
    assert sitting.shown.having("done already: nothing is left to be read")


def test_what_was_not_read_back_is_filed_as_that_and_told(sitting):
    meter = sitting.meter

    def unconfirmed(name):
        """A meter whose profile does not say how its settings are confirmed."""
        meant = meter(name)
        profile = Path(meant.profile)
        text = profile.read_text("utf-8").partition("[[transcripts]]")[0]
        profile.write_text(re.sub(r"(?ms)^confirm = \[.*?\]\n(?=read)", "", text), "utf-8")
        return meant

    sitting.meter = unconfirmed
    assert sitting.log().done == ["D1"]
    said = "bridge: function and frequency and level set, not read back"
    assert sitting.events("note") == [("note", "", said)]
    assert sitting.shown.having(f"note   {said}: see on its display that it is so")
    with sitting.opened() as (book, job):
        (run,) = book.runs(job)
        assert run.settings["not_read_back"] == ["function", "frequency_hz", "level_v"]
        assert {row.frequency_hz for row in book.readings(job)} == {120.0}


def test_a_meter_that_is_set_by_hand_is_no_cause_for_a_note(sitting):
    sitting.stream(until_s=0.5)  # it sends unasked, as its switch stands
    assert sitting.events("note") == []
