import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from captriage.errors import CapTriageError
from captriage.reform.equipment import Equipment, OwnedResistor
from captriage.reform.plan import plan_reform
from captriage.reform.plan_check import check_plan
from captriage.reform.procedures import PROCEDURES, procedure_named
from captriage.reform.steps import Resistor
from published import assert_published
from reform.parts_to_reform import supplied, vintage

PLANNED = [procedure for procedure in PROCEDURES if not procedure.fresh_stock]


def test_the_part_of_the_handbook_is_discharged_in_the_printed_times():
    # handbook 8.7: "10 k,40u: 450->60 0.806 s"; 0.25: recovers to "45-67.5 V"; 0.23: 4.05 J
    plan = plan_reform(vintage(), Equipment())
    assert plan.discharge.ohm == 10e3
    assert_published(plan.to_60_s, "0.806 s")
    # t = R·C·ln(V0/V1) to 1 V: 0.4 s · ln 450 = 2.444 s, by hand
    assert_published(plan.to_1_s, "2.444 s")
    assert plan.recovery_v == pytest.approx((45.0, 67.5))
    assert_published(plan.steps[-1].energy_j, "4.05 J")


def test_the_default_is_our_own_template_in_five_steps():
    # handbook 4.11: 10 % first for more than 20 years without voltage, then 25/50/75/100 %
    plan = plan_reform(vintage(), Equipment())
    assert plan.procedure == "ours-steps-to-limit"
    assert [step.supply_v for step in plan.steps] == [45, 112, 225, 337, 450]
    assert all(step.least_s == 1800 for step in plan.steps)


def test_the_run_ends_at_the_working_voltage_where_that_is_told():
    plan = plan_reform(vintage(voltage_working=385.0), Equipment())
    assert plan.target_v == plan.steps[-1].supply_v == plan.retest.voltage_v == 385
    assert any("working voltage of 385 V" in line for line in plan.departures)


def test_the_retest_is_held_to_the_limit_moved_to_its_voltage():
    # handbook 0.1 and 0.2: 40 µF 450 V "1.9 mA"; 2.2: 0.7 of rated halves it
    assert_published(plan_reform(vintage(), Equipment()).retest.limit_a, "1.9 mA")
    test = plan_reform(vintage(voltage_working=315.0), Equipment()).retest
    assert_published(test.limit_a, "0.95 mA")
    assert (test.soak_s, test.reference) == (300, "vintage limit")
    assert test.rest_s == 24 * 3600  # handbook 4.7: 24-48 h


def test_the_protection_of_the_supply_is_above_the_run_and_below_surge():
    # handbook 2.7: surge 1.10 Vr above 315 V
    plan = plan_reform(vintage(), Equipment())
    assert plan.target_v < plan.protection_v < 1.10 * 450


def test_charging_keeps_below_the_current_of_the_procedure():
    # a maker's notice of 1993: never above 1 mA; 1 mA / 1000 µF = 1 V/s, by hand
    assert plan_reform(vintage(1000e-6, 75.0), Equipment()).ramp_v_per_s == pytest.approx(1.0)


def test_a_small_part_is_raised_in_no_less_than_a_minute():
    # MIL-C-62F, 4.5.3: "built up within 60 s"
    assert plan_reform(vintage(8e-6), Equipment()).ramp_v_per_s == pytest.approx(450 / 60)


def test_a_supply_that_does_not_reach_is_planned_to_what_it_gives_and_that_is_said():
    plan = plan_reform(vintage(), supplied(voltage_most=300.0))
    assert plan.target_v == plan.steps[-1].supply_v == 300
    said = " ".join(plan.departures)
    assert "This supply cannot prove the part at 450 V: it ends at 300 V, 67 % of it" in said
    assert plan.questions[0].startswith("Is there a supply that reaches 450 V? This one ends at")
    assert "does not prove the part" in said


def test_coarse_settings_that_do_not_reach_are_said():
    plan = plan_reform(vintage(voltage_working=385.0), supplied(voltage_step=50.0))
    assert plan.target_v == 350
    assert any("cannot be set to 385 V, only to 350 V, 91 %" in line for line in plan.departures)


