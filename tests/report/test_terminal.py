import io

import pytest

from captriage.report.terminal import Terminal, padded, safe, text_width


class Screen(io.StringIO):
    def isatty(self):
        return True


def test_a_sheet_cannot_steer_the_terminal():
    assert safe("C1\x1b[2J\x07\r\nC2\u202e") == "C1 [2J   C2 "


def test_text_is_cut_and_filled_to_the_columns_it_takes():
    assert padded("C1", 4) == "C1  "
    assert padded("Condenser 12", 6) == "Conde…"
    assert padded("µF", 4) == "µF  "
    assert text_width(padded("電解コンデンサ", 8)) == 8


@pytest.mark.parametrize(
    ("variable", "value", "coloured"),
    [("NO_COLOR", "1", False), ("TERM", "dumb", False), ("TERM", "xterm", True)],
)
def test_colour_is_for_terminals_that_want_it(monkeypatch, variable, value, coloured):
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv(variable, value)
    assert ("\x1b" in Terminal(Screen()).styled("replace", "replace")) is coloured


def test_a_pipe_gets_no_colour_and_eighty_columns(monkeypatch):
    monkeypatch.setenv("COLUMNS", "200")
    page = Terminal(io.StringIO())
    assert page.width == 80
    assert page.styled("keep", "keep") == "keep"


def test_a_paragraph_keeps_to_the_width_and_hangs():
    out = io.StringIO()
    Terminal(out).paragraph("word " * 60, first="  - ")
    lines = out.getvalue().splitlines()
    assert max(map(len, lines)) <= 80
    assert lines[0].startswith("  - word")
    assert all(line.startswith("    word") for line in lines[1:])
