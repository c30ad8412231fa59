"""Readings that the person types in a run: what is none, and what is a word of danger."""

import pytest

from bench.reforming_bench import ReformSitting, quick_plan, sound, supply_is_on, with_ohms
from captriage.jobs.bench_meters import MeterAt

KEYBOARD = MeterAt("keyboard", "keyboard", "typed")


@pytest.fixture
def sitting(tmp_path):
    with ReformSitting(tmp_path, part=sound()) as at_work:
        yield at_work
        assert not supply_is_on(at_work)


def test_by_hand_with_nothing_on_a_wire_all_is_typed(sitting):
    sitting.on("switch it on", "key ")
    sitting.on("raise to 40 V", "knob 40; key ")
    sitting.on("current, like", *["key 120 µA", "key 80 µA", "key 60 µA"])
    sitting.on("turn the voltage down to 0", "knob 0; key ")
    sitting.on("SWITCH THE SUPPLY OFF NOW", "key ")
    sitting.on("type the volts that are shown", "key 0.1 V", "key 12 V", "key 0.2 V")
    behind = {"charging_s": 1.2, "below_a": 5e-4, "stop_a": 1e-3}  # nobody can type its charge
    summary = sitting.run(
        with_ohms(quick_plan((40.0,), change=behind), 1, 26e3),
        by_hand=True,
        meter=KEYBOARD,
        voltmeter=None,
        every_s=0.3,
    )
    assert (summary.steps_done, summary.ended, summary.taken) == ([1], "", 3)
    assert summary.discharged_v == 0.2
    assert sitting.shown.having("C1 HOLDS 12 V: do not touch it")


def by_hand_at_the_keyboard(sitting, *typed):
    """A run by hand, of a part that is behind so much that nobody can type its charge."""
    sitting.on("switch it on", "key ")
    sitting.on("raise to 40 V", "knob 40; key ")
    sitting.on("current, like", *[f"key {each}" for each in typed])
    sitting.on("turn the voltage down to 0", "knob 0; key ")
    sitting.on("SWITCH THE SUPPLY OFF NOW", "knob 0; key ")
    sitting.on("type the volts that are shown", "key 0.1 V", "key 0.2 V")
    behind = {"charging_s": 1.2, "below_a": 5e-4, "stop_a": 1e-3}
    return sitting.run(
        with_ohms(quick_plan((40.0,), change=behind), 1, 26e3),
        by_hand=True,
        meter=KEYBOARD,
        voltmeter=None,
        every_s=0.3,
    )


def test_enter_and_what_is_no_number_are_asked_again_and_end_nothing(sitting):
    typed = ["", "120 µA", "", "", "what?", "80 µA", "60 µA"]
    summary = by_hand_at_the_keyboard(sitting, *typed)
    assert (summary.steps_done, summary.ended, summary.taken) == ([1], "", 3)
    assert len(sitting.shown.having("current, like")) == len(typed)


@pytest.mark.parametrize("said", ["hisses", "it smokes", "hot", "vented"])
def test_a_word_of_danger_in_place_of_a_reading_switches_off_at_once(sitting, said):
    summary = by_hand_at_the_keyboard(sitting, "120 µA", said)
    assert summary.ended == f"the person typed {said!r}"
    assert not sitting.shown.having("lowering the voltage")
    assert sitting.shown.having("SWITCH THE SUPPLY OFF NOW, then press Enter: the person typed")
    assert sitting.events("stopped")[-1][2] == summary.ended
