"""The book on the command line: each command's words and exit status."""

import io
import json

import pytest

from captriage.jobs.sheets import demo_sheets
from captriage.report.terminal import Terminal


@pytest.fixture
def bench(tmp_path, monkeypatch):
    """An empty folder to work in."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("CAPTRIAGE_BOOK", raising=False)
    return tmp_path


@pytest.fixture
def rack(bench, captriage):
    """The folder with a book of the demonstration's rack in it."""
    assert captriage("book", "new", "rack", "--machine", "amplifier of 1959").status == 0
    assert captriage("book", "import", *demo_sheets()[:2], "--job", "rack").status == 0
    return bench


def judged(answer):
    """What was printed, but for how the sheets are seen, which a book no longer knows."""
    return answer.out.rpartition("\n7 cells or lines ")[0]


def advised(sheets):
    """The command that checks these sheets."""
    page = Terminal(io.StringIO())
    page.command(["captriage", "check", *map(str, sheets)])
    return page.out.getvalue()


def test_a_job_is_begun_filled_judged_and_listed(bench, captriage):
    answer = captriage("book", "new", "rack")
    assert (answer.status, answer.out) == (0, "Job rack is begun in bench.book.\n")
    answer = captriage("book", "import", *demo_sheets()[:2], "--job", "rack")
    assert answer.out == (
        "Taken in as run 1: 17 new parts, 47 readings, 18 looks.\n"
        "7 cells or lines were set aside; see them with:\n"
        f"{advised(demo_sheets()[:2])}"
    )
    answer = captriage("judge", "--job", "rack")
    assert answer.status == 1
    assert "17 parts: 5 keep, 5 reform, 7 replace" in answer.out
    assert judged(answer) == judged(captriage("judge", *demo_sheets()[:2]))
    assert "rack     17        47  20" in captriage("book", "list").out
    listed = json.loads(captriage("book", "list", "--job", "rack", "--format", "json").out)
    assert len(listed["verdicts"]) == 17
    assert (bench / "bench.book").exists()


def test_the_book_is_named_by_option_or_environment(bench, captriage, monkeypatch):
    assert captriage("book", "new", "foyer", "--book", "a.book").status == 0
    monkeypatch.setenv("CAPTRIAGE_BOOK", "b.book")
    assert captriage("book", "new", "rack").out == "Job rack is begun in b.book.\n"
    assert "foyer" in captriage("book", "list", "--book", "a.book").out
    captriage("book", "import", demo_sheets()[2], "--job", "rack")
    assert captriage("judge", "--job", "rack").status == 1  # from b.book
    assert captriage("judge", demo_sheets()[2]).status == 1  # sheets need no book
    assert not (bench / "bench.book").exists()


@pytest.mark.usefixtures("rack")
def test_verdicts_are_kept_or_not(captriage):
    captriage("judge", "--job", "rack", "--no-record")
    listed = captriage("book", "list", "--job", "rack", "--format", "json").out
    assert json.loads(listed)["verdicts"] == []


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("judge",), "Missing argument 'SHEET...', or option '--job' for a bench book."),
        (("judge", "a.csv", "--job", "rack"), "Sheets and a book are named: name one of them"),
        (("judge", "a.csv", "--book", "bench.book"), "Sheets and a book are named"),
        (("judge", "--book", "bench.book"), "Missing argument 'SHEET...', or option '--job'"),
        (("judge", "--job", "foyer"), "bench.book: no job foyer; there is rack"),
        (("judge", "--job", "rack", "--out", "bench.book"), "bench.book: "),
        (("book", "new", "rack"), "bench.book: there is a job rack already"),
        (("book", "list", "--book", "attic.book"), "attic.book: there is no such book"),
        (("book", "list", "--book", "mysql://a:hunter2@b/c"), "--book: mysql:// is no address"),
        (("book", "import", "missing.csv", "--job", "rack"), "missing.csv: no such file"),
        (("book", "import", "missing.csv"), "Missing option '--job'"),
        (("book", "strike", "3"), "Missing option '--because'"),
        (
            ("book", "strike", "999", "--because", "x"),
            "999: an answer has two numbers, such as 2.7",
        ),
        (("book", "strike", "9.9", "--because", "x"), "bench.book: there is no answer 9.9"),
        (("book", "backup", "bench.book"), "bench.book: exists already; a backup goes to a new"),
        (("book", "export", "--job", "rack", "--out", "bench.book"), "bench.book: File exists"),
    ],
)
def test_what_cannot_be_done_is_one_line_and_status_2(rack, captriage, arguments, message):
    before = (rack / "bench.book").read_bytes()
    answer = captriage(*arguments)
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.startswith(f"captriage: {message}")
    assert answer.err.count("\n") == 1
    assert "hunter2" not in answer.err
    assert (rack / "bench.book").read_bytes() == before


