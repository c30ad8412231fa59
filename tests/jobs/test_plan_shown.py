"""What a run shows of its plan before anybody allows it."""

from dataclasses import replace

import pytest

from bench.reforming_bench import PARTS, ReformSitting, plan, quick_plan, sound, supply_is_on
from captriage.jobs.plan_shown import SECTIONS, tell_plan, with_sections
from captriage.jobs.reform_plan import plan as plan_reform
from captriage.reform.steps import Resistor


class Page:
    def __init__(self):
        self.said = []

    def tell(self, label, text):
        self.said.append(f"{label:<7}{text}")

    def line(self, text=""):
        self.said.append(text)


def shown(the_plan):
    page = Page()
    tell_plan(the_plan, page)
    return page.said


def test_what_the_resistors_must_stand_and_every_step_are_shown():
    said = shown(replace(plan(), series=Resistor(100e3, 1, 2.0, 310.0)))
    assert said[0] == "series 100 kΩ, rated for 2 W and 310 V at least"
    assert said[1].startswith("across to discharge it: 1 kΩ, rated for 10 W and 200 V")
    heads, *rows = [line.split() for line in said[2:]]
    assert heads == ["step", "supply", "through", "done", "below", "at", "most", "stop", "above"]
    # Worked: 0.3 mA times (30/100)^1.943 is 28.9 µA.
    assert " ".join(rows[0]) == "1 30 V 1 kΩ 28.9 µA 12 s 5 mA"
    assert [row[0] for row in rows] == ["1", "2", "3"]
    assert max(map(len, said)) <= 80


def test_a_resistor_that_is_put_in_its_place_is_shown():
    said = shown(replace(plan(), series_last=Resistor(300.0, 3, 5.0, 200.0)))
    assert said[1].strip().startswith("at step 3: 3 × 100 Ω in series (300 Ω), each rated for 5 W")


def test_a_section_of_a_can_has_the_caution_of_the_can_once():
    alone = plan()
    assert with_sections(alone, 1) == alone
    of_can = with_sections(alone, 2)
    assert of_can.cautions[-1] == SECTIONS
    assert with_sections(of_can, 2) == of_can
    assert with_sections(plan(section="2"), 1).cautions[-1] == SECTIONS


def test_it_is_the_caution_that_a_plan_of_a_can_prints():
    first, _ = plan_reform("32+32 µF 450 V", today_year=2026)
    assert SECTIONS in first.plan.cautions


@pytest.fixture
def sitting(tmp_path):
    with ReformSitting(tmp_path, part=sound()) as at_work:
        yield at_work
        assert not supply_is_on(at_work)


def test_before_it_is_allowed_resistors_and_steps_are_shown(sitting):
    sitting.run(quick_plan((40.0,)))
    lines = sitting.shown.lines
    at = [
        next(n for n, line in enumerate(lines) if text in line)
        for text in ("each rated for 10 W and 200 V", "step  supply", "look at C1")
    ]
    assert at == sorted(at)
    assert lines[at[1] + 1].split()[:3] == ["1", "40", "V"]
    assert sitting.shown.having("supply current limit 20 mA, read back")
    assert sitting.shown.having("supply output on, confirmed")


def test_a_part_that_is_a_section_has_the_caution_of_its_can(tmp_path):
    can = {**PARTS[0], "can": "K1", "section": "a"}
    other = {**can, "part": "C2", "section": "b"}
    with ReformSitting(tmp_path, part=sound(), parts=[can, other]) as at_work:
        at_work._script["look at C1"] = ["key q"]
        at_work.run(quick_plan((40.0,)))
        (said,) = at_work.shown.having("One section at a time.")
        assert at_work.shown.lines.index(said) < at_work.shown.lines.index(
            at_work.shown.having("look at C1")[0]
        )


def test_who_reads_no_further_at_a_terminal_has_nothing_switched_on(sitting, monkeypatch):
    monkeypatch.setenv("LINES", "12")
    sitting.shown.live = True
    sitting.on("more   press Enter to read on", "key ", "key q")
    summary = sitting.run(quick_plan((40.0,)))
    assert summary.ended == "ended by the person; nothing was switched on"
    assert sitting.events("started") == []
    assert not sitting.shown.having("look at C1")
