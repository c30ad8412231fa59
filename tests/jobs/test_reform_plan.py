import pytest

from captriage.errors import CapTriageError, MarkingError, PolicyError
from captriage.jobs.planned_run import read_plan
from captriage.jobs.reform_plan import Manner, Told, plan
from captriage.reform.equipment import Equipment
from published import assert_published


def planned(rating, told=None, **more):
    """The plans of a rating in the year of the demonstration."""
    cards = plan(rating, told or Told(), today_year=2026, **more)
    return [card.plan for card in cards]


def test_a_rating_alone_gives_a_plan():
    (made,) = planned("8 MFD 450 WVDC")
    assert (made.capacitance_rated, made.voltage_rated, made.target_v) == (8e-6, 450, 450)


def test_year_and_policy_choose_the_limit_of_the_re_test():
    # JAN-C-62 as reported in amradio list post msg21215: 20 µF 450 V "1.1 mA"
    (made,) = planned("20 µF 450 V", Told(made="1959"))
    assert_published(made.retest.limit_a, "1.1 mA")
    assert made.retest.soak_s == 300
    assert "JAN-C-62" in made.retest.reference
    # Lelon RGA series: 47 µF 450 V "448.0 µA"
    (made,) = planned("47 µF 450 V", Told(made="1999"))
    assert_published(made.retest.limit_a, "448.0 µA")


def test_what_is_told_is_taken():
    told = Told(
        made="1959",
        idle="25y",
        working="385V",
        name="C12",
        diameter="35 mm",
        polarity="polar",
        looks="sound",
        resistance="2M",
    )
    (card,) = plan("32 µF 450 V", told, today_year=2026)
    assert (card.part.age_years, card.part.idle_years) == (67, 25)
    assert card.part.diameter_m == 0.035
    assert (card.plan.part, card.plan.target_v) == ("C12", 385)
    assert len(card.plan.questions) == 1  # the readings before the run


def test_what_the_policy_thinks_of_it_is_said():
    (card,) = plan("32 µF 450 V", policy="renew-on-doubt", today_year=2026)
    assert "replaces what would have to be reformed" in " ".join(card.remarks)
    (card,) = plan("22 µF 25 V", today_year=2026)
    assert "a fresh one costs less" in " ".join(card.remarks)
    for rating in ("32 µF 450 V", "10+10 µF 25 V"):  # a can is not so soon replaced
        assert not any(card.remarks for card in plan(rating, today_year=2026))


def test_a_printed_tolerance_is_told_where_the_part_is_discharged():
    (card,) = plan("32 µF 450 V -10/+100 %", today_year=2026)
    assert "may hold 2 times as much" in " ".join(card.plan.cautions)


def test_each_section_of_a_can_gets_a_plan():
    made = planned("40/20 µF 450/25 V")
    assert [(each.section, each.voltage_rated) for each in made] == [("1", 450), ("2", 25)]
    assert all("One section at a time" in " ".join(each.cautions) for each in made)
    (second,) = planned("40/20 µF 450/25 V", Told(section="2", working="20 V"))
    assert (second.section, second.target_v) == ("2", 20)


REFUSED = [
    # rating, what is told, what is said
    ("banana", {}, r"rating 'banana'"),
    ("32 µF", {}, r"^32 µF: no rated voltage"),
    ("32 µF 450 V", {"made": "2040"}, r"'2040'"),
    ("32 µF 450 V", {"working": "banana"}, r"working voltage: 'banana' is not understood"),
    ("32 µF 450 V", {"idle": "long"}, r"time without voltage: 'long' is not understood"),
    ("32 µF 450 V", {"polarity": "odd"}, r"polarity: 'odd' not understood"),
    ("32 µF 450 V", {"diameter": "fat"}, r"diameter, in mm: 'fat' is not understood"),
    ("32 µF 450 V", {"diameter": "0.03"}, r"diameter, in mm: '0\.03'; from 1 mm to 200 mm"),
    ("32 µF 450 V", {"resistance": "none"}, r"resistance: 'none' is not understood"),
    ("32 µF 450 V", {"looks": "zorb"}, r"looks: 'zorb' is not understood; write bulged, vented"),
    ("32 µF 450 V", {"section": "2"}, r"section: '2'; the part has but one"),
    ("16+16 µF 350 V", {"section": "3"}, r"section: '3'; there are 1, 2"),
    ("16+16 µF 350 V", {"working": "300"}, r"'300' of which of the 2 sections\? Say it with --sec"),
    ("47 µF 50 V NP", {}, r"47 µF 50 V: it is bipolar"),
    ("47 µF 50 V", {"polarity": "bipolar"}, r"47 µF 50 V: it is bipolar"),
]


