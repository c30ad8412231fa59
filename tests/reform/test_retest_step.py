"""The re-test of plans of odd parts; figures by hand from P = I (V - I R), as each test says."""

from dataclasses import replace

import pytest

from captriage.reform.equipment import Equipment
from captriage.reform.plan import plan_reform
from captriage.reform.plan_check import check_plan
from captriage.reform.procedures import PROCEDURES
from captriage.reform.retest_step import retest_step
from captriage.reform.step_rules import current_at_heat
from reform.parts_to_reform import vintage

ODD_PARTS = [
    # [F], [V]: from a cathode bypass to the cans of a computer
    (0.47e-6, 50.0),
    (1e-6, 450.0),
    (8e-6, 600.0),
    (32e-6, 450.0),
    (220e-6, 450.0),
    (1000e-6, 100.0),
    (2200e-6, 25.0),
    (10e-3, 40.0),
    (47e-3, 63.0),
]


@pytest.mark.parametrize("procedure", PROCEDURES, ids=lambda each: each.name)
@pytest.mark.parametrize(("capacitance", "voltage"), ODD_PARTS)
def test_the_re_test_of_every_plan_may_be_carried_out(capacitance, voltage, procedure):
    part = vintage(capacitance, voltage, idle_years=4.0)
    if (capacitance, voltage) == (8e-6, 600.0) and procedure.fresh_stock:
        return  # 600 V through 1 kΩ: no resistor bears a short of 360 W
    plan = plan_reform(part, Equipment(), procedure=procedure, fresh_stock=True)
    step = retest_step(plan)
    alone = replace(plan, steps=(step,), short_a=step.supply_v / step.series_ohm)
    assert check_plan(alone) == []


def test_a_re_test_stops_at_the_current_that_makes_the_part_too_hot():
    # 32 µF 450 V: 0.869 W stop it; behind 44 kΩ I (450 V - 44 kΩ I) is that at 2.58 mA, and twice
    # its limit of 1.58 mA (0.04 · 32 + 0.3, handbook 1.1) is 3.16 mA
    step = retest_step(plan_reform(vintage(32e-6, 450.0), Equipment()))
    assert step.stop_a == pytest.approx(2.58e-3, rel=2e-3)
    assert step.stop_a == current_at_heat(step.stop_w, 450.0, series_ohm=44e3)


def test_no_more_is_proven_than_the_resistor_lets_be_seen_before_a_stop():
    # 220 µF 450 V: its limit is 9.1 mA, and through a series resistor of tens of kΩ a short draws
    # little more; at 1 W in the part, the most of a can, the re-test stops
    plan = plan_reform(vintage(220e-6, 450.0), Equipment())
    step = retest_step(plan)
    assert plan.retest.limit_a == pytest.approx(9.1e-3)
    assert step.below_a * 1.5 == pytest.approx(step.stop_a)
    assert step.stop_a * (450.0 - step.stop_a * step.series_ohm) <= 1.0 * (1 + 1e-9)
