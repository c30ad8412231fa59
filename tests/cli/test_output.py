import io
import os
import re
import stat
from pathlib import Path

import pytest

from captriage.cli.output import chosen_format, destination, folder, speak_plainly
from captriage.errors import CapTriageError

FORMATS = ("table", "csv", "json", "markdown", "html")


@pytest.mark.parametrize(
    ("asked", "name", "given"),
    [
        (None, None, "table"),
        (None, "a.html", "html"),
        (None, "a.HTM", "html"),
        (None, "a.md", "markdown"),
        (None, "a.txt", "table"),
        (None, "a", "table"),
        ("json", "a.html", "json"),
    ],
)
def test_the_name_of_the_output_gives_the_format_that_nobody_asked_for(asked, name, given):
    assert chosen_format(asked, Path(name) if name else None, FORMATS) == given


@pytest.mark.parametrize("name", ["r.xlsx", "r.pdf", "r.tsv", "r.CSV.gz"])
def test_an_ending_that_names_no_format_is_refused_with_those_that_do(name):
    ending = re.escape(Path(name).suffix)
    told = rf"{ending} names no format; end the name of --out in \.txt, \.csv, .*, or give --format"
    with pytest.raises(CapTriageError, match=told):
        chosen_format(None, Path(name), FORMATS)
    assert chosen_format("json", Path(name), FORMATS) == "json"


@pytest.mark.parametrize("name", ["a.json", "a.txt"])
def test_a_format_the_command_does_not_have_is_not_taken_from_the_name(name):
    with pytest.raises(
        CapTriageError, match=r"names no format; end .* in \.csv, \.html, \.htm, or"
    ):
        chosen_format(None, Path(name), ("csv", "html"))


def test_a_folder_is_made_with_those_above_it(tmp_path):
    new = tmp_path / "a" / "b"
    assert folder(new) == new
    assert folder(new).is_dir()


def test_a_folder_that_is_a_file_is_refused(tmp_path):
    (tmp_path / "a").write_text("x")
    with pytest.raises(CapTriageError, match="a: File exists; give --out the name of a folder"):
        folder(tmp_path / "a")


def test_a_file_appears_whole_and_alone(tmp_path):
    out = tmp_path / "answer.csv"
    with destination(out) as stream:
        stream.write("µ\n")
        assert not out.exists()
    assert out.read_bytes() == "µ\n".encode()
    assert list(tmp_path.iterdir()) == [out]


def test_a_failure_leaves_the_old_file_and_no_scraps(tmp_path):
    out = tmp_path / "answer.csv"
    out.write_text("old")

    def fail():
        with destination(out) as stream:
            stream.write("new")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fail()
    assert out.read_text() == "old"
    assert list(tmp_path.iterdir()) == [out]


def test_the_file_may_be_read_by_whom_the_umask_allows(tmp_path):
    out = tmp_path / "answer.csv"
    before = os.umask(0o022)
    try:
        with destination(out) as stream:
            stream.write("x")
    finally:
        os.umask(before)
    assert stat.S_IMODE(out.stat().st_mode) == 0o644


def opened(out, **more):
    with destination(out, **more):
        pytest.fail("nothing may be written here")


def test_a_folder_is_refused(tmp_path):
    with pytest.raises(CapTriageError, match="is a folder; give --out the name of a file in it"):
        opened(tmp_path)


def test_a_missing_folder_is_refused(tmp_path):
    with pytest.raises(CapTriageError, match=r"a\.csv: No such file.*; choose a folder that"):
        opened(tmp_path / "missing" / "a.csv")


def test_a_sheet_that_is_being_read_is_never_overwritten(tmp_path):
    sheet = tmp_path / "rack.csv"
    sheet.write_text("part\n")
    link = tmp_path / "link.csv"
    link.symlink_to(sheet)
    for name in (sheet, link, tmp_path / "." / "rack.csv"):
        with pytest.raises(CapTriageError, match="is being read; choose another name"):
            opened(name, inputs=(sheet,))
    assert sheet.read_text() == "part\n"


def test_a_device_is_written_and_not_replaced():
    with destination(Path(os.devnull)) as stream:
        stream.write("x")
    assert Path(os.devnull).is_char_device()


def test_poor_encodings_get_the_signs_spelt_out():
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding="ascii", newline="")
    speak_plainly(stream)
    stream.write("47 µF, 2 Ω, ±20 %, tan δ ≤ 0.1 – 電 \udcff")
    stream.flush()
    assert raw.getvalue() == b"47 uF, 2 ohm, +/-20 %, tan delta <= 0.1 - ? ?"


def test_a_stream_that_cannot_be_reconfigured_is_left_alone():
    speak_plainly(io.StringIO())
