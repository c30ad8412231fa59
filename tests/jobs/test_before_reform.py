"""Capacitance and ESR of before a reform are told from today's by when they were read."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.jobs import book as jobs
from captriage.jobs.reform_curves import RETEST, RUN
from captriage.jobs.sheets import judge
from jobs.reformed_book import HEADINGS, new_book, read_again, run

RULE = "unchanged_by_reform"
KEPT = ("keep", "readings_within_limits")


def judged(where):
    judgement = jobs.judge(where, "amp", today_year=2026, record=False)
    verdicts = judgement.verdicts.set_index("part")[["verdict", "decided_by"]]
    return judgement, tuple(verdicts.loc["C1"])


def quantities(judgement):
    own = judgement.readings["part_row"] == 0
    return judgement.readings.loc[own & (judgement.readings["quantity"] != "leakage_current"),
                                  "quantity"].tolist()  # fmt: skip


def healed(where, **again):
    """A run, its re-test after a rest, and C and ESR read again where they are told."""
    run(where, RUN, end_ma=0.05)
    run(where, RETEST, end_ma=0.05, until_s=400, days=1.5)
    if again:
        read_again(where, days=1.6, **again)


AGAIN = [
    # the sheet has 36 µF and 3 Ω; what is read after the re-test; the verdict and its rule
    ({"capacitance": 35e-6, "esr": 3.1}, KEPT),
    ({"capacitance": 35e-6, "esr": 4.5}, ("replace", RULE)),
    ({"capacitance": 30e-6, "esr": 3.1}, ("replace", RULE)),
    ({"capacitance": 43e-6, "esr": 3.1}, ("not judged", RULE)),
    ({}, ("not judged", RULE)),
]


@pytest.mark.parametrize(("again", "fate"), AGAIN)
def test_what_a_book_held_before_the_run_is_of_before_the_reform(tmp_path, again, fate):
    where = new_book(tmp_path)
    healed(where, **again)
    judgement, found = judged(where)
    assert found == fate
    today = ["capacitance", "esr"] if again else []
    assert quantities(judgement) == ["capacitance_before", "esr_before", *today]


def test_what_is_read_at_the_bench_before_the_run_is_of_before_it(tmp_path):
    where = new_book(tmp_path)
    read_again(where, days=-1.0, capacitance=34e-6, esr=1.9)
    healed(where, capacitance=34e-6, esr=3.1)  # 1.6 times what the bench read, not the sheet
    judgement, found = judged(where)
    assert found == ("replace", RULE)
    assert "before the reform it was 1.9 Ω" in judgement.verdicts["because"].iloc[0]


def test_while_the_reform_goes_on_nothing_is_of_before_it(tmp_path):
    where = new_book(tmp_path)
    run(where, RUN, end_ma=0.05, volts=200.0)
    judgement, found = judged(where)
    assert found == ("reform", "reform_settled")
    assert quantities(judgement) == ["capacitance", "esr"]


def test_a_re_test_alone_does_not_tell_when_the_reform_was(tmp_path):
    where = new_book(tmp_path)
    run(where, RETEST, end_ma=0.05, until_s=400)
    assert quantities(judged(where)[0]) == ["capacitance", "esr"]


def imported_later(tmp_path, taken_at):
    """A book whose sheet with C and ESR was taken in after the run, and says when they were."""
    where = new_book(tmp_path, "part,rating,made,idle (years)\nC1,32 µF 450 V,1959,17\n")
    healed(where)
    sheet = tmp_path / "later.csv"
    row = f"C1,32 µF 450 V,1959,17,36,120,3,120,,,,{taken_at}\n"
    sheet.write_text(HEADINGS + row, encoding="utf-8")
    jobs.import_sheets(where, [sheet], "amp")
    return quantities(judged(where)[0])


@pytest.mark.parametrize(
    ("days", "found"),
    [
        (-10, ["capacitance_before", "esr_before"]),
        (-1, ["capacitance", "esr"]),  # a day alone, and of an untold zone: nothing is assumed
        (None, ["capacitance", "esr"]),
        (2, ["capacitance", "esr"]),
    ],
)
def test_a_sheet_taken_in_later_counts_by_its_own_date(tmp_path, days, found):
    today = np.datetime64("now", "D")
    assert imported_later(tmp_path, "" if days is None else today + days) == found


def dated(begins, *, end_ma=0.05):
    begun = np.datetime64(begins, "s")
    rows = [f"{begun + t},450,{end_ma + 20 / (t + 4):.4f}" for t in range(0, 3600, 20)]
    return "time,supply (V),current (mA)\n" + "\n".join(rows) + "\n"


BESIDE = [
    # when C and ESR were read, with a run on 3 November from 10:00 on
    ("2026-11-03T09:30", ["capacitance_before", "esr_before"]),
    ("2026-11-02", ["capacitance_before", "esr_before"]),
    ("2026-11-03", ["capacitance", "esr"]),  # the hour is not told
    ("", ["capacitance", "esr"]),
    ("2026-11-05T09:00", ["capacitance", "esr"]),
]


def beside(tmp_path, taken_at, logs):
    sheet = tmp_path / "amp.csv"
    row = f"C1,32 µF 450 V,1959,17,36,120,3,120,,,,{taken_at}\n"
    sheet.write_text(HEADINGS + row, encoding="utf-8")
    folder = tmp_path / "logs"
    folder.mkdir()
    for name, text in logs.items():
        (folder / name).write_text(text, encoding="utf-8")
    return judge([sheet], curves=[folder], today_year=2026)


@pytest.mark.parametrize(("taken_at", "found"), BESIDE)
def test_beside_a_log_that_is_dated_the_date_of_a_reading_tells(tmp_path, taken_at, found):
    logs = {
        "C1.csv": dated("2026-11-03T10:00"),
        "C1_re-test.csv": dated("2026-11-05T10:00"),
    }
    assert quantities(beside(tmp_path, taken_at, logs)) == found


def test_beside_a_log_without_a_date_nothing_is_assumed(tmp_path):
    rows = [f"{t},450,{0.05 + 20 / (t + 4):.4f}" for t in range(0, 3600, 20)]
    log = "time (s),supply (V),current (mA)\n" + "\n".join(rows) + "\n"
    found = beside(tmp_path, "2026-11-03T09:30", {"C1.csv": log, "C1_re-test.csv": log})
    assert quantities(found) == ["capacitance", "esr"]
    assert found.verdicts["verdict"].tolist() == ["keep"]
    assert "within 10 % of that before" in found.verdicts["next"].iloc[0]
