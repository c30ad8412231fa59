"""A drawer walked part by part, over real wires, into a real book."""

import re

import pytest

from bench.at_the_bench import CHARGED, OPEN, PARTS, SHORT, FastClock, Sitting
from captriage.bench import asking

NAMES = ["D1", "D3"]


@pytest.fixture
def sitting(tmp_path):
    with Sitting(tmp_path) as at_work:
        yield at_work


@pytest.fixture
def three(tmp_path):
    with Sitting(tmp_path, PARTS) as at_work:
        yield at_work


def test_a_drawer_is_walked_hands_free_and_every_mean_is_true(sitting):
    summary = sitting.by_itself(*NAMES).log()
    assert (summary.done, summary.left, summary.ended) == (NAMES, [], "")
    for part in NAMES:
        truth = sitting.bench.truth(part)
        for quantity, true in (("capacitance", truth.capacitance), ("esr", truth.esr)):
            rows = [row for row in sitting.rows(part, quantity) if not row.struck]
            mean = sum(row.value for row in rows) / len(rows)
            assert len(rows) == 5
            assert abs(mean - true) <= rows[0].uncertainty
            assert {row.frequency_hz for row in rows} == {120.0}


def test_what_is_shown_as_taken_is_numbered_as_it_stands_in_the_book(sitting):
    sitting.by_itself(*NAMES).log(readings=2)
    shown = [line.split()[1:4] for line in sitting.shown.having("taken  ")]
    assert shown == [[row.part, "answer", f"{row.run_id}.{row.answer}"] for row in sitting.rows()]
    assert [row.answer for row in sitting.rows()] == [1, 2, 3, 4]


def test_rating_limits_mean_and_verdict_are_told_with_a_bell(sitting):
    sitting.by_itself(*NAMES).on("ready  D3", "").log()
    lines = str(sitting.shown)
    assert "part   D1  32 µF 450 V  (1 of 2)" in lines
    assert "part   D3  100 µF 25 V  (2 of 2, about 1 min left)" in lines
    assert "sound at its age: capacitance" in lines
    assert "done   D1  34.6" in lines
    assert "± 0.2 µF (spread" in lines
    assert lines.count("so far: ") == 2
    assert sitting.shown.bells == 2


def test_a_part_passed_over_is_filed_under_no_name(three):
    three.by_itself("D1").on("ready  D3", "clip D3").on("D3 is in the clips", "key s")
    three.on("ready  D8", "off").on("D8 may come", "clip D8").on("done   D8", "off")
    summary = three.log()
    assert (summary.done, summary.skipped) == (["D1", "D8"], ["D3"])
    assert three.counting("D3") == []
    assert ("skipped", "D3", "passed over by the person") in three.events()


def test_a_part_left_in_the_clips_is_not_filed_under_the_next_name(sitting):
    sitting.on("ready  D1", "clip D1").on("done   D1", "key s")
    sitting.on("comes next", "off").on("D3 may come", "clip D3")
    sitting.on("done   D3", "off")
    assert sitting.log().done == NAMES
    assert all(9e-5 < value < 1.1e-4 for value in sitting.counting("D3"))


def test_redo_strikes_the_readings_out_and_takes_new_ones(sitting):
    sitting.by_itself("D3").on("ready  D1", "clip D1")
    sitting.on("done   D1", "key r", "off")
    sitting.log()
    rows = sitting.rows("D1")
    assert [row.struck for row in rows] == ["redone"] * 5 + [""] * 5


def test_go_back_and_take_a_part_again(sitting):
    sitting.on("ready  D1", "clip D1", "clip D1").on("done   D1", "off", "off")
    sitting.on("ready  D3", "key b", "clip D3").on("done   D3", "off")
    sitting.on("D1 has answers 1.1 to 1.5", "key r")
    assert sitting.log().done == NAMES
    assert [row.struck for row in sitting.rows("D1")] == ["redone"] * 5 + [""] * 5
    assert sitting.shown.having("struck D1  answers 1.1 to 1.5: redone")
    assert sitting.shown.having("kept   2 parts, 10 answers, and 5 struck out")


def test_the_keys_are_listed_once_at_the_beginning(sitting):
    sitting.by_itself(*NAMES).log()
    (keys,) = sitting.shown.having("keys   ")
    assert keys == "keys   Enter take, r redo, s skip, b back, n note, l looks, q quit"


@pytest.mark.parametrize("key", ["", "s"])
def test_go_back_and_leave_it_as_it_is(sitting, key):
    sitting.by_itself(*NAMES).on("ready  D3", "key b", "clip D3")
    sitting.on("D1 has answers 1.1 to 1.5", f"key {key}")
    assert sitting.log().done == NAMES
    assert len(sitting.rows("D1")) == 5


