import datetime

import numpy as np
import pandas as pd
import pytest

import captriage
from captriage.errors import CapTriageError, MarkingError, PolicyError, ReadingsError
from captriage.jobs import sheets as jobs

SHEET = """\
part,rating,made,C (µF),C frequency (Hz),looks
C1,32 µF 450 V,1959,310 pF,120,sound
C2,10 µF 25 V,2001,,,bulged
"""


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "amp.csv"
    path.write_text(SHEET, encoding="utf-8")
    return path


def words(judgement):
    return dict(zip(judgement.verdicts["part"], judgement.verdicts["verdict"], strict=True))


def test_a_sheet_is_judged_from_its_name_its_path_or_a_list_of_them(sheet):
    expected = {"C1": "replace", "C2": "replace"}
    for source in (str(sheet), sheet, [sheet], iter([str(sheet)])):
        assert words(jobs.judge(source, today_year=2026)) == expected


def test_a_frame_is_judged_like_the_sheet_it_would_make(sheet):
    frame = pd.read_csv(sheet, dtype=str, keep_default_na=False)
    from_frame = jobs.judge(frame, today_year=2026).verdicts
    from_sheet = jobs.judge(sheet, today_year=2026).verdicts
    columns = ["part", "verdict", "confidence", "because", "next", "energise"]
    pd.testing.assert_frame_equal(
        from_frame[columns], from_sheet[columns], check_dtype=False, check_categorical=False
    )


def test_row_i_of_the_verdicts_is_row_i_of_the_parts(sheet):
    judgement = jobs.judge(sheet, today_year=2026)
    assert judgement.verdicts["part"].tolist() == judgement.parts["part"].tolist()


def test_ages_are_reckoned_to_the_year_of_the_clock_unless_one_is_given(sheet):
    assert jobs.judge(sheet).today_year == datetime.date.today().year
    assert jobs.judge(sheet, today_year=1999).today_year == 1999


def test_the_policy_is_a_name_or_a_file(sheet, tmp_path):
    mine = tmp_path / "mine.toml"
    mine.write_text(
        jobs.policy_text("renew-on-doubt").replace("renew-on-doubt", "mine"), encoding="utf-8"
    )
    assert jobs.judge(sheet, policy="renew-on-doubt").policy.name == "renew-on-doubt"
    assert jobs.judge(sheet, policy=mine).policy.name == "mine"
    with pytest.raises(PolicyError, match="banana: cannot be read"):
        jobs.judge(sheet, policy="banana")


def test_a_sheet_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(ReadingsError, match=r"missing\.csv: no such file"):
        jobs.judge(tmp_path / "missing.csv")


def test_a_date_that_may_be_several_years_is_asked_about():
    # C5: May of 1972, 1992 or 2012, IEC 60062 (20-year cycle, from memory)
    with pytest.raises(MarkingError, match=r"date of making: 'C5' gives no year \(ambiguous"):
        jobs.expect("10 µF 25 V", made="C5")


def test_a_date_within_the_rating_counts():
    card = jobs.expect("32 µF 450 V 1959", today_year=2026)[0]
    assert card.made == 1959
    assert card.title == "32 µF 450 V, made 1959 (67 years old)"
    assert jobs.expect("32 µF 450 V 1959", made="1971", today_year=2026)[0].made == 1971


def test_a_rating_without_a_date_says_so():
    card = jobs.expect("32 µF 450 V", today_year=2026)[0]
    assert np.isnan(card.made)
    assert card.title == "32 µF 450 V, year of making unknown"


def test_what_had_to_be_assumed_of_a_marking_stands_on_the_card():
    card = jobs.expect("10K 25", today_year=2026)[0]
    assert card.remarks
    assert card.capacitance_rated == pytest.approx(10e-6)


def test_the_demo_judges_every_sheet_of_its_folder():
    sheets = jobs.demo_sheets()
    there = {path.name for path in sheets[0].parent.iterdir() if path.suffix in {".csv", ".tsv"}}
    assert {sheet.name for sheet in sheets} == there
    assert jobs.demo().today_year == jobs.DEMO_YEAR


def test_a_demo_that_is_nowhere_is_told(monkeypatch, tmp_path):
    monkeypatch.setattr(jobs, "files", lambda name: tmp_path / name)
    monkeypatch.setattr(jobs, "__file__", str(tmp_path / "a" / "b" / "c.py"))
    with pytest.raises(CapTriageError, match="the demonstration is missing; install CapTriage"):
        jobs.demo_sheets()


def test_the_package_judges_a_frame_and_a_path_again_and_again(tmp_path):
    # A module of the same name as the job once took its place after the first call.
    frame = pd.DataFrame({"ref": ["C1"], "rating": ["32 µF 450 V"], "looks": ["bulged"]})
    path = tmp_path / "one.csv"
    frame.to_csv(path, index=False)
    for what in (frame, path, frame):
        assert list(captriage.judge(what, policy="renew-on-doubt").verdicts["verdict"]) == [
            "replace"
        ]
