"""reform read and reform triage, as a person calls them."""

from __future__ import annotations

import json

import pytest

from captriage.jobs.sheets import demo_sheets

DEMO = demo_sheets()[0].parent / "reforming"


@pytest.mark.parametrize(("file", "status"), [("P1.csv", 0), ("A3.csv", 1), ("A9.tsv", 1)])
def test_the_exit_status_tells_whether_the_current_is_below_the_limit(captriage, file, status):
    answer = captriage("reform", "read", DEMO / file)
    assert (answer.status, answer.err) == (status, "")
    assert answer.out.startswith(file.partition(".")[0])


def test_a_log_of_which_no_curve_can_be_made_ends_with_2_and_the_remedy(captriage, tmp_path):
    (tmp_path / "x.csv").write_text("wibble\n", encoding="utf-8")
    answer = captriage("reform", "read", tmp_path / "x.csv", "--rating", "32 µF 450 V")
    assert answer.status == 2
    assert answer.err.startswith("captriage: x.csv: no log in it")


def test_everything_a_log_lacks_can_be_told(captriage, tmp_path):
    path = tmp_path / "bare.csv"
    path.write_text("".join(f"{t},{10 / (t + 5):.4f}\n" for t in range(0, 900, 5)), "utf-8")
    answer = captriage(
        "reform", "read", path, "--rating", "32 µF 450 V", "--made", 1959, "--working", 385,
        "--columns", "time s, drop V", "--series-resistor", "10k", "--supply", 385,
        "--limit", "1.1 mA", "--floor", "1 µA", "--policy", "conserve-originals",
        "--format", "json",
    )  # fmt: skip
    assert (answer.status, answer.err) == (0, "")
    found = json.loads(answer.out)
    assert found["rating"]["target_v"] == 385
    assert found["rating"]["limit_a"] == 1.1e-3
    assert found["limit_source"] == "told beside the log"


def test_a_picture_is_written_beside_the_answer(captriage, tmp_path):
    answer = captriage(
        "reform", "read", DEMO / "A3.csv", "--format", "json", "--picture", tmp_path / "a3.svg"
    )
    assert (tmp_path / "a3.svg").stat().st_size > 1000
    assert json.loads(answer.out)["state"] == "falling"
    assert answer.err == f"Picture written to {tmp_path / 'a3.svg'}.\n"


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--picture", "a.gif"), "end its name in .svg or .png"),
        (("--limit", "5 V"), "write a current up to 1 A"),
        (("--floor", "0"), "write a current up to 1 A"),
        (("--series-resistor", "ten"), "write a resistance"),
    ],
)
def test_what_cannot_be_is_refused(captriage, options, said):
    answer = captriage("reform", "read", DEMO / "A3.csv", *options)
    assert answer.status == 2
    assert said in answer.err


def test_the_log_is_never_drawn_over(captriage, tmp_path):
    path = tmp_path / "log.svg"
    path.write_bytes((DEMO / "A3.csv").read_bytes())
    answer = captriage("reform", "read", path, "--picture", path)
    assert answer.status == 2
    assert "is being read; choose another name" in answer.err
    assert path.read_bytes() == (DEMO / "A3.csv").read_bytes()


def test_triage_prints_one_table_and_ends_with_1_where_not_all_are_below(captriage):
    answer = captriage("reform", "triage", DEMO, "--ratings", DEMO.parent / "rack_parts.csv")
    assert answer.status == 1
    assert answer.out.count("\n         > ") == 5
    alone = captriage("reform", "triage", DEMO / "P1.csv")
    assert alone.status == 0
    assert captriage("reform", "triage").status == 2


def test_judge_takes_the_logs_beside_its_sheets(captriage, tmp_path):
    rack = [DEMO.parent / "rack_parts.csv", DEMO.parent / "rack_readings.csv"]
    answer = captriage("judge", *rack, "--curves", DEMO, "--format", "json")
    assert answer.status == 1
    verdicts = {row["part"]: row["verdict"] for row in json.loads(answer.out)["verdicts"]}
    assert (verdicts["P1"], verdicts["A3"], verdicts["A9"]) == ("keep", "reform", "replace")
    page = tmp_path / "rack.html"
    assert captriage("judge", *rack, "--curves", DEMO, "--out", page).status == 1
    assert "<polyline" in page.read_text(encoding="utf-8")


def test_what_was_set_aside_of_the_logs_is_shown_in_a_report(captriage):
    answer = captriage("judge", DEMO.parent / "rack_parts.csv", "--curves", DEMO)
    said = " ".join(answer.out.split())
    assert said.endswith(" set aside; --out report.html shows which, and why.")


def test_logs_beside_a_book_are_refused(captriage):
    answer = captriage("judge", "--job", "rack", "--curves", DEMO)
    assert answer.status == 2
    assert "--curves goes with sheets" in answer.err
