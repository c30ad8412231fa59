"""A part reformed at the rehearsal bench, by hand and under control: it settles, or it stops."""

import threading
import time
from datetime import datetime
from math import isnan

import pytest

from bench.reforming_bench import (
    PART,
    ReformSitting,
    plan,
    quick_plan,
    sound,
    supply_is_on,
    with_ohms,
)
from captriage.errors import BookError
from captriage.jobs.bench_meters import MeterAt
from captriage.store.book import Book

KEYBOARD = MeterAt("keyboard", "keyboard", "typed")


@pytest.fixture
def sitting(tmp_path):
    with ReformSitting(tmp_path, part=sound()) as at_work:
        yield at_work
        assert not supply_is_on(at_work)
        with Book.open(at_work.book) as book:
            assert book.check() == []


@pytest.mark.ensemble
def test_a_leaky_part_heals_step_by_step_under_control(tmp_path):
    with ReformSitting(tmp_path) as sitting:
        summary = sitting.run(plan())
        assert (summary.steps_done, summary.ended, summary.off_fault) == ([1, 2, 3], "", "")
        assert summary.discharged_v <= 1.0
        assert not supply_is_on(sitting)
        said = [text for kind, _, text in sitting.events() if kind == "note"]
        assert "supply: switches itself off above 105 V, read back" in said
        currents = [row.value for row in sitting.rows(PART, "current")]
        assert max(currents) > 1.5 * currents[-1]  # it has healed
        assert sitting.shown.having("every step up to 100 V has settled")
    volts = [row.value for row in sitting.rows(PART, "voltage")]
    assert max(volts) == pytest.approx(100.0, abs=0.5)  # and never above rated


@pytest.mark.ensemble
def test_the_same_plan_by_hand_tells_what_to_turn_and_when(sitting):
    sitting.on("switch it on", "knob 0.001; key ")
    sitting.on("raise to 40 V, no faster than 40 V a second", "knob 40; key ")
    sitting.on("raise to 80 V", "knob 80; key ")
    sitting.on("turn the voltage down to 0", "knob 0.001; key ")
    sitting.on("SWITCH THE SUPPLY OFF NOW", "knob 0; key ")
    summary = sitting.run(quick_plan(), by_hand=True)
    assert (summary.steps_done, summary.ended, summary.off_fault) == ([1, 2], "", "")
    assert summary.discharged_v <= 1.0
    assert {row.value for row in sitting.rows(PART, "voltage")} <= {0.0, 40.0, 80.0}


def turns(sitting, to_v, *, from_v=0.0, seconds=1.5, keys=("",)):
    """The person turns the knob slowly, then types."""

    def turning():
        for part in range(1, 11):
            time.sleep(seconds / 10)
            sitting.do(f"knob {from_v + (to_v - from_v) * part / 10}")
        for key in keys:
            sitting.type(key)

    return lambda: threading.Thread(target=turning).start()


def test_a_supply_that_is_turned_up_slowly_by_hand_stops_nothing(sitting):
    sitting.on("switch it on", "knob 0.001; key ")
    sitting.on("raise to 40 V", turns(sitting, 40.0))
    sitting.on("turn the voltage down to 0", "knob 0.001; key ")
    sitting.on("SWITCH THE SUPPLY OFF NOW", "knob 0; key ")
    summary = sitting.run(quick_plan((40.0,)), by_hand=True)
    assert (summary.ended, summary.steps_done) == ("", [1])
    told = {row.value for row in sitting.rows(PART, "voltage")}
    assert told <= {0.0, 40.0}, "while it is turned nobody knows the voltage"
    assert sitting.shown.having("raising: ")


def test_a_note_while_it_is_raised_by_hand_does_not_say_that_it_is_there(sitting):
    sitting.on("switch it on", "key wait; knob 0.001; key ")
    noted = ["n it hums", *"nsmells", "", *"ok", "", "n a little"]  # letters as at a terminal
    sitting.on("raise to 40 V", turns(sitting, 20.0, seconds=0.5, keys=noted))
    sitting.on("note   a little", turns(sitting, 40.0, from_v=20.0, seconds=0.5))
    sitting.on("turn the voltage down to 0", "knob 0.001; key ")
    sitting.on("SWITCH THE SUPPLY OFF NOW", "knob 0; key ")
    summary = sitting.run(quick_plan((40.0,)), by_hand=True)
    assert (summary.ended, summary.steps_done) == ("", [1])
    assert sitting.shown.having("'wait' is no answer; press Enter alone")
    for line in ("nsmells", "ok"):
        assert sitting.shown.having(f"{line!r} is none: Enter alone you are there")
    shown = [line for line in sitting.shown.lines if line.startswith(("note  ", "step  "))]
    there = next(n for n, line in enumerate(shown) if "reached" in line)
    notes = [shown.index(f"note   {text}") for text in ("it hums", "a little")]
    assert max(notes) < there
    assert {text for kind, _, text in sitting.events("note")} >= {"it hums", "a little"}


