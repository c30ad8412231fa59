"""A plan as it is read: at 80 columns, as JSON that can be run, and as a page to fill in."""

import io
import json
import re

import pytest

from captriage.jobs.reform_plan import Manner, Told, plan
from captriage.reform.equipment import Equipment
from captriage.reform.plan_check import check_plan
from captriage.reform.plan_data import plan_of_data
from captriage.reform.procedures import PROCEDURES, procedure_named
from captriage.report.reform_plan import write_html, write_json, write_text

HOSTILE = "<script>alert(1)</script>"


def cards(rating="40 µF 450 V", procedure="ours-steps-to-limit", **told):
    idle = "4y" if procedure_named(procedure).fresh_stock else "30y"
    known = {"made": "1959", "idle": idle} | told
    manner = Manner(procedure=procedure, fresh_stock=True)
    return plan(rating, Told(**known), manner=manner, today_year=2026)


def written(write, of):
    out = io.StringIO()
    write(of, out)
    return out.getvalue()


@pytest.mark.parametrize("rating", ["40 µF 450 V", "16+16 µF 350 V", "0.1 µF 500 V", "1 F 100 V"])
@pytest.mark.parametrize("procedure", [procedure.name for procedure in PROCEDURES])
def test_the_text_keeps_to_80_columns(rating, procedure):
    text = written(write_text, cards(rating, procedure))
    lines = [line for line in text.splitlines() if "://" not in line]
    assert max(map(len, lines)) <= 80
    assert "nan" not in re.findall(r"\w+", text)
    assert not re.search(r"–[^\n]", text.replace("; – where", ""))  # only where no heat stops it


def test_cautions_come_before_the_steps_and_the_proof_after():
    text = written(write_text, cards())
    places = [
        text.index(heading)
        for heading in (
            "Reforming plan: 40 µF 450 V",
            "Before anything is touched",
            "Settle first",
            "Set up",
            "Steps, up to 450 V",
            "Switch off and discharge when",
            "Afterwards",
            "Departs from the procedure",
        )
    ]
    assert places == sorted(places)


def test_the_steps_stand_in_the_text_as_figures():
    # handbook 4.11: 10/25/50/75/100 %; 0.23: 4.05 J; 0.2: 40 µF 450 V 1.9 mA
    text = written(write_text, cards())
    rows = re.findall(r"^ +(\d)  +([\d.]+) V ", text, re.MULTILINE)
    assert rows == [("1", "45"), ("2", "112"), ("3", "225"), ("4", "337"), ("5", "450")]
    assert re.search(r"^ +5 .* 4\.05 J$", text, re.MULTILINE)
    assert "on all of 450 V the limit is 1.9 mA" in " ".join(text.split())
    assert "2 × 47 kΩ in series (94 kΩ)" in text


def test_a_drop_across_the_resistor_is_told_to_those_who_have_but_a_voltmeter():
    # 1 mA through 44 kΩ: 44 V; 1 V across 94 kΩ: 10.6 µA; 450 V across 10 MΩ: 45 µA, by hand
    text = written(write_text, cards())
    assert re.search(r"^ +5 +44 kΩ +44 V ", text, re.MULTILINE)
    assert "1 V is 10.6 µA through 94 kΩ and 22.7 µA through 44 kΩ" in " ".join(text.split())
    assert "its voltage over 10 MΩ, up to 45 µA: reckon that off" in " ".join(text.split())


def test_what_a_procedure_rejects_at_is_among_the_stops():
    # the surplus rule, handbook 4.4: drop still above 10 % after 1 h
    text = " ".join(written(write_text, cards(procedure="surplus-hold-by-age")).split())
    assert "the procedure itself rejects at: more than 10 % of the voltage still across" in text
    assert "the procedure itself" not in written(write_text, cards())


def test_both_sections_of_a_can_are_written():
    text = written(write_text, cards("40/20 µF 450/25 V"))
    assert "Reforming plan: 40 µF 450 V, section 1" in text
    assert "Reforming plan: 20 µF 25 V, section 2" in text


def test_a_part_that_never_passes_60_volts_is_told_apart():
    text = " ".join(written(write_text, cards("20 µF 25 V")).split())
    assert "it does not pass 60 V" in text
    assert "below 60 V after" not in text


def test_json_can_be_read_back_and_run():
    said = json.loads(written(write_json, cards("40/20 µF 450/25 V")))
    back = [plan_of_data(each) for each in said["plans"]]
    assert back == [card.plan for card in cards("40/20 µF 450/25 V")]
    assert [check_plan(each, Equipment()) for each in back] == [[], []]
    assert said["plans"][0]["idle_years"] == 30
    assert said["plans"][0]["policy"] == "Ordinary service"


def test_json_has_null_for_what_is_not_told():
    said = json.loads(written(write_json, cards(made="", idle="")))
    assert said["plans"][0]["age_years"] is None
    assert said["plans"][0]["idle_years"] is None


def test_the_page_has_boxes_to_tick_and_cells_for_every_step():
    page = written(write_html, cards())
    assert page.count('<table class="bench whole">') == 5
    for number, volts in enumerate((45, 112, 225, 337, 450), 1):
        assert f"☐ Step {number}: supply {volts}" in page
    for head in ("clock", "supply V", "part V", "current"):
        assert page.count(f'<th scope="col">{head}</th>') == 5
    assert page.count('<td class="fill"></td>') > 5 * 6 * 5


def test_a_page_says_no_stop_that_cannot_come():
    # 40 µF 450 V: V²/4R is below 1 W behind 94 kΩ, and 1.15 W behind 44 kΩ at the last step
    page = written(write_html, cards()).replace("\xa0", " ")
    assert "stop above 383 µA, or after 4 h." in page
    assert "stop above 3.26 mA or 1 W, or after 8 h." in page


def test_in_print_no_table_is_parted_and_each_plan_begins_a_page():
    page = written(write_html, cards("40/20 µF 450/25 V"))
    tables = re.findall(r"<table( class=\"[a-z ]*whole\")?>", page)
    assert len(tables) == 20  # 5 of the plan and 5 of its steps, twice
    assert all(tables)
    assert page.count('<section class="plan">') == 2
    assert ".plan + .plan { break-before: page; }" in page


def test_an_option_named_on_the_page_is_not_parted_at_its_hyphens():
    assert 'Say it with <span class="nowrap">--looks</span>.' in written(write_html, cards())
    assert "&lt;b&gt;" in written(write_html, cards(name="<b>"))


def test_the_supply_is_told_its_highest_setting_and_where_its_protection_trips():
    # 1.05 · 450 V, below the surge voltage of 1.10 · 450 V (handbook 2.7)
    text = " ".join(written(write_text, cards()).split())
    assert "never set above 450 V; current limit" in text
    assert "its own protection at 472.5 V, where it has one" in text


def test_the_page_loads_nothing_and_runs_nothing():
    page = written(write_html, cards(name=HOSTILE))
    assert HOSTILE not in page
    assert "&lt;script&gt;" in page
    assert "<script" not in page
    assert "src=" not in page


def test_the_text_cannot_steer_the_terminal():
    assert "\x1b" not in written(write_text, cards(name="C1\x1b[2J"))
