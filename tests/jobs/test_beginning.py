"""A job and the sheets that it is begun from."""

import pytest

from captriage.errors import BookError
from captriage.jobs.beginning import begin
from captriage.jobs.book import import_sheets
from captriage.store.book import Book

LIST = "part,rating,made\nD1,32 µF 450 V,1962\nD3,100 µF 25 V,1975\n"


@pytest.fixture
def begun(tmp_path):
    """A book with the job "drawer", and what begins it from a sheet of this text."""
    where = tmp_path / "bench.book"

    def of(text, name="drawer.csv"):
        sheet = tmp_path / name
        sheet.write_text(text, encoding="utf-8")
        begin(where, "drawer", [sheet], today_year=2026)
        with Book.open(where) as book:
            job = book.job("drawer").id
            return {part.part: part for part in book.parts(job)}, len(book.runs(job))

    of.where = where
    of(LIST)
    return of


def test_the_sheet_that_a_job_was_begun_from_is_gone_on_with(begun):
    parts, runs = begun(LIST)
    assert (list(parts), runs) == (["D1", "D3"], 1)


def test_so_is_another_sheet_with_the_same_parts_in_any_order(begun):
    _, runs = begun("part,rating\nD3,100 µF 25 V\nD1,32 µF 450 V\n", "again.csv")
    assert runs == 1


def test_a_job_that_was_corrected_since_is_that_of_its_own_sheet_still(begun, tmp_path):
    other = tmp_path / "better.csv"
    other.write_text("part,rating\nD1,32 µF 350 V\n", encoding="utf-8")
    import_sheets(begun.where, [other], "drawer", because="read with a lens", today_year=2026)
    parts, runs = begun(LIST)
    assert (parts["D1"].voltage_rated, runs) == (350.0, 2)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (LIST + "D9,16 µF 350 V,1963\n", "D9 is not in the job"),
        (LIST.replace("450 V", "350 V"), r"D1 has voltage_rated 350 V, the job has 450 V"),
        (LIST.replace("1962", "1961"), r"D1 has made 1961, the job has 1962"),
        (LIST.replace("made", "made,grade").replace("1962", "1962,long life"), "the job does not"),
        ("part,rating\nD1,32 µF 450 V\n", "D3 is in the job alone"),
        ("part,rating\n" + "".join(f"X{n},1 µF\n" for n in range(9)), "X3 is not .*; and 7 more"),
    ],
)
def test_a_sheet_of_other_parts_is_refused_with_what_is_apart(begun, text, said):
    with pytest.raises(BookError, match=rf"other\.csv: not the parts that job drawer .*{said}"):
        begun(text, "other.csv")
    parts, runs = begun(LIST)
    assert (list(parts), runs) == (["D1", "D3"], 1)


def test_it_is_said_what_to_do_about_other_parts(begun):
    with pytest.raises(BookError, match="leave --parts out to walk the job as it is, add the"):
        begun(LIST + "D9,16 µF 350 V,1963\n", "other.csv")


def test_a_job_without_parts_is_begun(tmp_path):
    sheet = tmp_path / "drawer.csv"
    sheet.write_text(LIST, encoding="utf-8")
    with Book.open(tmp_path / "bench.book", create=True) as book:
        book.add_job("drawer")
    begin(tmp_path / "bench.book", "drawer", [sheet], today_year=2026)
    with Book.open(tmp_path / "bench.book") as book:
        assert [part.part for part in book.parts(book.job("drawer").id)] == ["D1", "D3"]
