import json
from copy import deepcopy
from dataclasses import replace

import pytest

from captriage.errors import CapTriageError
from captriage.reform.equipment import Equipment
from captriage.reform.plan import plan_reform
from captriage.reform.plan_data import plan_as_data, plan_of_data
from captriage.reform.procedures import PROCEDURES
from reform.parts_to_reform import vintage

PLANS = [
    plan_reform(
        replace(part, idle_years=4.0 if procedure.fresh_stock else 30.0),
        Equipment(),
        procedure=procedure,
        fresh_stock=True,
    )
    for procedure in PROCEDURES
    for part in (vintage(), vintage(8e-6, name="C7"), vintage(4700e-6, 6.3, section="2"))
]


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: f"{plan.procedure} {plan.voltage_rated:g}")
def test_a_plan_is_the_same_after_json(plan):
    assert plan_of_data(json.loads(json.dumps(plan_as_data(plan), allow_nan=False))) == plan


def test_entries_that_are_no_field_are_left_aside():
    plan = PLANS[0]
    assert plan_of_data({**plan_as_data(plan), "policy": "Ordinary service"}) == plan


def test_fields_that_have_a_default_may_be_missing():
    data = plan_as_data(PLANS[0])
    del data["questions"]
    assert plan_of_data(data).questions == ()


def spoilt(path, value):
    """The first plan as data, the entry at the path changed; None deletes it."""
    data = json.loads(json.dumps(plan_as_data(PLANS[0])))
    place = data
    for key in path[:-1]:
        place = place[key]
    if value is None:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return data


WRONG = [
    (("target_v",), None, r"plan: target_v is missing; write the plan again"),
    (("target_v",), "450", r"plan\.target_v: '450'; a number is wanted"),
    (("target_v",), True, r"plan\.target_v: 'True'; a number is wanted"),
    (("target_v",), float("nan"), r"plan\.target_v: 'nan'; a number is wanted"),
    (("target_v",), 10**400, r"plan\.target_v: '1000.*'; a number is wanted"),
    (("part",), 7, r"plan\.part: '7'; a text is wanted"),
    (("steps",), 7, r"plan\.steps: '7'; a list is wanted"),
    (("steps", 1), 7, r"plan\.steps\[2\]: '7'; an object is wanted"),
    (("steps", 1, "below_a"), None, r"plan\.steps\[2\]: below_a is missing"),
    (("series", "pieces"), 1.5, r"plan\.series\.pieces: '1\.5'; a whole number is wanted"),
    (("recovery_v",), [1.0], r"plan\.recovery_v: '\[1\.0\]'; 2 entries are wanted"),
    (("steps", 0, "healing_s"), [1.0, 2.0, 3.0], r"healing_s: .*; 2 entries are wanted"),
]


@pytest.mark.parametrize(("path", "value", "message"), WRONG)
def test_what_is_no_plan_is_refused_where_it_is_wrong(path, value, message):
    with pytest.raises(CapTriageError, match=message):
        plan_of_data(spoilt(path, value))


def test_something_else_is_no_plan():
    with pytest.raises(CapTriageError, match=r"^run\.json: '\[\]'; an object is wanted"):
        plan_of_data([], "run.json")


def test_what_is_written_does_not_change_the_plan():
    before = deepcopy(PLANS[0])
    plan_as_data(PLANS[0])["steps"] = []
    assert before == PLANS[0]
