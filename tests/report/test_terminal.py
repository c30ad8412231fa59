import io
import shlex

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


def test_wide_signs_count_two_columns_in_a_paragraph():
    out = io.StringIO()
    Terminal(out).paragraph("電解 " * 40 + "電解コンデンサ" * 10, first="部品 ")
    lines = out.getvalue().splitlines()
    assert max(map(text_width, lines)) in (78, 79, 80)
    assert all(line[:5].isspace() and not line[5].isspace() for line in lines[1:])
    assert "".join(out.getvalue().split()) == "部品" + "電解" * 40 + "電解コンデンサ" * 10


def test_a_command_can_be_copied_over_several_lines():
    out = io.StringIO()
    words = ["captriage", "log", "--job", 'C1, "left" $HOME', "--book", "a b/c.book", *["-x"] * 30]
    Terminal(out).command(words, first="next   ")
    lines = out.getvalue().splitlines()
    assert max(map(len, lines)) <= 80
    assert len(lines) > 1
    assert all(line.endswith(" \\") for line in lines[:-1])
    assert lines[1].startswith(" " * 9 + "-")
    assert shlex.split(out.getvalue().replace("\\\n", "")) == ["next", *words]


def test_an_option_stays_with_its_value():
    out = io.StringIO()
    Terminal(out).command(["log", "--job", "x" * 56, "--bench", "a b", "--hands-free", "--every"])
    lines = out.getvalue().splitlines()
    assert lines == [f"  log --job {'x' * 56} \\", "    --bench 'a b' --hands-free --every"]


def test_a_word_of_a_command_is_not_parted():
    out = io.StringIO()
    Terminal(out).command(["check", "x" * 100, "y"], first="next   ")
    assert out.getvalue() == f"next   check \\\n         {'x' * 100} \\\n         y\n"


def test_what_is_to_be_typed_is_not_parted():
    out = io.StringIO()
    text = 'Type "jig D13" and "resistor 44000" here before the last of them, and "discharge D13".'
    Terminal(out).paragraph(text)
    assert out.getvalue().splitlines() == [
        'Type "jig D13" and "resistor 44000" here before the last of them, and',
        '"discharge D13".',
    ]


def test_an_address_is_not_parted_however_long():
    out = io.StringIO()
    address = "https://example.org/" + "a-long-page/" * 8
    Terminal(out).paragraph(f"A trade page, {address} [common practice]", first="  ")
    assert address in [line.strip() for line in out.getvalue().splitlines()]


def test_a_long_word_that_is_no_address_keeps_to_the_width():
    out = io.StringIO()
    Terminal(out).paragraph("x" * 200)
    assert max(map(len, out.getvalue().splitlines())) == 80
