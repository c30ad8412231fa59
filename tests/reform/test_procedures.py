import math
import re

import pytest

from captriage.errors import CapTriageError
from captriage.reform.procedure import COMMON, OURS, SECOND_HAND, SEEN
from captriage.reform.procedures import (
    PROCEDURES,
    holding_time,
    procedure_named,
    schedule_of,
    told_resistance,
)
from published import assert_published

NAMES = [procedure.name for procedure in PROCEDURES]


def test_each_name_is_there_once_and_is_made_of_plain_words():
    assert len(set(NAMES)) == len(NAMES)
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", name) for name in NAMES)


@pytest.mark.parametrize("source", ["EIA", "chemi", "qsl", "amradio", "mikeholt", "wa4bpj"])
def test_no_firm_and_no_person_stands_in_a_name(source):
    assert not [name for name in NAMES if source.lower() in name]


@pytest.mark.parametrize("procedure", PROCEDURES, ids=NAMES)
def test_every_procedure_says_its_source_and_what_that_is_worth(procedure):
    assert procedure.source
    assert procedure.standing in (SEEN, SECOND_HAND, COMMON, OURS)
    assert procedure_named(procedure.name) is procedure


@pytest.mark.parametrize("procedure", PROCEDURES, ids=NAMES)
def test_no_procedure_goes_above_the_voltage_of_the_run(procedure):
    for schedule in procedure.schedules:
        assert list(schedule.fractions) == sorted(schedule.fractions)
        assert schedule.fractions == () or schedule.fractions[-1] == 1.0
        assert schedule.hold_s <= schedule.most_s
        assert schedule.last_hold_s <= schedule.last_most_s


def test_an_unknown_procedure_is_named_with_those_that_there_are():
    with pytest.raises(CapTriageError, match=r"procedure: 'magic' is not known; there are ours-"):
        procedure_named("magic")


RESISTORS = [
    # procedure, rated voltage, as printed
    pytest.param("stock-rated-1k-hour", 100, "100 Ω", id="EIA-815: about 100 Ω up to 100 V"),
    pytest.param("stock-rated-1k-hour", 101, "1 kΩ", id="EIA-815: about 1000 Ω above 100 V"),
    pytest.param("stock-rated-1k-half-hour", 450, "1 kΩ", id="a maker's page on storage: ~1 kΩ"),
    pytest.param("maker-slow-rise-1ma", 75, "10 kΩ", id="a maker's notice, 1993: 10 kΩ to 75 V"),
    pytest.param("maker-slow-rise-1ma", 76, "100 kΩ", id="a maker's notice, 1993: 100 kΩ above"),
    pytest.param("surplus-hold-by-age", 450, "30 kΩ", id="the surplus rule: ~30 kΩ"),
    pytest.param("amateur-470k-day", 450, "470 kΩ", id="an amateur's page: 470 kΩ"),
    pytest.param("restorer-15k-until-settled", 450, "15 kΩ", id="a radio restorer: 15 kohm"),
    pytest.param("amplifier-100k-until-settled", 450, "100 kΩ", id="a forum: 100 kohm"),
    pytest.param("computer-30k-rise-1ma", 30, "30 kΩ", id="a computer restorer: 30 kohm"),
    pytest.param("seller-short-5ma", 450, "90 kΩ", id="a seller's post: 90 kΩ, 5 mA at 450 V"),
]


@pytest.mark.parametrize(("name", "volts", "printed"), RESISTORS)
def test_series_resistor_is_the_printed_one(name, volts, printed):
    assert_published(told_resistance(procedure_named(name), volts, supply_v=volts), printed)


def test_drive_bulletins_name_no_resistor():
    assert math.isnan(told_resistance(procedure_named("drive-from-half"), 450, supply_v=450))


def test_surplus_rule_holds_a_part_of_40_years_for_the_printed_time():
    # handbook 0.21 and 4.4: "5 min + 1 min/month": 40 years -> 485 min
    assert holding_time(procedure_named("surplus-hold-by-age"), 40) / 60 == pytest.approx(485)


