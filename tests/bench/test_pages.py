"""Cautions at a terminal of few rows: a screenful, then Enter."""

import pytest

from bench.told import Told
from captriage.bench.pages import Pages
from captriage.bench.sitting import Ended


class Reader(Told):
    """Somebody who presses these keys."""

    def __init__(self, *keys):
        super().__init__()
        self.keys = list(keys)

    def next(self):
        return self.keys.pop(0) if self.keys else None


def read(reader, rows, texts=20):
    pages = Pages(reader, reader, rows=rows)
    for number in range(texts):
        pages.tell("care", f"caution {number}")
    pages.turn()


def test_each_screenful_waits_for_enter():
    reader = Reader("x", "", "", "")
    read(reader, 12)
    asked = [place for place, said in enumerate(reader.said) if said.startswith("more")]
    assert asked == [10, 21]  # rows but two, then the question itself
    assert len(reader.said) == 22
    assert reader.keys == []  # "x" and Enter are no Enter alone


def test_a_text_that_wraps_takes_its_lines(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    reader = Reader("", "")
    pages = Pages(reader, reader, rows=8)
    for _ in range(3):
        pages.tell("care", "word " * 40)  # three lines each
    assert [said[:4] for said in reader.said] == ["care", "care", "more", "care"]


def test_where_there_is_no_terminal_nothing_waits():
    reader = Reader()
    read(reader, 0)
    assert not reader.having("more")
    assert len(reader.said) == 20


@pytest.mark.parametrize(
    ("keys", "said"), [(("q",), "ended by the person"), ((), "nobody is there to read the caut")]
)
def test_who_does_not_read_on_ends_it(keys, said):
    with pytest.raises(Ended, match=said):
        read(Reader(*keys), 12)
