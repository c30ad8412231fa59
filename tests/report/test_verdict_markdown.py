import io
import re

from captriage.report.rule_books import cell
from captriage.report.verdict_markdown import write_markdown


def test_a_cell_is_nothing_but_text():
    assert cell("a|b\n`c` <i>&amp;") == "a\\|b \\`c\\` \\<i\\>\\&amp;"


def test_every_row_of_a_table_has_as_many_cells_as_its_heading(judgement):
    out = io.StringIO()
    write_markdown(judgement, out)
    width = None
    tables = 0
    for line in out.getvalue().splitlines():
        if not line.startswith("|"):
            width = None
            continue
        cells = len(re.findall(r"(?<!\\)\|", line))
        tables += width is None
        width = width or cells
        assert cells == width, line
    assert tables == 2


def test_markup_in_a_sheet_stays_text(judgement):
    out = io.StringIO()
    write_markdown(judgement, out)
    assert "<script>" not in out.getvalue()
    assert '\\<script\\>alert("1")' in out.getvalue()


def test_what_was_assumed_has_a_section_with_each_sentence_once(judgement):
    out = io.StringIO()
    write_markdown(judgement, out)
    section = out.getvalue().split("\n## Assumed\n")[1].split("\n## ")[0]
    sentences = {each for _, each in judgement.case.evidence.assumptions}
    assert sentences
    assert len(section.strip().splitlines()) == len(sentences)
    for sentence in sentences:
        assert section.count(f": {cell(sentence)}\n") == 1