@pytest.mark.parametrize(("rating", "told", "message"), REFUSED)
def test_what_cannot_be_planned_is_refused(rating, told, message):
    with pytest.raises(CapTriageError, match=message):
        planned(rating, Told(**told))


NO_VOLTAGE = ["bulged", "vented", "leaked", "scorched", "split", "burst", "reversed", "warm"]


@pytest.mark.parametrize("look", NO_VOLTAGE)
def test_a_damaged_part_gets_no_plan(look):
    with pytest.raises(CapTriageError, match=r"C3: no voltage may be put on it, so there is no pl"):
        planned("32 µF 450 V", Told(looks=look, name="C3"))


def test_a_shorted_part_gets_no_plan():
    # below 10 Ω out of circuit: house policy
    with pytest.raises(CapTriageError, match=r"no voltage may be put on it.*3 Ω between the term"):
        planned("32 µF 450 V", Told(resistance="3"))
    assert planned("32 µF 450 V", Told(resistance="3M"))


def test_what_is_seen_and_forbids_no_voltage_is_asked_about():
    (made,) = planned("32 µF 450 V", Told(looks="dented, old residue at the seal"))
    (asked,) = [question for question in made.questions if question.startswith("It shows")]
    assert "old hard residue at a seal or terminal, case dented" in asked
    (made,) = planned("32 µF 450 V", Told(looks="sound"))
    assert not any(question.startswith("It shows") for question in made.questions)


def test_damage_of_one_section_is_damage_of_the_can():
    with pytest.raises(CapTriageError, match=r"no voltage may be put on it"):
        planned("16+16 µF 350 V", Told(looks="bulged", section="2"))


def test_a_date_that_cannot_be_is_refused():
    with pytest.raises(MarkingError, match="banana"):
        planned("32 µF 450 V", Told(made="banana"))


def test_an_unknown_policy_and_procedure_are_refused():
    with pytest.raises(PolicyError, match="nowhere: cannot be read"):
        planned("32 µF 450 V", policy="nowhere")
    with pytest.raises(CapTriageError, match="procedure: 'magic' is not known"):
        planned("32 µF 450 V", manner=Manner(procedure="magic"))


def test_a_supply_that_gives_too_little_current_gives_no_plan():
    from captriage.reform.equipment import Supply

    weak = Manner(equipment=Equipment(supply=Supply(current_most=1e-6)))
    with pytest.raises(
        CapTriageError, match=r"no plan that may be carried out: current limit of t"
    ):
        planned("32 µF 450 V", manner=weak)


def test_a_plan_file_that_is_nested_without_end_is_refused(tmp_path):
    path = tmp_path / "plan.json"
    path.write_text("[" * 100_000, encoding="utf-8")
    with pytest.raises(CapTriageError, match=r"plan\.json: .*recursion.*; write the plan again"):
        read_plan(path)


def test_a_run_to_so_low_a_voltage_is_said_to_be_hardly_worth_its_time():
    card = plan("25 µF 25 V", Told(working="2.2 V"), today_year=2026)[0]
    assert "No more than 2.2 V is wanted of it: such a run is hardly worth" in card.remarks[-1]
    higher = plan("25 µF 25 V", Told(working="6 V"), today_year=2026)[0]
    assert not any("hardly worth" in each for each in higher.remarks)
