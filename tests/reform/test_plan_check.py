import math
from dataclasses import replace

import pytest

from captriage.reform.equipment import Equipment
from captriage.reform.plan import plan_reform
from captriage.reform.plan_check import check_plan
from captriage.reform.steps import Resistor
from reform.parts_to_reform import supplied, vintage

PLAN = plan_reform(vintage(), Equipment())


def with_step(number, **changes):
    """The plan, one of its steps changed."""
    steps = list(PLAN.steps)
    steps[number] = replace(steps[number], **changes)
    return replace(PLAN, steps=tuple(steps))


def test_a_plan_of_our_own_has_no_problem():
    assert check_plan(PLAN) == []
    assert check_plan(PLAN, Equipment()) == []


SPOILT = [
    (replace(PLAN, steps=()), "no steps: nothing would be done"),
    (replace(PLAN, voltage_rated=math.nan), "rated voltage is nan; a figure above 0 is wanted"),
    (replace(PLAN, supply_limit_a=0.0), "current limit of the supply is 0; a figure above 0"),
    (replace(PLAN, ramp_v_per_s=math.inf), "ramp is inf; a figure above 0"),
    (with_step(0, below_a=-1.0), "step 1: below_a is -1; a figure above 0 is wanted"),
    (replace(PLAN, series=Resistor(0.0, 1, 1, 1)), "series resistor: ohm is 0; a figure above"),
    (replace(PLAN, target_v=451.0), "target of 451 V is above the rated 450 V"),
    (with_step(4, supply_v=451.0), "step 5: 451 V is above the rated 450 V"),
    (replace(PLAN, target_v=400.0), "step 5: 450 V is above the target"),
    (with_step(2, supply_v=100.0), "step 3: 100 V is below the step before it"),
    (replace(PLAN, protection_v=450.0), "protection at 450 V would trip below the target"),
    (replace(PLAN, protection_v=500.0), "protection at 500 V; the surge voltage is 495 V"),
    (
        replace(PLAN, series=replace(PLAN.series, watt=0.25)),
        "series resistor: it does not stand a shorted part at 337 V for ever: 1.21 W",
    ),
    (
        replace(PLAN, series_last=replace(PLAN.series_last, volt=50.0)),
        "last series resistor: it does not stand a shorted part at 450 V for ever",
    ),
    (replace(PLAN, series_last=None), "step 5: no resistor of the plan has 44 kΩ"),
    (
        replace(PLAN, discharge=replace(PLAN.discharge, volt=350.0)),
        "discharge resistor: it does not stand 450 V and 2.02 W",
    ),
    (
        # 40 µF 450 V: 20.25 W at first, a tenth of that at least
        replace(PLAN, discharge=replace(PLAN.discharge, watt=1.0)),
        "discharge resistor: it does not stand 450 V and 2.02 W",
    ),
    # handbook 8.7, 10 kΩ and 40 µF: "450->60 0.806 s"; 450->1 V 2.44 s, by hand
    (replace(PLAN, to_60_s=0.0), "discharge: below 60 V after 0.806 s, not after 0 s"),
    (replace(PLAN, to_1_s=1.0), "discharge: below 1 V after 2.44 s, not after 1 s"),
    (replace(PLAN, cautions=()), "no cautions: whoever carries it out is to be told what can kill"),
    # ½·40 µF·450² V² = 4.05 J, and 4.605·94 kΩ·40 µF = 17.3 s (handbook 4.10)
    (with_step(4, energy_j=0.1), "step 5: 4.05 J are in the part at 450 V"),
    (with_step(0, charging_s=3600.0), "step 1: charged after 17.3 s, not after 3600 s"),
    (with_step(0, charging_s=-1.0), "step 1: charged after 17.3 s, not after -1 s"),
    # 10 MΩ · 40 µF · ln 450 = 2444 s
    (
        replace(PLAN, discharge=Resistor(10e6, 1, 1.0, 500.0), to_60_s=9e9, to_1_s=9e9),
        "discharge: below 1 V after 2.44e+03 s; 1800 s is the most",
    ),
    (
        replace(PLAN, retest=replace(PLAN.retest, voltage_v=45.0)),
        "re-test at 45 V, which proves nothing of a run to 450 V",
    ),
    (
        replace(PLAN, retest=replace(PLAN.retest, soak_s=1.0)),
        "re-test read after 1 s, while the part charges for 8.1",
    ),
    (replace(PLAN, key_press_s=3600.0), "somebody presses a key every 3600 s; 1800 s is the most"),
    (
        with_step(4, stop_a=5e-3),
        "step 5: stopped above 5 mA, but 3.26 mA already put the 1 W into the part",
    ),
    (
        with_step(4, stop_w=1.1, stop_a=3.2e-3),
        "step 5: stopped at 1.1 W in the part; 1 W is the most",
    ),
    (replace(PLAN, short_a=1e-3), "a shorted part draws 10.2 mA, not 1 mA"),
    (replace(PLAN, supply_limit_a=1e-4), "current limit of the supply, 100 µA, is below the 1 mA"),
    (with_step(0, stop_a=1e-6), "step 1: done below 19.9 µA, but stopped above 1 µA"),
    (with_step(0, stop_a=1.0), "step 1: a shorted part draws less than the 1 A that would stop"),
    (with_step(4, stop_w=0.1), "step 5: done with 0.406 W in the part, but stopped at 0.1 W"),
    (with_step(0, least_s=9e9), "step 1: at least 9e+09 s, but at most 14400 s"),
    (with_step(0, least_s=60.0, most_s=60.0), "step 1: at least 60 s, but at most 60 s"),
    (with_step(0, charging_s=20000.0), "step 1: charged after 20000 s, but ended after 14400 s"),
    (
        replace(PLAN, target_v=440.0, retest=replace(PLAN.retest, voltage_v=450.0)),
        "re-test at 450 V, above the 440 V run",
    ),
]


@pytest.mark.parametrize(("plan", "problem"), SPOILT, ids=[problem for _, problem in SPOILT])
def test_what_stands_against_a_plan_is_said(plan, problem):
    assert [said for said in check_plan(plan) if said.startswith(problem)]


LACKING = [
    ({"voltage_most": 400.0}, "step 5: 450 V; the supply gives 0 V to 400 V"),
    ({"voltage_least": 100.0}, "step 1: 45 V; the supply gives 100 V to ∞ V"),
    ({"voltage_step": 50.0}, "step 2: 112 V; the supply is set in steps of 50 V"),
    ({"power_most": 0.1}, "step 5: 0.45 W; the supply gives 0.1 W"),
    ({"current_most": 5e-3}, "current limit of 11.3 mA; the supply can be set to 0 A to 5 mA"),
    ({"current_least": 0.1}, "current limit of 11.3 mA; the supply can be set to 100 mA to ∞ A"),
]


@pytest.mark.parametrize(("figures", "problem"), LACKING)
def test_a_supply_that_cannot_give_it_is_said(figures, problem):
    assert problem in check_plan(PLAN, supplied(**figures))


def test_only_settings_that_a_supply_has_not_are_said():
    assert check_plan(PLAN, supplied(voltage_step=5.0)) == [
        "step 2: 112 V; the supply is set in steps of 5 V",
        "step 4: 337 V; the supply is set in steps of 5 V",
    ]
