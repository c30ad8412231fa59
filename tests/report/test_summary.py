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


def checked(path):
    out = io.StringIO()
    understood.write_table(check(path, today_year=2026), out)
    return out.getvalue()


def test_checking_says_the_same(sheet):
    assert KEPT in checked(sheet("from the left drawer", "popped"))


def test_notes_that_are_only_kept_are_listed_within_the_width_of_a_terminal(sheet):
    told = checked(sheet("from the left drawer", "popped", "a word more " * 30))
    assert "  - C1 (amp.csv:2): 'from the left drawer'\n" in told
    assert "  - C3 (amp.csv:4): 'a word more a word more" in told
    assert "(359 signs)" in told
    assert "C2 (amp.csv:3)" not in told
    assert max(map(len, told.splitlines())) <= 80


def test_notes_are_listed_too_where_cells_were_set_aside(tmp_path):
    path = tmp_path / "amp.csv"
    path.write_text("part,rating,C,notes\nC1,16 µF 450 V,banana,top row\n", encoding="utf-8")
    assert "  - C1 (amp.csv:2): 'top row'" in checked(path)


def test_what_was_weighed_of_two_notes_is_not_said_to_be_kept(tmp_path):
    path = tmp_path / "amp.csv"
    path.write_text(
        "part,rating,remarks,location\nC1,16 µF 450 V,popped,top shelf\n"
        "C2,16 µF 450 V,dead short,\n",
        encoding="utf-8",
    )
    told = checked(path)
    assert "  - C1 (amp.csv:2): 'location: top shelf'" in told
    assert "popped" not in told.partition("Kept")[2]
    assert "dead short" not in told.partition("Kept")[2]


def test_a_remark_that_holds_for_several_parts_is_made_once(tmp_path):
    path = tmp_path / "amp.csv"
    rows = "".join(f"C{i},47/63V,4{i}\n" for i in range(1, 4))
    path.write_text(f"part,rating,C 120 Hz\n{rows}", encoding="utf-8")
    told = checked(path)
    assert "  - C1, C2, C3: no unit: taken as µF\n" in told
    assert "  - C1, C2, C3, capacitance: no unit: taken as µF\n" in told
    assert told.count("no unit") == 2
