import pytest

from captriage.reform.equipment import Equipment, Supply
from captriage.reform.plan import plan_reform
from captriage.reform.plan_cautions import questions
from reform.parts_to_reform import vintage

SAID = [
    # what issue 4 asks for, "Cautions": found in the sentences of every plan
    "Local rules and licensed practice come before",
    "a stop of this program is no safety device",
    "Never alone",
    "One hand only",
    "insulated leads and clips",
    "eye protection",
    "vent or burst",
    "discharge resistor across the part, and then a voltmeter",
    "Voltage comes back by itself",
    "shorting link",
]


@pytest.mark.parametrize("words", SAID)
@pytest.mark.parametrize("part", [vintage(), vintage(10e-6, 25.0)], ids=["450 V", "25 V"])
def test_every_plan_says_the_cautions(part, words):
    assert words in " ".join(plan_reform(part, Equipment()).cautions)


def said(part):
    """The cautions of a plan for the part, in one text."""
    return " ".join(plan_reform(part, Equipment()).cautions)


def test_lethal_voltage_and_energy_are_said_first():
    # handbook 0.23: "40 uF/450 V 4.05 J"
    first, second, *_ = plan_reform(vintage(), Equipment()).cautions
    assert "kill" in first
    assert "At 450 V the part stores 4.05 J" in second
    assert "Above 60 V everything that is joined to it can kill" in second
    assert "can kill" not in plan_reform(vintage(10e-6, 25.0), Equipment()).cautions[1]


def test_published_classes_of_energy_are_named():
    # handbook 0.23: 100 µF 450 V "10.1 J"; 8.1: capacitors >= 100 V and >= 10 J
    assert "a shock hazard by itself" in said(vintage(100e-6))
    # 8.8: "47000u/63 93.3 J", 8.1: thermal < 100 V and > 100 J: 68 mF at 63 V is 135 J, by hand
    assert "burn hazard" not in said(vintage(47000e-6, 63.0))
    assert "burn hazard by itself (more than 100 J" in said(vintage(68000e-6, 63.0))


def test_recovery_above_what_is_safe_to_touch_is_said():
    # handbook 0.25: "a 450 V part can recover to 45-67.5 V (can exceed 60 V)"
    assert "45 V to 67.5 V here, more than is safe to touch" in said(vintage())
    assert "more than is safe" not in said(vintage(40e-6, 350.0))


def test_neighbours_in_a_can_are_joined_through_a_resistor():
    assert "One section at a time" in said(vintage(sections=2, section="1"))
    assert "section at a time" not in said(vintage())


def test_a_part_without_voltage_for_a_short_time_is_doubted():
    # a maker's note, as reported: no treatment needed within 2 years
    assert "need no reforming" in said(vintage(idle_years=0.0))
    assert "need no reforming" not in said(vintage(idle_years=3.0))


def test_a_part_may_hold_more_than_rated():
    # -10/+50 %, usual in old parts (from memory); as printed where a tolerance is told
    assert "an old part may hold 1.5 times as much" in said(vintage())
    assert "by its tolerance it may hold 2 times as much" in said(vintage(tolerance_high=1.0))


def asked(**told):
    """What is asked of such a part, in one text."""
    part = vintage(**told)
    return " ".join(questions(plan_reform(part, Equipment()), part, supply=Supply()))


def test_polarity_looks_and_short_are_asked_for_until_they_are_told():
    everything = asked()
    for question in ("Which terminal is positive?", "What does it look like?", "Is it shorted?"):
        assert question in everything
    assert "It shows: case dented. Is that no more than age" in asked(blemishes=("dented",))
    told = asked(polarity="polar", looked_at=True, tried_for_short=True)
    assert told.startswith("What are its capacitance and ESR now?")
