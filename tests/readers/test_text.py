"""Bytes to text: what is refused, and the encodings people and meters write."""

from __future__ import annotations

import os

import pytest

from captriage.errors import ReadingsError
from captriage.readers import text
from captriage.readers.headings import known_headings
from captriage.readers.splitting import find_delimiter, split
from captriage.readers.text import decode, is_zip, read_bytes

SHEET = "ref;C (µF);ESR (Ω)\nC1;47,2;0,31\n"


def rows(content, **more):
    return split(content, "s.csv", headings_in=known_headings, **more).rows


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "mac_roman"]
)
def test_text_comes_back_from_every_encoding(encoding):
    assert decode(SHEET.encode(encoding), name="s.csv") == SHEET


def test_windows_text_keeps_its_micro_and_degree_signs():
    content = "Stück;C (µF);T (°C);Fläche (mm²)\n"
    assert decode(content.encode("cp1252"), name="s.csv") == content


def test_micro_sign_of_code_page_437_is_known_by_its_unit():
    assert decode("ref,C (µF)\n".encode("cp437"), name="s.csv") == "ref,C (µF)\n"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r", "\r\r\n"])
def test_every_line_end_is_one_line_end(end):
    assert decode(f"a,b{end}1,2{end}".encode(), name="s.csv") == "a,b\n1,2\n"


def test_nul_padding_of_a_logger_that_was_cut_off_is_dropped():
    assert decode(b"t,I\n0,1\n" + b"\x00" * 40, name="s.csv") == "t,I\n0,1\n"


def test_a_character_cut_in_half_at_the_end_is_dropped():
    assert decode("C1,47 µ".encode()[:-1], name="s.csv") == "C1,47 "


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\x89PNG\r\n\x1a\n" + b"x" * 20, "a PNG picture, not a sheet; save the sheet"),
        (b"\xd0\xcf\x11\xe0" + b"x" * 20, r"an old binary workbook \(.xls\), not a sheet; save"),
        (b"%PDF-1.4", "a PDF document"),
        (b"", "empty; a sheet needs a row of headings"),
        (b"\r\n  \x00\n", "empty; a sheet needs"),
        (b"a" * 2_000_000, "no line end in the first 1048576 bytes; a sheet has one row a line"),
    ],
)
def test_what_is_no_sheet_is_refused_in_words(tmp_path, content, said):
    path = tmp_path / "s.csv"
    path.write_bytes(content)
    with pytest.raises(ReadingsError, match=rf"^s\.csv: {said}"):
        read_bytes(path, name="s.csv")


def test_binary_noise_is_refused():
    with pytest.raises(ReadingsError, match=r"s.csv: holds control signs, not text; save"):
        decode(bytes(range(1, 32)) * 20, name="s.csv")


def test_a_directory_is_refused(tmp_path):
    with pytest.raises(ReadingsError, match="is a directory; name the sheets in it one by one"):
        read_bytes(tmp_path, name="drawer")


def test_a_missing_file_is_refused(tmp_path):
    with pytest.raises(ReadingsError, match="no such file; check the name and the folder"):
        read_bytes(tmp_path / "none.csv", name="none.csv")


def test_a_pipe_is_refused(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(ReadingsError, match="is not a regular file; save the sheet to disk"):
        read_bytes(tmp_path / "pipe", name="pipe")


def test_an_unreadable_file_is_refused(tmp_path, monkeypatch):
    path = tmp_path / "s.csv"
    path.write_text("a")

    def denied(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(path), "open", denied)
    with pytest.raises(ReadingsError, match=r"cannot be read \(Permission denied\); check its"):
        read_bytes(path, name="s.csv")


def test_a_path_that_cannot_exist_is_refused(tmp_path):
    with pytest.raises(ReadingsError, match=r"cannot be read|no such file"):
        read_bytes(tmp_path / "a\x00b", name="a")


def test_a_file_that_is_too_large_is_refused_before_it_is_read(tmp_path, monkeypatch):
    path = tmp_path / "s.csv"
    path.write_text("ref,C\nC1,47\n")
    monkeypatch.setattr(text, "MAX_BYTES", 4)
    with pytest.raises(ReadingsError, match="MB is read at once: split the sheet"):
        read_bytes(path, name="s.csv")


def test_an_xlsx_workbook_is_told_by_its_container():
    assert is_zip(b"PK\x03\x04rest")
    assert not is_zip(b"ref,C")


@pytest.mark.parametrize(
    ("content", "delimiter"),
    [
        ("ref,C_uF\nC1,47.2\n", ","),
        ("ref;C (uF);ESR (Ohm)\nC1;47,2;0,31\n", ";"),
        ("ref\tC_uF\nC1\t47,2\n", "\t"),
        ("ref|C_uF\nC1|47,2\n", "|"),
        ("Instrument;bench meter\nDate;03.11.2025\n\nt (s);I (mA)\n0;2,50\n", ";"),
        ("ref   C_uF   ESR\nC1    47.2   0.31\n", "  "),
        ("ref C_uF ESR\nC1 47.2 0.31\n", " "),
        ("a note; with, signs\nref;C_uF\nC1;47,2\nC2;46,1\n", ";"),
    ],
)
def test_delimiter_is_the_one_that_shows_the_headings(content, delimiter):
    assert find_delimiter(content.splitlines(), headings_in=known_headings) == delimiter


def test_said_delimiter_is_used_and_its_line_counted():
    grid = split("sep=|\nref|C\nC1|47\n", "s.csv", headings_in=known_headings)
    assert grid.rows[1:] == [["ref", "C"], ["C1", "47"]]
    assert grid.lines.tolist() == [1, 2, 3]


def test_lines_are_exact_behind_a_cell_of_several_lines():
    grid = split('ref,note\nC1,"one\ntwo"\nC2,x\n', "s.csv", headings_in=known_headings)
    assert grid.rows == [["ref", "note"], ["C1", "one\ntwo"], ["C2", "x"]]
    assert grid.lines.tolist() == [1, 2, 4]


def test_a_quote_that_never_closes_costs_one_line_and_is_told():
    content = 'ref,C,note\nC1,47,"open\nC2,46,x\nC3,45,"fine"\n'
    grid = split(content, "s.csv", headings_in=known_headings)
    assert [row[:2] for row in grid.rows[1:]] == [["C1", "47"], ["C2", "46"], ["C3", "45"]]
    assert [(t.line, t.reason) for t in grid.troubles] == [
        (2, "a quotation mark that is not closed")
    ]


def test_many_broken_quotes_are_read_in_linear_time():
    content = "ref,C,note\n" + "".join(f'C{i},{i},"open\n' for i in range(5000))
    grid = split(content, "s.csv", headings_in=known_headings)
    assert len(grid.rows) == 5001
    assert grid.lines.tolist() == list(range(1, 5002))


def test_a_line_of_a_million_characters_is_set_aside_alone():
    grid = split(
        "ref,C\nC1,47\n" + "x" * 1_000_000 + "\nC2,46\n", "s.csv", headings_in=known_headings
    )
    assert grid.rows == [["ref", "C"], ["C1", "47"], [], ["C2", "46"]]
    assert "a line of 1000000 characters" in grid.troubles[0].reason


def test_a_blank_cell_of_lined_up_columns_stays_under_its_heading():
    content = "ref    C_uF   ESR_ohm\nC1     47.2   0.31\nC3            0.52\n"
    assert rows(content)[2] == ["C3", "", "0.52"]
