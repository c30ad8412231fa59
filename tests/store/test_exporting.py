"""Sheets written from a book are read back to the very same frames."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from captriage.errors import BookError
from captriage.jobs.sheets import check, demo_sheets
from captriage.store.book import Book
from captriage.store.exporting import RunLog, write_logs, write_sheets
from captriage.store.importing import Source
from store.made_sheets import assert_same, sheets


def written_anew(folder: Path, found):
    """Files of an export into a folder that is emptied first."""
    for path in folder.glob("*"):
        path.unlink()
    return write_sheets(found, folder)


@pytest.mark.parametrize("which", [slice(0, 2), slice(2, 3), slice(3, 4), slice(4, 5)])
def test_in_and_out_and_in_again_is_the_same(file_book, tmp_path, which):
    found = check(demo_sheets()[which])
    job = file_book.add_job("rack")
    file_book.import_sheets(job, found, files=[Source("a", "1")])
    files = write_sheets(file_book.sheets(job), tmp_path / "out")
    assert_same(check(files), found)
    assert_same(check(files[::-1]), found)  # in whatever order they are named


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=30
)
@given(found=sheets())
def test_any_sheets_are_read_back_as_they_were(tmp_path, found):
    assert_same(check(written_anew(tmp_path / "out", found)), found)


def test_no_cell_begins_like_a_formula(tmp_path):
    found = check(demo_sheets()[:1])
    found.parts["note"] = ["=cmd|' /C calc'!A0", "-1+2", "@x", "+3", "\t=1"] + ["'quoted"] * (
        len(found.parts) - 5
    )
    path = write_sheets(found, tmp_path / "out")[0]
    with path.open(encoding="utf-8", newline="") as file:
        notes = [row["note"] for row in csv.DictReader(file)]
    assert {note[0] for note in notes} == {"'"}
    assert check(path).parts["note"].tolist() == found.parts["note"].tolist()


def test_nothing_is_written_over(tmp_path):
    found = check(demo_sheets()[:2])
    write_sheets(found, tmp_path)
    (tmp_path / "parts.csv").unlink()
    with pytest.raises(BookError, match=r"readings.csv: exists already; export to a folder of its"):
        write_sheets(found, tmp_path)
    assert not (tmp_path / "parts.csv").exists()


def test_what_cannot_be_written_leaves_nothing(tmp_path):
    found = check(demo_sheets()[:2])
    (tmp_path / "file").touch()
    with pytest.raises(BookError, match="File exists; export to a folder that can be written"):
        write_sheets(found, tmp_path / "file")


def test_logs_of_runs_are_written_whole_or_not_at_all(tmp_path):
    at = np.datetime64("2026-11-28T10:00:00", "us") + np.arange(3).astype("timedelta64[s]")
    amperes = {"current (A)": np.array([1e-3, np.nan, 5e-4])}
    logs = [RunLog(f"C{n}.csv", ["Part: C1"], at, amperes) for n in (1, 2)]
    files = write_logs(logs, tmp_path / "out")
    assert files[0].read_text("utf-8").splitlines() == [
        "Part: C1",
        "taken at (UTC),current (A)",
        "2026-11-28T10:00:00.000000Z,0.001",
        "2026-11-28T10:00:01.000000Z,",
        "2026-11-28T10:00:02.000000Z,0.0005",
    ]
    files[0].unlink()
    with pytest.raises(BookError, match=r"C2.csv: File exists; export to a folder of its own"):
        write_logs(logs, tmp_path / "out")
    assert not files[0].exists()


def test_an_empty_book_has_a_sheet_without_rows(path, tmp_path):
    with Book.open(path, create=True) as book:
        files = write_sheets(book.sheets(book.add_job("rack")), tmp_path / "out")
    assert [file.name for file in files] == ["parts.csv"]