@pytest.mark.parametrize("by_hand", [False, True])
def test_a_book_that_takes_no_more_keeps_nobody_from_switching_off(sitting, monkeypatch, by_hand):
    full = BookError("bench.book: no space left on the disk; make room")
    kept = []

    def keep(self, *arguments, **more):
        del self, arguments, more
        kept.append(1)
        raise full

    def event(self, *arguments, **more):
        if kept:
            raise full
        return whole(self, *arguments, **more)

    whole = Book.event
    monkeypatch.setattr(Book, "keep", keep)
    monkeypatch.setattr(Book, "event", event)
    sitting.on("switch it on", "knob 0.001; key ")
    sitting.on("SWITCH THE SUPPLY OFF NOW", "knob 0; key ")
    sitting.on("type the volts that are shown", "key 0.1 V")  # no voltage was ever seen
    summary = sitting.run(quick_plan(), by_hand=by_hand)
    assert summary.ended == "bench.book: no space left on the disk; make room"
    assert summary.off_fault == ""
    assert summary.discharged_v <= 1.0
    assert sitting.shown.having("SWITCH THE SUPPLY OFF NOW") or not by_hand
    assert sitting.shown.having("END    do not touch C1; discharge it")
    (said,) = sitting.shown.having("the end of this run is not in the book")
    assert "no space left on the disk" in said


@pytest.mark.ensemble
def test_an_ammeter_that_sticks_in_a_hold_stops_the_run(sitting):
    slow = quick_plan((80.0,), change={"least_s": 20.0, "most_s": 40.0})
    sitting.on("80 V, 9.", "fault ammeter stuck")
    summary = sitting.run(slow, every_s=0.1)
    assert "different ones just before: it is stuck" in summary.ended


def test_each_step_is_raised_to_no_faster_than_the_plan_says(sitting):
    sitting.run(quick_plan(ramp_v_per_s=40.0, change={"least_s": 1.5}))
    with sitting.opened() as (book, job):
        at = {event.text: datetime.fromisoformat(event.utc) for event in book.events(job)}
    for number, volts, from_v in ((1, 40, 0), (2, 80, 40)):
        name = f"step {number} of 2, {volts} V: "
        took = at[f"{name}reached"] - at[f"{name}until the current is below 2 mA"]
        assert took.total_seconds() >= 0.95 * (volts - from_v) / 40.0


def test_a_word_of_danger_at_any_other_time_switches_off_at_once(sitting):
    sitting.on("step 1 of 1, 40 V: reached", "key it hisses")
    summary = sitting.run(quick_plan((40.0,), change={"most_s": 30.0, "least_s": 20.0}))
    assert summary.ended == "the person typed 'it hisses'"
    assert not sitting.shown.having("lowering the voltage")


def test_told_to_end_it_says_that_nothing_is_lowered(sitting):
    sitting.on("step 1 of 1, 40 V: reached", lambda: sitting.keys.stop("stopped by Ctrl-C"))
    summary = sitting.run(quick_plan((40.0,), change={"most_s": 30.0, "least_s": 20.0}))
    assert summary.ended == "stopped by Ctrl-C"
    assert not sitting.shown.having("lowering the voltage")
    assert sitting.shown.having("not lowered, but switched off at once: stopped by Ctrl-C")


def test_the_key_that_ends_lowers_the_voltage_first(sitting):
    sitting.on("step 1 of 1, 40 V: reached", "key q")
    summary = sitting.run(quick_plan((40.0,), change={"most_s": 30.0, "least_s": 20.0}))
    assert summary.ended == "ended by the person"
    assert sitting.shown.having("lowering the voltage: ended by the person")
    assert summary.discharged_v <= 1.0


@pytest.mark.ensemble
def test_without_a_key_for_too_long_the_run_ramps_down(sitting):
    summary = sitting.run(quick_plan((40.0,), key_press_s=3.0, change={"least_s": 7.0}))
    assert summary.ended == "no key was pressed for 3 s: nobody is there"
    assert sitting.shown.having("are you there? Press Enter within 0.6 s")
    assert sitting.shown.having("lowering the voltage")


@pytest.mark.ensemble
def test_a_key_in_time_says_that_somebody_is_there(sitting):
    sitting.on("are you there?", *["key "] * 9)
    summary = sitting.run(quick_plan((40.0,), key_press_s=1.0, change={"least_s": 2.0}))
    assert (summary.ended, summary.steps_done) == ("", [1])


@pytest.mark.ensemble
def test_an_ammeter_that_falls_silent_stops_the_run(sitting):
    sitting.on("step 1 of 2, 40 V: reached", "fault ammeter silence")
    summary = sitting.run(quick_plan(change={"least_s": 20.0, "most_s": 30.0}))
    assert summary.ended.startswith("ammeter tells nothing for ")
    assert not sitting.shown.having("lowering")


