"""Several who write, power cuts, full disks, locks: what was shown as kept is in the book."""

import json
import random
import resource
import sqlite3
import subprocess
import sys
from datetime import timedelta
from itertools import chain, count
from pathlib import Path

import pytest

from captriage.errors import BookError
from captriage.store.book import Book
from store import postgres
from store.entered import NOON, job_with_parts, reply

TESTS = str(Path(__file__).parents[1])

WRITER = """
import sys
sys.path.insert(0, sys.argv[1])
from captriage.store.book import Book
from store.entered import reply
with Book.open(sys.argv[2]) as book:
    job = book.job("rack")
    part = book.parts(job.id)[int(sys.argv[3])].id
    run = book.begin_run(job.id, "part by part", meter=f"bench {sys.argv[3]}")
    for number in range(int(sys.argv[4])):
        print(*book.keep(run, part, reply(number)), flush=True)
        if number % 10 == 0:
            book.event(run, "note", "still here", part_id=part)
"""


def written_by_four(where, replies):
    """Numbers of the readings that each of four processes was told were kept."""
    with Book.open(where, create=True) as book:
        job, _, _ = job_with_parts(book, "C1", "C2", "C3", "C4")
    command = [sys.executable, "-c", WRITER, TESTS, where]
    writers = [
        subprocess.Popen(
            [*command, str(n), str(replies)], stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        for n in range(4)
    ]
    told = []
    for writer in writers:
        out, error = writer.communicate(timeout=200)
        assert (writer.returncode, error) == (0, b"")
        told.append([int(number) for number in out.split()])
    return job, told


@pytest.mark.parametrize("replies", [60, pytest.param(2000, marks=pytest.mark.ensemble)])
def test_four_benches_write_at_once_and_all_is_kept(where, replies):
    job, told = written_by_four(where, replies)
    assert [len(numbers) for numbers in told] == [2 * replies] * 4
    with Book.open(where) as book:
        rows = book.readings(job)
        assert sorted(row.id for row in rows) == sorted(chain.from_iterable(told))
        for part, numbers in zip(book.parts(job), told, strict=True):
            mine = [row for row in rows if row.part_id == part.id]
            assert [row.id for row in mine] == numbers
            assert [row.answer for row in mine] == [n for n in range(1, replies + 1) for _ in "ab"]
        assert len(book.events(job)) == 4 * -(-replies // 10)
        assert book.check() == []


def test_a_book_that_several_make_at_once_is_made_once(where):
    code = (
        "import sys\nfrom captriage.store.book import Book\n"
        "with Book.open(sys.argv[1], create=True) as book:\n    book.add_job(sys.argv[2])\n"
    )
    makers = [
        subprocess.Popen([sys.executable, "-c", code, where, f"job {n}"], stderr=subprocess.PIPE)
        for n in range(3)
    ]
    for maker in makers:
        _, error = maker.communicate(timeout=100)
        assert (maker.returncode, error) == (0, b"")
    with Book.open(where) as book:
        assert len(book.jobs()) == 3
        assert book.check() == []


KILLED = """
import json, os, signal, sys, time
sys.path.insert(0, sys.argv[1])
from captriage.store.book import Book
from store.entered import reply
shown = []
for moment in json.loads(sys.argv[3]):
    ours, theirs = os.pipe()
    child = os.fork()
    if not child:
        book = Book.open(sys.argv[2])
        job = book.job("rack")
        part = book.parts(job.id)[0].id
        run = book.begin_run(job.id, "part by part")
        number = 0
        while True:
            number += 1
            kept = book.keep(run, part, reply(number))
            os.write(theirs, (json.dumps(kept) + chr(10)).encode())
    os.close(theirs)
    with open(ours, encoding="ascii") as pipe:
        shown += json.loads(pipe.readline())
        time.sleep(moment)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        for line in pipe:
            shown += json.loads(line)
print(json.dumps(shown))
"""


@pytest.mark.parametrize("kills", [10, pytest.param(200, marks=pytest.mark.ensemble)])
def test_whatever_was_shown_as_kept_survives_a_kill(where, kills):
    with Book.open(where, create=True) as book:
        job, _, _ = job_with_parts(book, "C1")
    rng = random.Random(11)
    moments = json.dumps([rng.uniform(0, 0.05) for _ in range(kills)])
    ran = subprocess.run(
        [sys.executable, "-c", KILLED, TESTS, where, moments], capture_output=True, check=True
    )
    shown = set(json.loads(ran.stdout))
    assert len(shown) >= 2 * kills
    with Book.open(where) as book:
        rows = book.readings(job)
        assert shown <= {row.id for row in rows}
        assert len(book.runs(job)) == kills + 1
        assert book.check() == []
        assert len(rows) <= len(shown) + 2 * kills  # at most the one under way, each time
        run = book.begin_run(job, "part by part")
        assert len(book.keep(run, rows[0].part_id, reply())) == 2


def kept_until_refused(book, run, part):
    """How many replies were kept before the book took no more, and what it said then."""
    for number in count(1):
        try:
            book.keep(run, part, reply(number, raw="1" * 500))
        except BookError as error:
            return number - 1, str(error)
    raise AssertionError


def test_a_full_disk_keeps_all_or_nothing_of_a_reply(file_book, path):
    """The limit on the size of a file stands for the end of the disk."""
    job, (part,), run = job_with_parts(file_book, "C1")
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    size = path.with_name("bench.book-wal").stat().st_size
    resource.setrlimit(resource.RLIMIT_FSIZE, (size + 300_000, before[1]))
    try:
        kept, said = kept_until_refused(file_book, run, part)
        assert "nothing was kept of this" in said
        assert kept > 5
        assert len(file_book.readings(job)) == 2 * kept
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    file_book.keep(run, part, reply(kept + 1))
    assert [row.answer for row in file_book.readings(job)][::2] == list(range(1, kept + 2))
    assert file_book.check() == []


def test_a_full_book_says_so_and_goes_on_when_there_is_room(file_book):
    job, (part,), run = job_with_parts(file_book, "C1")
    connection = file_book._session.opened.connection
    pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
    connection.exec_driver_sql(f"PRAGMA max_page_count = {pages + 5}")
    kept, said = kept_until_refused(file_book, run, part)
    assert "the disk is full, nothing was kept of this; make room and try again" in said
    with pytest.raises(BookError, match="the disk is full"):
        file_book.add_parts(job, [{"part": f"C{n}", "note": "x" * 999} for n in range(2, 40)])
    connection.exec_driver_sql("PRAGMA max_page_count = 100000")
    assert [row.part for row in file_book.parts(job)] == ["C1"]
    file_book.keep(run, part, reply(kept + 1))
    assert len(file_book.readings(job)) == 2 * (kept + 1)
    assert file_book.check() == []


def test_a_locked_file_is_waited_for_and_then_told(path):
    with Book.open(path, create=True, wait_s=0.1) as book:
        job, (part,), run = job_with_parts(book, "C1")
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        for write in (
            lambda: book.keep(run, part, reply()),
            lambda: book.add_parts(job, [{"part": "C2"}]),
            lambda: book.event(run, "note", "x"),
        ):
            with pytest.raises(BookError, match="another program keeps the book locked; end it,"):
                write()
        assert [row.part for row in book.parts(job)] == ["C1"]  # reading goes on
        other.execute("ROLLBACK")
        other.close()
        book.keep(run, part, reply())
        assert [row.answer for row in book.readings(job)] == [1, 1]


def test_a_locked_table_of_a_server_is_waited_for_and_then_told(postgres_database):
    import psycopg

    with Book.open(postgres_database, create=True, wait_s=0.1) as book:
        job, (part,), run = job_with_parts(book, "C1")
        with psycopg.connect(postgres_database.replace("+psycopg", "")) as other:
            other.execute("LOCK TABLE readings IN EXCLUSIVE MODE")
            with pytest.raises(BookError, match="another program keeps the book locked; end it,"):
                book.keep(run, part, reply())
        book.keep(run, part, reply())
        assert [row.answer for row in book.readings(job)] == [1, 1]


def test_a_server_that_breaks_off_is_told_and_what_it_kept_is_there(postgres_database):
    with Book.open(postgres_database, create=True) as book:
        job, (part,), run = job_with_parts(book, "C1")
        kept = book.keep(run, part, reply())
        postgres.execute(
            postgres_database,
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
            "WHERE datname = current_database() AND pid <> pg_backend_pid()",
        )
        for _ in range(2):
            with pytest.raises(BookError, match=r"the server (was shut down|cannot be reached)"):
                book.keep(run, part, reply(2))
    with Book.open(postgres_database) as book:
        assert [row.id for row in book.readings(job)] == kept
        book.keep(run, part, reply(2))
        assert book.check() == []


def test_a_clock_that_is_set_back_breaks_nothing(book):
    job, (part,), run = job_with_parts(book, "C1")
    for number in range(6):
        book.keep(run, part, reply(number))
    late = reply(6)
    back = type(late)(late.values, late.raw, NOON - timedelta(hours=1), late.monotonic_s)
    book.keep(run, part, back)
    assert [row.monotonic_s for row in book.readings(job)][::2] == [0, 1, 2, 3, 4, 5, 6]
    assert book.check() == []
