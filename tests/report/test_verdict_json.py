import io
import json

import pytest

from captriage.columns import VERDICTS
from captriage.report.verdict_json import write_json


def refuse(name):
    raise AssertionError(f"{name} is not JSON")


@pytest.fixture
def written(judgement):
    out = io.StringIO()
    write_json(judgement, out)
    return json.loads(out.getvalue(), parse_constant=refuse)


def test_every_verdict_has_the_columns_of_the_vocabulary_and_its_findings(written, judgement):
    assert [row["part"] for row in written["verdicts"]] == judgement.verdicts["part"].tolist()
    for row in written["verdicts"]:
        assert set(row) == {*VERDICTS, "findings"}


def test_every_finding_stands_under_its_own_part(written, judgement):
    for number, row in enumerate(written["verdicts"]):
        own = judgement.findings.loc[judgement.findings["part_row"] == number]
        assert [finding["rule"] for finding in row["findings"]] == own["rule"].tolist()
    assert sum(len(row["findings"]) for row in written["verdicts"]) == len(judgement.findings) > 4


def test_a_finding_names_the_cell_it_rests_on(written):
    leak = [f for f in written["verdicts"][0]["findings"] if f["rule"] == "leakage_within_limit"]
    assert [finding["source"] for finding in leak] == ["rack.csv:2:5"]
    assert leak[0]["because"].startswith("Leakage 3.4 mA")
    assert "JAN-C-62" in leak[0]["limit"]


def test_a_finding_on_the_part_names_the_line_of_the_part(written):
    seen = [f for f in written["verdicts"][2]["findings"] if f["rule"] == "case_undamaged"]
    assert [finding["source"] for finding in seen] == ["rack.csv:2"]


def test_counts_policy_cautions_and_what_was_set_aside_go_with_it(written, judgement):
    assert written["summary"]["parts"] == 5
    words = ("keep", "reform", "replace", "not judged")
    assert sum(written["summary"][word] for word in words) == 5
    assert written["policy"]["name"] == judgement.policy.name
    assert written["cautions"][0].startswith("Mains")
    assert written["set_aside"][0]["found"] == "<b>1,234</b>"