def test_a_supply_that_does_not_reach_half_is_refused():
    with pytest.raises(
        CapTriageError, match=r"supply: it reaches 200 V of the 450 V .* below 50 %"
    ):
        plan_reform(vintage(), supplied(voltage_most=200.0))


def test_a_supply_that_begins_above_is_refused():
    with pytest.raises(CapTriageError, match=r"supply: it begins at 500 V, and 450 V is wanted at"):
        plan_reform(vintage(), supplied(voltage_least=500.0, voltage_most=600.0))


def test_the_current_limit_of_the_supply_is_just_above_a_short():
    plan = plan_reform(vintage(), Equipment())
    assert plan.supply_limit_a == pytest.approx(1.1 * plan.short_a)
    coarse = plan_reform(vintage(), supplied(current_least=0.1))
    assert coarse.supply_limit_a == 0.1
    assert any("the series resistor alone bounds" in line for line in coarse.departures)


def test_a_supply_that_ends_below_the_working_voltage_is_said_first_to_prove_nothing():
    supply = supplied(voltage_least=60.0, voltage_most=330.0, voltage_step=15.0)
    plan = plan_reform(vintage(voltage_working=345.0), supply)
    assert plan.departures[0].startswith("This supply cannot prove the part at 345 V: it ends at")
    assert "for that circuit alone" not in " ".join(plan.departures)


def test_resistors_at_hand_are_told_with_what_is_needed_of_them():
    # 450²/100 kΩ is 2.03 W (handbook 4.10), with our margin of 1.5 3.04 W: the next size is 5 W;
    # 20.2 W at first over 10 is 2.03 W: 3 W
    kinds = (OwnedResistor(100e3, 25, 700), OwnedResistor(10e3, 25, 700))
    plan = plan_reform(vintage(limit_a=100e-6), Equipment(resistors=kinds))
    assert plan.series == Resistor(100e3, 1, 5.0, 450.0)
    assert plan.discharge == Resistor(10e3, 1, 3.0, 450.0)


def test_a_discharge_resistor_that_is_not_at_hand_is_named_to_be_got():
    at_hand = Equipment(resistors=(OwnedResistor(100e3, 5, 500),))
    plan = plan_reform(vintage(), at_hand)
    assert plan.discharge.ohm == 10e3
    assert any("No resistor at hand does for the discharge" in line for line in plan.departures)


def test_a_smaller_discharge_resistor_at_hand_must_stand_what_it_takes_itself():
    # 450²/5.6 kΩ = 36.2 W at first, a tenth of it 3.62 W: 2 W are enough for 10 kΩ alone
    for watt, lacking in ((2, True), (5, False)):
        kinds = (OwnedResistor(100e3, 5, 500), OwnedResistor(5.6e3, watt, 500))
        plan = plan_reform(vintage(limit_a=100e-6), Equipment(resistors=kinds))
        said = any("No resistor at hand does for the disch" in line for line in plan.departures)
        assert said is lacking
        assert plan.discharge.ohm == (10e3 if lacking else 5.6e3)


def test_a_resistor_that_is_in_series_cannot_discharge_at_the_same_time():
    # 10 kΩ is both the series resistor of a maker's notice (75 V) and the discharge resistor
    for count, lacking in ((1, True), (2, False)):
        at_hand = Equipment(resistors=(OwnedResistor(10e3, 5, 500, count),))
        plan = plan_reform(vintage(100e-6, 63.0, limit_a=20e-6), at_hand)
        assert plan.series.ohm == 10e3
        said = any("No resistor at hand does for the disch" in line for line in plan.departures)
        assert said is lacking