def test_the_same_sheets_are_refused_and_a_correction_asks_why(rack, captriage):
    answer = captriage("book", "import", demo_sheets()[0], "--job", "rack")
    assert "holds this sheet already, from import 1" in answer.err
    assert answer.err.endswith("captriage book strike 1 --what run --because REASON\n")
    (rack / "more.csv").write_text("part,rating\nP1,32 µF 500 V\n", encoding="utf-8")
    answer = captriage("book", "import", "more.csv", "--job", "rack")
    assert (answer.status, answer.out) == (2, "")
    assert "P1: voltage_rated is 450, the sheet has 500; correct the sheet, or say" in answer.err
    answer = captriage("book", "import", "more.csv", "--job", "rack", "--because", "read again")
    assert "Parts that were there already: 1; better known now: 1." in answer.out


SAVED_ANEW = {
    "LF": lambda text: text.encode(),
    "CRLF": lambda text: text.replace("\n", "\r\n").encode(),
    "CR": lambda text: text.replace("\n", "\r").encode(),
    "with a byte order mark": lambda text: text.encode("utf-8-sig"),
    "UTF-16": lambda text: text.replace("\n", "\r\n").encode("utf-16"),
    "Windows-1252": lambda text: text.encode("cp1252"),
    "without its last line end": lambda text: text.rstrip("\n").encode(),
    "with blank lines at its end": lambda text: f"{text}\r\n\r\n".encode(),
}
SHEET = "part,rating,leakage (µA)\nX1,32 µF 450 V,120\n"


@pytest.mark.parametrize("first", ["LF", "CRLF", "UTF-16"])
@pytest.mark.parametrize("second", SAVED_ANEW)
def test_a_sheet_that_was_saved_anew_is_the_same_sheet(rack, captriage, first, second):
    (rack / "first.csv").write_bytes(SAVED_ANEW[first](SHEET))
    (rack / "second.csv").write_bytes(SAVED_ANEW[second](SHEET))
    both = captriage("book", "import", "first.csv", "second.csv", "--job", "rack")
    assert (both.status, both.out) == (2, "")
    assert "second.csv: has the same content as first.csv; take in one of them" in both.err
    assert captriage("book", "import", "first.csv", "--job", "rack").status == 0
    again = captriage("book", "import", "second.csv", "--job", "rack")
    assert (again.status, again.out) == (2, "")
    changed = "" if first == second else ", saved with other line ends or encoding"
    said = f"second.csv: job rack holds this sheet already as first.csv{changed}, from import 2; "
    assert said in again.err


def test_a_sheet_of_other_content_is_taken_in(rack, captriage):
    for name, sheet in (("first.csv", SHEET), ("second.csv", SHEET.replace("120", "121"))):
        (rack / name).write_text(sheet, encoding="utf-8")
        assert captriage("book", "import", name, "--job", "rack").status == 0


