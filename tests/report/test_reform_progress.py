"""What a curve says, in text and as JSON; the logs are those of the invented cinema."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from math import inf, nan

import pytest

from captriage.jobs.reform_read import read, triage
from captriage.jobs.sheets import demo_sheets
from captriage.reform.curves import FittedLaw
from captriage.report import CURVE_FORMATS, TRIAGE_FORMATS
from captriage.report.reform_words import fitted, forecast

DEMO = demo_sheets()[0].parent / "reforming"


@pytest.fixture(scope="module")
def a3():
    return read(DEMO / "A3.csv", today_year=2026)


def written(formats, name, answer):
    out = io.StringIO()
    formats[name](answer, out)
    return out.getvalue()


def test_the_text_says_state_advice_limit_forecast_and_steps_within_80_columns(a3):
    text = written(CURVE_FORMATS, "text", a3)
    lines = text.splitlines()
    assert lines[0] == "A3: 8 µF 450 V, made 1959"
    for label in ("state     falling", "advice    continue", "limit     620 µA at 450 V, "):
        assert any(line.startswith(label) for line in lines), label
    assert "forecast  reaches the limit" in text
    assert "JAN-C-62" in text
    assert "Mains and charged capacitors kill" in text
    assert "time at voltage;  * read  - limit" in text
    assert "current from the drop over 4.7 kΩ" in text
    assert max(map(len, lines)) <= 80


def test_no_name_steers_the_terminal(a3):
    named = replace(a3, part="\x1b[2JC1", file="\x1b[31mlog.csv")
    assert "\x1b" not in written(CURVE_FORMATS, "text", named)


def test_what_settled_is_said_to_prove_nothing_yet():
    text = written(CURVE_FORMATS, "text", read(DEMO / "P1.csv", today_year=2026))
    assert "no proof yet: 24 to 48 h without voltage" in " ".join(text.split())


def test_a_warning_comes_before_all_else_in_every_format(a3):
    warned = replace(a3, warnings=("the supply went to 500 V",))
    text = written(CURVE_FORMATS, "text", warned)
    assert text.index("WARNING   the supply went to 500 V.") < text.index("state     falling")
    assert json.loads(written(CURVE_FORMATS, "json", warned))["warnings"] == list(warned.warnings)
    assert "WARNING: the supply went to 500 V" in written(TRIAGE_FORMATS, "text", [warned])


def test_json_holds_the_keys_in_si_and_null_for_what_is_not_known(a3):
    found = json.loads(written(CURVE_FORMATS, "json", a3))
    progress = a3.progress
    assert found["state"] == "falling"
    assert found["advice"] == "continue"
    assert found["limit_a"] == progress.limit_a
    assert found["forecast_low_s"] < found["forecast_s"] < found["forecast_high_s"]
    assert [step["state"] for step in found["steps"]] == [s.state for s in progress.steps]
    settled = json.loads(written(CURVE_FORMATS, "json", read(DEMO / "P1.csv", today_year=2026)))
    assert settled["forecast_s"] is None
    assert settled["forecast"] == "none"


def test_a_forecast_without_an_end_is_null_and_a_word(a3):
    never = replace(a3, progress=replace(a3.progress, forecast_high_s=inf))
    found = json.loads(written(CURVE_FORMATS, "json", never))
    assert found["forecast_high_s"] is None
    assert "or never)" in found["forecast"]
    at_all = replace(a3.progress, forecast_s=inf, forecast_high_s=inf)
    assert forecast(at_all).startswith("may never reach the limit; not before")
    assert forecast(replace(a3.progress, forecast_s=nan)) == ""


def test_the_fitted_law_is_told_or_why_there_is_none(a3):
    law = FittedLaw(50e-6, 4e-3, 1.0, 5e-6, 1e-4, 0.02, 0.03)
    told = fitted(replace(a3.progress, law=law))
    assert told.startswith("50 µA (± 5 µA) that stays, and 4 mA at first that falls, in the end")
    assert (
        "with time to the power of -1.00 (± 0.02); standard errors, the averages within 3 %" in told
    )
    unsure = replace(law, floor_error_a=60e-6)
    assert fitted(replace(a3.progress, law=unsure)) == ""
    assert fitted(replace(a3.progress, law=None)) == ""
    failed = replace(a3, progress=replace(a3.progress, law=FittedLaw(failure="it never ends")))
    text = written(CURVE_FORMATS, "text", failed)
    assert "law       no single one could be fitted to the last step (it never ends);" in text
    assert json.loads(written(CURVE_FORMATS, "json", failed))["law"]["floor_a"] is None


def test_the_table_of_a_folder_has_a_line_a_log_and_counts_them():
    found = triage([DEMO], today_year=2026)  # the rating of P4 a is in no log
    text = written(TRIAGE_FORMATS, "text", found)
    lines = text.splitlines()
    assert max(map(len, lines)) <= 80
    assert any(line.startswith("A9.tsv") and " rising " in line for line in lines)
    assert "> stop and replace" in text
    assert "cannot be used" in text
    assert "the rating of the part is not told" in " ".join(text.split())
    joined = " ".join(text.split())
    assert joined.endswith(
        "5 logs: 1 continue, 1 stop and keep, 1 rest and re-test, 1 stop and replace, "
        "1 cannot be used."
    )
    logs = json.loads(written(TRIAGE_FORMATS, "json", found))["logs"]
    assert [each.get("advice") for each in logs] == [
        "continue", "stop and replace", "rest and re-test", "stop and keep", None,
    ]  # fmt: skip
    assert "rating" in logs[-1]["error"]
