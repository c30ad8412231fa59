"""What is written beside the readings of a log: what condemns a part, and what is only shown."""

from __future__ import annotations

import pytest

from captriage.jobs.curve_parts import Told
from captriage.jobs.reform_read import read, triage
from captriage.jobs.sheets import demo_sheets

DEMO = demo_sheets()[0].parent / "reforming"
YEAR = {"today_year": 2026}


def log(folder, text, name="C1.csv"):
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def falling(*, end="", above=""):
    rows = [f"{t},450,{0.05 + 20 / (t + 4):.4f}" for t in range(0, 3600, 10)]
    return above + "time (s),supply (V),current (mA)\n" + "\n".join(rows) + "\n" + end


REMARKS = [
    # what stands at the end of a line, or below the log; what is said of it
    ("3600,450,0.05,hissing!\n", "line 362 says 'hissing!': hisses or crackles with voltage on"),
    ("got hot at the end,,,\n", "line 362 says 'got hot at the end': grows warm with voltage on"),
    ("3600,450,0.05,polarity?\n", "line 362 says 'polarity?': may tell of damage, of this part"),
]


@pytest.mark.parametrize(("end", "said"), REMARKS)
@pytest.mark.parametrize("above", ["", "Kind: re-test\n"])
def test_what_was_heard_and_felt_at_the_bench_is_looked_into_before_any_voltage(
    tmp_path, end, said, above
):
    text = falling(end=end, above=above).replace("(mA)\n", "(mA),remarks\n")
    if above:
        said = said.replace("362", "363")
    found = read(log(tmp_path, text), Told(rating="32 µF 450 V"), **YEAR)
    assert found.warnings[0].startswith(said)
    assert said in found.progress.because
    assert found.progress.because.endswith("look at it before any voltage goes on it again")
    assert (found.progress.advice, found.outcome) == ("stop and look", "under way")
    assert not found.is_good


CONDEMNED = [
    # what is written beside the reading at 60 min; what it is
    ("vented, burst", "vent open or seal pushed out, case burst or exploded"),
    ("top is domed", "case or end domed"),
    ("Deckel gewölbt", "case or end domed"),
    ("polarity wrong", "fitted the wrong way round, or has been run with reversed polarity"),
    ("riecht", "wet electrolyte outside the case"),
    ("smoke", "burnt or scorched"),
    ("lead broken off", "terminal or lead broken off"),
]


@pytest.mark.parametrize(("note", "said"), CONDEMNED)
@pytest.mark.parametrize("above", ["", "Kind: re-test\n"])
def test_a_part_that_was_seen_to_be_damaged_is_replaced_and_sees_no_voltage_again(
    tmp_path, note, said, above
):
    end = f'3600,450,0.05,"{note}"\n'
    text = falling(end=end, above=above).replace("(mA)\n", "(mA),note\n")
    found = read(log(tmp_path, text), Told(rating="32 µF 450 V"), **YEAR)
    line = 363 if above else 362
    assert found.warnings[0] == f"line {line} says '{note}': {said}"
    assert found.progress.because == f"{found.warnings[0]}: put no voltage on it"
    assert (found.progress.advice, found.outcome) == ("stop and replace", "under way")
    assert not found.is_good
    assert found.set_aside.empty  # it was weighed


def test_a_curve_that_fails_says_so_beside_what_was_seen(tmp_path):
    text = (DEMO / "A9.tsv").read_text(encoding="utf-8") + "01:30:00\t295 V\t9 mA\nburst\n"
    found = read(log(tmp_path, text, "A9.tsv"), **YEAR)
    assert found.progress.advice == "stop and replace"
    assert "case burst or exploded: put no voltage on it; the current " in found.progress.because
    assert found.outcome == "rising"


def test_a_part_without_polarity_is_not_condemned_for_the_way_round(tmp_path):
    text = falling(end="3600,450,0.05,polarity wrong\n").replace("(mA)\n", "(mA),note\n")
    found = read(log(tmp_path, text), Told(rating="32 µF 450 V bipolar"), **YEAR)
    assert found.progress.advice == "rest and re-test"


def test_a_note_that_is_not_understood_is_shown_and_its_line_named(tmp_path):
    end = "3600,450,0.05,xyz\n3610,450,0.05,wibble wobble\n3620,450,0.05,xyz\n"
    text = falling(end=end).replace("(mA)\n", "(mA),note\n")
    found = read(log(tmp_path, text), Told(rating="32 µF 450 V"), **YEAR)
    assert found.warnings == (
        "line 362 says 'xyz': not understood; read it",
        "line 363 says 'wibble wobble': not understood; read it",
    )
    assert found.progress.advice == "rest and re-test"
    assert set(found.set_aside["remedy"]) == {"read it: it was not understood"}


def test_of_very_many_notes_that_are_not_understood_the_first_are_shown(tmp_path):
    end = "".join(f"{3600 + 10 * i},450,0.05,wibble{'x' * i}\n" for i in range(8))
    text = falling(end=end).replace("(mA)\n", "(mA),note\n")
    found = read(log(tmp_path, text), Told(rating="32 µF 450 V"), **YEAR)
    assert len(found.warnings) == 6
    assert found.warnings[-1] == "3 other notes not understood; read them in the log"


def test_an_ordinary_remark_is_no_warning(tmp_path):
    text = falling(end="3600,450,0.05,switched off; no hiss\n").replace("(mA)\n", "(mA),note\n")
    assert read(log(tmp_path, text), Told(rating="32 µF 450 V"), **YEAR).warnings == ()


def test_figures_that_are_set_aside_are_not_looked_through_for_damage(tmp_path, monkeypatch):
    asked = []
    monkeypatch.setattr(
        "captriage.jobs.curve_notes.looks_in_remark",
        lambda text, **_: asked.append(text) or (),
    )
    twice = "3590,450,9.1\n3590,450,9.2\nsmells\nsmells\n"
    read(log(tmp_path, falling(end=twice)), Told(rating="32 µF 450 V"), **YEAR)
    assert len(asked) == 1
    assert "smells" in asked[0]


def test_the_notes_of_the_invented_logs_are_everyday_words():
    for found in triage([DEMO], ratings=demo_sheets()[:2], **YEAR):
        assert not [each for each in found.warnings if "not understood" in each]


def test_a_log_of_too_few_readings_tells_of_damage_all_the_same(tmp_path):
    text = "time (s),supply (V),current (mA),note\n0,450,9,\n60,450,8,vented with a bang\n"
    (found,) = triage([log(tmp_path, text)], Told(rating="32 µF 450 V"), **YEAR)
    assert found.why.endswith(
        "it says 'vented with a bang': look at the part, and put no voltage on it before that"
    )
