"""Many logs in one table: what each calls for, and why its end may not be believed."""

import io

import pytest

from captriage.jobs.curve_parts import Told
from captriage.jobs.reform_read import triage
from captriage.report.reform_triage import write_table

SOUND = "time (s),supply (V),current (mA)\n" + "".join(
    f"{t},450,{0.05 + 20 / (t + 4):.4f}\n" for t in range(0, 3600, 10)
)


@pytest.fixture
def said(tmp_path):
    def of(text):
        (tmp_path / "C1.csv").write_text(text, encoding="utf-8")
        out = io.StringIO()
        write_table(triage([tmp_path], Told(rating="32 µF 450 V"), today_year=2026), out)
        return " ".join(out.getvalue().split())

    return of


def test_a_log_that_may_be_believed_has_its_advice_alone(said):
    text = said(SOUND)
    assert "> rest and re-test 1 log: 1 rest and re-test." in text
    assert "not sure" not in text


def test_why_a_log_may_not_be_believed_stands_in_the_table(said):
    again = "0,450,9\n10,450,9\n20,450,9\n"
    assert "> rest and re-test; not sure: the time begins anew in line 362" in said(SOUND + again)


def test_a_warning_is_said_once(said):
    above = SOUND.replace(",450,", ",520,")
    text = said(above)
    assert text.count("the supply went to 520 V, above the rated 450 V") == 1
    assert "not sure: at the end it stood at 520 V" in text
