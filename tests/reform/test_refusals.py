import math

import pytest

from captriage.errors import CapTriageError
from captriage.reform.equipment import Equipment
from captriage.reform.procedures import OURS_STEPS, procedure_named
from captriage.reform.refusals import called, refuse
from reform.parts_to_reform import vintage

REFUSED = [
    # what is told of the part, and what is said
    ({"capacitance": math.nan}, r"450 V: no rated capacitance; write what is printed"),
    ({"capacitance": -1e-6}, r"no rated capacitance"),
    (
        {"voltage": math.nan},
        r"^40 µF: no rated voltage; write what is printed.* no voltage is safe",
    ),
    ({"voltage": 0.0}, r"no rated voltage"),
    ({"voltage": math.inf}, r"no rated voltage"),
    ({"voltage": 1000.0}, r"rated 1 kV, above what any one electrolytic is made for \(630 V"),
    ({"voltage_working": 0.0}, r"working voltage 0 V; above 0 V is wanted"),
    ({"voltage_working": 480.0}, r"puts 480 V on a part that is rated 450 V; replace it"),
    ({"limit_a": math.nan}, r"no limit of leakage current is known for it; choose another policy"),
    ({"age_years": -1.0}, r"made -1 years ago; 0 years or more is wanted"),
    ({"idle_years": -2.0}, r"without voltage -2 years ago; 0 years or more"),
    ({"idle_years": 80.0}, r"80 years without voltage, but made only 67 years ago; correct --idle"),
    (
        {"idle_years": 1e9, "age_years": math.nan},
        r"1e\+09 years without voltage; no electrolytic is older than about 130 years; correct --i",
    ),
    ({"polarity": "bipolar"}, r"it is bipolar, and no published procedure .* new bipolar part"),
    # ½ · 0.2 F · (450 V)² = 20.25 kJ, by hand; Berkeley Lab: arc hazard from 10 kJ
    ({"capacitance": 0.2, "limit_a": 1.0}, r"20.2 kJ at 450 V, an arc hazard \(10 kJ and more"),
]


@pytest.mark.parametrize(("told", "message"), REFUSED)
def test_a_part_that_must_not_be_reformed_is_refused_in_words(told, message):
    with pytest.raises(CapTriageError, match=message):
        refuse(vintage(**told), Equipment(), OURS_STEPS, fresh_stock=False)


def test_an_ordinary_part_is_not_refused():
    assert refuse(vintage(), Equipment(), OURS_STEPS, fresh_stock=False) is None


@pytest.mark.parametrize("name", ["stock-rated-1k-hour", "stock-rated-1k-half-hour"])
@pytest.mark.parametrize("age", [67.0, 5.1, math.nan])
def test_preconditioning_of_stock_is_refused_for_old_parts(name, age):
    # handbook 4.1: for good stock, unsafe for unknown vintage parts
    part = vintage(age_years=age, idle_years=1.0)
    with pytest.raises(CapTriageError, match=rf"{name} puts rated voltage on at once .* --fresh-s"):
        refuse(part, Equipment(), procedure_named(name), fresh_stock=False)
    assert refuse(part, Equipment(), procedure_named(name), fresh_stock=True) is None


def test_no_word_makes_fresh_stock_of_what_was_decades_without_voltage():
    part = vintage(age_years=67.0, idle_years=60.0)
    procedure = procedure_named("stock-rated-1k-hour")
    with pytest.raises(CapTriageError, match=r"60 years without voltage.* choose a procedure that"):
        refuse(part, Equipment(), procedure, fresh_stock=True)


def test_preconditioning_of_stock_is_for_parts_of_up_to_five_years():
    part = vintage(age_years=5.0, idle_years=1.0)
    procedure = procedure_named("stock-rated-1k-hour")
    assert refuse(part, Equipment(), procedure, fresh_stock=False) is None


def test_a_rule_by_age_asks_for_the_time_without_voltage():
    part = vintage(age_years=math.nan, idle_years=math.nan)
    with pytest.raises(CapTriageError, match=r"counts the time without voltage.*give --idle or"):
        refuse(part, Equipment(), procedure_named("surplus-hold-by-age"), fresh_stock=False)


def test_a_procedure_that_asks_for_no_treatment_gives_no_plan():
    # a service bulletin for drives: nothing within 2 years
    with pytest.raises(CapTriageError, match=r"no treatment of a part that was 1 a without voltag"):
        refuse(
            vintage(idle_years=1.0),
            Equipment(),
            procedure_named("drive-from-half"),
            fresh_stock=False,
        )


def test_above_60_volts_a_meter_is_asked_for():
    blind = Equipment(meter="none", meter_floor=math.inf)
    with pytest.raises(CapTriageError, match=r"450 V and no meter: .* --meter voltmeter"):
        refuse(vintage(), blind, OURS_STEPS, fresh_stock=False)
    low = vintage(voltage=60.0)
    assert refuse(low, blind, OURS_STEPS, fresh_stock=False) is None


def test_a_part_is_called_by_its_name_else_by_what_is_printed():
    assert called(vintage()) == "40 µF 450 V"
    assert called(vintage(name="C12", section="2")) == "C12 section 2"
