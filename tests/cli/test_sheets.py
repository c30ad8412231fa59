import csv
import io
import json
import shutil

import pytest

from captriage.columns import VERDICTS
from captriage.jobs import sheets as jobs


def verdicts(answer):
    return {row["part"]: row for row in json.loads(answer.out)["verdicts"]}


def test_judge_prints_a_verdict_for_every_part(captriage, sheet):
    answer = captriage("judge", sheet)
    assert (answer.status, answer.err) == (1, "")
    assert answer.out.startswith("3 parts: 1 keep, 0 reform, 2 replace\n")
    assert "1 cell or line was set aside; see them with:\n  captriage check " in answer.out


def test_what_was_set_aside_is_seen_with_the_command_that_is_advised(captriage, sheet, monkeypatch):
    monkeypatch.chdir(sheet.parent.parent)
    named = sheet.relative_to(sheet.parent.parent)
    advised = captriage("judge", named).out.splitlines()[-1]
    assert advised == f"  captriage check {named}"
    assert captriage(*advised.split()[1:]).status == 1


def test_judge_ends_with_0_where_every_part_is_keep(captriage, good_sheet):
    assert captriage("judge", good_sheet).status == 0


def test_judge_in_json_has_a_verdict_with_findings_for_every_part(captriage, sheet):
    rows = verdicts(captriage("judge", sheet, "--format", "json"))
    assert {part: row["verdict"] for part, row in rows.items()} == {
        "C1": "replace",
        "C2": "keep",
        "C3": "replace",
    }
    assert rows["C3"]["energise"] == "never"
    assert all(row["findings"] for row in rows.values())


def test_judge_in_csv_has_the_columns_of_the_vocabulary(captriage, sheet):
    rows = list(csv.DictReader(io.StringIO(captriage("judge", sheet, "--format", "csv").out)))
    assert list(rows[0]) == list(VERDICTS)
    assert [row["source"] for row in rows] == ["amp.csv:2", "amp.csv:3", "amp.csv:4"]


@pytest.mark.parametrize(
    ("name", "start"),
    [
        ("a.html", "<!DOCTYPE html>"),
        ("a.md", "# 3 parts"),
        ("a.json", "{"),
        ("a.csv", "part,can,"),
        ("a.txt", "3 parts"),
    ],
)
def test_judge_writes_the_format_that_the_name_says(captriage, sheet, tmp_path, name, start):
    out = tmp_path / name
    answer = captriage("judge", sheet, "--out", out)
    assert answer.status == 1
    assert answer.out == f"3 parts: 1 keep, 0 reform, 2 replace. Written to {out}.\n"
    assert out.read_text(encoding="utf-8").startswith(start)


def test_judge_holds_a_reformed_part_against_what_it_was_before(captriage, tmp_path):
    # "ΔC/C ±10 %", "ESR ≤ 1.2 x": Vishay BCcomponents doc. 28340, shelf-life test
    path = tmp_path / "reformed.csv"
    path.write_text(
        "Bauteil,Nennwert,Baujahr,formiert,C vorher (µF),ESR vorher (Ω),C nachher (µF),"
        "ESR nachher (Ω),Frequenz (Hz)\n"
        "C1,32 µF 450 V,1959,healed,36.0,3.0,34.9,3.1,120\n"
        "C2,32 µF 450 V,1959,healed,36.0,3.0,34.9,4.4,120\n"
        "C3,32 µF 450 V,1959,healed,,,34.9,4.4,120\n"
        "C4,32 µF 450 V,1959,healed,36.0,3.0,,,120\n",
        "utf-8",
    )
    rows = verdicts(captriage("judge", path, "--format", "json"))
    found = {part: (row["verdict"], row["decided_by"]) for part, row in rows.items()}
    assert found == {
        "C1": ("keep", "readings_within_limits"),
        "C2": ("replace", "unchanged_by_reform"),
        "C3": ("keep", "readings_within_limits"),
        "C4": ("not judged", "unchanged_by_reform"),
    }
    assert rows["C2"]["because"] == (
        "ESR 4.4 Ω at 120 Hz is above 3.6 Ω: before the reform it was 3 Ω, and a part that comes "
        "good gains less."
    )
    assert captriage("check", path).status == 0  # nothing was set aside


def test_judge_follows_the_policy_it_is_given(captriage, sheet, tmp_path):
    mine = tmp_path / "mine.toml"
    mine.write_text(captriage("policy", "conserve-originals").out, encoding="utf-8")
    for policy in ("conserve-originals", mine):
        answer = captriage("judge", sheet, "--policy", policy, "--format", "json")
        assert json.loads(answer.out)["policy"]["name"] == "conserve-originals"


def test_judge_never_overwrites_a_sheet(captriage, sheet):
    before = sheet.read_bytes()
    answer = captriage("judge", sheet, "--format", "csv", "--out", sheet)
    assert answer.status == 2
    assert "is being read" in answer.err
    assert sheet.read_bytes() == before