def test_notes_and_looks_are_kept_while_the_work_goes_on(sitting):
    sitting.by_itself("D3").on("ready  D1", "key n rattles; key l v; key l; key bu; clip D1")
    sitting.on("done   D1", "off")
    sitting.log()
    assert ("note", "D1", "rattles") in sitting.events()
    assert sitting.looks() == [("D1", "vented"), ("D1", "bulged")]
    assert len(sitting.counting("D1")) == 5


def test_a_code_that_is_none_keeps_no_look(sitting):
    sitting.on("ready  D1", "key l x; key ?; key q")
    sitting.log()
    assert sitting.looks() == []
    assert sitting.shown.having("nothing kept: x is none of")
    assert sitting.shown.having("keys   Enter take")


def test_ending_in_the_middle_of_a_part_strikes_what_there_is_of_it(sitting):
    sitting.on("ready  D1", "clip D1").on("taken  D1  answer 1.3", "key q")
    summary = sitting.log(readings=50)
    assert (summary.done, summary.left) == ([], NAMES)
    assert summary.ended == "ended by the person"
    rows = sitting.rows("D1")
    assert len(rows) >= 3
    assert {row.struck for row in rows} == {"ended before all readings were taken"}
    assert sitting.events()[-1] == ("stopped", "", "ended by the person")


def test_what_the_machine_slept_through_is_a_gap_and_the_part_is_begun_anew(sitting):
    clock = FastClock()

    def slept():
        clock.slept_s += 60.0

    sitting.by_itself(*NAMES).on("taken  D1  answer 1.3", slept)
    assert sitting.log(clock=clock).done == NAMES
    rows = sitting.rows("D1")
    struck = "nobody watched the clips for a while"
    assert [row.struck for row in rows] == [struck] * 3 + [""] * 5
    ((kind, part, text),) = sitting.events("gap")
    assert (kind, part) == ("gap", "D1")
    assert re.fullmatch(r"60\.\d s without an answer: begun anew", text)
    assert sitting.shown.having("D1 was not watched for a while, and may be another: begun anew")
    assert [bool(row.struck) for row in sitting.rows("D3")] == [False] * 5


def test_how_the_verdicts_stand_is_told_at_the_end_with_the_command_for_the_table(sitting):
    sitting.by_itself("D1").on("ready  D3", "key q").log()
    *_, standing, command = sitting.shown.lines
    assert standing == "so far 2 parts: 0 keep, 1 reform, 0 replace, 1 not judged"
    assert command == f"captriage judge --book {sitting.book} --job drawer"
    assert sitting.shown.having("kept   1 part, 5 answers")


def test_where_nothing_was_taken_nothing_is_judged_at_the_end(sitting):
    sitting.on("ready  D1", "key q").log()
    assert not sitting.shown.having("so far")


def test_a_charged_part_is_not_measured_before_it_is_discharged(tmp_path):
    with Sitting(tmp_path, CHARGED) as sitting:
        sitting.on("ready  D5", "clip D5").on("done   D5", "off")
        sitting.on("discharge it: hold 10 kΩ across it", "discharge D5")
        assert sitting.log().done == ["D5"]
        assert sitting.shown.having("CHARGE D5 HOLDS 12 V")
        kinds = [(kind, part) for kind, part, _ in sitting.events()]
        assert ("note", "D5") in kinds
        assert any("across the clips now" in text for _, _, text in sitting.events())
        assert len(sitting.counting("D5")) == 5


def test_a_charged_part_may_be_passed_over_and_is_filed_nowhere(tmp_path):
    with Sitting(tmp_path, CHARGED + PARTS[:1]) as sitting:
        sitting.on("ready  D5", "clip D5").on("HOLDS 12 V", "key s")
        sitting.on("ready  D1", "off").on("D1 may come", "clip D1").on("done   D1", "off")
        assert sitting.log().done == ["D1"]
        assert sitting.rows("D5") == []


@pytest.mark.parametrize("fault", ["silence", "garbage", "over-range"])
def test_with_a_voltmeter_that_cannot_be_read_nothing_is_measured(tmp_path, fault):
    with Sitting(tmp_path, PARTS[:1]) as sitting:
        sitting.on("run    ", f"fault voltmeter {fault}")
        sitting.on("ready  D1", "clip D1")
        sitting.on("voltmeter does not answer", "fault voltmeter none; key ")
        sitting.on("gap    voltmeter", "fault voltmeter none")
        sitting.on("voltmeter shows", "fault voltmeter none")
        sitting.on("done   D1", "off")
        assert sitting.log().done == ["D1"]
        before = sitting.shown.lines.index(sitting.shown.having("voltmeter ")[-1])
        assert not [line for line in sitting.shown.lines[:before] if line.startswith("taken")]


