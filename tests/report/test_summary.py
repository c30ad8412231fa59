"""What every format says of cells that were not set aside: a note that was only kept is no use."""

import io

import pytest

from captriage.jobs.sheets import check, judge
from captriage.report import understood, verdict_html, verdict_markdown

KEPT = "Every cell was read; 1 note was kept and not weighed."
ALL = "Every cell was used."


@pytest.fixture
def sheet(tmp_path):
    def written(*remarks):
        path = tmp_path / "amp.csv"
        rows = "".join(f"C{i};16 µF 450 V;{text}\n" for i, text in enumerate(remarks, 1))
        path.write_text(f"part;rating;remarks\n{rows}", encoding="utf-8")
        return path

    return written


@pytest.mark.parametrize(
    ("remarks", "said"),
    [(("from the left drawer", "popped", ""), KEPT), (("popped", ""), ALL), (("",), ALL)],
)
@pytest.mark.parametrize("write", [verdict_html.write_html, verdict_markdown.write_markdown])
def test_a_verdict_says_whether_notes_were_weighed(sheet, remarks, said, write):
    out = io.StringIO()
    write(judge(sheet(*remarks), today_year=2026), out)
    assert [each for each in (KEPT, ALL) if each in out.getvalue()] == [said]


def test_checking_says_the_same(sheet):
    out = io.StringIO()
    understood.write_table(check(sheet("from the left drawer", "popped"), today_year=2026), out)
    assert KEPT in out.getvalue()
