import math

import pytest

from captriage.reform.equipment import Equipment, OwnedResistor
from captriage.reform.plan import plan_reform
from captriage.reform.procedures import procedure_named
from reform.parts_to_reform import supplied, vintage


def said(part, equipment=None, *, procedure="ours-steps-to-limit", fresh=False):
    """The departures of a plan, in one text."""
    plan = plan_reform(
        part,
        equipment or Equipment(),
        procedure=procedure_named(procedure),
        fresh_stock=fresh,
    )
    return " ".join(plan.departures)


CASES = [
    # part, equipment, procedure, words that are said
    (vintage(), None, "drive-from-half", "The procedure names no series resistor; 94 kΩ"),
    (vintage(), None, "drive-from-half", "goes on by the clock: here a step must have come below"),
    (vintage(), None, "drive-from-half", "whatever the procedure says"),
    (vintage(0.1, 16.0), None, "ours-steps-to-limit", "too slowly"),
    (vintage(), None, "ours-steps-to-limit", "For the last step 44 kΩ takes the place of 94 kΩ"),
    (vintage(), None, "ours-steps-to-limit", "ends below 1 mA, the current of the procedure"),
    (vintage(), None, "ours-steps-to-limit", "raised by 7.5 V a second at most"),
    (vintage(), None, "ours-steps-to-limit", "No supply is told: one is taken that reaches 450 V"),
    (vintage(), None, "amateur-470k-day", "so that the re-test decides, with a smaller resistor"),
    (vintage(), None, "surplus-hold-by-age", "up to 1.69 W can go into the part"),
    (vintage(8e-6), None, "ours-steps-to-limit", "makes half of the heat that stops the run"),
    (vintage(1.0, 100.0), None, "ours-steps-to-limit", "hardly a run that ends"),
    (vintage(), None, "ours-steps-to-limit", "Diameter not told"),
    (vintage(idle_years=math.nan), None, "ours-steps-to-limit", "taken as since it was made"),
    (
        vintage(idle_years=math.nan, age_years=math.nan),
        None,
        "ours-steps-to-limit",
        "taken as longer than any procedure tells apart",
    ),
    (
        vintage(),
        supplied(voltage_least=200.0, voltage_most=500.0),
        "ours-steps-to-limit",
        "Of the 5 voltages of the procedure this plan puts on 3 (225 V, 337 V, 450 V), for",
    ),
    (
        vintage(),
        supplied(voltage_step=50.0, voltage_most=500.0),
        "ours-steps-to-limit",
        "the supply cannot be set to the rest; it begins at 100 V at once: watch the part.",
    ),
    (
        vintage(20e-6, 25.0),
        Equipment(resistors=(OwnedResistor(10e3, 0.25, 250, watt_told=False),)),
        "ours-steps-to-limit",
        "whose watts are not told count as ¼ W",
    ),
    (
        vintage(),
        Equipment(meter="ammeter", meter_floor=10e-6),
        "ours-steps-to-limit",
        "At 45 V the ammeter cannot tell the current that ends the step: that is to be 5 times the "
        "least that it tells from nought, 10 µA (ours). Hold it for its most time there.",
    ),
    (
        vintage(20e-6, 25.0, voltage_working=2.2),
        Equipment(),
        "ours-steps-to-limit",
        "puts on 3 (1.1 V, 1.6 V, 2.2 V), for below 1 V hardly a meter tells the current",
    ),
    (
        vintage(),
        Equipment(meter_floor=10.0),
        "ours-steps-to-limit",
        "the voltmeter across the resistor cannot tell",
    ),
    (
        vintage(20e-6, 25.0),
        Equipment(meter="none", meter_floor=math.inf),
        "ours-steps-to-limit",
        "nothing is proven",
    ),
]


@pytest.mark.parametrize(("part", "equipment", "procedure", "words"), CASES)
def test_what_departs_is_said(part, equipment, procedure, words):
    assert words in said(part, equipment, procedure=procedure)


def test_a_resistor_near_the_told_one_is_no_departure():
    assert "instead of 100 kΩ" not in said(vintage())
    at_hand = Equipment(resistors=(OwnedResistor(150e3, 5, 500),))
    assert "150 kΩ instead of 100 kΩ: what can be had, or is at hand" in said(vintage(), at_hand)


def test_what_is_told_is_not_taken_for_granted():
    text = said(vintage(diameter_m=35e-3), supplied(voltage_most=500.0))
    for words in ("not told", "No supply is told", "cannot tell"):
        assert words not in text


def test_no_plan_claims_the_watts_of_a_hot_part_where_the_resistor_bounds_them():
    assert "can go into the part" not in said(vintage(20e-6, 25.0, diameter_m=25e-3))


def test_the_wait_of_a_re_test_is_told_in_minutes():
    # 10 kΩ · 4.605 · 10 mF is 461 s, three of them 23.0 min: 24 whole minutes, by hand
    part = vintage(10e-3, 40.0, limit_a=0.4e-3)
    said = " ".join(plan_reform(part, Equipment()).departures)
    assert "The re-test is read after 24 min, not after the 5 min of the criterion" in said
    assert "charging alone takes 7.7 min" in said