@pytest.mark.ensemble
def test_a_part_that_does_not_come_down_in_time_is_given_up(tmp_path):
    with ReformSitting(tmp_path) as sitting:
        summary = sitting.run(plan(change={"below_a": 1e-6, "most_s": 2.0}))
    assert summary.ended.startswith("step 1 of 3, 30 V: ")
    assert "after 2 s; it has not come below 1 µA" in summary.ended


@pytest.mark.ensemble
def test_another_resistor_is_put_in_with_the_supply_off_and_the_part_discharged(sitting):
    two = with_ohms(quick_plan(), 2, 1.1e3)
    summary = sitting.run(two)
    assert (summary.steps_done, summary.ended) == ([1, 2], "")
    assert len(sitting.shown.having("plus to plus")) == 2
    assert sitting.shown.having("through 1.1 kΩ and the ammeter")
    with sitting.opened() as (book, job):
        assert [run.settings["series_ohm"] for run in book.runs(job)] == [1000.0, 1100.0]


def test_a_part_that_is_looked_at_and_found_bulged_gets_no_voltage(tmp_path):
    with ReformSitting(tmp_path, answers=False) as sitting:
        sitting.on("this can kill", "key this can kill")
        sitting.on("look at C1", "key bu")
        with pytest.raises(Exception, match=r"^C1: bulged; no voltage is put on it: replace it"):
            sitting.run(quick_plan())
        assert sitting.looks() == [(PART, "bulged")]
        assert not supply_is_on(sitting)


@pytest.mark.parametrize("at", ["this can kill", "look at C1", "plus to plus", "press Enter, and"])
def test_a_person_who_ends_before_there_is_power_has_switched_nothing_on(tmp_path, at):
    with ReformSitting(tmp_path, answers=False) as sitting:
        sitting.on(at, "key q")
        sitting.answers()
        summary = sitting.run(quick_plan())
        assert summary.ended == "ended by the person; nothing was switched on"
        assert not sitting.rows(PART, None)


@pytest.mark.ensemble
def test_a_part_that_holds_a_charge_gets_no_voltage_before_it_is_discharged(tmp_path):
    with ReformSitting(tmp_path, part=sound(holds_v=30.0)) as sitting:
        sitting.on("C1 HOLDS", "discharge C1")
        summary = sitting.run(quick_plan())
        assert summary.ended == ""
        assert sitting.events("discharged")[0][2].startswith("reads ")
        (holds, *_), (looks, *_) = sitting.shown.having("C1 HOLDS"), sitting.shown.having("look at")
        assert sitting.shown.lines.index(holds) < sitting.shown.lines.index(looks)


def test_a_run_that_cannot_be_kept_is_switched_off(sitting, monkeypatch):
    keep, kept = Book.keep, []

    def full(self, *arguments, **more):
        kept.append(arguments)
        if len(kept) > 12:
            raise BookError("bench.book: no space left on the disk; make room")
        return keep(self, *arguments, **more)

    monkeypatch.setattr(Book, "keep", full)
    summary = sitting.run(quick_plan())
    assert summary.ended == "bench.book: no space left on the disk; make room"
    assert not supply_is_on(sitting)


@pytest.mark.ensemble
def test_a_discharge_that_nobody_confirms_is_told_aloud(tmp_path):
    with ReformSitting(tmp_path, part=sound(), answers=False) as sitting:
        sitting.answers()
        sitting._script["END    do not touch"] = ["key q"]
        summary = sitting.run(quick_plan())
        assert isnan(summary.discharged_v)
        (said,) = sitting.shown.having("COULD NOT CONFIRM")
        assert "treat it as charged to 80 V" in said, sitting.shown.lines
        assert [text for kind, _, text in sitting.events("note") if "COULD NOT" in text]


@pytest.mark.ensemble
def test_every_step_is_ramped_and_not_only_the_first(sitting):
    summary = sitting.run(quick_plan(ramp_v_per_s=20.0))
    assert summary.ended == ""
    volts = [row.value for row in sitting.rows(PART, "voltage")]
    between = {round(each) for each in volts if 44 < each < 76}
    assert len(between) >= 2, "from 40 V to 80 V at 20 V a second takes two seconds"


@pytest.mark.ensemble
def test_no_state_of_the_step_before_is_told_nor_one_while_it_is_lowered(sitting):
    sitting.run(quick_plan(ramp_v_per_s=20.0, change={"least_s": 4.0}))
    said = sitting.shown.having("taken  C1  ")
    assert [line for line in said if "lowering, supply " in line and ", part " in line]
    for line in said:
        if "lowering" in line or "raising" in line:
            assert "settled" not in line
    assert [line for line in said if " V, " in line and "settled below" in line]