@pytest.mark.usefixtures("rack")
def test_a_reading_is_struck_out_and_stays_to_be_seen(captriage):
    listed = captriage("book", "list", "--job", "rack").out
    assert "   1.3  P1 " in listed
    answer = captriage("book", "strike", "1.3", "--because", "the clip had slipped")
    assert (answer.status, answer.out.splitlines()) == (
        0,
        [
            "Struck out: answer 1.3 of P1: leakage 3.4 mA ± 100 µA.",
            "It stays in the list with the reason, and is not judged.",
        ],
    )
    listed = captriage("book", "list", "--job", "rack").out
    assert "STRUCK OUT: the clip had slipped" in listed
    assert "\nanswer 1.3  20" in listed


@pytest.mark.parametrize(
    ("what", "told"),
    [
        ("part", "part 2: P2 a 32 µF 450 V, with 3 readings"),
        ("run", "run 1: import, begun 20"),
        ("look", "look 2 of P2 a: sound"),
    ],
)
@pytest.mark.usefixtures("rack")
def test_what_is_struck_out_is_said(captriage, what, told):
    number = 1 if what == "run" else 2
    answer = captriage("book", "strike", number, "--what", what, "--because", "a mistake")
    assert answer.status == 0
    assert answer.out.startswith(f"Struck out: {told}")


@pytest.mark.usefixtures("rack")
def test_the_advised_way_takes_a_sheet_in_anew(captriage):
    sheets = demo_sheets()[:2]
    advised = captriage("book", "import", *sheets, "--job", "rack").err.split("captriage ")[-1]
    assert captriage(*advised.split()).status == 0
    assert captriage("book", "import", *sheets, "--job", "rack").status == 0
    answer = captriage("book", "strike", 2, "--what", "part", "--because", "x")
    assert (answer.status, answer.out.splitlines()[0]) == (0, "Struck out: part 2.")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["7"], "7: an answer has two numbers, such as 2.7, in the log and in 'captriage book"),
        (["1.3", "--what", "look"], "1.3: a look has a number without a point and no quantity"),
        (["3", "--what", "run", "--quantity", "esr"], "3: a run has a number without a point"),
        (["99", "--what", "run"], "there is no run 99; see 'captriage book list --job JOB'"),
        (["1.999"], "there is no answer 1.999; see 'captriage book list --job JOB'"),
        (["seven"], "'seven' is not a number of the log or the list, such as 2.7"),
    ],
)
@pytest.mark.usefixtures("rack")
def test_what_cannot_be_struck_out_is_refused_in_words(captriage, arguments, message):
    answer = captriage("book", "strike", *arguments, "--because", "x")
    assert (answer.status, answer.out) == (2, "")
    assert message in answer.err


def test_a_book_is_backed_up_checked_and_exported(rack, captriage):
    assert captriage("book", "backup", "copy.book").out == "Copied to copy.book.\n"
    answer = captriage("book", "check", "--book", "copy.book")
    assert (answer.status, answer.out) == (0, "The book is sound.\n")
    answer = captriage("book", "export", "--job", "rack", "--out", "out")
    assert answer.out.splitlines() == [
        f"out/{name}.csv" for name in ("parts", "readings", "looks", "set_aside")
    ]
    sheets = sorted((rack / "out").glob("*.csv"))
    assert judged(captriage("judge", *sheets)) == judged(captriage("judge", "--job", "rack"))


def test_a_book_with_something_wrong_has_status_1(rack, captriage):
    import sqlite3

    connection = sqlite3.connect(rack / "bench.book")
    connection.execute("DROP TRIGGER readings_no_delete")
    connection.execute("DELETE FROM readings WHERE id = 3")
    connection.commit()
    connection.close()
    answer = captriage("book", "check")
    assert answer.status == 1
    assert answer.out == "run 1: 46 replies are numbered 1 to 47\n1 wrong.\n"


def test_no_command_waits_for_the_database_to_be_helped():
    import subprocess
    import sys

    code = (
        "import sys\nfrom captriage.cli import run\nassert run(['book', 'list', '--help']) == 0\n"
        "assert not {'sqlalchemy', 'pandas', 'numpy'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True, capture_output=True)
