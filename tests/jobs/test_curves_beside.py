"""Curves beside the sheets: what they prove of a reform, and what they take back."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from captriage.columns import located
from captriage.errors import ReadingsError
from captriage.jobs.curves_beside import outcome_of_all
from captriage.jobs.sheets import demo_sheets, judge
from captriage.report.findings import findings_in_words
from captriage.report.summary import set_aside_line

RACK = demo_sheets()[:2]
DEMO = RACK[0].parent / "reforming"
YEAR = {"today_year": 2026}

PARTS = (
    "part,rating,made,idle (years),C (µF),C freq (Hz),ESR (Ω),ESR freq (Hz),leakage (mA),{more}\n"
)
PART = "C1,32 µF 450 V,1959,17,36,120,3,120,{leakage},450,5{more}\n"
SOAK = "test voltage (V),after (min)"


def log_of(*, end_ma=0.05, volts=450, above=""):
    rows = [f"{t},{volts},{end_ma + 20 / (t + 4):.4f}" for t in range(0, 3600, 10)]
    return above + "time (s),supply (V),current (mA)\n" + "\n".join(rows) + "\n"


@pytest.fixture
def judged(tmp_path):
    """Judge one part with logs beside it, each given as name and text."""

    def judge_it(logs, *, leakage="5", more="", told=""):
        sheet = tmp_path / "amp.csv"
        text = PARTS.format(more=SOAK + more) + PART.format(leakage=leakage, more=told)
        sheet.write_text(text, encoding="utf-8")
        folder = tmp_path / "logs"
        folder.mkdir(exist_ok=True)
        for name, content in logs.items():
            (folder / name).write_text(content, encoding="utf-8")
        return judge([sheet], curves=[folder], **YEAR)

    return judge_it


def verdict(judgement, row=0):
    found = judgement.verdicts.iloc[row]
    return found["verdict"], found["decided_by"]


RETEST = "Kind: re-test\n"
CASES = [
    # logs; the verdict; the rule that decides
    ({"C1.csv": log_of()}, "not judged", "reform_settled"),
    ({"C1.csv": log_of(volts=200)}, "reform", "reform_settled"),
    ({"C1.csv": log_of(), "C1_re-test.csv": log_of()}, "keep", "readings_within_limits"),
    ({"C1.csv": log_of(), "C1_re-test.csv": log_of(end_ma=3.0)}, "replace", "reform_settled"),
    ({"run.csv": "Part: c1\n" + log_of()}, "not judged", "reform_settled"),
    ({"run.csv": "Part: C1\n" + RETEST + log_of()}, "keep", "readings_within_limits"),
    ({"C1.csv": log_of(end_ma=6.0)}, "replace", "reform_settled"),
]


@pytest.mark.parametrize(("logs", "word", "rule"), CASES)
def test_the_curve_and_then_its_re_test_decide(judged, logs, word, rule):
    assert verdict(judged(logs)) == (word, rule)


def test_a_current_that_settled_is_never_kept_on_the_curve_alone(judged):
    judgement = judged({"C1.csv": log_of()})
    row = judgement.verdicts.iloc[0]
    assert "whether it stays there after a rest has not been read" in row["because"]
    assert row["next"].startswith("Leave it without voltage for 24 to 48 h; then read leakage at")
    # not even where leakage was read within its limit, no one says when
    assert verdict(judged({"C1.csv": log_of()}, leakage="0.2"))[0] == "not judged"


def test_leakage_of_before_the_reform_gives_way_and_is_said_so(judged):
    judgement = judged({"C1.csv": log_of(), "C1_re-test.csv": log_of()})
    leakage = judgement.readings.loc[judgement.readings["quantity"] == "leakage_current"]
    assert leakage["source_file"].tolist() == ["C1_re-test.csv"]
    spelt = findings_in_words(judgement)
    assert "C1_re-test.csv" in spelt["source"].tolist()  # the whole log, no cell of it
    assert located(leakage, judgement.parts)["source"].tolist() == ["C1_re-test.csv"]
    assert leakage["voltage_v"].tolist() == [450.0]
    assert 300.0 <= leakage["soak_s"].iloc[0] <= 375.0
    aside = judgement.set_aside.iloc[-1]
    assert (aside["found"], aside["file"]) == ("5", "amp.csv")
    assert aside["reason"] == "read before the part was reformed, or when is not told"


def test_the_reading_of_a_re_test_is_one_at_the_voltage_on_the_part(judged):
    above = "Series resistor: 100 kΩ\n"
    judgement = judged({"C1_re-test.csv": log_of(above=above)})
    leakage = judgement.readings.loc[judgement.readings["quantity"] == "leakage_current"]
    current, volts = leakage[["value", "voltage_v"]].iloc[-1]
    assert volts == pytest.approx(450 - 100e3 * current, abs=6)


HALF = {"C1_re-test.csv": log_of(volts=225)}
BY_WORD = [
    # logs; leakage of the sheet in mA, undated; the verdict
    pytest.param(HALF, "8", "replace", id="8 mA, and a re-test at half the voltage"),
    pytest.param({"C1.csv": log_of()}, "8", "replace", id="8 mA, and the run alone"),
    pytest.param({"C1.csv": log_of()}, "0.4", "keep", id="0.4 mA, and the run alone"),
]


@pytest.mark.parametrize(("logs", "leakage", "word"), BY_WORD)
def test_who_writes_healed_is_held_to_the_leakage_beside_it(judged, logs, leakage, word):
    judgement = judged(logs, leakage=leakage, more=",reform", told=",healed")
    assert verdict(judgement)[0] == word
    assert (judgement.readings["quantity"] == "leakage_current").sum() == 1


def test_leakage_that_was_read_after_the_run_is_its_re_test(judged):
    above = "time,supply (V),current (mA)\n"
    rows = [
        f"2026-11-03 10:{t // 60:02d}:{t % 60:02d},450,{0.05 + 20 / (t + 4):.4f}"
        for t in range(0, 3600, 20)
    ]
    log = {"C1.csv": above + "\n".join(rows) + "\n"}
    assert verdict(
        judged(log, leakage="0.2", more=",taken at", told=",2026-11-05T09:00")
    ) == ("keep", "readings_within_limits")  # fmt: skip
    assert verdict(
        judged(log, leakage="0.2", more=",taken at", told=",2026-11-01T09:00")
    ) == ("not judged", "reform_settled")  # fmt: skip
    assert verdict(
        judged(log, leakage="5", more=",taken at", told=",2026-11-05T09:00")
    ) == ("replace", "leakage_within_limit")  # fmt: skip


def dated(begins, *, end_ma=0.05):
    begun = np.datetime64(begins, "s")
    rows = [f"{begun + t},450,{end_ma + 20 / (t + 4):.4f}" for t in range(0, 3600, 20)]
    return "time,supply (V),current (mA)\n" + "\n".join(rows) + "\n"


DATED = [
    # the run ends on the 1st at 10:59:40; "12 to 48 h" of rest: EIA-815 (August 1999), abstract
    ({"again": dated("2026-11-09T10:00", end_ma=6.0)}, "replace", "settled above"),
    ({"again": dated("2026-11-09T10:00")}, "not judged", "has not been read"),
    ({"again_re-test": dated("2026-11-09T10:00", end_ma=3.0)}, "replace", "had not healed"),
    ({}, "keep", "Leakage"),
    (
        {"C1_re-test": dated("2026-11-03T10:00", end_ma=3.0), "again": dated("2026-11-09T10:00")},
        "not judged",
        "has not been read",
    ),
]


@pytest.mark.parametrize(("later", "word", "why"), DATED)
def test_of_curves_whose_instants_are_told_the_last_one_counts(judged, later, word, why):
    logs = {"C1": dated("2026-11-01T10:00"), "C1_re-test": dated("2026-11-03T10:00")}
    logs |= later
    found = judged({f"{name}.csv": f"Part: C1\n{text}" for name, text in logs.items()})
    row = found.verdicts.iloc[0]
    assert row["verdict"] == word
    assert why in row["because"]


@pytest.mark.parametrize(
    ("begins", "end_ma", "word"),
    [
        ("2026-11-01T22:59", 0.05, "not judged"),
        ("2026-11-01T23:00", 0.05, "keep"),
        ("2026-11-01T11:05", 3.0, "replace"),
    ],
)
def test_a_re_test_too_soon_after_the_run_proves_no_part_good(judged, begins, end_ma, word):
    logs = {"C1.csv": dated("2026-11-01T10:00"), "C1_re-test.csv": dated(begins, end_ma=end_ma)}
    judgement = judged(logs)
    assert verdict(judgement)[0] == word
    said = "the re-test came 12 h after the run, and a part is proven after 12 h of rest at least"
    assert (said in judgement.curves[0][1].progress.because) == (word == "not judged")


def test_leakage_read_before_the_part_has_rested_is_set_aside(judged):
    log = {"C1.csv": dated("2026-11-01T10:00")}
    judgement = judged(log, leakage="0.2", more=",taken at", told=",2026-11-01T12:00")
    assert verdict(judgement) == ("not judged", "reform_settled")
    assert "read before the part had rested from its reform" in (
        judgement.set_aside["reason"].tolist()
    )


@pytest.mark.parametrize(
    ("logs", "found"),
    [
        ({"C1.csv": "wibble\n"}, "no log in it"),
        ({"C1.csv": "Part: C1 16 µF 450 V\n" + log_of()}, "one of them is of another part"),
        ({"C1.csv": log_of() + "3600,450,OL\n"}, "was not seen again"),
        ({"C1.csv": RETEST + log_of() + "3600,450,OL\n"}, "was not seen again"),
    ],
)
def test_a_log_that_cannot_be_used_may_speak_against_its_part(judged, logs, found):
    judgement = judged(logs, leakage="0.2")
    assert verdict(judgement) == ("not judged", "cells_understood")
    aside = judgement.set_aside.iloc[-1]
    assert found in f"{aside['reason']}; {aside['remedy']}"
    because = judgement.verdicts["because"].iloc[0]
    assert "(reforming log: 'C1.csv'): see why with 'captriage reform read' and the log" in because
    assert judgement.verdicts["next"].iloc[0].startswith("See why with captriage reform read")
    assert "C1.csv" in set_aside_line(judgement)


NOTED = "time (s),supply (V),current (mA),note\n"


@pytest.mark.parametrize(
    ("note", "rule"),
    [
        ("vented, burst", "case_undamaged"),
        ("Deckel gewölbt", "case_undamaged"),
        ("polarity wrong", "polarity_right"),
        ("polarity marks contradict", "polarity_clear"),
    ],
)
@pytest.mark.parametrize("above", ["", RETEST])
def test_what_a_log_says_of_the_looks_of_its_part_condemns_it(judged, note, rule, above):
    text = log_of(above=above).replace(NOTED.replace(",note", ""), NOTED)
    judgement = judged({"C1.csv": text + f'3600,450,0.05,"{note}"\n'}, leakage="0.2")
    word = "not judged" if rule == "polarity_clear" else "replace"
    assert verdict(judgement) == (word, rule)
    assert judgement.verdicts["energise"].tolist() == ["never"]
    assert judgement.looks["raw"].tolist() == [note] * len(judgement.looks)
    assert judgement.looks["source_file"].tolist() == ["C1.csv"] * len(judgement.looks)


def test_a_log_of_a_part_that_hissed_keeps_nothing_until_it_is_looked_at(judged):
    text = log_of(above=RETEST).replace(NOTED.replace(",note", ""), NOTED)
    judgement = judged({"C1.csv": text + "3600,450,0.05,hissing!\n"}, leakage="0.2")
    assert verdict(judgement) == ("not judged", "cells_understood")
    aside = judgement.set_aside.iloc[-1]
    assert aside["remedy"] == "switch off and look at the part before any voltage"
    assert "'hissing!': hisses or crackles" in aside["reason"]


def test_a_log_of_a_part_in_no_sheet_is_set_aside_and_changes_nothing(judged):
    judgement = judged({"Z9.csv": log_of(), "Z8.csv": "wibble\n"}, leakage="0.2")
    assert set_aside_line(judgement).endswith(
        "no part in the sheets, and not weighed: Z8.csv, Z9.csv."
    )
    assert verdict(judgement) == ("keep", "readings_within_limits")
    found = judgement.set_aside[["file", "found"]].to_numpy().tolist()
    assert found == [["Z8.csv", "Z8.csv"], ["Z9.csv", "Z9"]]


def test_no_log_at_all_is_an_error(judged):
    with pytest.raises(ReadingsError, match="no log in it; logs end in"):
        judged({})


def test_the_rack_with_its_logs_is_judged_as_its_story_has_it():
    judgement = judge(RACK, curves=[DEMO], **YEAR)
    words = judgement.verdicts.set_index("part")["verdict"].to_dict()
    assert {name: words[name] for name in ("P1", "A3", "A9", "P4 a", "P4 b")} == {
        "P1": "keep", "A3": "reform", "A9": "replace", "P4 a": "reform", "P4 b": "reform",
    }  # fmt: skip
    without = judge(RACK, **YEAR).verdicts.set_index("part")["verdict"].to_dict()
    others = set(words) - {"P1", "A9"}
    assert {name: words[name] for name in others} == {name: without[name] for name in others}
    assert sorted(judgement.curves) == [0, 5, 9, 15]
    assert [read.file for read in judgement.curves[0]] == ["P1.csv", "P1_re-test.csv"]
    assert "in the run it was" in judgement.curves[0][1].progress.because


def read(outcome, *, proof=False):
    proven = SimpleNamespace(outcome="" if outcome == "under way" else outcome)
    return SimpleNamespace(outcome=outcome, proof=proven if proof else None)


@pytest.mark.parametrize(
    ("told", "reads", "outcome"),
    [
        ("", [read("under way")], "under way"),
        ("not reformed", [read("settled below limit")], "settled below limit"),
        ("settled above limit", [read("healed", proof=True)], "healed"),
        ("rising", [read("healed", proof=True)], "rising"),
        ("", [read("broken down"), read("settled below limit")], "broken down"),
        ("healed", [read("settled below limit")], "healed"),
        ("", [read("settled below limit"), read("under way", proof=True)], "settled below limit"),
        ("", [read("under way", proof=True)], "under way"),
        ("healed", [read("under way", proof=True)], "healed"),
        ("healed", [read("rebounded", proof=True)], "rebounded"),
        ("rebounded", [read("settled below limit")], "rebounded"),
    ],
)
def test_dangers_stand_and_a_re_test_is_only_taken_back_by_another(told, reads, outcome):
    assert outcome_of_all(told, reads) == outcome


def test_readings_that_were_taken_in_keep_their_types():
    judgement = judge(RACK, curves=[DEMO], **YEAR)
    plain = judge(RACK, **YEAR)
    assert judgement.readings.dtypes.drop(["quantity", "source_file"]).equals(
        plain.readings.dtypes.drop(["quantity", "source_file"])
    )
    assert np.array_equal(judgement.readings.index, np.arange(len(judgement.readings)))