@settings(max_examples=300, deadline=None)
@given(
    capacitance=st.floats(-7, -0.5).map(lambda power: 10.0**power),
    voltage=st.floats(1, 600),
    share=st.none() | st.floats(0.3, 1.0),
    idle=st.just(math.nan) | st.floats(0, 60),
    limit=st.floats(-7, 0).map(lambda power: 10.0**power),
    diameter=st.just(math.nan) | st.floats(3e-3, 80e-3),
    procedure=st.sampled_from(PLANNED),
    most=st.just(math.inf) | st.floats(1, 700),
    step=st.just(math.nan) | st.sampled_from([0.01, 0.1, 1.0, 5.0, 50.0]),
    owned=st.lists(
        st.builds(
            OwnedResistor,
            st.floats(2, 6).map(lambda power: 10.0**power),
            st.sampled_from([0.25, 1.0, 5.0, 50.0]),
            st.sampled_from([250.0, 500.0]),
            st.integers(1, 6),
        ),
        max_size=4,
    ),
)
def test_whatever_is_planned_may_be_carried_out(
    capacitance, voltage, share, idle, limit, diameter, procedure, most, step, owned
):
    part = vintage(
        capacitance,
        voltage,
        limit_a=limit,
        idle_years=idle,
        age_years=math.nan,
        diameter_m=diameter,
        voltage_working=math.nan if share is None else share * voltage,
    )
    at_hand = supplied(voltage_most=most, voltage_step=step)
    at_hand = Equipment(supply=at_hand.supply, resistors=tuple(owned))
    try:
        plan = plan_reform(part, at_hand, procedure=procedure)
    except CapTriageError as refused:
        assert ";" in str(refused)  # noqa: PT017 - what was found; what to do
        return
    assert check_plan(plan, at_hand) == []
    volts = [plan_step.supply_v for plan_step in plan.steps]
    assert max(volts) <= min(voltage, most) * (1 + 1e-9)
    assert volts[-1] == plan.target_v
    assert all(one <= two for one, two in pairwise(volts))
    for plan_step in plan.steps:
        resistor = plan.series
        if plan.series_last is not None and plan_step.series_ohm == plan.series_last.ohm:
            resistor = plan.series_last
        assert resistor.ohm == plan_step.series_ohm
        lost = plan_step.supply_v**2 / plan_step.series_ohm
        assert resistor.watt * resistor.pieces >= lost * (1 - 1e-9)
        assert resistor.volt * resistor.pieces >= plan_step.supply_v * (1 - 1e-9)
        assert 0 < plan_step.below_a < plan_step.stop_a
        assert plan_step.below_a <= max(limit, 1e-3) or procedure.reject_drop > 0
        assert plan_step.most_s >= 1.1 * plan_step.least_s * (1 - 1e-9)


def test_a_re_test_waits_until_a_large_part_is_charged():
    # 4700 µF 63 V through 5.6 kΩ: 99 % after 4.605·R·C = 121 s (handbook 4.10), and the criterion
    # has 2 min; three times that are 364 s, and so 7 min
    plan = plan_reform(vintage(4700e-6, 63.0, soak_s=120.0, limit_a=2.96e-3), Equipment())
    assert plan.steps[-1].series_ohm == pytest.approx(5600)
    assert plan.retest.soak_s == 420.0
    assert any("is read after 7 min, not after the 2 min" in line for line in plan.departures)


def test_a_re_test_of_a_usual_part_is_read_at_the_time_of_its_criterion():
    plan = plan_reform(vintage(), Equipment())
    assert plan.retest.soak_s == 300.0
    assert not any("The re-test is read after" in line for line in plan.departures)


def test_stock_that_is_said_to_be_fresh_is_preconditioned_through_1000_ohms():
    # handbook 4.1: 450 V, 1 k: 202 W in the resistor for ever if the part is shorted
    procedure = procedure_named("stock-rated-1k-hour")
    part = vintage(idle_years=4.0)
    plan = plan_reform(part, Equipment(), procedure=procedure, fresh_stock=True)
    assert plan.series.ohm == pytest.approx(1000, rel=0.1)
    assert plan.series.watt * plan.series.pieces > 202
    assert any("whoever is there has to switch off" in line for line in plan.departures)


@settings(max_examples=200, deadline=None)
@given(
    capacitance=st.floats(-7, -2).map(lambda power: 10.0**power),
    voltage=st.floats(3, 600),
    limit=st.floats(-6, -2).map(lambda power: 10.0**power),
)
def test_every_ordinary_part_gets_a_plan_where_nothing_is_lacking(capacitance, voltage, limit):
    plan = plan_reform(vintage(capacitance, voltage, limit_a=limit), Equipment())
    assert check_plan(plan, Equipment()) == []
    assert plan.target_v <= voltage
    assert plan.target_v > 0.95 * voltage
    assert plan.to_1_s >= plan.to_60_s