FRACTIONS = [
    # procedure, years without voltage, fractions of the run
    pytest.param("ours-steps-to-limit", 20, (0.25, 0.5, 0.75, 1), id="handbook 4.11: 25/50/75/100"),
    pytest.param("ours-steps-to-limit", 21, (0.1, 0.25, 0.5, 0.75, 1), id="4.11: 10 % above 20 a"),
    pytest.param("drive-from-half", 1.9, (), id="service bulletin: none within 2 years"),
    pytest.param("drive-from-half", 2.5, (1,), id="service bulletin: rated, 2 to 3 years"),
    pytest.param("drive-from-half", 3.5, (0.5, 0.75, 1), id="service bulletin: 50/75/100 beyond"),
    pytest.param("drive-third-seventy-full", 2.5, (0.3, 0.7, 1), id="trade page: 30-50, 70, 100"),
    pytest.param("drive-third-seventy-full", 1.9, (), id="trade page: stored > 24 months"),
    pytest.param("equipment-half-then-slowly", 1.9, (), id="maker note: stored > 2 years"),
    pytest.param("drive-quarters-by-age", 0.5, (), id="trade page: none within 1 year"),
    pytest.param("drive-quarters-by-age", 1.5, (1,), id="trade page: rated, 1 to 2 years"),
    pytest.param("drive-quarters-by-age", 2.5, (0.25, 0.5, 0.75, 1), id="trade page: 25 % steps"),
]


@pytest.mark.parametrize(("name", "years", "fractions"), FRACTIONS)
def test_voltages_are_those_of_the_source_for_the_time_without_voltage(name, years, fractions):
    assert schedule_of(procedure_named(name), years).fractions == fractions


HOLDS = [
    pytest.param("drive-quarters-by-age", 2.5, 30, id="trade page: 30 min steps, 2 to 3 years"),
    pytest.param("drive-quarters-by-age", 3.5, 120, id="trade page: 120 min steps beyond"),
    pytest.param("drive-from-half", 3.5, 30, id="service bulletin: 30 min each"),
    pytest.param("drive-third-seventy-full", 3, 120, id="trade page: 2 to 4 h at 100 %"),
    pytest.param("stock-rated-1k-hour", 1, 60, id="EIA-815: 1 h"),
    pytest.param("stock-rated-1k-half-hour", 1, 30, id="a maker's page: 30 to 60 min"),
    pytest.param("maker-slow-rise-1ma", 30, 240, id="a maker's notice, 1993: at least 4 h"),
    pytest.param("ours-steps-to-limit", 30, 30, id="handbook 4.11: 30 min minimum"),
]


@pytest.mark.parametrize(("name", "years", "minutes"), HOLDS)
def test_holding_time_at_full_voltage_is_the_printed_one(name, years, minutes):
    assert holding_time(procedure_named(name), years) == minutes * 60


def test_time_without_voltage_that_nobody_knows_is_the_longest():
    procedure = procedure_named("ours-steps-to-limit")
    assert schedule_of(procedure, math.nan) == schedule_of(procedure, 99)


def test_only_the_preconditioning_of_stock_is_for_fresh_parts_alone():
    # handbook 4.1: "This is for GOOD stock, unsafe for unknown vintage parts"
    fresh = {procedure.name for procedure in PROCEDURES if procedure.fresh_stock}
    assert fresh == {"stock-rated-1k-hour", "stock-rated-1k-half-hour"}


def test_a_part_in_its_equipment_begins_at_half_its_voltage_for_ten_minutes():
    # a maker's note: "start at half voltage about 10 min, then raise slowly"
    schedule = schedule_of(procedure_named("equipment-half-then-slowly"), 3.0)
    assert (schedule.fractions[0], schedule.hold_s) == (0.5, 600.0)


def test_a_computer_restorer_never_lets_more_than_a_milliampere_flow():
    assert_published(procedure_named("computer-30k-rise-1ma").current_a, "1 mA")


def test_an_amateur_gives_a_part_up_after_an_hour():
    # the post discards a part that needs more than 1 h to approach normal
    assert schedule_of(procedure_named("amateur-steps-within-hour"), 30).last_most_s == 3600.0
