"""Logs of reforming runs through the whole way: rating, limit, curve, advice."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.errors import MarkingError, ReadingsError
from captriage.jobs.curve_parts import Told, logs_in
from captriage.jobs.reform_read import read, triage
from captriage.jobs.sheets import demo_sheets
from captriage.report.read_curve import Unread

DEMO = demo_sheets()[0].parent / "reforming"
YEAR = {"today_year": 2026}

FATES = [
    # file of the invented cinema; state, advice and outcome as its story has them
    ("P1.csv", "settled below the limit", "rest and re-test", "settled below limit"),
    ("P1_re-test.csv", "settled below the limit", "stop and keep", "healed"),
    ("A3.csv", "falling", "continue", "under way"),
    ("A9.tsv", "rising", "stop and replace", "rising"),
    ("P4a.csv", "settled below the limit", "next step", "under way"),
]


@pytest.mark.parametrize(("file", "state", "advice", "outcome"), FATES)
def test_the_invented_logs_tell_their_story(file, state, advice, outcome):
    told = Told(rating="16 µF 450 V") if file == "P4a.csv" else Told()
    found = read(DEMO / file, told, **YEAR)
    progress = found.progress
    assert (progress.state, progress.advice, found.outcome) == (state, advice, outcome)


def test_the_limit_is_that_of_the_era_of_the_part_by_the_policy():
    # K·C + 0.3 mA (JAN-C-62 as reported): K = 0.04 at 450 V, so 32 µF give 1.58 mA
    found = read(DEMO / "P1.csv", **YEAR)
    assert found.rating.limit_a == pytest.approx(1.58e-3, rel=0.005)
    assert "JAN-C-62" in found.reference
    assert found.rating.target_v == 385.0


def log(folder, text, name="C1.csv"):
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def falling(volts=450.0, *, end="", above=""):
    rows = [f"{t},{volts},{0.05 + 20 / (t + 4):.4f}" for t in range(0, 3600, 10)]
    return above + "time (s),supply (V),current (mA)\n" + "\n".join(rows) + "\n" + end


def test_a_good_curve_is_rested_and_re_tested_never_kept(tmp_path):
    found = read(log(tmp_path, falling()), Told(rating="32 µF 450 V"), **YEAR)
    assert found.progress.advice == "rest and re-test"
    assert found.is_good


@pytest.mark.parametrize(
    ("end", "why"),
    [
        ("3600,450,OL\n3610,450,OL\n", "over the meter's range after 3590 s"),
        ("0,450,9\n10,450,9\n20,450,9\n", "the time begins anew in line 362"),
        ("3600,450,nan\n3610,450,nan\n3620,450,?\n", "could not be read after 3590 s"),
        ("3600,450,30\n", "the last reading, 30 mA, is far above those before it"),
    ],
)
def test_a_curve_that_may_not_be_believed_to_its_end_lets_nothing_go_on(tmp_path, end, why):
    found = read(log(tmp_path, falling(end=end)), Told(rating="32 µF 450 V"), **YEAR)
    assert (found.progress.state, found.progress.advice) == (
        "too early to say", "rest and re-test",
    )  # fmt: skip
    assert why in found.progress.because
    assert found.progress.sure == 0
    assert not found.is_good


def test_a_rising_curve_stays_rising_whatever_else_is_doubtful(tmp_path):
    text = (DEMO / "A9.tsv").read_text(encoding="utf-8") + "01:30:00\t295 V\tOL\n"
    found = read(log(tmp_path, text, "A9.tsv"), **YEAR)
    assert found.progress.advice == "stop and replace"


def test_a_re_test_that_comes_back_above_the_limit_did_not_heal(tmp_path):
    text = falling(above="Kind: re-test\n")
    healed = read(log(tmp_path, text), Told(rating="32 µF 450 V"), **YEAR)
    assert (healed.progress.advice, healed.outcome) == ("stop and keep", "healed")
    told = Told(rating="32 µF 450 V", limit_a=0.1e-3)
    rebounded = read(log(tmp_path, text), told, **YEAR)
    assert (rebounded.progress.advice, rebounded.outcome) == ("stop and replace", "rebounded")
    assert not rebounded.is_good
    assert rebounded.reference == "told beside the log"


def test_a_re_test_by_hand_of_few_readings_is_good_where_it_is_kept(tmp_path):
    rows = "0,450,9\n60,450,0.9\n300,450,0.3\n"
    text = "Kind: re-test\ntime (s),supply (V),current (mA)\n" + rows
    found = read(log(tmp_path, text), Told(rating="32 µF 450 V"), **YEAR)
    assert found.progress.advice == "stop and keep"
    assert found.is_good


def test_a_circuit_that_asks_for_more_than_the_rated_voltage_is_refused(tmp_path):
    told = Told(rating="32 µF 450 V", voltage_working=500.0)
    with pytest.raises(ReadingsError, match="puts 500 V on a part that is rated 450 V; replace"):
        read(log(tmp_path, falling()), told, **YEAR)


def test_a_voltage_above_the_rated_one_is_said(tmp_path):
    found = read(log(tmp_path, falling(480.0)), Told(rating="32 µF 450 V"), **YEAR)
    assert found.warnings[0].startswith("the supply went to 480 V, above the rated 450 V: never")
    assert found.progress.advice == "rest and re-test"
    assert not found.is_good


PART_V = "time (s),part voltage (V),current (mA)\n"


def on_part(volts):
    return PART_V + "\n".join(f"{t},{volts},{0.3 + 20 / (t + 40):.4f}" for t in range(0, 3600, 10))


def test_a_log_of_the_part_voltage_alone_is_held_to_the_limit_at_that_voltage(tmp_path):
    # 32 µF 450 V: 1.58 mA (K·C + 0.3), at 110 V (110/450)^1.943 of it, 102 µA: 0.3 mA is above
    told = Told(rating="32 µF 450 V", made="1959")
    found = read(log(tmp_path, on_part(110)), told, **YEAR)
    assert found.progress.state == "settled above the limit"
    assert found.progress.limit_a == pytest.approx(102e-6, rel=0.01)
    assert found.remarks[0].startswith("neither supply nor series resistor is told")


def test_a_part_that_was_above_its_rating_is_said_where_the_supply_is_not_told(tmp_path):
    found = read(log(tmp_path, on_part(480)), Told(rating="32 µF 450 V"), **YEAR)
    assert found.warnings[0].startswith("the part went to 480 V, above the rated 450 V: never")


def test_a_limit_for_the_whole_supply_voltage_is_said_to_be_one(tmp_path):
    rated = "32 µF 450 V"
    said = "no series resistor is told: the limit is that of the whole supply voltage"
    without = read(log(tmp_path, falling()), Told(rating=rated), **YEAR)
    assert any(remark.startswith(said) for remark in without.remarks)
    direct = read(log(tmp_path, falling()), Told(rating=rated, series_ohm=0.0), **YEAR)
    assert not any(remark.startswith(said) for remark in direct.remarks)


def test_a_re_test_through_so_large_a_resistor_that_the_part_saw_little_keeps_nothing(tmp_path):
    # 1 mA through 100 kΩ leaves 350 V of 450 V: within the limit there, but no proof of 450 V
    rows = "\n".join(f"{t},450,{0.95 + 2 / (t + 4):.4f}" for t in range(0, 900, 10))
    text = "Kind: re-test\ntime (s),supply (V),current (mA)\n" + rows + "\n"
    told = Told(rating="40 µF 450 V", made="1959", series_ohm=100e3)
    found = read(log(tmp_path, text), told, **YEAR)
    assert (found.progress.advice, found.outcome) == ("rest and re-test", "under way")
    assert "less than 90 % of 450 V proves nothing good" in found.progress.because
    assert not found.is_good


@pytest.mark.parametrize("end", ["3600,450,OL\n", "0,450,9\n10,450,9\n20,450,9\n"])
def test_a_re_test_that_may_not_be_believed_to_its_end_has_healed_nothing(tmp_path, end):
    text = falling(above="Kind: re-test\n", end=end)
    found = read(log(tmp_path, text), Told(rating="32 µF 450 V"), **YEAR)
    assert (found.progress.advice, found.outcome) == ("rest and re-test", "under way")


@pytest.mark.parametrize("offset_ma", [0.0, 1e-4, -1e-5])
def test_clips_that_slip_off_in_a_re_test_keep_nothing(tmp_path, offset_ma):
    # 3 mA and more, above the limit of 1.58 mA, until the clips slip off after 200 s
    rows = "".join(
        f"{t},450,{3 + 3 / (1 + t / 50) if t < 200 else offset_ma:.6f}\n" for t in range(5, 700, 5)
    )
    text = "Kind: re-test\ntime (s),supply (V),current (mA)\n" + rows
    found = read(log(tmp_path, text), Told(rating="32 µF 450 V", series_ohm=10e3), **YEAR)
    assert (found.progress.advice, found.outcome) == ("rest and re-test", "under way")
    assert "is gone all at once" in found.progress.because


NO_VOLTAGE = "time (s),current (mA)\n0,3\n10,2\n20,1\n"


@pytest.mark.parametrize(
    ("text", "told", "error", "message"),
    [
        (falling(), Told(), ReadingsError, "rating of the part is not told; give --rating"),
        (falling(), Told(rating="16+16 µF 350 V"), MarkingError, "is of 2 sections; give that"),
        (falling(), Told(rating="32 µF"), ReadingsError, "no limit of leakage for this rating"),
        (NO_VOLTAGE, Told(rating="32 µF 450 V"), ReadingsError, "no voltage in it; log that of"),
        # logged in the wrong unit: no way to reform begins at a thousandth of the voltage
        (
            falling(0.45),
            Told(rating="32 µF 450 V"),
            ReadingsError,
            "never went above 0.45 V, and the part is for 450 V: .*; correct the unit of the vol",
        ),
    ],
)
def test_what_is_missing_is_asked_for(tmp_path, text, told, error, message):
    with pytest.raises(error, match=message):
        read(log(tmp_path, text), told, **YEAR)


def test_a_constant_voltage_may_be_told(tmp_path):
    told = Told(rating="32 µF 450 V", supply_v=450.0, series_ohm=10e3)
    found = read(log(tmp_path, NO_VOLTAGE), told, **YEAR)
    np.testing.assert_allclose(found.curve.supply_v, 450.0)


def test_a_folder_is_read_log_by_log_and_what_cannot_be_used_says_why(tmp_path):
    log(tmp_path, falling(), "C2.csv")
    log(tmp_path, "wibble\n", "C1.csv")
    log(tmp_path, "no log", "notes.md")
    sheet = log(tmp_path.parent, "part,rating\nc2,32 µF 450 V\n", "ratings.csv")
    found = triage([tmp_path], ratings=[sheet], **YEAR)
    assert [each.file for each in found] == ["C1.csv", "C2.csv"]
    assert isinstance(found[0], Unread)
    assert "no log in it" in found[0].why
    assert found[1].part == "c2"
    assert found[1].progress.state == "settled below the limit"


def test_logs_find_their_ratings_in_the_sheets_of_the_rack():
    found = triage([DEMO], ratings=[DEMO.parent / "rack_parts.csv"], **YEAR)
    assert [each.part for each in found] == ["A3", "A9", "P1", "P1", "P4 a"]
    assert [each.outcome for each in found] == [
        fate for _, _, _, fate in sorted(FATES, key=lambda one: one[0])
    ]


def test_a_folder_without_logs_and_no_name_at_all_are_refused(tmp_path):
    with pytest.raises(ReadingsError, match=r"no log in it; logs end in \.csv, \.tsv"):
        logs_in([tmp_path])
    with pytest.raises(ReadingsError, match="none was named; name at least one"):
        logs_in([])
    with pytest.raises(ReadingsError, match="gone: no such file or folder; check the name"):
        logs_in([tmp_path / "gone"])
