import json

import pytest

from captriage.jobs.equipment_file import read_equipment
from captriage.reform.equipment import OwnedResistor
from captriage.reform.plan_data import plan_of_data


def test_a_plan_is_printed_at_80_columns(captriage):
    options = ("--made", 1959, "--idle", "25y", "--working", "385V")
    answer = captriage("reform", "plan", "32 µF 450 V", *options)
    assert (answer.status, answer.err) == (0, "")
    lines = answer.out.splitlines()
    assert lines[0] == "Reforming plan: 32 µF 450 V"
    assert max(map(len, lines)) <= 80
    assert any(line.startswith("Steps, up to 385 V") for line in lines)


def test_a_plan_as_json_can_be_carried_out(captriage):
    answer = captriage("reform", "plan", "8 MFD 450 WVDC", "--format", "json")
    (said,) = json.loads(answer.out)["plans"]
    assert plan_of_data(said).target_v == 450


def test_the_name_of_the_file_says_its_format(captriage, tmp_path):
    page = tmp_path / "plan.html"
    answer = captriage("reform", "plan", "32 µF 450 V", "--out", page)
    assert (answer.status, answer.out) == (0, f"Reforming plan written to {page}.\n")
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_the_equipment_file_that_the_help_shows_can_be_used_as_it_stands(captriage, tmp_path):
    shown = captriage("reform", "plan", "--help").out.split("An equipment file, such as ")[1]
    first, *lines = shown.splitlines()
    assert first.startswith("equipment.toml")
    assert max(map(len, lines)) <= 80
    bench = tmp_path / "equipment.toml"
    bench.write_text("\n".join(lines), encoding="utf-8")
    found = read_equipment(bench)
    assert (found.supply.voltage_most, found.supply.current_most) == (500, 0.02)
    assert (found.meter, found.meter_floor) == ("voltmeter", 0.01)
    assert found.resistors == (OwnedResistor(47e3, 2.0, 500.0, 4),)


def test_an_equipment_file_and_options_are_taken(captriage, tmp_path):
    bench = tmp_path / "bench.toml"
    bench.write_text("[supply]\nvoltage_most_v = 500\nvoltage_step_v = 10\n", encoding="utf-8")
    options = ("--equipment", bench, "--supply-most", "400V", "--resistors", "100k 5W 500V")
    answer = captriage("reform", "plan", "32 µF 450 V", *options, "--format", "json")
    (said,) = json.loads(answer.out)["plans"]
    assert (said["target_v"], said["series"]["ohm"]) == (400, 100e3)
    assert [step["supply_v"] for step in said["steps"]][-1] == 400


def test_the_equipment_file_is_not_written_over(captriage, tmp_path):
    bench = tmp_path / "bench.json"
    bench.write_text("", encoding="utf-8")
    answer = captriage("reform", "plan", "32 µF 450 V", "--equipment", bench, "--out", bench)
    assert answer.status == 2
    assert "is being read" in answer.err


def test_a_procedure_is_chosen_by_name(captriage):
    options = ("--procedure", "surplus-hold-by-age", "--idle", "40y", "--format", "json")
    answer = captriage("reform", "plan", "40 µF 450 V", *options)
    (said,) = json.loads(answer.out)["plans"]
    # handbook 0.21: 40 years -> 485 min
    assert sum(step["least_s"] for step in said["steps"]) == 485 * 60


REFUSED = [
    (("banana",), "rating 'banana'"),
    (("32 µF",), "no rated voltage"),
    (("32 µF 450 V", "--looks", "bulged"), "no voltage may be put on it"),
    (("32 µF 450 V", "--resistance", "2"), "no voltage may be put on it"),
    (("32 µF 450 V", "--working", "480"), "replace it by one of a higher rating"),
    (("32 µF 450 V", "--made", "1959", "--procedure", "stock-rated-1k-hour"), "--fresh-stock"),
    (("32 µF 450 V", "--procedure", "magic"), "'magic' is not known"),
    (("32 µF 450 V", "--meter", "none"), "a voltmeter is the least"),
    (("32 µF 450 V", "--supply-most", "100"), "use a supply that reaches further"),
    (("32 µF 450 V", "--resistors", "10k"), "none of the resistors at hand"),
    (("32 µF 450 V", "--equipment", "nowhere.toml"), "nowhere.toml"),
    (("32 µF 450 V", "--policy", "nowhere"), "nowhere: cannot be read"),
    (("47 µF 50 V NP",), "it is bipolar"),
]


@pytest.mark.parametrize(("arguments", "message"), REFUSED)
def test_what_cannot_be_planned_is_refused_in_one_line(captriage, arguments, message):
    answer = captriage("reform", "plan", *arguments)
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.startswith("captriage: ")
    assert message in answer.err
    assert answer.err.count("\n") == 1


def test_procedures_are_listed(captriage):
    answer = captriage("reform", "procedures")
    assert answer.status == 0
    assert "ours-steps-to-limit" in answer.out.splitlines()
    names = json.loads(captriage("reform", "procedures", "--format", "json").out)["procedures"]
    assert names[0]["name"] == "ours-steps-to-limit"


def test_help_names_every_option_once(captriage):
    text = captriage("reform", "plan", "--help").out
    for option in ("--made", "--idle", "--working", "--resistors", "--meter", "--equipment"):
        assert text.count(f"{option} ") == 1
