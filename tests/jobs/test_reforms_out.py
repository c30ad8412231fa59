"""A job handed out with its reforming runs is judged as it was in the book."""

from __future__ import annotations

import pytest

from captriage.errors import BookError
from captriage.jobs import book as jobs
from captriage.jobs.reform_curves import RETEST, RUN
from captriage.jobs.sheets import check, judge
from captriage.readers.curve_logs import read_curve_log
from jobs.reformed_book import new_book, read_again, run


@pytest.fixture
def where(tmp_path):
    return new_book(tmp_path)


def fates(judgement):
    return judgement.verdicts[["part", "verdict", "decided_by"]].values.tolist()


def handed_out(where, folder):
    """Verdicts of the book, and of what it hands out, with its logs."""
    files = jobs.export(where, "amp", folder)
    sheets = [path for path in files if path.parent == folder]
    in_book = jobs.judge(where, "amp", today_year=2026, record=False)
    outside = judge(sheets, curves=[folder / "reforming"], today_year=2026)
    return in_book, outside, files


def healing(where):
    run(where, RUN, end_ma=0.05)
    run(where, RETEST, end_ma=0.05, until_s=400, days=1.5)
    read_again(where, days=1.6)


def lossier(where):
    run(where, RUN, end_ma=0.05)
    run(where, RETEST, end_ma=0.05, until_s=400, days=1.5)
    read_again(where, days=1.6, esr=5.0)


def rebounding(where):
    run(where, RUN, end_ma=0.05)
    run(where, RETEST, end_ma=3.0, until_s=400, days=1.5)


def under_way(where):
    run(where, RUN, end_ma=0.05, volts=200.0)


def dangerous(where):
    run(where, RUN, end_ma=0.05, stopped="broken down: the current jumped to 5 mA")
    run(where, RETEST, end_ma=0.05, until_s=400, days=1.5)
    read_again(where, days=1.6)


def hot(where):
    run(where, RUN, end_ma=0.05, stopped="2.25 W in the part: more than 1 W stops the run")


def hot_and_re_tested(where):
    run(where, RUN, end_ma=0.05, stopped="2.25 W in the part: more than 1 W stops the run")
    run(where, RETEST, end_ma=0.05, until_s=400, days=1.5)
    read_again(where, days=1.6)


STORIES = [healing, lossier, rebounding, under_way, dangerous, hot_and_re_tested]


@pytest.mark.parametrize("story", STORIES)
def test_the_verdicts_are_those_of_the_book(where, tmp_path, story):
    story(where)
    in_book, outside, _ = handed_out(where, tmp_path / "out")
    assert fates(outside) == fates(in_book)


def test_a_run_that_was_stopped_by_heat_blocks_a_keep_outside_as_well(where, tmp_path):
    hot(where)
    in_book, outside, _ = handed_out(where, tmp_path / "out")
    for judgement in (in_book, outside):
        assert judgement.verdicts["verdict"].iloc[0] == "not judged"
        assert any("stops the run" in why for why in judgement.set_aside["reason"])


def test_before_stays_before_without_the_logs(where, tmp_path):
    lossier(where)
    files = jobs.export(where, "amp", tmp_path / "out")
    sheets = [path for path in files if path.parent == tmp_path / "out"]
    readings = check(sheets, today_year=2026).readings
    before = readings.loc[readings["quantity"].isin(["capacitance_before", "esr_before"])]
    assert before["value"].tolist() == pytest.approx([36e-6, 3.0])
    assert before["frequency_hz"].tolist() == [120, 120]
    today = readings.loc[(readings["quantity"] == "esr") & (readings["part_row"] == 0)]
    assert today["value"].tolist() == [5.0]
    # what came of it stands in the logs alone: without them the change is seen, and asked about
    alone = judge(sheets, today_year=2026).verdicts.iloc[0]
    assert (alone["verdict"], alone["decided_by"]) == ("not judged", "unchanged_by_reform")
    assert alone["next"].startswith("Write in a column 'reforming' what came of it")


def test_a_log_reads_back_as_the_curve_it_was(where, tmp_path):
    healing(where)
    _, outside, files = handed_out(where, tmp_path / "out")
    names = [path.name for path in files if path.parent.name == "reforming"]
    assert names == ["C1 run 2.csv", "C1 run 3.csv"]
    log, again = (read_curve_log(tmp_path / "out" / "reforming" / name) for name in names)
    assert (log.part, log.retest, again.retest) == ("C1", False, True)
    assert log.curve.time_s[:3].tolist() == pytest.approx([0, 60, 120])
    assert log.curve.current_a[0] == pytest.approx(1e-3 * (0.05 + 20 / 4))
    assert log.curve.supply_v.tolist() == [450.0] * 60
    assert log.set_aside.empty
    assert outside.curves[0][0].file == "C1 run 2.csv"


def test_a_struck_run_is_left_out(where, tmp_path):
    number = run(where, RUN, end_ma=0.05)
    jobs.strike(where, "run", number, "the wrong part was clipped on")
    files = jobs.export(where, "amp", tmp_path / "out")
    assert all(path.parent == tmp_path / "out" for path in files)


def test_nothing_is_written_over_and_nothing_is_left(where, tmp_path):
    healing(where)
    out = tmp_path / "out"
    files = jobs.export(where, "amp", out)
    for path in files:
        if path.parent == out:
            path.unlink()
    with pytest.raises(BookError, match=r"C1 run 2.csv: File exists; export to a folder of its"):
        jobs.export(where, "amp", out)
    for path in files:
        path.unlink(missing_ok=True)
    (out / "parts.csv").touch()
    with pytest.raises(BookError, match=r"parts.csv: exists already"):
        jobs.export(where, "amp", out)
    assert not list((out / "reforming").iterdir())
