from dataclasses import replace

import pytest

from captriage.reform.equipment import Equipment
from captriage.reform.plan import plan_reform
from captriage.reform.procedures import OURS_STEPS
from captriage.reform.retest_step import smaller_resistor, through
from captriage.report.reform_plan_words import (
    PlanCard,
    bench_rows,
    how_read,
    proof,
    roughly,
    step_rows,
)
from reform.parts_to_reform import vintage


def card(part):
    return PlanCard(plan_reform(part, Equipment()), part, OURS_STEPS, "a policy")


def test_the_re_test_says_up_to_which_current_it_proves_the_part():
    # 40 µF 450 V, 1.9 mA (handbook 1.1): I = 1.9 mA · ((450 V - I · 44 kΩ) / 450 V)^1.943 is
    # 1.42 mA; 10 % of 450 V are lost at 1.02 mA already
    said = proof(card(vintage()))[1]
    assert "through 44 kΩ, 5 min after the voltage is on: at most 1.42 mA" in said
    assert "Above 1.02 mA the part sees less than 90 %, which proves nothing good" in said


def test_the_smaller_resistor_that_a_re_test_may_ask_for_is_named_with_ohms_watts_and_volts():
    # 16 µF 450 V, 0.94 mA (handbook 1.1): at 0.9 of it 0.94 mA · 0.9^1.943 is 766 µA, which lose
    # 45 V in 58.7 kΩ; of what is made 3 × 18 kΩ, 1.5 · 450²/54k/3 is 1.9 W each
    made = card(vintage(16e-6))
    named = "3 × 18 kΩ in series (54 kΩ), each rated for 2 W and 150 V at least"
    assert f"read it again through {named}; there at most " in proof(made)[1]
    assert dict(bench_rows(made))["for a re-test"].startswith(named)
    smaller = smaller_resistor(made.plan, 0.9)
    step = through(made.plan, smaller)
    assert step.below_a * step.series_ohm <= 0.1 * 450
    assert step.stop_a >= 1.5 * step.below_a
    whole = replace(vintage(8e-6), limit_a=36e-6)
    assert "for a re-test" not in dict(bench_rows(card(whole)))


def test_nobody_is_told_to_move_a_lead_of_a_live_part_and_the_meter_floats():
    plan = card(vintage()).plan
    for meter in ("voltmeter", "ammeter"):
        assert "take it off" not in how_read(plan, meter)
        assert "at up to 450 V to earth: the voltage and the category (CAT)" in (
            how_read(plan, meter)
        )
    assert "move no lead while there is voltage" in how_read(plan, "voltmeter")
    assert "to earth" not in how_read(card(vintage(20e-6, 25.0)).plan, "voltmeter")


def test_capacitance_and_esr_after_the_run_are_held_to_the_shelf_life_test():
    said = proof(card(vintage()))[2]
    assert "Capacitance within 10 % of that before the run, ESR at most 1.2 times" in said


def test_the_re_test_allows_no_current_that_would_stop_it():
    # 220 µF 450 V: 9.1 mA by 0.04·C + 0.3 (handbook 1.1), but 1 W stops it: 3.26 mA behind 45 kΩ
    said = proof(card(vintage(220e-6)))[1]
    assert "at most 2.18 mA, for more is too near to the 3.26 mA that stop it there" in said
    assert "the limit is 9.1 mA" in said


def test_a_re_test_whose_resistor_takes_little_proves_all_that_is_allowed():
    # 8 µF 450 V: 0.01·C·U = 36 µA (handbook 1.3) lose 3.4 V of 450 V in 94 kΩ
    part = replace(vintage(8e-6), limit_a=36e-6)
    assert "proves nothing good" not in proof(card(part))[1]


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0.2, "under 1 s"),
        (18.4, "18 s"),
        (89, "89 s"),
        (160, "2.7 min"),
        (5000, "83 min"),
        (9000, "2.5 h"),
        (86400, "24 h"),
    ],
)
def test_a_time_is_said_to_two_digits(seconds, said):
    assert roughly(seconds) == said


def test_heat_that_the_resistor_never_lets_into_the_part_is_not_told():
    # 40 µF 450 V: V²/4R is 0.539 W behind 94 kΩ, and 1.15 W behind 44 kΩ at the last step
    assert [row[-1] for row in step_rows(card(vintage()).plan)] == ["–"] * 4 + ["1 W"]


def test_how_the_current_is_read_is_said_of_the_meter_at_hand():
    plan = card(vintage()).plan
    assert "voltmeter" not in how_read(plan, "ammeter")
    assert "it has to bear 10.2 mA" in how_read(plan, "ammeter")  # 450 V through 44 kΩ
    assert "a voltmeter across the part takes is read with it" in how_read(plan, "voltmeter")
    assert how_read(plan, "none") == "no meter: nobody sees it"
