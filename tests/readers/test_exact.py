"""Sheets of a book are taken as they stand; what a person changed in them is read as any sheet."""

import os

import pytest

from captriage.columns import LOOKS_COLUMNS, PARTS, READINGS, SET_ASIDE, empty
from captriage.errors import ReadingsError
from captriage.readers.exact import read_exact
from captriage.readers.sheets import read_sheets
from captriage.sheet_form import FORMS, heading

HEADS = {name: ",".join(map(heading, columns)) for name, columns in FORMS.items()}
C1 = "C1,,,4.7e-05,63,,,2001,,,,,,,,,,,,,,own.csv,2"
READ = "C1,capacitance,4.6e-05,F,,,,120,,,,2026-11-08T10:05:00.000000,,,,46 µF,own.csv,2,4"
LOOK = "C1,sound,ok,own.csv,2,9"


@pytest.fixture
def write(tmp_path):
    """Write a sheet of one of the forms."""

    def call(name, *rows, head=None):
        path = tmp_path / name
        path.write_text("\r\n".join([head or HEADS[name], *rows, ""]), encoding="utf-8", newline="")
        return path

    return call


def test_a_sheet_of_the_form_is_taken_as_it_stands(write):
    found = read_exact([write("parts.csv", C1), write("readings.csv", READ)])
    part, reading = found.parts.iloc[0], found.readings.iloc[0]
    assert (part["part"], part["capacitance_rated"], part["made"]) == ("C1", 4.7e-5, 2001)
    assert (reading["value"], reading["frequency_hz"], reading["raw"]) == (4.6e-5, 120, "46 µF")
    assert (reading["source_file"], reading["line"], reading["column"]) == ("own.csv", 2, 4)
    frames = (found.parts, found.readings, found.looks, found.set_aside)
    for frame, columns in zip(frames, (PARTS, READINGS, LOOKS_COLUMNS, SET_ASIDE), strict=True):
        kinds = empty(columns).dtypes.astype(str).to_dict()
        assert frame.dtypes.astype(str).to_dict() == kinds


def test_line_ends_of_one_sign_are_taken_too(write):
    path = write("parts.csv", C1)
    path.write_bytes(path.read_bytes().replace(b"\r\n", b"\n"))
    assert read_exact([path]).parts["part"].tolist() == ["C1"]


@pytest.mark.parametrize(
    ("name", "row"),
    [
        ("readings.csv", READ.replace("4.6e-05,F", "46,µF")),
        ("readings.csv", READ.replace("4.6e-05", "46 µF")),
        ("readings.csv", READ.replace("4.6e-05", "inf")),
        ("readings.csv", READ.replace("C1,", "C9,", 1)),
        ("readings.csv", READ.replace("capacitance", "ears")),
        ("readings.csv", READ.replace("2026-11-08T10:05:00.000000", "8 November")),
        ("readings.csv", READ.replace(",own.csv,2,4", ",own.csv,2")),
        ("readings.csv", READ.replace(",2,4", ",2,4.5")),
        ("looks.csv", LOOK.replace("sound", "fishy")),
        ("parts.csv", C1),  # twice
        ("parts.csv", C1.replace("C1", "C2").replace("2001,,,", "2001,,,splendid")),
        ("parts.csv", C1.replace("C1", '"C2')),
    ],
)
def test_a_cell_that_is_not_of_the_form_makes_it_any_sheet(write, name, row):
    head = [C1] if name == "parts.csv" else []
    files = [write(name, *head, row)]
    if name != "parts.csv":
        files.append(write("parts.csv", C1))
    assert read_exact(files) is None


def test_other_headings_make_it_any_sheet(write):
    mine = write("parts.csv", "C1,47 µF 63 V", head="part,rating")
    assert read_exact([mine]) is None
    assert read_exact([write("readings.csv", READ)]) is None  # no parts
    assert read_exact([write("parts.csv", C1, head=HEADS["parts.csv"] + ",mine")]) is None


def test_what_a_person_changed_is_still_read(write):
    changed = READ.replace("4.6e-05,F", "46,µF")
    found = read_sheets([write("parts.csv", C1), write("readings.csv", changed)], today_year=2026)
    assert found.readings["value"].tolist() == [pytest.approx(46e-6)]
    assert found.parts["capacitance_rated"].tolist() == [pytest.approx(47e-6)]


def test_what_is_no_file_is_left_to_the_readers(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert read_exact([pipe]) is None
    assert read_exact([tmp_path]) is None
    assert read_exact([tmp_path / "missing.csv"]) is None
    with pytest.raises(ReadingsError, match="no such file"):
        read_sheets([tmp_path / "missing.csv"], today_year=2026)