def test_without_a_voltmeter_the_whole_drawer_is_vouched_for_once(sitting):
    sitting.by_itself(*NAMES).on("Type 'all discharged'", "key yes", "key discharged")
    sitting.on("Type 'all discharged'", "key All discharged")
    assert sitting.log(voltmeter=False).done == NAMES
    assert len(sitting.shown.having("Type 'all discharged'")) == 3
    assert sitting.events("discharged") == [("discharged", "", "typed: all discharged")]


def test_by_enter_every_part_is_vouched_for(sitting):
    for part in NAMES:
        sitting.on(f"when {part} has been discharged", "key discharged")
        sitting.on(f"ready  {part}: clip it on, then Enter", f"clip {part}; key ")
        sitting.on(f"done   {part}", "off")
    assert sitting.log(voltmeter=False, hands_free=False).done == NAMES
    vouched = [part for _, part, _ in sitting.events("discharged")]
    assert vouched == NAMES


@pytest.mark.parametrize(
    ("typed", "skipped", "ended"), [("s", NAMES, ""), ("q", [], "ended by the person")]
)
def test_who_does_not_vouch_measures_nothing(sitting, typed, skipped, ended):
    sitting.on("Type 'all discharged'", *[f"key {typed}"] * 2)
    summary = sitting.log(voltmeter=False)
    assert (summary.skipped, summary.ended) == (skipped, ended)
    assert sitting.rows() == []


def test_an_open_part_is_asked_about_and_filed_by_enter(tmp_path):
    with Sitting(tmp_path, OPEN) as sitting:
        sitting.on("ready  D6", "clip D6").on("reads like open clips", "key ")
        sitting.on("done   D6", "off; key ")
        assert sitting.log(patience_s=0.1).done == ["D6"]
        assert {row.flag for row in sitting.rows("D6")} == {"open: filed by hand"}
        assert sitting.shown.having("so far: replace")


def test_a_short_that_reads_like_open_clips_is_filed_by_enter_without_a_number(tmp_path):
    with Sitting(tmp_path, SHORT) as sitting:
        sitting.on("ready  D9", "clip D9").on("reads like open clips", "key ")
        sitting.on("done   D9", "off; key ")
        sitting.log(patience_s=0.1)
        rows = sitting.rows("D9")
        assert all(row.value != row.value for row in rows)
        assert {row.flag for row in rows} == {"over range: status +1, overload"}


def test_silence_is_a_fault_that_is_asked_again_and_nothing_before_it_is_mixed(sitting):
    sitting.by_itself(*NAMES)
    sitting.on("taken  D1  answer 1.3", "fault bridge silence once")
    assert sitting.log(readings=6).done == NAMES
    rows = sitting.rows("D1")
    assert [bool(row.struck) for row in rows] == [True] * 3 + [False] * 6
    assert [kind for kind, _, _ in sitting.events("fault")] == ["fault"]


def test_a_meter_that_sends_nonsense_again_and_again_is_asked_about(sitting):
    sitting.by_itself(*NAMES)
    sitting.on("taken  D1  answer 1.2", "fault bridge echo")
    sitting.on("bridge does not answer", "fault bridge none; key ")
    assert sitting.log().done == NAMES
    assert len(sitting.events("fault")) == 4


def test_a_meter_that_stays_silent_is_waited_for(sitting):
    sitting.by_itself(*NAMES)
    sitting.on("taken  D1  answer 1.2", "fault bridge silence")
    sitting.on("gap    bridge", "fault bridge none")
    assert sitting.log().done == NAMES
    assert [bool(row.struck) for row in sitting.rows("D1")] == [True] * 2 + [False] * 5


def test_an_unplugged_bridge_is_a_gap_and_the_capture_starts_anew(sitting):
    sitting.by_itself(*NAMES)
    sitting.on("taken  D1  answer 1.2", "unplug bridge").on("gap    bridge", "replug bridge")
    assert sitting.log().done == NAMES
    rows = sitting.rows("D1")
    assert [bool(row.struck) for row in rows] == [True] * 2 + [False] * 5
    gaps = [text for _, _, text in sitting.events("gap")]
    assert gaps[0].startswith("begins: ")
    assert gaps[1].startswith("ends: bridge is back after")


def test_nobody_there_to_answer_ends_it_safely(tmp_path):
    with Sitting(tmp_path) as sitting:
        sitting.keys.ended = True
        summary = sitting.log(voltmeter=False)
        assert summary.ended == "nobody is there to say that the parts are discharged"


def test_with_nobody_there_a_meter_that_is_gone_is_not_waited_for_for_ever(sitting, monkeypatch):
    monkeypatch.setattr(asking, "ALONE_S", 0.2)

    def gone():
        sitting.bench.command("unplug bridge")
        sitting.keys.ended = True

    sitting.on("ready  D1", gone)
    assert sitting.log().ended.startswith("bridge did not come back within")