def test_judge_never_overwrites_the_policy(captriage, sheet, tmp_path):
    mine = tmp_path / "mine.toml"
    mine.write_text(captriage("policy", "conserve-originals").out, encoding="utf-8")
    before = mine.read_bytes()
    answer = captriage("judge", sheet, "--policy", mine, "--format", "csv", "--out", mine)
    assert answer.status == 2
    assert mine.read_bytes() == before


def test_a_sheet_that_cannot_be_used_leaves_no_output(captriage, tmp_path):
    out = tmp_path / "a.html"
    assert captriage("judge", tmp_path / "missing.csv", "--out", out).status == 2
    assert list(tmp_path.iterdir()) == []


def test_check_shows_what_was_understood_and_what_was_not(captriage, sheet):
    answer = captriage("check", sheet)
    assert answer.status == 1
    assert answer.out.startswith("3 parts, 5 readings, 3 looks; 1 set aside\n")
    assert "amp.csv:4:6 (C (µF)): 'banana'" in answer.out


def test_check_ends_with_0_where_every_cell_was_used(captriage, good_sheet):
    answer = captriage("check", good_sheet)
    assert answer.status == 0
    assert "Every cell was used." in answer.out


def test_check_counts_notes_that_are_kept_and_not_weighed(captriage, tmp_path):
    sheet = tmp_path / "amp.csv"
    sheet.write_text(
        "part;rating;remarks\nC1;16 µF 450 V;from the left drawer\nC2;16 µF 450 V;popped\n"
        "C3;16 µF 450 V;\n",
        encoding="utf-8",
    )
    answer = captriage("check", sheet)
    assert answer.status == 0
    assert "Every cell was read; 1 note was kept and not weighed." in answer.out
    assert "Kept, and not weighed\n  - C1 (amp.csv:2): 'from the left drawer'\n" in answer.out
    told = json.loads(captriage("check", sheet, "--format", "json").out)["notes_kept"]
    assert told == [{"part": "C1", "note": "from the left drawer", "source": "amp.csv:2"}]


def test_check_in_json_has_one_object_a_value(captriage, sheet):
    answer = captriage("check", sheet, "--format", "json")
    found = json.loads(answer.out, parse_constant=pytest.fail)
    assert list(found) == ["parts", "readings", "looks", "set_aside", "notes_kept"]
    assert [part["part"] for part in found["parts"]] == ["C1", "C2", "C3"]
    assert found["parts"][0]["capacitance_rated"] == pytest.approx(32e-6)
    leak = next(r for r in found["readings"] if r["quantity"] == "leakage_current")
    assert leak["value"] == pytest.approx(2e-6)
    assert (leak["part"], leak["unit"], leak["soak_s"]) == ("C2", "A", 300.0)
    assert leak["source"] == "amp.csv:3:10"
    assert "frequency_hz" not in leak
    aside = found["set_aside"][0]
    assert (aside["line"], aside["column"], aside["found"]) == (4, 6, "banana")


def test_the_demo_judges_the_invented_rack_and_says_so(captriage, tmp_path):
    answer = captriage("demo", "--out", tmp_path)
    assert answer.status == 0
    assert "All its data are invented" in answer.out
    assert "44 parts: " in answer.out
    assert (tmp_path / "captriage-demo.html").read_text("utf-8").startswith("<!DOCTYPE html>")
    assert max(map(len, answer.out.splitlines())) <= 80


def test_the_demo_keeps_to_eighty_columns_wherever_it_is_installed(
    captriage, tmp_path, monkeypatch
):
    deep = tmp_path.joinpath(*["a folder of a rather long name"] * 5, "x" * 120)
    shutil.copytree(jobs.demo_sheets()[0].parent, deep / "data_demo")
    sheets = [deep / "data_demo" / sheet.name for sheet in jobs.demo_sheets()]
    monkeypatch.setattr(jobs, "demo_sheets", lambda: sheets)
    answer = captriage("demo", "--out", deep)
    assert answer.status == 0
    assert "x" * 70 in answer.out
    assert max(map(len, answer.out.splitlines())) <= 80


def test_the_demo_makes_the_folder_it_writes_to(captriage, tmp_path):
    new = tmp_path / "missing" / "reports"
    assert captriage("demo", "--out", new).status == 0
    assert [path.name for path in new.iterdir()] == ["captriage-demo.html"]


def test_the_demo_says_that_it_cannot_write_before_it_prints_anything(captriage, tmp_path):
    taken = tmp_path / "taken"
    taken.write_text("x")
    (tmp_path / "captriage-demo.html").mkdir()
    for out, message in ((taken, "taken: File exists; "), (tmp_path, "demo.html: is a folder; ")):
        answer = captriage("demo", "--out", out)
        assert (answer.status, answer.out) == (2, "")
        assert message in answer.err
        assert answer.err.count("\n") == 1


@pytest.mark.parametrize("name", ["r.xlsx", "r.pdf", "r.tsv"])
@pytest.mark.parametrize("command", ["judge", "sheet"])
def test_an_ending_that_names_no_format_writes_nothing(captriage, sheet, command, name):
    out = sheet.with_name(name)
    answer = captriage(command, sheet, "--out", out)
    assert (answer.status, answer.out) == (2, "")
    assert "names no format; end the name of --out in " in answer.err
    assert answer.err.count("\n") == 1
    assert not out.exists()
